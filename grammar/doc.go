// Package grammar turns phrases into entries: what a technician says or types
// becomes typed statements, or an error that says which words were not
// understood, where, and what was probably meant.
//
// The vocabulary table is the only place where a word is listed; the lexer,
// the participle grammar, the speech grammar, the pronunciations, the help and
// the suggestions all come from it. The package knows nothing of audio, of
// storage or of what an entry implies.
package grammar
