package grammar

import "fmt"

// Error says why a phrase, or a part of it, was not understood.
type Error struct {
	Message string   `json:"message"`
	At      int      `json:"at"` // byte offset in the phrase
	Word    string   `json:"word,omitempty"`
	Suggest []string `json:"suggest,omitempty"`
}

func (e *Error) Error() string { return e.Message }

// Parser turns phrases into entries. It is safe for concurrent use.
type Parser struct{}

// New returns a parser of the built-in vocabulary and, where own is not nil,
// of the technician's own words.
func New(own *Words) (*Parser, error) { return &Parser{}, nil }

// Words is a technician's own vocabulary file, read and checked.
type Words struct{}

// Parse returns the entries of a phrase, or none and an *Error: a phrase is
// all or nothing.
func (p *Parser) Parse(phrase string) ([]Entry, error) {
	return nil, fmt.Errorf("not built yet")
}
