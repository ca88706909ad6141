// Package example runs the invented call: demo in the terminal, tour in the
// browser.
package example

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"downlead/capture"
	"downlead/capture/sound"
	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/dialogue"
	"downlead/cmd/downlead/field"
	"downlead/cmd/downlead/language"
	"downlead/cmd/downlead/listen"
	"downlead/cmd/downlead/records"
	"downlead/diagnose"
	"downlead/diagnose/level"
	"downlead/export/shown"
	"downlead/grammar"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
	"downlead/testdata/demo"
)

func NewDemo(e *cli.Env, g *cli.Global) *cobra.Command {
	var out string
	c := &cobra.Command{
		Use:   "demo",
		Short: "Run an invented call end to end, from sound and from text",
		Long: `Demo runs an invented call in journals of its own: first its sound, through the
recogniser, then its text. It shows what was heard, what was asked, where the
fault is after each reading, and leaves the closeout as PDF and JSON. At the end
it says whether sound and text gave the same entries.`,
		Example: "  downlead demo\n  downlead demo --out /tmp/demo",
		Args:    cli.Args(cobra.NoArgs),
		RunE:    func(cmd *cobra.Command, _ []string) error { return runDemo(cmd.Context(), e, out) },
	}
	c.Flags().StringVar(&out, "out", "demo-out", "the `folder` for the journals and the closeout")
	return c
}

// demoZone is the zone of the invented call.
const demoZone = "America/Denver"

// demoJob is its job's number.
const demoJob = "4412"

// demoLine is one phrase of the demo call.
type demoLine struct {
	at     time.Time
	phrase string
	sound  []byte // a WAV file; nil where the line is typed
}

func runDemo(ctx context.Context, e *cli.Env, out string) error {
	lines, err := demoLines()
	if err != nil {
		return err
	}
	if err := os.MkdirAll(out, 0o755); err != nil {
		return err
	}
	fmt.Fprintf(e.Out, "An invented call, %d phrases. First from sound, through the recogniser.\n\n", len(lines))
	heard, soundErr := demoRun(ctx, e, filepath.Join(out, "sound.db"), lines, true)
	if soundErr != nil && !errors.Is(soundErr, capture.ErrNoRecogniser) && !errors.Is(soundErr, capture.ErrNoModel) {
		return soundErr
	}
	if soundErr != nil {
		fmt.Fprintf(e.Out, "The sound was left out: %v\n", soundErr)
	}
	fmt.Fprintf(e.Out, "\nThe same call from text.\n\n")
	typed, err := demoRun(ctx, e, filepath.Join(out, "text.db"), lines, false)
	if err != nil {
		return err
	}
	run := heard
	if soundErr != nil {
		run = typed
	}
	if err := demoRecord(ctx, e, run, out); err != nil {
		return err
	}
	if soundErr != nil {
		return soundErr
	}
	return demoCompare(e, heard, typed)
}

// demoLines reads the embedded call.
func demoLines() ([]demoLine, error) {
	var lines []demoLine
	for i, text := range strings.Split(strings.TrimSpace(demo.Text), "\n") {
		at, phrase, ok := language.Dated(text)
		if !ok {
			return nil, fmt.Errorf("demo call, line %d: no time", i+1)
		}
		sound, _ := demo.Sound.ReadFile(fmt.Sprintf("sound/%02d.wav", i+1))
		lines = append(lines, demoLine{at, phrase, sound})
	}
	return lines, nil
}

// demoResult is what one run of the demo call left.
type demoResult struct {
	journal  string
	records  []record.Record
	asked    int
	misheard int
}

// removeDemo removes the journal of an earlier demo; a file that holds
// anything else stays.
func removeDemo(ctx context.Context, file string) error {
	j, err := journal.Open(ctx, file, journal.Options{ReadOnly: true})
	if errors.Is(err, journal.ErrNotFound) {
		return nil
	}
	var jobs []record.Summary
	if err == nil {
		jobs, err = j.Jobs(ctx)
		j.Close()
	}
	if err == nil && (len(jobs) > 1 || len(jobs) == 1 && jobs[0].Number != demoJob) {
		err = errors.New("it holds other jobs")
	}
	if err != nil {
		return cli.Hinted(fmt.Errorf("%s is not an earlier demo's journal: %w", file, err), "name another folder with --out")
	}
	for _, old := range []string{file + "-wal", file + "-shm", file} {
		if err := os.Remove(old); err != nil && !errors.Is(err, os.ErrNotExist) {
			return err
		}
	}
	return nil
}

