// Package upkeep has the commands for the tool itself: setup and its settings,
// doctor, verify, backup, and the kept sound.
package upkeep

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"downlead/capture"
	"downlead/capture/hear"
	"downlead/capture/sound"
	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/listen"
	"downlead/cmd/downlead/records"
	"downlead/export/shown"
	"downlead/grammar/speech"
	"downlead/journal"
)

func NewDoctor(e *cli.Env, g *cli.Global) *cobra.Command {
	var full, mic, calibrate, write bool
	c := &cobra.Command{
		Use:   "doctor",
		Short: "Say what works, what is missing, and the command that mends it",
		Example: `  downlead doctor
  downlead doctor --full       # all of it in earnest, the journal on a copy
  downlead doctor --mic        # listen for some seconds: level, noise, clipping
  downlead doctor --calibrate  # what your own phrases say of the thresholds`,
		Args: cli.Args(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			switch {
			case full:
				return runDoctorFull(cmd.Context(), e, g)
			case mic:
				return runMic(cmd.Context(), e, g, false)
			case calibrate:
				return runCalibrate(cmd.Context(), e, g, write)
			}
			return runDoctor(cmd.Context(), e, g)
		},
	}
	c.Flags().BoolVar(&full, "full", false, "look all of it over: journal and chain on a copy, rights, space, clock, model, microphone level")
	c.Flags().BoolVar(&mic, "mic", false, "measure the microphone: stay silent, then speak, as told")
	c.Flags().BoolVar(&calibrate, "calibrate", false, "suggest thresholds from your own phrases and what became of them")
	c.Flags().BoolVar(&write, "write", false, "with --calibrate: write them into listen.toml, where there is none yet")
	return c
}

// ailment is one thing that doctor looked at.
type ailment struct {
	Part   string `json:"part"`
	OK     bool   `json:"ok"`
	Detail string `json:"detail"`
	Mend   string `json:"mend,omitempty"`
}

func runDoctor(ctx context.Context, e *cli.Env, g *cli.Global) error {
	looks := []ailment{
		lookAtRecogniser(e), lookAtSecondListener(e), lookAtVoice(), lookAtMicrophone(), lookAtJournal(ctx, e, g),
		lookAtWords(e), lookAtTables(e), lookAtBrowser(), lookAtPhone(e), lookAtDisk(e, g),
	}
	return showLooks(e, g, looks)
}

func showLooks(e *cli.Env, g *cli.Global, looks []ailment) error {
	for i, l := range looks {
		if runtime.GOOS != "linux" && strings.HasPrefix(l.Mend, "apt-get ") {
			looks[i].Mend = ""
		}
	}
	if g.JSON {
		return cli.PrintJSON(e.Out, looks)
	}
	for _, l := range shown.Of(looks) {
		mark := "ok     "
		if !l.OK {
			mark = "MISSING"
		}
		fmt.Fprintf(e.Out, "%s  %-12s %s\n", mark, l.Part, l.Detail)
		if l.Mend != "" {
			fmt.Fprintf(e.Out, "         %-12s %s\n", "", l.Mend)
		}
	}
	return nil
}

func lookAtRecogniser(e *cli.Env) ailment {
	p, err := e.Parser()
	if err != nil {
		return ailment{"recogniser", false, err.Error(), ""}
	}
	r, err := capture.NewRecogniser(capture.Config{JSGF: p.JSGF(speech.Focus{}), Pronunciations: p.Pronunciations(nil)})
	switch {
	case errors.Is(err, capture.ErrNoRecogniser):
		return ailment{"recogniser", false, "this build leaves voice out: type to it, with say or listen --text", ""}
	case errors.Is(err, capture.ErrNoModel):
		return ailment{"recogniser", false, err.Error(), "apt-get install pocketsphinx-en-us"}
	case err != nil:
		return ailment{"recogniser", false, err.Error(), ""}
	}
	r.Close()
	if !capture.KnowsNoise(capture.DefaultModelDir) {
		return ailment{"recogniser", true, "model and speech grammar load; the model is not the one whose noise downlead has: among a drill's blows it hears less", ""}
	}
	return ailment{"recogniser", true, "model and speech grammar load, and it knows the noises of the job", ""}
}

func lookAtSecondListener(e *cli.Env) ailment {
	n, err := hear.Open(listen.HearFolder(e))
	switch {
	case errors.Is(err, hear.ErrLeftOut):
		return ailment{"2nd listener", false, err.Error(), ""}
	case errors.Is(err, hear.ErrMissing):
		return ailment{"2nd listener", false, "not here: with one listener more is asked about in noise, and notes are heard poorly", "downlead setup --yes --second fetch"}
	case err != nil:
		return ailment{"2nd listener", false, err.Error(), "downlead setup --yes --second fetch"}
	}
	defer n.Close()
	return ailment{"2nd listener", true, hear.Version() + ", in " + listen.HearFolder(e), ""}
}

