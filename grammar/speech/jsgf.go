package speech

import (
	"fmt"
	"slices"
	"strings"

	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// Focus narrows the speech grammar to what can be said now. The zero value is
// everything that can be said.
type Focus struct {
	// Answers: a question is open. Only answers to it, controls, corrections
	// and questions can be heard: a number is then one of few things.
	Answers bool
	// Again are phrases that may be said once more, beside the answers.
	Again []string
}

// JSGF prints the speech grammar of a focus: one public rule, no stars, words
// in lower case, for the recogniser of Pronunciations' dictionary. It is
// printed from the parser's own grammar and the vocabulary table; every
// sentence of it parses.
//
// Free words have no grammar. "note", "complaint", "close job" and "reopen
// job" are heard by themselves: Parse then gives an entry without its text,
// and the caller listens once more with a general model and stores what that
// heard as the text, marked rough.
func (l *Language) JSGF(f Focus) string {
	if err := l.Load(); err != nil {
		return "#JSGF V1.0;\ngrammar downlead;\npublic <sentence> = <VOID>;\n"
	}
	pr := &jsgfPrinter{l: l, rules: map[string]string{}}
	var root string
	if f.Answers {
		root = strings.Join(append([]string{pr.print(l.answers(), false)}, f.Again...), " | ")
	} else {
		// One statement a breath: two double the network, and nobody waits for
		// the time that takes.
		root = pr.print(alt(OfRule("Alone"), OfRule("Lead"), OfRule("Clause")), false)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "#JSGF V1.0;\ngrammar downlead;\n\npublic <phrase> = %s;\n\n", root)
	for _, name := range pr.order {
		fmt.Fprintf(&b, "<%s> = %s;\n", name, pr.rules[name])
	}
	return b.String()
}

// answers are what a person says to a question, and what gets out of it.
func (l *Language) answers() *Expr {
	point := alt(OfRule("Spot"), Seq(opt(words("the")), alt(ofClass(vocab.Room), Seq(ofClass(vocab.Side)), Seq(ofClass(vocab.Output), ofClass(vocab.Index)))))
	figure := Seq(opt(ofClass(vocab.No)), opt(ofClass(vocab.Minus)), shapeTree(&lex.NumberKind{}, lex.Shapes(lex.Short|lex.Pair|lex.Zero), true),
		opt(Seq(ofClass(vocab.Point), alt(ofClass(vocab.Digit), ofClass(vocab.Zero)))))
	return alt(ofClass(vocab.Yes), ofClass(vocab.No), Seq(opt(words("the")), ofClass(vocab.Ordinal)), figure, ofClass(vocab.Verdict), point,
		ofClass(vocab.Control), ofClass(vocab.Question), OfRule("Scratched"), OfRule("Corrected"))
}

// jsgfPrinter prints expressions and collects the rules they need.
type jsgfPrinter struct {
	l     *Language
	rules map[string]string
	order []string
}

// rule prints a production, once, and returns a reference to it.
func (p *jsgfPrinter) rule(name string) string {
	key := strings.ToLower(name)
	if _, done := p.rules[key]; !done {
		p.rules[key] = ""
		body := "<VOID>"
		if e := p.l.Spoken(p.l.Rules[name], name); e != nil {
			body = p.print(e, false)
		}
		p.rules[key] = body
		p.order = append(p.order, key)
	}
	return "<" + key + ">"
}

// endless prints a rule that goes on with itself. That leads back to where the
// rule began, so nothing else may begin there.
func (p *jsgfPrinter) endless(e *Expr) string {
	one := p.rule(e.Name)
	key := strings.ToLower(e.Name) + "s"
	if _, done := p.rules[key]; !done {
		p.rules[key] = one + " [<" + key + ">]"
		p.order = append(p.order, key)
	}
	return "<" + key + ">"
}

func (p *jsgfPrinter) class(c vocab.Class) string {
	key := "w_" + strings.ToLower(c.String())
	if _, done := p.rules[key]; !done {
		if k := p.l.Lexicon.Kinds[c]; k != nil {
			key = "n_" + strings.ToLower(c.String())
			if _, done := p.rules[key]; !done {
				p.rules[key] = p.print(p.l.NumberTree(k), false)
				p.order = append(p.order, key)
			}
			return "<" + key + ">"
		}
		p.rules[key] = p.wordTree(c)
		p.order = append(p.order, key)
	}
	return "<" + key + ">"
}

// print writes an expression; inner says that it stands inside another.
func (p *jsgfPrinter) print(e *Expr, inner bool) string {
	switch e.Op {
	case OpRule:
		return p.rule(e.Name)
	case OpClass:
		if e.Name != "" {
			return e.Name
		}
		return p.class(e.Class)
	case OpWords:
		return e.Name
	case OpOpt:
		return "[" + p.print(e.Kids[0], false) + "]"
	case OpPlus:
		return p.endless(e.Kids[0])
	case OpAlt:
		parts := make([]string, len(e.Kids))
		for i, k := range e.Kids {
			parts[i] = p.print(k, false)
		}
		if s := strings.Join(parts, " | "); inner && len(parts) > 1 {
			return "(" + s + ")"
		} else {
			return s
		}
	}
	parts := make([]string, 0, len(e.Kids))
	for i, k := range e.Kids {
		if s := p.print(k, len(e.Kids) > 1 && !(i == 0 && k.Op == OpClass)); s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, " ")
}

// wordTree prints the rows of a class, sharing their first words.
func (p *jsgfPrinter) wordTree(c vocab.Class) string {
	var says []string
	for i := range p.l.Lexicon.Rows {
		r := &p.l.Lexicon.Rows[i]
		if r.Class == c && r.Spoken {
			says = append(says, r.Say)
		}
	}
	if len(says) == 0 {
		return "<VOID>"
	}
	return factor(says)
}

// factor prints phrases as a tree of their words, so that each way through it
// is one phrase and each phrase is one way. First words with the same rest
// share it: "(twenty | thirty) [one | two]".
func factor(says []string) string {
	type head struct{ words, tail string }
	var heads []head
	done := map[string]bool{}
	for i := range says {
		first, _, _ := strings.Cut(says[i], " ")
		if done[first] {
			continue
		}
		done[first] = true
		var rests []string
		end := false
		for _, s := range says[i:] {
			h, rest, _ := strings.Cut(s, " ")
			if h != first {
				continue
			}
			if rest == "" {
				end = true
			} else if !slices.Contains(rests, rest) {
				rests = append(rests, rest)
			}
		}
		tail := ""
		if len(rests) > 0 {
			tail = factor(rests)
			if end {
				tail = " [" + tail + "]"
			} else if strings.Contains(tail, "|") {
				tail = " (" + tail + ")"
			} else {
				tail = " " + tail
			}
		}
		same := slices.IndexFunc(heads, func(h head) bool { return h.tail == tail })
		if same >= 0 && tail != "" {
			heads[same].words += " | " + first
			continue
		}
		heads = append(heads, head{first, tail})
	}
	parts := make([]string, len(heads))
	for i, h := range heads {
		if parts[i] = h.words + h.tail; strings.Contains(h.words, "|") {
			parts[i] = "(" + h.words + ")" + h.tail
		}
	}
	return strings.Join(parts, " | ")
}
