// Package grammar turns phrases into entries: what a technician says or types
// becomes typed statements, or an error that says which words were not
// understood, where, and what was probably meant.
//
//	p, err := grammar.New(nil)
//	entries, err := p.Parse("ground block dish side, pass, minus forty one")
//
// # What can be said
//
// Guide lists every kind of statement with examples; Vocabulary lists every
// word. Ten phrases that show the range:
//
//	start job four four one two
//	path dish, L N B, sixty feet, ground block, forty feet, wall plate, six foot jumper, receiver one
//	behind receiver one, fail, minus fifty three, strength sixty one
//	ground block dish side pass minus forty one, receiver side fail minus fifty four
//	pass, minus forty four at the kitchen wall plate
//	replaced thirty feet of cable between ground block and wall plate
//	used two fittings and a barrel
//	grounding fail corroded clamp
//	entry twelve was minus forty
//	where is the fault
//
// Capitals, commas, full stops, hyphens and little words ("uh", "the", "is",
// "reads", "we have") do not matter. Numbers may be words, digits, or both. The
// order of place, verdict and figures is free. A phrase may hold several
// statements; a side by itself is of the element before. Misheard words are
// read by their sound where exactly one reading is possible, and the entry says
// so in its Assumed member; where several are, the error asks.
//
// # How it works
//
// One vocabulary table (package vocab) is the only place where a word is listed.
// Package lex finds the longest row at each word and gives the parser classes,
// never words; it joins number words to one number. The grammar (sentence.go) is
// participle's, in classes; clause.go runs it statement by statement, and
// resolve*.go turn statements into entries. What that grammar does not take,
// package talk reads by meaning (parse.go). What participle prints of the grammar
// is read back as a tree (package speech), from which come the speech grammar,
// what may come next (next.go) and the text of refusals (refusal*.go).
// So voice and typing cannot drift apart: every sentence of the speech grammar
// parses, and the tests walk the recogniser's own compiled network to prove it.
//
// To add a word, add it to its group in vocab.go: the first of a group is what
// Say says, and those of its second list are typed only. To add a kind of
// number, add it to number.go; a statement, to sentence.go, its first words to
// setStatements, its meaning to resolve.go, its wording to say.go, and the same
// meaning, worked out from the derivation, to meaning_test.go. Then run
//
//	UPDATE=1 go test ./grammar
//
// and read what changed in testdata. The tests say when a new word tears
// another apart, cannot be pronounced, or gives a sentence two meanings.
//
// # Voice
//
// JSGF prints the speech grammar: one public rule, no stars, every word in the
// recogniser's dictionary or in Pronunciations. Free words have no grammar. The
// words "note", "complaint", "close job" and "reopen job" are heard alone:
// Parse gives a Note without text, or a Job without one, and the caller then
// listens once with a general model and stores what that heard, marked rough.
// A number, a verdict, a place, yes or no by themselves are never statements;
// ParseAnswer reads them while a question is open, and Focus.Answers is the
// speech grammar for that time.
//
// A voice says one statement in one phrase (a reading may go on to the other
// side), and figures in the orders of the grammar; a typed phrase may hold any
// number, in any order. Typed only
// are site, location and the time of the report, free remarks of checks, and
// numerals. Levels lie between -99.9 and 0 dBm, element numbers below twenty.
//
// # What it does not do
//
// It knows nothing of sound, of storage, or of what an entry implies: it does
// not know which elements the job has (the caller asks which splitter is meant,
// and ParseAnswer reads the answer), and it does not judge a reading. Complete
// fills in what goes without saying, at the time an entry is stored. It is
// English only, and it has no memory between phrases.
package grammar
