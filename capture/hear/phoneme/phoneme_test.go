package phoneme

import (
	"bufio"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
)

// collapsed is what a path through the frames says: what comes several times in a row once, blanks
// left out. Source: A. Graves et al., "Connectionist temporal classification", ICML 2006, 3.1.
func collapsed(path []Class) []Class {
	var out []Class
	for i, c := range path {
		if c != 0 && (i == 0 || path[i-1] != c) {
			out = append(out, c)
		}
	}
	return out
}

// The worked example of that section: B(a-ab-) = B(-aa--abb) = aab.
func TestCollapsed(t *testing.T) {
	for _, path := range [][]Class{{1, 0, 1, 2, 0}, {0, 1, 1, 0, 0, 1, 2, 2}} {
		if got := collapsed(path); !slices.Equal(got, []Class{1, 1, 2}) {
			t.Errorf("%v: %v", path, got)
		}
	}
}

// invented are log-probabilities by chance, of the first few classes and little of the others.
func invented(r *rand.Rand, frames, known int) Posteriors {
	p := Posteriors{make([][classes]float32, frames)}
	for i := range p.frames {
		for c := range p.frames[i] {
			p.frames[i][c] = float32(2 * r.NormFloat64())
			if c >= known {
				p.frames[i][c] = -30
			}
		}
		normalise(&p.frames[i])
	}
	return p
}

// likeliest is the log-probability of the best of all paths that say some phonemes,
// gone through one by one.
func likeliest(p Posteriors, said []Class, known int) float64 {
	best := math.Inf(-1)
	path := make([]Class, len(p.frames))
	var walk func(at int, sum float64)
	walk = func(at int, sum float64) {
		if at == len(path) {
			if slices.Equal(collapsed(path), said) {
				best = max(best, sum)
			}
			return
		}
		for c := range known {
			path[at] = Class(c)
			walk(at+1, sum+float64(p.frames[at][c]))
		}
	}
	walk(0, 0)
	return best
}

// An alignment is the likeliest of all, of a word with two ways to say it too, and of phonemes that come twice.
func TestSentencesAgainstEveryPath(t *testing.T) {
	const known = 4
	word := func(ways ...[]Class) Word {
		return Word{Text: string(rune('a' + len(ways) + int(ways[0][0]))), Ways: ways}
	}
	sentences := [][]Word{
		{word([]Class{1, 2})},
		{word([]Class{1, 2}), word([]Class{2})},
		{word([]Class{3}, []Class{1, 1})},
		{word([]Class{3}, []Class{1, 1}), word([]Class{1, 3})},
		{word([]Class{1, 2}), word([]Class{3})},
		{},
		{word([]Class{1, 2}), word([]Class{3}), word([]Class{1, 2}), word([]Class{2}), word([]Class{1, 2})}, // longer than the sound
	}
	r := rand.New(rand.NewPCG(1, 2))
	for range 20 {
		p := invented(r, 6, known)
		for i, got := range p.Sentences(sentences) {
			want := math.Inf(-1)
			for _, said := range saidBy(sentences[i]) {
				want = max(want, likeliest(p, said, known))
			}
			if len(sentences[i]) == 0 {
				want = math.Inf(-1)
			}
			if got != want && math.Abs(got-want) > 1e-4 {
				t.Errorf("%v: %g, want %g", sentences[i], got, want)
			}
		}
	}
}

// saidBy are the phonemes of a sentence, in every way to say it.
func saidBy(sentence []Word) [][]Class {
	out := [][]Class{nil}
	for _, w := range sentence {
		var longer [][]Class
		for _, begun := range out {
			for _, way := range w.Ways {
				longer = append(longer, slices.Concat(begun, way))
			}
		}
		out = longer
	}
	return out
}

