// Package lex turns a phrase into words and words into tokens: Split finds the
// words, a Lexicon finds the longest row of the vocabulary table at each, joins
// number words to one number by the table of number uses, and settles which
// of a word's classes is meant by what stands beside it. Addresses, coordinates
// and times of day, which no table holds, are read here too.
package lex
