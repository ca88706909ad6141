package grammar

import (
	"cmp"
	"slices"
	"strings"
	"sync"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/speech"
	"downlead/grammar/vocab"
)

// soundIndex holds how the rows of the vocabulary sound, made when it is
// first asked for.
type soundIndex struct {
	lexicon *lex.Lexicon
	once    sync.Once
	speller *speech.Speller
	rows    []soundRow
}

type soundRow struct {
	row   *vocab.Row
	sound string
	bag   speech.Bag
}

func (s *soundIndex) load() *soundIndex {
	s.once.Do(func() {
		s.speller = speech.NewSpeller()
		for i := range s.lexicon.Rows {
			r := &s.lexicon.Rows[i]
			if r.Class != vocab.Filler && r.Class != vocab.Trouble && r.Class != vocab.Remark && r.Class != vocab.Not && (r.Spoken || !leadsText(r.Class)) {
				sound := s.speller.PhrasePhones(r.Say)
				s.rows = append(s.rows, soundRow{r, sound, speech.BagOf(sound)})
			}
		}
	})
	return s
}

// leadsText reports that free words follow a row of the class: nobody is asked
// whether they meant one of the many ways to begin a complaint or a note.
func leadsText(c vocab.Class) bool {
	return lex.TakesText(c, 1) || c == vocab.Consent
}

// Limits of mending: beyond them a phrase is not a misheard statement.
const (
	maxMendWords   = 40 // words of a phrase
	maxMends       = 3  // misheard places in one phrase
	maxMendWindow  = 4  // words that may stand for one row
	maxMendChoices = 24 // rows tried for one place

	// closeEnough is how far, for each phone of a row, the heard words may be
	// from it; words of numbers must be closer, because any number fits.
	closeEnough       = 0.24
	closeEnoughNumber = 0.17
	// farInAll is how far all the places of a phrase may be from it together.
	farInAll = 0.35
	// clearly is how much nearer the best row must be than another, for the
	// other to be no rival.
	clearly = 0.1
	// overKnown is what it costs to take a known word for part of another.
	overKnown = 0.06
)

// propose finds what a misheard phrase may have been: words that are not known
// are replaced by rows that sound like them. It proposes only where one reading
// is clearly the nearest; it never takes one.
func (p *Parser) propose(phrase string, words []lex.Word) *entry.Proposal {
	if len(words) > maxMendWords {
		return nil
	}
	m := &mender{p: p, phrase: phrase, index: p.sounds.load(), heard: map[string][]alikeRow{}}
	m.try(words, maxMends, 0)
	if len(m.found) == 0 {
		return nil
	}
	slices.SortStableFunc(m.found, func(a, b mended) int { return cmp.Compare(a.cost, b.cost) })
	if len(m.found) > 1 && m.found[1].cost <= m.found[0].cost+clearly {
		return nil
	}
	return &entry.Proposal{Say: m.found[0].said, Entries: m.found[0].entries}
}

type mender struct {
	p      *Parser
	phrase string
	index  *soundIndex
	found  []mended
	tries  int
	heard  map[string][]alikeRow
}

// mended is one possible reading.
type mended struct {
	entries []entry.Entry
	key     string
	said    string
	cost    float64
	at      lex.Word
}

// maxTries bounds the work on one phrase.
const maxTries = 400

// try looks for the first place that does not fit and tries rows there.
func (m *mender) try(words []lex.Word, depth int, cost float64) {
	toks := m.p.lexicon.LexWords(m.phrase, words)
	net, err := m.p.language.Net()
	if err != nil {
		return
	}
	n := slices.IndexFunc(toks, func(t lex.Token) bool { return t.Class == vocab.Unknown })
	if n < 0 {
		n, _ = net.Reach(toks)
	}
	if n >= len(toks) {
		return
	}
	first := slices.IndexFunc(words, func(w lex.Word) bool { return w.Lo >= toks[n].Lo })
	if first < 0 || words[first].Sound {
		return
	}
	for _, c := range m.choices(words, first) {
		if m.tries++; m.tries > maxTries {
			return
		}
		if cost+c.cost > farInAll {
			continue
		}
		next := replace(words, c)
		if entries, ok := m.reads(next); ok {
			m.keep(entries, c, cost+c.cost)
		} else if depth > 1 {
			m.try(next, depth-1, cost+c.cost)
		}
	}
}

// choice is one row for a window of words.
type choice struct {
	lo, hi int // words
	row    *vocab.Row
	cost   float64
	at     lex.Word
}

// choices finds rows that sound like words around index first, the best first.
func (m *mender) choices(words []lex.Word, first int) []choice {
	var out []choice
	for lo := max(0, first-2); lo <= first; lo++ {
		for hi := first + 1; hi <= len(words) && hi-lo <= maxMendWindow; hi++ {
			out = append(out, m.sounding(words, lo, hi)...)
		}
	}
	slices.SortStableFunc(out, func(a, b choice) int { return cmp.Compare(a.cost, b.cost) })
	type same struct {
		lo, hi, num int
		class       vocab.Class
		means       string
	}
	seen := map[same]bool{}
	out = slices.DeleteFunc(out, func(c choice) bool { // one wording of each meaning will do
		k := same{c.lo, c.hi, c.row.Num, c.row.Class, c.row.Means}
		again := seen[k]
		seen[k] = true
		return again
	})
	return out[:min(len(out), maxMendChoices)]
}