func lookAtVoice() ailment {
	for _, program := range []string{"flite", "espeak-ng"} {
		if path, err := exec.LookPath(program); err == nil {
			return ailment{"voice", true, path, ""}
		}
	}
	return ailment{"voice", false, "answers are printed, not spoken", "apt-get install flite"}
}

func lookAtMicrophone() ailment {
	mic, err := sound.OpenMicrophone(sound.MicrophoneConfig{})
	switch {
	case errors.Is(err, sound.ErrLeftOut):
		return ailment{"microphone", false, err.Error(), ""}
	case err != nil:
		return ailment{"microphone", false, err.Error(), "plug one in; recorded sound works without: downlead listen --file call.wav"}
	}
	defer mic.Close()
	return ailment{"microphone", true, "opens; measure it with: downlead doctor --mic", ""}
}

func lookAtJournal(ctx context.Context, e *cli.Env, g *cli.Global) ailment {
	path := e.JournalPath(g)
	j, err := e.ReadJournal(ctx, g)
	if errors.Is(err, journal.ErrNotFound) {
		return ailment{"journal", true, path + " (made when the first job starts)", ""}
	}
	if err != nil {
		return ailment{"journal", false, err.Error(), cli.Hint(e, g, err)}
	}
	defer j.Close()
	_, count, err := j.Head(ctx)
	if err != nil {
		return ailment{"journal", false, err.Error(), cli.Hint(e, g, err)}
	}
	return ailment{"journal", true, fmt.Sprintf("%s, %s", path, shown.Count(count, "entry")), ""}
}

func lookAtWords(e *cli.Env) ailment {
	if _, err := e.Parser(); err != nil {
		return ailment{"own words", false, err.Error(), "mend the file, or move it away"}
	}
	return ailment{"own words", true, filepath.Join(e.ConfigFolder(), "words.toml") + " is in order, or not there", ""}
}

func lookAtTables(e *cli.Env) ailment {
	if _, err := e.Tables(); err != nil {
		return ailment{"tables", false, err.Error(), "mend the file, or move it away"}
	}
	return ailment{"tables", true, filepath.Join(e.ConfigFolder(), "tables.toml") + " is in order, or not there", ""}
}

func lookAtBrowser() ailment {
	for _, program := range []string{records.Opener()[0], "chromium", "firefox", "www-browser"} {
		if path, err := exec.LookPath(program); err == nil {
			return ailment{"browser", true, path, ""}
		}
	}
	return ailment{"browser", false, "the review page cannot be opened here", "apt-get install chromium"}
}

// leastDisk is the free space, in bytes, under which doctor warns: an hour of
// kept sound is about 115 MB.
const leastDisk = 500 << 20

func lookAtDisk(e *cli.Env, g *cli.Global) ailment {
	folder := filepath.Dir(e.JournalPath(g))
	for {
		if _, err := os.Stat(folder); err == nil || folder == filepath.Dir(folder) {
			break
		}
		folder = filepath.Dir(folder)
	}
	free, err := freeSpace(folder)
	if err != nil {
		return ailment{"disk", false, err.Error(), ""}
	}
	a := ailment{"disk", free >= leastDisk, fmt.Sprintf("%d MB free for the journal", free>>20), ""}
	if !a.OK {
		a.Mend = "free some space: every entry is written to this disk before it is confirmed"
	}
	return a
}

// micTime is how long doctor --mic listens.
const micTime = 8 * time.Second

// runMic measures the microphone that listen.toml names; with a meter, the
// level is shown meanwhile to who reads on a terminal.
func runMic(ctx context.Context, e *cli.Env, g *cli.Global, withMeter bool) error {
	set, err := listen.ReadConfig(e)
	if err != nil {
		return err
	}
	mic, err := sound.OpenMicrophone(sound.MicrophoneConfig{Device: set.Device})
	if err != nil {
		return err
	}
	defer mic.Close()
	fmt.Fprintf(e.Err, "listening for %.0f seconds: be silent for three, then say \"ground block dish side, pass, minus forty one\"\n", micTime.Seconds())
	var src sound.Source = mic
	if withMeter && e.ErrTTY {
		src = &listen.Meter{Source: mic, Out: e.Bar}
		defer fmt.Fprintln(e.Bar)
	}
	check, err := capture.CheckSound(ctx, src, micTime)
	if err != nil {
		return err
	}
	if g.JSON {
		return cli.PrintJSON(e.Out, check)
	}
	fmt.Fprintf(e.Out, "speech %.0f dBFS, noise %.0f dBFS, %.0f dB between them, peak %.0f dBFS, %.1f %% clipped\n",
		check.Speech, check.Noise, check.SNR, check.Peak, 100*check.Clipped)
	if check.Fault == capture.SoundGood {
		fmt.Fprintln(e.Out, "good")
		return nil
	}
	fmt.Fprintf(e.Out, "%s: %s\n", check.Fault, check.Fault.Advice())
	return nil
}
