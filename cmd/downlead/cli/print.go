package cli

import (
	"encoding/json"
	"fmt"
	"io"

	"downlead/export/shown"
	"downlead/grammar"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Output rules: results go to standard output, everything else to standard
// error; with --json nothing but the encoder touches standard output; lists
// are one document a line; no colour anywhere, so none can be the only carrier
// of a meaning.

// PrintJSON writes one document and a newline.
func PrintJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

// Machine holds an entry in its machine form.
type Machine struct{ Entry entry.Entry }

func (m Machine) MarshalJSON() ([]byte, error) { return entry.Encode(m.Entry) }

func Machines(entries []entry.Entry) []Machine {
	out := make([]Machine, len(entries))
	for i, e := range entries {
		out[i] = Machine{e}
	}
	return out
}

// Stored is an entry as stored, with its place in the journal.
type Stored struct{ record.Record }

func (s Stored) MarshalJSON() ([]byte, error) {
	raw, err := entry.Encode(s.Entry)
	if err != nil {
		return nil, err
	}
	head := fmt.Sprintf(`{"seq":%d`, s.Seq)
	if s.Unconfirmed {
		head += `,"unconfirmed":true`
	}
	return append(append([]byte(head), ','), raw[1:]...), nil
}

// maxShown is how long a phrase may be, in bytes, to be shown under its error:
// a few lines of a screen. A judgement.
const maxShown = 400

// Caret points at the place of an error under its phrase.
func Caret(w io.Writer, phrase string, err *grammar.Error) {
	if len(phrase) > maxShown || err.At == 0 && err.Word == "" { // of the whole phrase
		return
	}
	column := len([]rune(shown.Of(phrase[:min(err.At, len(phrase))])))
	phrase = shown.Of(phrase)
	length := max(1, len([]rune(err.Word)))
	fmt.Fprintf(w, "   %s\n   %*s", phrase, column, "")
	for range length {
		fmt.Fprint(w, "^")
	}
	fmt.Fprintln(w)
	if err.Example != "" {
		fmt.Fprintf(w, "   understood is, for example: %s\n", err.Example)
	}
}

// Assumed is what was filled in to make an entry.
func Assumed(said entry.Entry) []string {
	var body struct {
		Assumed []string `json:"assumed"`
	}
	raw, err := entry.Encode(said)
	if err != nil || json.Unmarshal(raw, &body) != nil {
		return nil
	}
	return body.Assumed
}