func (m *mender) sounding(words []lex.Word, lo, hi int) []choice {
	var heard, said strings.Builder
	for _, w := range words[lo:hi] {
		if w.Digits || w.Symbol || w.Sound || m.fixed(w.Text) {
			return nil
		}
		phones := m.index.speller.Phones(w.Text)
		if phones == "" { // another script: nobody said that
			return nil
		}
		heard.WriteString(phones)
		said.WriteString(w.Text + " ")
	}
	sound := speech.Squeeze(heard.String())
	known := 0.0 // words that were understood are not lightly taken for others
	for i := lo; i < hi; i++ {
		if r, _ := m.p.lexicon.Trie.Longest(words, i); r != nil && r.Class != vocab.Filler && r.Class != vocab.For && r.Class != vocab.To {
			known += overKnown
		}
	}
	var out []choice
	for _, r := range m.alike(sound) {
		if strings.Contains(" "+said.String(), " "+r.row.Say+" ") { // it is there already: a word would be swallowed
			continue
		}
		if cost := r.cost + known; cost <= r.limit {
			out = append(out, choice{lo: lo, hi: hi, row: r.row, cost: cost, at: lex.Word{Lo: words[lo].Lo, Hi: words[hi-1].Hi}})
		}
	}
	return out
}

// alikeRow is a row that sounds like something heard.
type alikeRow struct {
	row         *vocab.Row
	cost, limit float64
}

// alike finds the rows that sound like what was heard, once for each sound.
func (m *mender) alike(sound string) []alikeRow {
	if rows, done := m.heard[sound]; done {
		return rows
	}
	var out []alikeRow
	bag := speech.BagOf(sound)
	for i := range m.index.rows {
		r := &m.index.rows[i]
		limit := closeEnough
		if r.row.Class >= vocab.Zero && r.row.Class <= vocab.Tens {
			limit = closeEnoughNumber
		}
		if len(r.sound) < 2 || r.row.Class >= vocab.UnitDBm && r.row.Class <= vocab.Way && len(r.sound) < 3 {
			continue
		}
		n := float64(max(len(r.sound), len(sound)))
		if bag.Apart(r.bag) > limit*n {
			continue
		}
		if cost := m.index.speller.SoundsApart(sound, r.sound, limit*n) / n; cost <= limit {
			out = append(out, alikeRow{r.row, cost, limit})
		}
	}
	m.heard[sound] = out
	return out
}

// fixed reports that a word is one that numbers are made of, one that turns
// a statement round, or one of a deed: those are never taken for anything else.
func (m *mender) fixed(w string) bool {
	n := m.p.lexicon.Trie.Get(w)
	return n != nil && n.Row != nil && (lex.StartsNumber(n.Row.Class) || n.Row.Class == vocab.Not || n.Row.Class == vocab.Action)
}

// replace puts the words of a row in place of those heard.
func replace(words []lex.Word, c choice) []lex.Word {
	out := slices.Clone(words[:c.lo])
	for w := range strings.FieldsSeq(c.row.Say) {
		out = append(out, lex.Word{Text: w, Lo: c.at.Lo, Hi: c.at.Hi, Sound: true, Digits: w[0] <= '9'})
	}
	return append(out, words[c.hi:]...)
}

// reads parses the words and checks that the entries say what was assumed.
func (m *mender) reads(words []lex.Word) ([]entry.Entry, bool) {
	toks := m.p.lexicon.LexWords(m.phrase, words)
	entries, err := m.p.parseTokens(m.phrase, toks)
	if err != nil {
		return nil, false
	}
	for _, e := range entries {
		if r, ok := e.(entry.Reading); ok && r.Point == (entry.Point{}) { // of nowhere
			return nil, false
		}
		if slices.Contains(assumptions(e), "sound") {
			return entries, true
		}
	}
	return nil, false
}

// keep stores a reading, unless it means what another one means.
func (m *mender) keep(entries []entry.Entry, c choice, cost float64) {
	key, said := "", ""
	for _, e := range entries {
		said += ", " + entry.Say(e)
	}
	key = said
	for i := range m.found {
		if m.found[i].key == key {
			m.found[i].cost = min(m.found[i].cost, cost)
			return
		}
	}
	m.found = append(m.found, mended{entries: entries, key: key, said: strings.TrimPrefix(said, ", "), cost: cost, at: c.at})
}

// assumptions returns what was assumed to read an entry.
func assumptions(e entry.Entry) []string {
	switch e := e.(type) {
	case entry.Reading:
		return e.Assumed
	case entry.Path:
		return e.Assumed
	case entry.Setting:
		return e.Assumed
	case entry.Action:
		return e.Assumed
	case entry.Material:
		return e.Assumed
	case entry.Check:
		return e.Assumed
	case entry.Time:
		return e.Assumed
	case entry.Miles:
		return e.Assumed
	case entry.Code:
		return e.Assumed
	case entry.Correction:
		return e.Assumed
	}
	return nil
}
