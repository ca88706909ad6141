package language

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"golang.org/x/term"

	"downlead/cmd/downlead/cli"
	"downlead/grammar"
	"downlead/journal/record"
)

// prompt reads lines from a person at a terminal: with editing, with the
// job's earlier phrases as history, and with the words that can follow on the
// tab key. It is a reader of lines, as any other standard input is. The
// terminal is in raw mode only while a line is typed.
type prompt struct {
	e        *cli.Env
	g        *cli.Global
	parser   *grammar.Parser
	terminal *term.Terminal
	rest     []byte
}

// Prompted puts the prompt in the place of standard input where a person types.
func Prompted(e *cli.Env, g *cli.Global) (*cli.Env, error) {
	if !e.InTTY || e.InFile == nil {
		return e, nil
	}
	parser, err := e.Parser()
	if err != nil {
		return nil, err
	}
	p := &prompt{e: e, g: g, parser: parser}
	p.terminal = term.NewTerminal(struct {
		io.Reader
		io.Writer
	}{e.InFile, e.Bar}, "")
	p.terminal.AutoCompleteCallback = p.complete
	for _, said := range p.earlier() {
		p.terminal.History.Add(said)
	}
	with := *e
	with.In = p
	return &with, nil
}

// Read reads one line.
func (p *prompt) Read(b []byte) (int, error) {
	if len(p.rest) == 0 {
		line, err := p.line()
		if err != nil {
			return 0, err
		}
		p.rest = []byte(line + "\n")
	}
	n := copy(b, p.rest)
	p.rest = p.rest[n:]
	return n, nil
}

func (p *prompt) line() (string, error) {
	fd := int(p.e.InFile.Fd())
	if width, height, err := term.GetSize(fd); err == nil && width > 0 {
		_ = p.terminal.SetSize(width, height) // the old size will do
	}
	p.terminal.SetPrompt(p.job() + "> ")
	before, err := term.MakeRaw(fd)
	if err != nil {
		return "", err
	}
	defer func() { _ = term.Restore(fd, before) }()
	line, err := p.terminal.ReadLine()
	if err == term.ErrPasteIndicator {
		err = nil
	}
	if err == io.EOF {
		fmt.Fprint(p.e.Bar, "\r\n")
	}
	return line, err
}

// job is the number of the job at hand; "" where there is none.
func (p *prompt) job() string {
	if p.g.Job != "" {
		return p.g.Job
	}
	ctx := context.Background()
	j, err := p.e.ReadJournal(ctx, p.g)
	if err != nil {
		return ""
	}
	defer j.Close()
	number, _ := j.CurrentJob(ctx)
	return number
}

// mostEarlier is how many of the job's phrases can be had again. A judgement.
const mostEarlier = 50

// earlier are the phrases of the job, the oldest first. They are in the
// journal: no file is kept for them.
func (p *prompt) earlier() []string {
	ctx := context.Background()
	number := p.job()
	j, err := p.e.ReadJournal(ctx, p.g)
	if err != nil || number == "" {
		return nil
	}
	defer j.Close()
	records, _ := j.Job(ctx, number)
	return phrasesOf(records)
}

func phrasesOf(records []record.Record) []string {
	var out []string
	for _, r := range records {
		if r.Phrase != "" && r.Origin != record.Tool && (len(out) == 0 || out[len(out)-1] != r.Phrase) {
			out = append(out, r.Phrase)
		}
	}
	return out[max(0, len(out)-mostEarlier):]
}

// complete completes the word before the cursor on the tab key: as far as it is
// certain, and what it may be else.
func (p *prompt) complete(line string, at int, key rune) (string, int, bool) {
	if key != '\t' {
		return "", 0, false
	}
	before := line[:at]
	begun := before[strings.LastIndexByte(before, ' ')+1:]
	words := followers(p.e, p.g, p.parser, before)
	switch len(words) {
	case 0:
		return line, at, true
	case 1:
		words[0] += " "
	}
	sure := commonPrefix(words)
	if len(sure) > len(begun) {
		before = before[:at-len(begun)] + sure
		return before + line[at:], len(before), true
	}
	_, _ = p.terminal.Write([]byte(columns(words, 78) + "\n"))
	return line, at, true
}

// commonPrefix is what all words begin with.
func commonPrefix(words []string) string {
	low, high := slices.Min(words), slices.Max(words)
	n := 0
	for n < len(low) && n < len(high) && low[n] == high[n] {
		n++
	}
	return low[:n]
}

// mostWords is how many words are offered at once: a few lines. A judgement.
const mostWords = 40

// columns sets words side by side, in lines of a width.
func columns(words []string, width int) string {
	more := ""
	if len(words) > mostWords {
		more = fmt.Sprintf("\nand %d more", len(words)-mostWords)
		words = words[:mostWords]
	}
	var b strings.Builder
	used := 0
	for i, w := range words {
		switch {
		case i == 0:
		case used+2+len(w) > width:
			b.WriteByte('\n')
			used = 0
		default:
			b.WriteString("  ")
			used += 2
		}
		b.WriteString(w)
		used += len(w)
	}
	return b.String() + more
}
