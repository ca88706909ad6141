// Package language reads typed phrases, from a command line, standard input or a
// terminal, completes them, and has the commands about words: parse, words.
package language

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"golang.org/x/text/encoding/charmap"

	"downlead/cmd/downlead/cli"
)

// maxPhrase is how much of a line is kept, in bytes: far more than any phrase
// has. A judgement.
const maxPhrase = 64 << 10

// The encodings of text that are read. Windows-1252 is that of notes from
// older machines (WHATWG Encoding Standard).
const (
	EncodingUTF8    = "utf-8"
	encodingWindows = "windows-1252"
)

func CheckEncoding(name string) error {
	if !strings.EqualFold(name, EncodingUTF8) && !strings.EqualFold(name, encodingWindows) {
		return cli.UsageError{Err: fmt.Errorf("--encoding %q: %s and %s are read", name, EncodingUTF8, encodingWindows)}
	}
	return nil
}

// TextLine is a line of text that holds something. damage says what of it
// could not be kept; "" when all of it is there.
type TextLine struct {
	Number int
	Text   string
	damage string
}

// EachLine calls do with every line of a text. What is wrong with a line costs
// that line alone, and no more of it than must be.
func EachLine(r io.Reader, encoding string, do func(TextLine) error) error {
	in := bufio.NewReader(r)
	for n := 1; ; n++ {
		raw, cut, err := readLine(in)
		if err != nil && !errors.Is(err, io.EOF) {
			return err
		}
		if n == 1 {
			raw = bytes.TrimPrefix(raw, []byte("\xef\xbb\xbf")) // a byte order mark
		}
		if line := decodeLine(raw, cut, encoding); strings.TrimSpace(line.Text) != "" {
			line.Number = n
			if err := do(line); err != nil {
				return err
			}
		}
		if err != nil {
			return nil
		}
	}
}

// readLine reads a line without its end, and how many bytes of it were left out.
func readLine(in *bufio.Reader) (line []byte, cut int, err error) {
	for {
		part, err := in.ReadSlice('\n')
		fits := min(len(part), maxPhrase-len(line))
		line, cut = append(line, part[:fits]...), cut+len(part)-fits
		if !errors.Is(err, bufio.ErrBufferFull) {
			return bytes.TrimRight(line, "\r\n"), cut, err
		}
	}
}

func decodeLine(raw []byte, cut int, encoding string) TextLine {
	var line TextLine
	if cut > 0 {
		line.damage = fmt.Sprintf("it is longer than %d kB: its beginning is kept, and %d bytes are not", maxPhrase>>10, cut)
		raw = wholeRunes(raw)
	}
	if strings.EqualFold(encoding, encodingWindows) {
		if text, err := charmap.Windows1252.NewDecoder().Bytes(raw); err == nil {
			raw = text
		}
	}
	if !utf8.Valid(raw) {
		line.damage = strings.TrimPrefix(line.damage+"; it is not all UTF-8 text: what is not is kept as \uFFFD (--encoding windows-1252 reads older text)", "; ")
	}
	line.Text = strings.ToValidUTF8(string(raw), "\uFFFD")
	return line
}

// wholeRunes leaves out the beginning of a character at a text's end.
func wholeRunes(b []byte) []byte {
	for i := len(b) - 1; i >= max(0, len(b)-utf8.UTFMax); i-- {
		if utf8.RuneStart(b[i]) {
			if !utf8.FullRune(b[i:]) {
				return b[:i]
			}
			break
		}
	}
	return b
}

// EachPhrase calls do with the phrase on the command line, or with every line
// of standard input where that phrase is "-". Empty lines are passed over.
func EachPhrase(e *cli.Env, args []string, encoding string, do func(TextLine) error) error {
	if err := CheckEncoding(encoding); err != nil {
		return err
	}
	if len(args) != 1 || args[0] != "-" {
		line := decodeLine([]byte(strings.ReplaceAll(strings.Join(args, " "), numberMark, "")), 0, encoding)
		TellDamage(e, line)
		return do(line)
	}
	if e.InTTY {
		fmt.Fprintln(e.Err, "reading phrases, one a line; Tab completes, Ctrl-D ends")
	}
	err := EachLine(e.In, encoding, func(line TextLine) error {
		TellDamage(e, line)
		return do(line)
	})
	if err != nil {
		return fmt.Errorf("read standard input: %w", err)
	}
	return nil
}

// numberMark stands before a negative number of a phrase while flags are read;
// no argument can hold it, as the system ends each with it (execve(2)).
const numberMark = "\x00"

// KeepNumbers marks the words in the phrase of a command line that would be
// taken for flags: "say note -40 at the dish".
func KeepNumbers(args []string) []string {
	out := slices.Clone(args)
	phrase := false
	for i, a := range out {
		switch {
		case a == "--":
			return out
		case a == "say" || a == "parse":
			phrase = true
		case phrase && i > 0 && !strings.HasPrefix(out[i-1], "--") && isWord(a):
			out[i] = numberMark + a
		}
	}
	return out
}

// isWord reports that what begins with a dash is a word of a phrase: a negative
// number, a dash by itself among words, or letters that are no flag of ours.
func isWord(a string) bool {
	if len(a) < 2 || a[0] != '-' || a[1] == '-' {
		return false
	}
	return strings.ContainsRune("0123456789.", rune(a[1])) || strings.Trim(a[1:], "qvh") != ""
}

// TellDamage says what of a line could not be kept.
func TellDamage(e *cli.Env, line TextLine) {
	if line.damage != "" {
		fmt.Fprintf(e.Err, "downlead: line %d: %s\n", line.Number, line.damage)
	}
}

// Dated splits off an RFC 3339 time at the start of a line.
func Dated(line string) (at time.Time, phrase string, ok bool) {
	first, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
	at, err := time.Parse(time.RFC3339, first)
	if err != nil {
		return time.Time{}, line, false
	}
	return at, rest, true
}

// ZoneAt is the named zone where it has the offset of the given time, else
// none: the time then keeps its bare offset.
func ZoneAt(name string, at time.Time) string {
	loc, err := time.LoadLocation(name)
	if err != nil || name == "" {
		return ""
	}
	_, want := at.Zone()
	if _, got := at.In(loc).Zone(); got != want {
		return ""
	}
	return name
}

// EncodingFlag lets a command read older text.
func EncodingFlag(c *cobra.Command, encoding *string) {
	c.Flags().StringVar(encoding, "encoding", EncodingUTF8, "the text's `encoding`: utf-8 or windows-1252")
}