func demoRun(ctx context.Context, e *cli.Env, file string, lines []demoLine, sound bool) (demoResult, error) {
	if err := removeDemo(ctx, file); err != nil {
		return demoResult{}, err
	}
	p, err := grammar.New(nil)
	if err != nil {
		return demoResult{}, err
	}
	j, err := journal.Open(ctx, file, journal.Options{Create: true, Now: e.Now})
	if err != nil {
		return demoResult{}, err
	}
	defer j.Close()
	s, err := dialogue.New(ctx, j, p, nil, "")
	if err != nil {
		return demoResult{}, err
	}
	run := &demoCall{e: e, session: s, parser: p, result: demoResult{journal: file}}
	if sound {
		figure, err := listen.BuiltConfig().Figure()
		if err != nil {
			return run.result, err
		}
		second := listen.OpenSecond(e, false)
		defer second.Close()
		r, err := listen.NewRecogniser(p, second)
		if err != nil {
			return run.result, err
		}
		defer r.Close()
		run.listener = &dialogue.Listener{
			Session: s, Recogniser: r, Thresholds: capture.DefaultThresholds(), Figure: figure, Origin: record.Voice, Zone: demoZone,
			When: func(capture.Utterance) (time.Time, record.TimeSource) { return run.now, record.FromGiven },
		}
	}
	for _, line := range lines {
		if err := run.line(ctx, line); err != nil {
			return run.result, err
		}
	}
	jobs, err := j.Jobs(ctx) // the call's last phrase has closed and left it
	if err != nil || len(jobs) == 0 {
		return run.result, cmp.Or(err, errors.New("the demo call started no job"))
	}
	run.result.records, err = j.Job(ctx, jobs[0].Number)
	return run.result, err
}

// demoCall is one run of the demo call.
type demoCall struct {
	e        *cli.Env
	session  *dialogue.Session
	parser   *grammar.Parser
	listener *dialogue.Listener // nil when the call is typed
	now      time.Time          // the call's own time: the sound is squeezed, the call is not
	result   demoResult
}

func (c *demoCall) line(ctx context.Context, line demoLine) error {
	c.now = line.at
	fmt.Fprintf(c.e.Out, "%s  %s\n", line.at.Format("15:04"), line.phrase)
	if c.listener == nil || line.sound == nil {
		r, err := c.session.Hear(ctx, dialogue.Phrase{Text: line.phrase, At: line.at, Zone: demoZone, TimeSource: record.FromGiven, Origin: record.Typed})
		if err != nil {
			return err
		}
		c.show(r)
		return c.answerTyped(ctx, r)
	}
	ev, err := c.play(ctx, line.sound)
	if err != nil {
		return err
	}
	right := c.sameMeaning(ev.Heard, line.phrase)
	if !right {
		c.result.misheard++
		fmt.Fprintf(c.e.Out, "       heard: %q\n", ev.Heard)
	}
	c.show(ev.Reply)
	if ev.Doubt == "" || ev.Reply.Asked == "" {
		if ev.Outcome == dialogue.Ignored {
			fmt.Fprintln(c.e.Out, "       ignored; typed instead")
			c.result.asked++
			line.sound = nil
			return c.line(ctx, line)
		}
		return c.answerTyped(ctx, ev.Reply)
	}
	return c.answerSpoken(ctx, line, right)
}

// play hears one clip.
func (c *demoCall) play(ctx context.Context, wav []byte) (dialogue.Event, error) {
	src, err := sound.NewWAV(bytes.NewReader(wav))
	if err != nil {
		return dialogue.Event{}, err
	}
	defer src.Close()
	if err := c.listener.Refocus(ctx); err != nil {
		return dialogue.Event{}, err
	}
	last := dialogue.Event{Outcome: dialogue.Ignored}
	for u, err := range capture.Listen(ctx, src, c.listener.Recogniser, capture.ListenConfig{Endpoints: c.listener.Endpoints(0, nil)}) {
		if err != nil {
			return last, err
		}
		if last, err = c.listener.Take(ctx, u); err != nil {
			return last, err
		}
	}
	return last, nil
}

