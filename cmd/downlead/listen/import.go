package listen

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"downlead/capture"
	"downlead/capture/sound"
	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/dialogue"
	"downlead/cmd/downlead/field"
	"downlead/cmd/downlead/language"
	"downlead/export/shown"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// importFlags are the options of import.
type importFlags struct {
	again    bool
	encoding string
}

func NewImport(e *cli.Env, g *cli.Global) *cobra.Command {
	var f importFlags
	c := &cobra.Command{
		Use:   "import FILE…",
		Short: "Take in recorded memos and typed notes, after the fact",
		Long: `Import takes in recordings (WAV, FLAC, MP3; others where ffmpeg is installed) and
text files (.txt, one phrase a line; a line may begin with an RFC 3339 time,
which holds for those below it too). Entries are dated from the recording. Notes
may start jobs; what starts none belongs to the job at hand. An import that was
interrupted goes on where it stopped, and a file that was taken in before is
left out, whatever job it went to.`,
		Example: `  downlead import memo.wav notes.txt
  downlead import --again memo.wav`,
		Args: cli.Args(cobra.MinimumNArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error { return runImport(cmd.Context(), e, g, args, f) },
	}
	c.Flags().BoolVar(&f.again, "again", false, "take in a file that was taken in before")
	language.EncodingFlag(c, &f.encoding)
	return c
}

func runImport(ctx context.Context, e *cli.Env, g *cli.Global, files []string, f importFlags) error {
	if err := language.CheckEncoding(f.encoding); err != nil {
		return err
	}
	s, err := field.Session(ctx, e, g, firstPhrase(e, files[0], f.encoding))
	if err != nil {
		return err
	}
	defer s.Journal.Close()
	w := &listenWriter{e: e, g: g, counts: map[dialogue.Outcome]int{}}
	for _, file := range files {
		im := importer{e: e, session: s, file: file, encoding: f.encoding, out: w}
		if err := im.run(ctx, f.again); err != nil {
			return fmt.Errorf("import %s: %w", file, err)
		}
	}
	return w.summary(s)
}

// importer takes in one file.
type importer struct {
	e       *cli.Env
	session *dialogue.Session
	file    string
	out     *listenWriter
	mark    entry.Import

	encoding string // of a text

	// What an earlier, interrupted import took in: of a recording what lies
	// before a place, of a text the lines up to one, or as journals have it that
	// kept no line numbers, the phrases.
	after time.Duration
	line  int
	taken []string
}

func (im *importer) run(ctx context.Context, again bool) error {
	if err := cli.PlainFile(im.file); err != nil {
		return err
	}
	sum, err := capture.FileHash(im.file)
	if err != nil {
		return err
	}
	im.mark = entry.Import{SHA256: sum, Name: filepath.Base(im.file)}
	seen, err := im.before(ctx)
	if err != nil {
		return err
	}
	if seen && !again {
		fmt.Fprintf(im.e.Err, "%s was taken in before and is left out; --again takes it in once more\n", shown.Of(im.file))
		return nil
	}
	if im.session.Job == "" {
		if starts, without := field.Begins(im.session.Parser, firstPhrase(im.e, im.file, im.encoding)); !starts && !without {
			return field.NoJob(im.e, im.out.g, dialogue.ErrNoJob)
		}
	}
	if again {
		im.after, im.line, im.taken = 0, 0, nil
	}
	if err := im.remember(ctx, false); err != nil {
		return err
	}
	if isText(im.file) {
		err = im.text(ctx)
	} else {
		err = im.sound(ctx)
	}
	if err != nil {
		return err
	}
	return im.remember(ctx, true)
}

// firstPhrase is what the first line of a text says; "" of a recording, and of
// what cannot be read, which the import itself reports.
func firstPhrase(e *cli.Env, file, encoding string) string {
	if !isText(file) {
		return ""
	}
	lines, err := textLines(file, encoding)
	if err != nil || len(lines) == 0 {
		return ""
	}
	return field.TypedPhrase(e, lines[0].Text).Text
}

func isText(file string) bool { return strings.EqualFold(filepath.Ext(file), ".txt") }

// before looks for an earlier import of the same file, into whatever job: seen
// when all of it was taken in, else after, line and taken say where it stopped.
func (im *importer) before(ctx context.Context) (seen bool, err error) {
	marks, err := im.session.Journal.Imports(ctx, im.mark.SHA256)
	if err != nil || len(marks) == 0 {
		return false, err
	}
	for _, m := range marks {
		if m.Entry.(entry.Import).Done {
			return true, nil
		}
	}
	const batch = 1000
	ours := false
	var last record.Record
	for seq := marks[0].Seq - 1; ; {
		records, err := im.session.Journal.Since(ctx, seq, batch)
		if err != nil || len(records) == 0 {
			return false, err
		}
		for _, r := range records {
			if mark, ok := r.Entry.(entry.Import); ok {
				ours = mark.SHA256 == im.mark.SHA256
			} else if ours && r.Origin == record.Imported {
				im.passed(r, r.Phrase == last.Phrase && r.At.Equal(last.At))
				last = r
			}
			seq = r.Seq
		}
	}
}

// passed notes that a record was taken in from the file; more of the same
// phrase is no landmark of its own.
func (im *importer) passed(r record.Record, more bool) {
	switch {
	case r.Heard != nil:
		im.after = max(im.after, time.Duration(r.Heard.At)*time.Millisecond+time.Millisecond)
	case r.Line != 0:
		im.line = max(im.line, r.Line)
	case !more:
		im.taken = append(im.taken, r.Phrase)
	}
}

func (im *importer) remember(ctx context.Context, done bool) error {
	d := im.e.Stamp(im.session.Job)
	im.mark.Done = done
	d.Entry = im.mark
	_, err := im.session.Journal.Append(ctx, d)
	return err
}

// textLines reads the lines of a text file; a pipe is not waited for.
func textLines(file, encoding string) ([]language.TextLine, error) {
	if err := cli.PlainFile(file); err != nil {
		return nil, err
	}
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var lines []language.TextLine
	err = language.EachLine(f, encoding, func(line language.TextLine) error {
		line.Text = strings.TrimSpace(line.Text)
		lines = append(lines, line)
		return nil
	})
	return lines, err
}

func (im *importer) text(ctx context.Context) error {
	lines, err := textLines(im.file, im.encoding)
	if err != nil {
		return err
	}
	stopped := im.stopped(lines)
	var last dialogue.Phrase
	for i, line := range lines {
		p := field.Below(last, field.TypedPhrase(im.e, line.Text))
		last = p
		if i < stopped || line.Number <= im.line {
			continue
		}
		language.TellDamage(im.e, line)
		p.Origin, p.Line = record.Imported, line.Number
		r, err := im.session.Tell(context.WithoutCancel(ctx), p)
		if err != nil {
			return field.NoJob(im.e, im.out.g, err)
		}
		if err := im.out.event(dialogue.Event{Heard: p.Text, Outcome: r.Outcome, Reply: r}); err != nil {
			return err
		}
		if err := ctx.Err(); err != nil {
			return err
		}
	}
	return nil
}

// stopped is how many lines of a text were taken in before: those up to the
// last that was stored. A line that stores nothing is no landmark.
func (im *importer) stopped(lines []language.TextLine) int {
	stopped, taken := 0, im.taken
	for i, line := range lines {
		if len(taken) > 0 && field.TypedPhrase(im.e, line.Text).Text == taken[0] {
			stopped, taken = i+1, taken[1:]
		}
	}
	return stopped
}

func (im *importer) sound(ctx context.Context) error {
	src, err := sound.OpenFile(im.file)
	if err != nil {
		return err
	}
	defer src.Close()
	began, err := capture.RecordedAt(im.file, src.Length())
	if err != nil {
		return err
	}
	cfg, err := ReadConfig(im.e)
	if err != nil {
		return err
	}
	figure, err := cfg.Figure()
	if err != nil {
		return err
	}
	second := OpenSecond(im.e, false)
	defer second.Close()
	recognisers := make([]*capture.Recogniser, runtime.NumCPU())
	for i := range recognisers {
		if recognisers[i], err = NewRecogniser(im.session.Parser, second); err != nil {
			return err
		}
		defer recognisers[i].Close()
	}
	l := &dialogue.Listener{
		Session: im.session, Recogniser: recognisers[0], Thresholds: cfg.Thresholds, Figure: figure, Origin: record.Imported,
		Zone: journal.LocalZone(), Encode: sound.WAV, Whole: true,
		When: func(u capture.Utterance) (time.Time, record.TimeSource) {
			return began.Add(u.Start), record.FromRecording
		},
	}
	for heard, err := range capture.Import(ctx, src, recognisers, capture.ImportConfig{Doubt: l.Doubt, Endpoints: l.Endpoints(cfg.wait(), nil)}) {
		if err != nil {
			return err
		}
		im.progress(heard.End, src.Length())
		if heard.Start < im.after {
			continue
		}
		ev, err := l.Take(context.WithoutCancel(ctx), heard.Utterance)
		if errors.Is(err, context.Canceled) {
			return ctx.Err()
		}
		if err != nil {
			return err
		}
		if err := im.out.event(ev); err != nil {
			return err
		}
	}
	im.progress(0, 0)
	return nil
}

// progress shows how far a recording is taken in, on a terminal alone.
func (im *importer) progress(at, length time.Duration) {
	switch {
	case !im.e.ErrTTY || im.out.g.Quiet:
	case length == 0:
		fmt.Fprint(im.e.Bar, "\r\033[K")
	default:
		fmt.Fprintf(im.e.Bar, "\r%s: %d %%", shown.Of(filepath.Base(im.file)), int(100*at/length))
	}
}
