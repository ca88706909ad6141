package upkeep

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/BurntSushi/toml"

	"downlead/capture"
	"downlead/capture/confidence"
	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/dialogue"
	"downlead/cmd/downlead/listen"
	"downlead/journal/record"
)

// runCalibrate shows what the technician's own phrases say of the thresholds,
// and writes them where asked.
func runCalibrate(ctx context.Context, e *cli.Env, g *cli.Global, write bool) error {
	cfg, err := listen.ReadConfig(e)
	if err != nil {
		return err
	}
	j, err := e.ReadJournal(ctx, g)
	if err != nil {
		return err
	}
	defer j.Close()
	jobs, err := j.Jobs(ctx)
	if err != nil {
		return err
	}
	var records []record.Record
	for _, s := range jobs {
		own, err := j.Job(ctx, s.Number)
		if err != nil {
			return err
		}
		records = append(records, own...)
	}
	c, ok := dialogue.Calibrate(records, cfg.Thresholds)
	fmt.Fprintf(e.Err, "%d spoken phrases stood, %d were taken back or corrected\n", c.Right, c.Wrong)
	tuning, phrases, err := dialogue.Tune(records)
	if err == nil {
		fmt.Fprintf(e.Err, "%d of them were heard by two listeners\n", phrases)
		return suggest(e, write, struct {
			Tuning confidence.Tuning `toml:"confidence"`
		}{tuning})
	}
	if !ok {
		return cli.Hinted(errors.New("too few spoken phrases to set thresholds from"), "go on with the built-in ones; try again after some calls")
	}
	return suggest(e, write, struct {
		Thresholds capture.Thresholds `toml:"thresholds"`
	}{c.Suggest})
}

// suggest prints settings for listen.toml, and writes them where asked.
func suggest(e *cli.Env, write bool, settings any) error {
	var b strings.Builder
	if err := toml.NewEncoder(&b).Encode(settings); err != nil {
		return err
	}
	fmt.Fprint(e.Out, b.String())
	if !write {
		return nil
	}
	return writeNew(e, filepath.Join(e.ConfigFolder(), "listen.toml"), b.String())
}

// writeNew writes a file of the config folder that is not there yet.
func writeNew(e *cli.Env, path, text string) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, os.ErrExist) {
		return cli.Hinted(fmt.Errorf("%s is there already", path), "put the lines above into it by hand")
	}
	if err != nil {
		return err
	}
	_, err = f.WriteString(text)
	if err = errors.Join(err, f.Close()); err != nil {
		return err
	}
	fmt.Fprintln(e.Err, "written:", path)
	return nil
}
