// Package talk reads what people say in their own words: clause by clause, each
// by its meaning and in any usual order. It runs where the speech grammar does
// not take a phrase. Every token must become part of an entry: what is left
// over makes the phrase one that was not understood.
//
// talk.go goes from clause to clause. A clause is what a meter showed (shown.go,
// figure.go, shownnext.go) at a place (place.go), what was done (done.go) to a part
// (object.go) and how (circumstance.go, move.go, material.go), what was seen
// (seen.go, seennext.go) or did harm (harmed.go), noticed (symptom.go) or checked
// (check.go), a correction (correct.go), a time (told.go), how the path goes
// (path.go, pathtold.go, rooms.go, with where somebody stands), or what stands
// around these, limits and weather among it (around.go). What is said of any of
// them and is no part of it stays in its remark (remark.go).
package talk

import (
	"slices"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// Lack says what a clause that was understood lacks.
type Lack struct {
	Message string
	At      int // byte offset in the phrase
	Word    string
}

// talker reads the clauses of one phrase.
type talker struct {
	l       *lex.Lexicon
	phrase  string
	toks    []lex.Token
	asides  []lex.Token // words that say something of a fact and are no part of it
	i       int
	entries []entry.Entry
	place   entry.Point // of the reading before, for a side by itself
	bare    bool        // a reading may leave out its place: the tool named one
	err     *Lack       // what a clause that was understood lacks
}

// Read reads a phrase: no entries where some of it is part of none, and what a
// clause lacks that was understood. bare: it may leave out its place.
func Read(l *lex.Lexicon, phrase string, words []lex.Word, bare bool) ([]entry.Entry, *Lack) {
	t := &talker{l: l, phrase: phrase, bare: bare}
	return t.read(words)
}

// ReadAfter is Read of a phrase behind a reading at a place: "other side minus 41".
func ReadAfter(l *lex.Lexicon, phrase string, words []lex.Word, before entry.Point) ([]entry.Entry, *Lack) {
	t := &talker{l: l, phrase: phrase, place: before}
	return t.read(words)
}

func (t *talker) read(words []lex.Word) ([]entry.Entry, *Lack) {
	t.toks = t.tokens(toPast(t.l, words))
	for t.i < len(t.toks) {
		if t.is(vocab.And) && (len(t.entries) > 0 || strings.HasPrefix(t.toks[t.i].Row.Say, "so ")) {
			t.i++
			continue
		}
		if !t.clause() {
			return nil, t.err
		}
	}
	if point, says := contradicted(t.entries); says {
		return nil, &Lack{Message: "that says of " + entry.SayPoint(point) + " that it passes and that it fails: which is it? Or say what was done between"}
	}
	t.namedLater()
	return tidy(t.entries), nil
}

// contradicted is a point of which a phrase says both that it passes and that
// it fails, with nothing done between.
func contradicted(entries []entry.Entry) (entry.Point, bool) {
	type signal struct {
		point             entry.Point
		slot, transponder int
		polarity          string
	}
	said := map[signal]entry.Verdict{}
	for _, e := range entries {
		r, ok := e.(entry.Reading)
		if !ok {
			clear(said)
			continue
		}
		at, verdict := signal{r.Point, r.Slot, r.Transponder, r.Polarity}, r.Verdict
		if verdict == "" && r.NoSignal {
			verdict = entry.Fail
		}
		switch before := said[at]; {
		case verdict == "":
		case before != "" && before != verdict:
			return r.Point, true
		default:
			said[at] = verdict
		}
	}
	return entry.Point{}, false
}

// tidy leaves out what the rest of a phrase says as well: where one stands
// before what was measured there, and an outcome said twice.
func tidy(list []entry.Entry) []entry.Entry {
	out := list[:0]
	for i, e := range list {
		switch e := e.(type) {
		case entry.Place:
			if i+1 < len(list) {
				if r, ok := list[i+1].(entry.Reading); ok && r.Point.Element == e.Point.Element && r.Point.Number == e.Point.Number && r.Point.Room == e.Point.Room {
					continue
				}
			}
		case entry.Time: // "gate's locked, can't get in"
			if i > 0 {
				if before, ok := list[i-1].(entry.Time); ok && before.Mark == e.Mark && e.At == "" {
					continue
				}
			}
		case entry.Check: // "mount's solid, mount pass"
			if i > 0 {
				if before, ok := list[i-1].(entry.Check); ok && e.Remark == "" && before.Check == e.Check && before.Verdict == e.Verdict && before.Point == nil && e.Point == nil {
					continue
				}
			}
		case entry.Outcome:
			if i > 0 {
				if o, ok := list[i-1].(entry.Outcome); ok && o.Outcome == e.Outcome && e.When == "" {
					continue
				}
			}
		}
		out = append(out, e)
	}
	return out
}

// tokens are the talker's tokens of a phrase: numbers joined, words without
// meaning gone.
func (t *talker) tokens(words []lex.Word) []lex.Token {
	raw := t.l.RawTokens(t.phrase, words)
	for i := range raw {
		if raw[i].Brk && lex.StartsNumber(raw[i].Class) && lex.StartsNumber(raw[i-1].Class) && raw[i-1].Class != vocab.Minus {
			raw[i].Gap = true
		}
		if raw[i].Brk && lex.StartsNumber(raw[i].Class) && i+1 < len(raw) && lex.IsPart(raw[i-1].Class) && (lex.IsPart(raw[i+1].Class) || raw[i+1].Class == vocab.New || raw[i+1].Class == vocab.At || raw[i+1].Class == vocab.Behind) {
			raw[i].Gap = true // "one ground block, four fittings"
		}
	}
	raw = t.halves(t.apart(raw))
	out := raw[:0]
	for i := range raw {
		k := raw[i]
		next := lex.EOF
		if i+1 < len(raw) {
			next = raw[i+1].Class
		}
		switch {
		case k.Class == vocab.Was && len(out) > 0 && mends(out[0].Class) && names(out[len(out)-1].Class): // "oops, strength was eighty one"
			continue
		case i == 0 && next != lex.EOF && k.Class == vocab.Control && k.Means() == "hold": // "hang on, make that a fail"
			continue
		case lex.StartsNumber(k.Class) && k.Row != nil && k.Row.Say == "one" && next == vocab.In && i+2 < len(raw) && (raw[i+2].Class == vocab.Room || raw[i+2].Class == vocab.Numbered) && (i == 0 || k.Brk || raw[i-1].Class == vocab.And): // "the one in the bedroom"
			raw[i+1].Brk = k.Brk
			continue
		case i == 0 && next != lex.EOF && (k.Class == vocab.Yes && next != vocab.Yes || k.Class == vocab.No && next == vocab.Still): // "yep, still no signal"
			continue
		case k.Class == vocab.Unknown && points(strings.ToLower(t.phrase[k.Lo:k.Hi])) && (next == vocab.Element || next == vocab.Old || next == vocab.Cable || next == vocab.Check || next == vocab.Room):
			continue
		case k.Class == vocab.Unknown && next == vocab.Element && len(out) > 0 && strings.EqualFold(t.phrase[k.Lo:k.Hi], "past"): // "no signal past the ground block"
			if after := t.l.Trie.Get("after"); after != nil {
				k.Class, k.Row = vocab.After, after.Row
			}
		case k.Class == vocab.Unknown && next == vocab.Element && raw[i+1].Means() == string(entry.Receiver) && t.ofNone(k, out) != nil:
			k.Class, k.Row = vocab.Some, t.ofNone(k, out)
		case k.Class == vocab.Through && strings.HasSuffix(k.Row.Say, " in") && (next == vocab.Room || next == vocab.Numbered) && (i == 0 || raw[i-1].Class == vocab.Stand): // "down in the basement at the splitter"
			if in := t.l.Trie.Get("in"); in != nil {
				k.Class, k.Row = vocab.In, in.Row
			}
		case k.Class == vocab.Been && (next == vocab.Condition || next == vocab.Symptom):
			continue
		case k.Class == vocab.Has && next != vocab.Stuff && next != vocab.New && next != vocab.Degree:
			if i+1 < len(raw) && (lex.IsPart(classAt(raw, i+2)) || classAt(raw, i+2) == vocab.Bolt || classAt(raw, i+2) == vocab.Output || classAt(raw, i+2) == vocab.Ends) {
				raw[i+1].Gap = true // "the mount has two lags loose" is no mount two
			}
			continue
		case k.Class == vocab.Verdict && (k.Row.Say == "okay" || k.Row.Say == "ok") && (len(out) == 0 || k.Brk && i < len(raw)-1):
			continue
		case k.Class == vocab.UnitFeet && k.Row.Say == "foot" && (len(out) == 0 || !lex.StartsNumber(out[len(out)-1].Class)): // "a foot of cable"
			k.Class, k.Value = vocab.Length, entry.Whole(1)
		case k.Class == vocab.Ordinal && k.Row.Say == "first" && next != vocab.Element: // "ground block first"
			continue
		case k.Class == vocab.Agent && k.Row.Say == "kids" && next == vocab.Element && raw[i+1].Means() == string(entry.Receiver): // "the kids' TV"
			if room := t.l.Trie.Get("kids").Get("room"); room != nil {
				k.Class, k.Row = vocab.Room, room.Row
			}
		case (k.Class == vocab.Digit || k.Class == vocab.Numeral) && strings.HasSuffix(strings.TrimRight(strings.ToLower(t.phrase[:k.Lo]), " "), "number") && next == vocab.Element && !raw[i+1].Row.Plural && (i == 0 || k.Brk || raw[i-1].Class == vocab.And): // "number two box"
			raw[i], raw[i+1] = raw[i+1], k
			raw[i].Gap, raw[i].Brk, raw[i+1].Gap, raw[i+1].Brk = k.Gap, k.Brk, false, false
			k = raw[i]
		case k.Class == vocab.Ordinal && next == vocab.Element: // "the second receiver"
			raw[i+1].Gap, raw[i+1].Brk = k.Gap, k.Brk
			raw[i], raw[i+1] = raw[i+1], lex.Token{Class: vocab.Digit, Lo: k.Lo, Hi: k.Hi, Value: entry.Whole(int64(k.Row.Num)), Row: k.Row}
			k = raw[i]
		}
		out = append(out, k)
	}
	return t.l.JoinNumbers(out)
}

// classAt is the class of token i, or EOF.
func classAt(toks []lex.Token, i int) vocab.Class {
	if i >= len(toks) {
		return lex.EOF
	}
	return toks[i].Class
}

// mends reports a word that begins a correction.
func mends(c vocab.Class) bool { return c == vocab.Repair || c == vocab.No || c == vocab.Correct }

// names reports the name of a figure.
func names(c vocab.Class) bool {
	return c == vocab.Strength || c == vocab.MER || c == vocab.Voltage || c == vocab.Slot || c == vocab.Transponder
}

// points reports a word that points at a part: "that splitter".
func points(w string) bool { return w == "that" || w == "this" }

// halves makes "and a half" after a number a point and a five.
func (t *talker) halves(toks []lex.Token) []lex.Token {
	for i := 1; i+1 < len(toks); i++ {
		and, half := &toks[i], &toks[i+1]
		if and.Class != vocab.And || half.Row == nil || half.Row.Say != "half" || !lex.StartsNumber(toks[i-1].Class) || and.Brk || half.Brk {
			continue
		}
		and.Class, and.Row, and.Gap = vocab.Point, nil, false
		half.Class, half.Row, half.Gap, half.Value = vocab.Digit, nil, false, entry.Whole(5)
	}
	return toks
}

func (t *talker) is(classes ...vocab.Class) bool { return t.isAt(t.i, classes...) }

func (t *talker) isAt(i int, classes ...vocab.Class) bool {
	if i < 0 || i >= len(t.toks) {
		return false
	}
	for _, c := range classes {
		if t.toks[i].Class == c {
			return true
		}
	}
	return false
}

// take consumes a token of a class.
func (t *talker) take(classes ...vocab.Class) bool {
	if !t.is(classes...) {
		return false
	}
	t.i++
	return true
}

// last is the token consumed last.
func (t *talker) last() *lex.Token { return &t.toks[t.i-1] }

func (t *talker) number(k *lex.Token) int { return int(k.Value.Micro() / entry.DecimalScale) }

// clause reads one statement: the first reading by meaning that reaches a
// place where a statement may end.
func (t *talker) clause() bool {
	start, n, place := t.i, len(t.entries), t.place
	if t.is(vocab.Action) && strings.HasPrefix(t.toks[t.i].Row.Say, "dried") && t.saysIs(t.i) { // "it's dried out": by itself
		return false
	}
	if p := t.goneOut(); p != "" {
		return t.missing("was it taken out, or does it fail? Say: took out the " + p + ", or: " + p + " fails")
	}
	if t.outInRoom() {
		return t.missing("is it there, or does it fail? Say: the receiver is in the garage, or: garage receiver fails")
	}
	for _, read := range []func() bool{
		t.told, t.closed, t.turn, t.address, t.corrected, t.standing, t.checked, t.taught,
		t.noticed, t.provoked, t.seen, t.harmed, t.putOn, t.done, t.passive, t.renewed, t.likewise, t.remedied, t.cutBack,
		t.receivers, t.housed, t.existing, t.roomOnOutput, t.jumpered, t.beyond, t.inserted, t.laid, t.inARow, t.hung, t.sized,
		t.used, t.shown, t.bothShown, t.coded, t.setting, t.driven, t.scratched, t.single,
	} {
		if read() && t.i > start && t.atEnd() {
			for i := n; i < len(t.entries); i++ {
				t.entries[i] = withNotes(t.entries[i], t.toks[start:t.i])
			}
			return t.remarkAsides()
		}
		t.i, t.entries, t.place = start, t.entries[:n], place
	}
	return false
}

// atEnd reports that a statement may end here.
func (t *talker) atEnd() bool {
	return t.i >= len(t.toks) || t.is(vocab.And) || t.toks[t.i].Brk || strings.HasPrefix(strings.TrimLeft(t.skipped(t.i), " "), "and ") // "and it's"
}

// missing says what a statement that was understood lacks.
func (t *talker) missing(message string) bool {
	if t.err == nil {
		lo := t.toks[min(t.i, len(t.toks)-1)].Lo
		t.err = &Lack{Message: message, At: lo}
	}
	return false
}

// words are the words of tokens i to j, as typed.
func (t *talker) words(i, j int) string {
	if j = min(j, len(t.toks)); i >= j {
		return ""
	}
	return trimEnd(lex.Clean(t.phrase[t.toks[i].Lo:t.toks[j-1].Hi]))
}

func trimEnd(s string) string { return strings.TrimRight(s, " .,;") }

// single reads statements that are one row of the table.
func (t *talker) single() bool {
	if t.take(vocab.Consent) {
		t.entries = append(t.entries, entry.Consent{Given: t.last().Means() == "yes"})
		return true
	}
	if t.take(vocab.Margin) {
		q := entry.Question{Question: t.last().Means()}
		t.take(vocab.At, vocab.On)
		if p, ok := t.point(); ok && p.Element != "" && p.Which == "" {
			q.Point = &p.Point
		}
		t.entries = append(t.entries, q)
		return true
	}
	if t.take(vocab.Aim) {
		q := entry.Question{Question: t.last().Means()}
		t.take(vocab.For)
		if t.take(vocab.Slot); t.take(vocab.Orbit, vocab.Figure) && isOrbit(t.last().Value) {
			q.Slot = t.number(t.last())
		}
		t.entries = append(t.entries, q)
		return true
	}
	if t.take(vocab.Question) {
		t.entries = append(t.entries, entry.Question{Question: t.last().Means()})
		if t.is(vocab.At) && t.i+1 == len(t.toks) { // "where's the fault at"
			t.i++
		}
		return true
	}
	if t.take(vocab.Control) {
		t.entries = append(t.entries, entry.Control{Verb: t.last().Means()})
		return true
	}
	return false
}

// Tokens are the tokens of a phrase's words as the talker reads them.
func Tokens(l *lex.Lexicon, phrase string, words []lex.Word) []lex.Token {
	t := &talker{l: l, phrase: phrase}
	toks := append(t.tokens(words), t.asides...)
	slices.SortStableFunc(toks, func(a, b lex.Token) int { return a.Lo - b.Lo })
	return toks
}