// answerSpoken answers "did you say …?" as the technician would: yes when it
// was right, else no, and the phrase by typing.
func (c *demoCall) answerSpoken(ctx context.Context, line demoLine, right bool) error {
	c.result.asked++
	word := "no"
	if right {
		word = "yes"
	}
	wav, err := demo.Sound.ReadFile("sound/" + word + ".wav")
	if err != nil {
		return err
	}
	fmt.Fprintf(c.e.Out, "       asked again; answered: %s\n", word)
	ev, err := c.play(ctx, wav)
	if err != nil {
		return err
	}
	c.show(ev.Reply)
	if right && ev.Reply.Asked != "" { // it was which of two words: the phrase said again names one
		fmt.Fprintf(c.e.Out, "       said again: %s\n", line.phrase)
		if ev, err = c.play(ctx, line.sound); err != nil {
			return err
		}
		c.show(ev.Reply)
	}
	if right && ev.Reply.Asked == "" {
		return nil
	}
	fmt.Fprintln(c.e.Out, "       misheard; typed instead")
	line.sound = nil
	return c.line(ctx, line)
}

// answerTyped says yes to a question that the call itself raised.
func (c *demoCall) answerTyped(ctx context.Context, r dialogue.Reply) error {
	if r.Asked == "" {
		return nil
	}
	fmt.Fprintln(c.e.Out, "       answered: yes")
	r, err := c.session.Hear(ctx, dialogue.Phrase{Text: "yes", At: c.now, Zone: demoZone, TimeSource: record.FromGiven, Origin: record.Typed})
	if err == nil {
		c.show(r)
	}
	return err
}

func (c *demoCall) show(r dialogue.Reply) {
	if r.Text != "" {
		fmt.Fprintf(c.e.Out, "       %s\n", r.Text)
	}
	for _, caution := range r.Caution {
		fmt.Fprintf(c.e.Out, "       Caution: %s\n", caution)
	}
}

func (c *demoCall) sameMeaning(a, b string) bool {
	return entriesText(c.parser, a) == entriesText(c.parser, b)
}

// entriesText is the meaning of a phrase as text, to compare.
func entriesText(p *grammar.Parser, phrase string) string {
	entries, err := p.Parse(phrase)
	if err != nil {
		return "not understood: " + phrase
	}
	var b strings.Builder
	for _, said := range entries {
		raw, _ := entry.Encode(said)
		b.Write(raw)
	}
	return b.String()
}

// demoRecord shows the path and writes the closeout.
func demoRecord(ctx context.Context, e *cli.Env, run demoResult, out string) error {
	j, err := journal.Open(ctx, run.journal, journal.Options{ReadOnly: true, Now: e.Now})
	if err != nil {
		return err
	}
	defer j.Close()
	d := diagnose.NewJob(run.records, level.Options{}).Diagnosis()
	fmt.Fprintf(e.Out, "\nThe signal path, with the last reading at each point.\n\n")
	field.DrawPath(e.Out, d)
	g := &cli.Global{Journal: run.journal, Job: run.records[0].Job, Quiet: true}
	c, _, err := records.Closeout(ctx, e, g, j)
	if err != nil {
		return err
	}
	f := records.CloseoutFlags{Pdf: filepath.Join(out, "closeout.pdf"), File: filepath.Join(out, "closeout.json"), Force: true}
	wrote, err := records.WriteCloseout(ctx, e, g, j, c, run.records, f)
	if err != nil {
		return err
	}
	fmt.Fprintln(e.Out)
	for _, w := range wrote {
		fmt.Fprintln(e.Out, "closeout:", w)
	}
	report, err := j.Verify(ctx, journal.VerifyOptions{})
	if err != nil {
		return err
	}
	fmt.Fprintf(e.Out, "journal:  %s, %d entries, intact: %v, head %s\n", run.journal, report.Records, len(report.Problems) == 0, report.Head)
	return nil
}

// demoCompare says whether sound and text came to the same entries.
func demoCompare(e *cli.Env, heard, typed demoResult) error {
	a, b := currentEntries(heard.records), currentEntries(typed.records)
	fmt.Fprintf(e.Out, "\nFrom sound: %s misheard, %d asked again.\n", shown.Count(heard.misheard, "phrase"), heard.asked)
	different := 0
	for i := range max(len(a), len(b)) {
		x, y := "nothing", "nothing"
		if i < len(a) {
			x = a[i]
		}
		if i < len(b) {
			y = b[i]
		}
		if x != y {
			different++
			fmt.Fprintf(e.Out, "  differs: sound %s\n           text  %s\n", x, y)
		}
	}
	if different > 0 {
		return fmt.Errorf("sound and text differ in %d entries", different)
	}
	fmt.Fprintf(e.Out, "Sound and text gave the same %d entries.\n", len(a))
	return nil
}

func currentEntries(records []record.Record) []string {
	var out []string
	for _, r := range record.Current(records) {
		raw, err := entry.Encode(r.Entry)
		if err != nil {
			raw = []byte(err.Error())
		}
		out = append(out, string(raw))
	}
	return out
}
