package upkeep

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"downlead/capture"
	"downlead/capture/sound"
	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/listen"
	"downlead/export/shown"
	"downlead/journal"
	"downlead/journal/record"
	"downlead/testdata/demo"
)

// runDoctorFull looks the whole of it over: the journal on a copy, so that
// nothing is disturbed and the disk is tried too, and everything else as
// doctor does, but in earnest.
func runDoctorFull(ctx context.Context, e *cli.Env, g *cli.Global) error {
	looks, damaged := lookAtCopy(ctx, e, g)
	looks = append(looks,
		lookAtRights(e, g), lookAtDisk(e, g), lookAtClock(ctx, e, g), lookAtModel(ctx, e), lookAtSecondListener(e), lookAtVoice(),
		lookAtLevel(ctx, e), lookAtWords(e), lookAtTables(e), lookAtBrowser(),
	)
	if err := showLooks(e, g, looks); err != nil {
		return err
	}
	if damaged {
		return fmt.Errorf("%w: what to do stands above", journal.ErrNotIntact)
	}
	return nil
}

// lookAtCopy copies the journal and verifies the copy: records, chain, files.
func lookAtCopy(ctx context.Context, e *cli.Env, g *cli.Global) (looks []ailment, damaged bool) {
	path := e.JournalPath(g)
	j, err := journal.Open(ctx, path, journal.Options{Damaged: true, Now: e.Now})
	if errors.Is(err, journal.ErrNotFound) {
		return []ailment{{"journal", true, path + " (made when the first job starts)", ""}}, false
	}
	if err != nil {
		return []ailment{{"journal", false, err.Error(), cli.Hint(e, g, err)}}, errors.Is(err, journal.ErrNotIntact)
	}
	defer j.Close()
	dir, err := os.MkdirTemp("", "downlead-doctor-*")
	if err != nil {
		return []ailment{{"copy", false, err.Error(), "free some space for temporary files"}}, false
	}
	defer os.RemoveAll(dir)
	report, err := j.Backup(ctx, filepath.Join(dir, "copy.db"))
	switch {
	case errors.Is(err, journal.ErrNotIntact):
		return []ailment{{"journal", false, err.Error(), e.DamageHint(path)}}, true
	case err != nil:
		return []ailment{{"copy", false, err.Error(), "free some space for temporary files, or name another folder in TMPDIR"}}, false
	}
	looks = append(looks, ailment{"journal", true, fmt.Sprintf("%s: a copy was made and verified", path), ""})
	chain := ailment{"chain", report.OK, fmt.Sprintf("%s, head %s", shown.Count(report.Records, "entry"), report.Head), ""}
	if !report.OK {
		chain.Detail, chain.Mend = problemText(report.Problems[0]), e.DamageHint(path)
	}
	looks = append(looks, chain)
	for _, f := range report.Findings {
		looks = append(looks, ailment{"finding", true, problemText(f), ""})
	}
	return looks, !report.OK
}

// lookAtRights looks for what others on this machine could read or change.
func lookAtRights(e *cli.Env, g *cli.Global) ailment {
	if runtime.GOOS == "windows" {
		return ailment{"rights", true, "not looked at on this system: the journal has the rights of its folder", ""}
	}
	var wrong, mend []string
	path := e.JournalPath(g)
	for _, name := range []string{path, path + "-wal", path + "-shm", path + "-clips", path + "-photos"} {
		info, err := os.Stat(name)
		if err != nil || info.Mode().Perm()&0o077 == 0 {
			continue
		}
		want := "600"
		if info.IsDir() {
			want = "700"
		}
		wrong, mend = append(wrong, name), append(mend, "chmod "+want+" "+name)
	}
	if info, err := os.Stat(filepath.Dir(path)); err == nil && info.Mode().Perm()&0o002 != 0 && info.Mode()&fs.ModeSticky == 0 {
		wrong, mend = append(wrong, filepath.Dir(path)), append(mend, "chmod o-w "+filepath.Dir(path))
	}
	if len(wrong) > 0 {
		return ailment{"rights", false, "others on this machine can read or change " + strings.Join(wrong, ", "), strings.Join(mend, "; ")}
	}
	return ailment{"rights", true, "the journal is its owner's alone", ""}
}