// The likeliest sentence of a grammar is the best of all its sentences, one by one.
func TestLikeliestAgainstEverySentence(t *testing.T) {
	words := []Word{{"ab", [][]Class{{1, 2}}}, {"c", [][]Class{{3}, {2, 3}}}, {"ca", [][]Class{{3, 1}}}, {"b", [][]Class{{2}}}}
	// Any two or three of the words.
	var arcs []Arc
	for from := range 3 {
		for _, w := range words {
			arcs = append(arcs, Arc{from, from + 1, w})
		}
	}
	net := NewNet(arcs, 0, []int{2, 3})
	var list [][]Word
	for _, a := range words {
		for _, b := range words {
			list = append(list, []Word{a, b})
			for _, c := range words {
				list = append(list, []Word{a, b, c})
			}
		}
	}
	r := rand.New(rand.NewPCG(3, 4))
	for range 300 {
		p := invented(r, 4+r.IntN(12), 4)
		text, logP, ok := p.Likeliest(net)
		best := slices.Max(p.Sentences(list))
		if !ok || math.Abs(logP-best) > 1e-3 {
			t.Fatalf("%q, %g, %v; the best of all has %g", text, logP, ok, best)
		}
		var said []Word
		for word := range strings.FieldsSeq(text) {
			said = append(said, words[slices.IndexFunc(words, func(w Word) bool { return w.Text == word })])
		}
		if own := p.Sentences([][]Word{said})[0]; math.Abs(own-best) > 1e-3 {
			t.Errorf("%q has %g, and the best of all %g", text, own, best)
		}
		if free := p.Free(); free < best-1e-3 {
			t.Errorf("the likeliest phonemes have %g, less than %g", free, best)
		}
	}
	for name, p := range map[string]Posteriors{"nothing": {}, "too short": invented(r, 1, 4)} {
		if text, _, ok := p.Likeliest(net); ok {
			t.Errorf("%s: %q", name, text)
		}
	}
	if _, _, ok := invented(r, 9, 4).Likeliest(NewNet(nil, 0, []int{0})); ok {
		t.Error("a grammar without words has a sentence")
	}
}

// Every pronunciation of the CMU dictionary of Debian's pocketsphinx-en-us is read, and nothing else.
func TestParse(t *testing.T) {
	f, err := os.Open("/usr/share/pocketsphinx/model/en-us/cmudict-en-us.dict")
	if err != nil {
		t.Skip("apt-get install pocketsphinx-en-us")
	}
	defer f.Close()
	seen := map[Class]bool{}
	for lines := bufio.NewScanner(f); lines.Scan(); {
		word, sounds, _ := strings.Cut(lines.Text(), " ")
		said, err := Parse(sounds)
		if err != nil || len(said) != len(strings.Fields(sounds)) {
			t.Fatalf("%s: %v, %v", word, said, err)
		}
		for _, c := range said {
			seen[c] = true
		}
	}
	if len(seen) != classes-1 || seen[0] {
		t.Errorf("%d phonemes, want %d and no blank", len(seen), classes-1)
	}
	if _, err := Parse("D IX SH"); err == nil || !strings.Contains(err.Error(), "IX") {
		t.Errorf("a phoneme that is none: %v", err)
	}
}

// Of any sound the log-probabilities of a frame are those of 40 things of which one is so.
func TestOf(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	hidden := make([]float32, 7*Width)
	for i := range hidden {
		hidden[i] = float32(r.NormFloat64())
	}
	p := Of(hidden)
	if len(p.frames) != 7 || len(Of(nil).frames) != 0 {
		t.Fatalf("%d frames", len(p.frames))
	}
	l := loaded()
	for at, frame := range p.frames { // once more, a number at a time
		z := [classes]float32(l.outBias)
		for u := range units {
			sum := l.inBias[u]
			for i := range (2*beside + 1) * Width {
				sum += hidden[min(max(at+i/Width-beside, 0), 6)*Width+i%Width] * l.in[i*units+u]
			}
			for c := range classes {
				z[c] += max(sum, 0) * l.out[u*classes+c]
			}
		}
		normalise(&z)
		for c, want := range z {
			if math.Abs(float64(frame[c]-want)) > 1e-2 {
				t.Fatalf("frame %d, class %d: %g, want %g", at, c, frame[c], want)
			}
		}
	}
	for _, frame := range p.frames {
		sum := 0.0
		for _, v := range frame {
			sum += math.Exp(float64(v))
		}
		if math.Abs(sum-1) > 1e-4 {
			t.Errorf("adds up to %g", sum)
		}
	}
}

// Three seconds of sound.
func BenchmarkOf(b *testing.B) {
	hidden := make([]float32, 125*Width)
	for i := range hidden {
		hidden[i] = float32(i%7) - 3
	}
	for b.Loop() {
		Of(hidden)
	}
}
