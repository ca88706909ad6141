package main

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
	"downlead/export/shown"
	"downlead/grammar/speech"
	"downlead/journal"
)

func newDoctor(e *env, g *global) *cobra.Command {
	var full, mic, calibrate, write bool
	c := &cobra.Command{
		Use:   "doctor",
		Short: "Say what works, what is missing, and the command that mends it",
		Example: `  downlead doctor
  downlead doctor --full       # all of it in earnest, the journal on a copy
  downlead doctor --mic        # listen for some seconds: level, noise, clipping
  downlead doctor --calibrate  # what your own phrases say of the thresholds`,
		Args: usage(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			switch {
			case full:
				return runDoctorFull(cmd.Context(), e, g)
			case mic:
				return e.runMic(cmd.Context(), g, false)
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

func runDoctor(ctx context.Context, e *env, g *global) error {
	looks := []ailment{
		e.lookAtRecogniser(), e.lookAtSecondListener(), lookAtVoice(), lookAtMicrophone(), e.lookAtJournal(ctx, g),
		e.lookAtWords(), e.lookAtTables(), lookAtBrowser(), e.lookAtPhone(), e.lookAtDisk(g),
	}
	return showLooks(e, g, looks)
}

func showLooks(e *env, g *global, looks []ailment) error {
	for i, l := range looks {
		if runtime.GOOS != "linux" && strings.HasPrefix(l.Mend, "apt-get ") {
			looks[i].Mend = ""
		}
	}
	if g.json {
		return printJSON(e.out, looks)
	}
	for _, l := range shown.Of(looks) {
		mark := "ok     "
		if !l.OK {
			mark = "MISSING"
		}
		fmt.Fprintf(e.out, "%s  %-12s %s\n", mark, l.Part, l.Detail)
		if l.Mend != "" {
			fmt.Fprintf(e.out, "         %-12s %s\n", "", l.Mend)
		}
	}
	return nil
}

func (e *env) lookAtRecogniser() ailment {
	p, err := e.parser()
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
	return ailment{"recogniser", true, "model and speech grammar load", ""}
}

func (e *env) lookAtSecondListener() ailment {
	n, err := hear.Open(e.hearFolder())
	switch {
	case errors.Is(err, hear.ErrLeftOut):
		return ailment{"2nd listener", false, err.Error(), ""}
	case errors.Is(err, hear.ErrMissing):
		return ailment{"2nd listener", false, "not here: with one listener more is asked about in noise, and notes are heard poorly", "downlead setup --yes --second fetch"}
	case err != nil:
		return ailment{"2nd listener", false, err.Error(), "downlead setup --yes --second fetch"}
	}
	defer n.Close()
	return ailment{"2nd listener", true, hear.Version() + ", in " + e.hearFolder(), ""}
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

func (e *env) lookAtJournal(ctx context.Context, g *global) ailment {
	path := e.journalPath(g)
	j, err := e.readJournal(ctx, g)
	if errors.Is(err, journal.ErrNotFound) {
		return ailment{"journal", true, path + " (made when the first job starts)", ""}
	}
	if err != nil {
		return ailment{"journal", false, err.Error(), hint(e, g, err)}
	}
	defer j.Close()
	_, count, err := j.Head(ctx)
	if err != nil {
		return ailment{"journal", false, err.Error(), hint(e, g, err)}
	}
	return ailment{"journal", true, fmt.Sprintf("%s, %s", path, shown.Count(count, "entry")), ""}
}

func (e *env) lookAtWords() ailment {
	if _, err := e.parser(); err != nil {
		return ailment{"own words", false, err.Error(), "mend the file, or move it away"}
	}
	return ailment{"own words", true, filepath.Join(e.configFolder(), "words.toml") + " is in order, or not there", ""}
}

func (e *env) lookAtTables() ailment {
	if _, err := e.tables(); err != nil {
		return ailment{"tables", false, err.Error(), "mend the file, or move it away"}
	}
	return ailment{"tables", true, filepath.Join(e.configFolder(), "tables.toml") + " is in order, or not there", ""}
}

func lookAtBrowser() ailment {
	for _, program := range []string{opener()[0], "chromium", "firefox", "www-browser"} {
		if path, err := exec.LookPath(program); err == nil {
			return ailment{"browser", true, path, ""}
		}
	}
	return ailment{"browser", false, "the review page cannot be opened here", "apt-get install chromium"}
}

// leastDisk is the free space, in bytes, under which doctor warns: an hour of
// kept sound is about 115 MB.
const leastDisk = 500 << 20

func (e *env) lookAtDisk(g *global) ailment {
	folder := filepath.Dir(e.journalPath(g))
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
func (e *env) runMic(ctx context.Context, g *global, withMeter bool) error {
	set, err := e.listenConfig()
	if err != nil {
		return err
	}
	mic, err := sound.OpenMicrophone(sound.MicrophoneConfig{Device: set.Device})
	if err != nil {
		return err
	}
	defer mic.Close()
	fmt.Fprintf(e.err, "listening for %.0f seconds: be silent for three, then say \"ground block dish side, pass, minus forty one\"\n", micTime.Seconds())
	var src sound.Source = mic
	if withMeter && e.errTTY {
		src = &meter{Source: mic, out: e.bar}
		defer fmt.Fprintln(e.bar)
	}
	check, err := capture.CheckSound(ctx, src, micTime)
	if err != nil {
		return err
	}
	if g.json {
		return printJSON(e.out, check)
	}
	fmt.Fprintf(e.out, "speech %.0f dBFS, noise %.0f dBFS, %.0f dB between them, peak %.0f dBFS, %.1f %% clipped\n",
		check.Speech, check.Noise, check.SNR, check.Peak, 100*check.Clipped)
	if check.Fault == capture.SoundGood {
		fmt.Fprintln(e.out, "good")
		return nil
	}
	fmt.Fprintf(e.out, "%s: %s\n", check.Fault, check.Fault.Advice())
	return nil
}