// lookAtClock holds the clock against the journal and asks the system whether
// it is kept right, where it says.
func lookAtClock(ctx context.Context, e *cli.Env, g *cli.Global) ailment {
	now := e.Now()
	if j, err := e.ReadJournal(ctx, g); err == nil {
		defer j.Close()
		_, n, err := j.Head(ctx)
		if err == nil && n > 0 {
			if last, err := j.Record(ctx, n); err == nil && last.TimeSource == record.FromClock && last.At.After(now.Add(time.Minute)) {
				return ailment{"clock", false, fmt.Sprintf("it says %s, and the last entry is of %s", now.Format(time.DateTime), last.At.Format(time.DateTime)), "set the clock; entries keep the times they have"}
			}
		}
	}
	if strings.HasPrefix(journal.LocalZone(), "Etc/") {
		return ailment{"clock", false, "the time zone has no name, and no change to summer time", "downlead setup --yes --zone America/Denver, or the one you are in"}
	}
	if unkeptClock() {
		return ailment{"clock", true, now.Format(time.DateTime) + " " + journal.LocalZone() + "; no time server keeps it right", "compare it with a telephone"}
	}
	return ailment{"clock", true, now.Format(time.DateTime) + " " + journal.LocalZone(), ""}
}

// modelClip is a phrase of the demo call that the model is tried on.
const modelClip = "sound/02.wav"

// lookAtModel has the recogniser hear a phrase that is part of the program.
func lookAtModel(ctx context.Context, e *cli.Env) ailment {
	p, err := e.Parser()
	if err != nil {
		return ailment{"model", false, err.Error(), "mend words.toml, or move it away"}
	}
	clip, err := demo.Sound.ReadFile(modelClip)
	if err != nil {
		return ailment{"model", false, err.Error(), ""}
	}
	r, err := listen.NewRecogniser(p, nil)
	if err != nil {
		return lookAtRecogniser(e) // which knows what to say
	}
	defer r.Close()
	src, err := sound.NewWAV(bytes.NewReader(clip))
	if err != nil {
		return ailment{"model", false, err.Error(), ""}
	}
	var heard []string
	for u, err := range capture.Listen(ctx, src, r, capture.ListenConfig{}) {
		if err != nil {
			return ailment{"model", false, err.Error(), "apt-get install --reinstall pocketsphinx-en-us"}
		}
		heard = append(heard, u.Text)
	}
	if text := strings.Join(heard, " "); text != "" {
		return ailment{"model", true, fmt.Sprintf("hears a phrase of the demo call as %q", text), ""}
	}
	return ailment{"model", false, "hears nothing in a phrase of the demo call", "apt-get install --reinstall pocketsphinx-en-us"}
}

// levelTime is how long the microphone is listened to.
const levelTime = 3 * time.Second

// lookAtLevel measures what the microphone gives, spoken to or not.
func lookAtLevel(ctx context.Context, e *cli.Env) ailment {
	mic, err := sound.OpenMicrophone(sound.MicrophoneConfig{})
	if err != nil {
		return ailment{"microphone", false, err.Error(), "plug one in; recorded sound works without: downlead listen --file call.wav"}
	}
	defer mic.Close()
	fmt.Fprintf(e.Err, "listening for %.0f seconds to the microphone\n", levelTime.Seconds())
	check, err := capture.CheckSound(ctx, mic, levelTime)
	if err != nil {
		return ailment{"microphone", false, err.Error(), "choose another input"}
	}
	said := fmt.Sprintf("noise %.0f dBFS, peak %.0f dBFS", check.Noise, check.Peak)
	if check.Fault == capture.SoundGood || check.Fault == capture.SoundNoWord {
		return ailment{"microphone", true, said, "with speech, measure it by: downlead doctor --mic"}
	}
	return ailment{"microphone", false, said + ": " + string(check.Fault), check.Fault.Advice()}
}
