package lex

import (
	"strings"

	"downlead/grammar/vocab"
)

// trie finds the longest row at a word.
type trie struct {
	word string // of only, the one child that most nodes have
	only *trie
	next map[string]*trie // further children
	Row  *vocab.Row
}

// Add puts in a row; clash is the row of the same words that was there before
// and stays.
func (t *trie) Add(r *vocab.Row) (clash *vocab.Row) {
	for w := range strings.FieldsSeq(r.Say) {
		n := t.Get(w)
		if n == nil {
			n = &trie{}
			t.put(w, n)
		}
		t = n
	}
	if t.Row != nil {
		return t.Row
	}
	t.Row = r
	return nil
}

// Get is the node after a word, nil where there is none.
func (t *trie) Get(w string) *trie {
	if t.only != nil && t.word == w {
		return t.only
	}
	return t.next[w]
}

func (t *trie) put(w string, n *trie) {
	switch {
	case t.only == nil:
		t.word, t.only = w, n
	case t.next == nil:
		t.next = map[string]*trie{w: n}
	default:
		t.next[w] = n
	}
}

// Longest returns the row that takes the most words from i on, and their end.
func (t *trie) Longest(words []Word, i int) (*vocab.Row, int) {
	return t.longestFrom(words, i, i, false)
}

// longestFrom is longest, with the words from i to j behind it; number tells
// that they began a number.
func (t *trie) longestFrom(words []Word, i, j int, number bool) (*vocab.Row, int) {
	var best *vocab.Row
	end := i // inside a number only "uh" and "um" may stand: "twenty is one" is two
	for ; j < len(words); j++ {
		if j > i && words[j].brk && best != nil && end == j && !number {
			break // "dish, mount" is two
		}
		n := t.Get(words[j].Text)
		if n == nil {
			if j > i && hollow(words[j].Text) && (!number || words[j].Text[0] == 'u') {
				continue
			}
			break
		}
		if j == i {
			number = n.Row != nil && StartsNumber(n.Row.Class)
		}
		if j > i && !number && hollow(words[j].Text) { // some rows have the word, others go on without it
			if r, e := t.longestFrom(words, i, j+1, false); r != nil && e > end {
				best, end = r, e
			}
		}
		t = n
		if t.Row != nil && j+1 >= end {
			best, end = t.Row, j+1
		}
	}
	return best, end
}
