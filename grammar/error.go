package grammar

import (
	"downlead/grammar/entry"
)

// Error says why a phrase, or a part of it, was not understood.
type Error struct {
	Message string   `json:"message"`
	At      int      `json:"at"` // byte offset in the phrase
	Word    string   `json:"word,omitempty"`
	Suggest []string `json:"suggest,omitempty"`

	// Example is the phrase nearest to it that is understood, in full.
	Example string `json:"example,omitempty"`

	// Proposal is what the phrase may have been, to be asked about.
	Proposal *entry.Proposal `json:"-"`
}

func (e *Error) Error() string { return e.Message }
