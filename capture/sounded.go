package capture

import (
	"cmp"
	"fmt"
	"iter"
	"math"
	"slices"
	"strings"

	"downlead/capture/hear"
	"downlead/capture/hear/phoneme"
)

// soundOut holds the sentences of both listeners, and what the likeliest may be
// mistaken for, against the phonemes that were heard.
func (r *Recogniser) soundOut(w *Witness, first string) error {
	likely := []string{first, w.Spoken}
	if len(w.Sentences) > 0 {
		likely = append(likely, w.Sentences[0].Text)
	}
	sentences := slices.Clone(likely)
	for _, c := range w.Sentences {
		sentences = append(sentences, c.Text)
	}
	slices.Sort(likely)
	for _, s := range slices.Compact(likely) {
		sentences = append(sentences, r.cfg.rivalsOf(s)...)
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.closed {
		return errClosed
	}
	w.Phonemes = r.sounded(w.phonemes, sentences)
	return nil
}

// sounded are sentences by how well their phonemes fit what was heard, the likeliest
// first. LogP is set against the likeliest phonemes whatever they say, so that 0 is
// the best there is. Sentences with a word of which nobody knows how it is said are
// left out.
func (r *Recogniser) sounded(p phoneme.Posteriors, sentences []string) []hear.Candidate {
	var spoken [][]phoneme.Word
	var out []hear.Candidate
	known := map[string]bool{}
	for _, s := range sentences {
		if known[s] {
			continue
		}
		known[s] = true
		if words := r.spoken(s); len(words) > 0 {
			spoken, out = append(spoken, words), append(out, hear.Candidate{Text: s})
		}
	}
	free := p.Free()
	for i, logP := range p.Sentences(spoken) {
		out[i].LogP = logP - free
	}
	out = slices.DeleteFunc(out, func(c hear.Candidate) bool { return math.IsInf(c.LogP, -1) }) // longer than the sound
	slices.SortStableFunc(out, func(a, b hear.Candidate) int { return cmp.Compare(b.LogP, a.LogP) })
	return out
}

// spoken is how a sentence is said; nil where a word has no pronunciation.
func (r *Recogniser) spoken(sentence string) []phoneme.Word {
	var out []phoneme.Word
	for word := range strings.FieldsSeq(sentence) {
		w := r.ways(word)
		if len(w.Ways) == 0 {
			return nil
		}
		out = append(out, w)
	}
	return out
}

// ways are the ways to say a word, as the first listener's dictionary has them.
func (r *Recogniser) ways(word string) phoneme.Word {
	w, known := r.said[word]
	if known {
		return w
	}
	w.Text = word
	for _, phones := range r.words.ways(word) {
		way, err := phoneme.Parse(phones)
		if err != nil || len(way) == 0 {
			break
		}
		w.Ways = append(w.Ways, way)
	}
	r.said[word] = w
	return w
}

// ways goes through the ways to say a word: the names that a dictionary has for them, "row" and "row(2)", and their
// sounds.
func (e *engine) ways(word string) iter.Seq2[string, string] {
	return func(yield func(name, phones string) bool) {
		for n, name := 2, word; ; n, name = n+1, fmt.Sprintf("%s(%d)", word, n) {
			phones := e.pronunciation(name)
			if phones == "" || !yield(name, phones) {
				return
			}
		}
	}
}

// net is a network by its phonemes.
func (r *Recogniser) net(n network) *phoneme.Net {
	var arcs []phoneme.Arc
	ends := []int{n.final}
	for _, a := range n.arcs {
		if a.word == noWord {
			ends = append(ends, a.from)
			continue
		}
		arcs = append(arcs, phoneme.Arc{From: a.from, To: a.to, Word: r.ways(n.words[a.word])})
	}
	return phoneme.NewNet(arcs, n.start, ends)
}
