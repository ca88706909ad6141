package lex

import (
	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// Token is what the grammar sees: one class, with the words behind it.
type Token struct {
	Class   vocab.Class
	Row     *vocab.Row
	Value   entry.Decimal // of the number classes
	Text    string        // of Digits, Text and Remark
	Lo, Hi  int           // bytes of the phrase
	Gap     bool          // a word without meaning stood before it
	Note    string        // what had to be assumed to read it: "sign", "slot"
	symbol  bool          // a minus that was typed as a sign
	Spelled bool          // some of its words were mended from a slip of the fingers
	Brk     bool          // a comma, a full stop or the like stands before it
	sound   bool          // some of its words were put in for what they sound like
}

// Means returns the token's value in the machine form.
func (t *Token) Means() string {
	if t.Row == nil {
		return ""
	}
	return t.Row.Means
}

// Notes adds what had to be assumed to read the token.
func (t *Token) Notes(list []string) []string {
	list = entry.AddNote(list, t.Note)
	if t.sound {
		list = entry.AddNote(list, "sound")
	}
	if t.Spelled {
		list = entry.AddNote(list, "spelling")
	}
	return list
}

// Words returns a token's own words: a remark, a complaint, a note.
func (t *Token) Words() string {
	if t.Row != nil {
		return t.Row.Say
	}
	return t.Text
}
