// Package speech is what can be said aloud, as far as the speech grammar has
// it. Language is the parser's grammar as a tree (tree.go), and from it come
// what may follow what (network.go), and the spoken language with its numbers
// in words (spoken.go), printed for the recogniser (jsgf.go). A Speller gives the
// sounds of words; dict.go those that the recogniser's dictionary lacks.
package speech
