package hear

import (
	"slices"
	"strconv"
	"strings"
)

// reading is one way to read text, as far as it goes, as words of a graph.
// Where a word ends is not taken from the spaces: "multi-switch", "multiswitch"
// and "multi switch" are one.
type reading struct {
	at     int    // state of the graph
	begun  string // letters of a word that is not whole yet
	digits string // of a number in figures, perhaps with a point
	dash   bool   // before a figure it is "minus"
	words  *said
}

// said is the words that were read, the last first.
type said struct {
	word   string
	before *said
}

func (s *said) String() string {
	var list []string
	for ; s != nil; s = s.before {
		list = append(list, s.word)
	}
	slices.Reverse(list)
	return strings.Join(list, " ")
}

// feed reads one more character; no reading is left where the graph has no
// such word.
func (g *Graph) feed(r reading, c rune) []reading {
	if c >= 'A' && c <= 'Z' {
		c += 'a' - 'A'
	}
	switch {
	case c >= 'a' && c <= 'z':
		var out []reading
		for _, r := range g.figured(r) {
			r.dash = false
			for _, r := range append(g.whole(r), r) {
				r.begun += string(c)
				if len(g.starting(r.at, r.begun)) > 0 {
					out = append(out, r)
				}
			}
		}
		return out
	case c >= '0' && c <= '9':
		return g.feedDigit(r, c)
	case c == '.' && r.digits != "" && !strings.Contains(r.digits, "."):
		r.digits += "."
		return []reading{r}
	case c == '-':
		out := g.figured(r)
		for i := range out {
			out[i].dash = true
		}
		return out
	case strings.ContainsRune(" ,.!?;:'\"", c):
		return g.figured(r)
	}
	return nil
}

func (g *Graph) feedDigit(r reading, c rune) []reading {
	var out []reading
	for _, r := range g.complete(r) {
		if r.dash {
			r.dash = false
			for _, s := range g.starting(r.at, "minus") {
				if s.word == "minus" {
					minus := r
					minus.at, minus.words = s.to, &said{s.word, r.words}
					out = append(out, minus)
				}
			}
		}
		out = append(out, r)
	}
	out = slices.DeleteFunc(out, func(r reading) bool {
		r.digits += string(c)
		return !g.figuring(r)
	})
	for i := range out {
		out[i].digits += string(c)
	}
	return out
}

// whole are the readings in which the letters so far are a word; none where
// there are no letters.
func (g *Graph) whole(r reading) []reading {
	if r.begun == "" {
		return nil
	}
	var out []reading
	for _, s := range g.starting(r.at, r.begun) {
		if s.text == r.begun {
			out = append(out, reading{at: s.to, digits: r.digits, dash: r.dash, words: &said{s.word, r.words}})
		}
	}
	return out
}

// complete is the reading, with its letters as a word where it has some.
func (g *Graph) complete(r reading) []reading {
	if r.begun == "" {
		return []reading{r}
	}
	return g.whole(r)
}

// figured are the readings in which the figure so far is a number in words; the
// reading itself where there is none.
func (g *Graph) figured(r reading) []reading {
	if r.digits == "" {
		return []reading{r}
	}
	var out []reading
	for _, words := range spell(r.digits) {
		if to, ok := g.along(r, words); ok {
			out = append(out, to)
		}
	}
	return out
}

// along is a reading with more words.
func (g *Graph) along(r reading, words []string) (reading, bool) {
	to := reading{at: r.at, words: r.words}
	for _, word := range words {
		next := -1
		for _, s := range g.starting(to.at, word) {
			if s.text == word && s.word == word {
				next = s.to
			}
		}
		if next < 0 {
			return to, false
		}
		to.at, to.words = next, &said{word, to.words}
	}
	return to, true
}

// figuring reports that a figure is a number that may come here, or the
// beginning of one.
func (g *Graph) figuring(r reading) bool {
	if len(r.digits) > 5 {
		return false
	}
	if len(g.figured(r)) > 0 {
		return true
	}
	first := int(r.digits[0] - '0')
	hundreds := []string{units()[first], "hundred"}
	begins := [][]string{hundreds}
	switch {
	case len(r.digits) == 1 && first == 1:
		for n := 10; n < 20; n++ {
			begins = append(begins, cardinal(n))
		}
	case len(r.digits) == 1 && first > 1:
		begins = append(begins, cardinal(10*first))
	case len(r.digits) > 2:
		return false
	}
	return slices.ContainsFunc(begins, func(words []string) bool { _, ok := g.along(r, words); return ok })
}

// ended are the texts of whole sentences among readings.
func (g *Graph) ended(list []reading) []string {
	var out []string
	for _, r := range list {
		for _, r := range g.figured(r) {
			for _, r := range g.complete(r) {
				if text := r.words.String(); g.states[r.at].end && !slices.Contains(out, text) {
					out = append(out, text)
				}
			}
		}
	}
	return out
}

// spell gives the ways to say a figure: 41 is "forty one" or "four one", 41.5
// has a point.
func spell(figure string) [][]string {
	whole, rest, point := strings.Cut(figure, ".")
	var out [][]string
	if n, err := strconv.Atoi(whole); err == nil && n < 1000 && (whole == "0" || whole[0] != '0') {
		out = append(out, cardinal(n))
	}
	if len(whole) > 1 {
		out = append(out, single(whole, "zero"))
		if strings.Contains(whole, "0") {
			out = append(out, single(whole, "oh"))
		}
	}
	if point && rest != "" {
		for i := range out {
			out[i] = slices.Concat(out[i], []string{"point"}, single(rest, "zero"))
		}
	}
	return out
}

func units() []string {
	return strings.Fields("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen")
}

// cardinal is a number of 0 … 999 in words.
func cardinal(n int) []string {
	switch small := units(); {
	case n < len(small):
		return []string{small[n]}
	case n < 100:
		tens := []string{strings.Fields("twenty thirty forty fifty sixty seventy eighty ninety")[n/10-2]}
		if n%10 > 0 {
			tens = append(tens, small[n%10])
		}
		return tens
	case n%100 == 0:
		return []string{small[n/100], "hundred"}
	}
	return append([]string{units()[n/100], "hundred"}, cardinal(n%100)...)
}

// single is digits one by one.
func single(digits, zero string) []string {
	var out []string
	for _, d := range digits {
		word := units()[d-'0']
		if d == '0' {
			word = zero
		}
		out = append(out, word)
	}
	return out
}

// Words are the words of free text in lower case, figures spelt out and marks
// left out: "Wall plate, -41.5." is "wall plate minus forty one point five".
func Words(text string) string {
	var out []string
	for field := range strings.FieldsSeq(strings.ToLower(text)) {
		field = strings.Trim(field, ".,!?;:\"'()")
		if rest, cut := strings.CutPrefix(field, "-"); cut && rest != "" && rest[0] >= '0' && rest[0] <= '9' {
			out, field = append(out, "minus"), rest
		}
		for part := range strings.SplitSeq(field, "-") {
			if ways := figureWays(part); len(ways) > 0 {
				out = append(out, ways[0]...)
			} else if part != "" {
				out = append(out, part)
			}
		}
	}
	return strings.Join(out, " ")
}

func figureWays(part string) [][]string {
	if part == "" || strings.Trim(part, "0123456789.") != "" || strings.Count(part, ".") > 1 || part[0] == '.' {
		return nil
	}
	return spell(part)
}
