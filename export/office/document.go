package office

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
)

// documents are a job's JSON columns.
type documents struct {
	work, lesson string
	visits       []string
}

// write makes the JSON columns.
func (j Job) write() (documents, error) {
	var d documents
	var err error
	if d.work, err = document(j.Work); err == nil {
		d.lesson, err = document(j.Lesson)
	}
	for i := 0; i < len(j.Visits) && err == nil; i++ {
		var doc string
		doc, err = document(j.Visits[i].Closeout)
		d.visits = append(d.visits, doc)
	}
	if err != nil {
		return d, fmt.Errorf("job %s: %w", j.Number, err)
	}
	return d, nil
}

// document writes a value for a jsonb column, which takes no NUL.
func document(v any) (string, error) {
	raw, err := json.Marshal(v)
	if err != nil {
		return "", err
	}
	ordered, _ := appendOrdered(make([]byte, 0, len(raw)), raw)
	return jsonb(ordered), nil
}

// jsonb replaces the escape of NUL, which the server's jsonb refuses, by a space.
func jsonb(doc []byte) string {
	text := string(doc)
	if !strings.Contains(text, `\u0000`) {
		return text
	}
	var b strings.Builder
	for i := 0; i < len(text); i++ {
		switch {
		case text[i] != '\\':
			b.WriteByte(text[i])
		case strings.HasPrefix(text[i:], `\u0000`):
			b.WriteByte(' ')
			i += 5
		default: // an escape has at least two bytes
			b.WriteString(text[i : i+2])
			i++
		}
	}
	return b.String()
}

// appendOrdered appends the JSON value that text begins with, and returns what
// follows it. The members of every object come in the order in which the server
// keeps them, by the length of their names and then by their bytes: else it
// sorts them, and that was a sixth of its time in storing 16,000 jobs. text is
// valid and has no white space.
func appendOrdered(out, text []byte) (with, rest []byte) {
	switch text[0] {
	case '{':
		return appendObject(out, text)
	case '[':
		for text[0] != ']' { // at the bracket, or at the comma before the next
			out, text = append(out, text[0]), text[1:]
			if text[0] != ']' {
				out, text = appendOrdered(out, text)
			}
		}
		return append(out, ']'), text[1:]
	}
	n := scalarEnd(text)
	return append(out, text[:n]...), text[n:]
}

// appendObject is appendOrdered of an object: its members are written one after
// another, and then put in order.
func appendObject(out, text []byte) (with, rest []byte) {
	type member struct{ name, from, to int } // the length of the name, and where the member stands in out
	from := len(out)
	var members []member
	for text[0] != '}' {
		out, text = append(out, text[0]), text[1:]
		if text[0] == '}' {
			break
		}
		m := member{name: scalarEnd(text), from: len(out)}
		out = append(out, text[:m.name+1]...)
		out, text = appendOrdered(out, text[m.name+1:])
		m.to = len(out)
		members = append(members, m)
	}
	order := func(a, b member) int {
		return cmp.Or(cmp.Compare(a.name, b.name), bytes.Compare(out[a.from:a.from+a.name], out[b.from:b.from+b.name]))
	}
	if !slices.IsSortedFunc(members, order) {
		slices.SortFunc(members, order)
		written := slices.Clone(out[from:])
		out = out[:from]
		for i, m := range members {
			out = append(append(out, "{,"[min(i, 1)]), written[m.from-from:m.to-from]...)
		}
	}
	return append(out, '}'), text[1:]
}

// scalarEnd is where a string, a number or a word at the beginning of text ends.
func scalarEnd(text []byte) int {
	if text[0] != '"' {
		if n := bytes.IndexAny(text, ",]}"); n >= 0 {
			return n
		}
		return len(text)
	}
	for i := 1; ; i++ {
		switch text[i] {
		case '\\':
			i++
		case '"':
			return i + 1
		}
	}
}
