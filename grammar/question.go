package grammar

import (
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// asksSomebody reports that a phrase is a question or a request to another
// person: its first words turn verb and subject round, or it ends as one.
// Questions to the tool are rows of the table.
func (p *Parser) asksSomebody(phrase string, words []lex.Word) bool {
	for len(words) > 0 && lex.LeadIn(words[0].Text) {
		words = words[1:]
	}
	if len(words) == 0 {
		return false
	}
	switch words[0].Text {
	case "is", "are", "was", "were", "have", "has", "had":
		for i := 2; i < len(words); i++ { // "is minus fifty a pass"
			if words[i-1].Text == "a" && (words[i].Text == "pass" || words[i].Text == "fail") || words[i].Text == "enough" {
				return true
			}
		}
		elided := words[0].Text == "have" || words[0].Text == "had" // "have receiver two at minus forty"
		return len(words) > 1 && (isSubject(words[1].Text, words[0].Text) || !elided && p.isThing(words[1:]))
	case "did":
		if did := strings.ContainsAny(phrase, ",;") || strings.Contains(strings.ToLower(phrase), " and "); did && lex.SaysAt(words, "did the input test") {
			return false // "did the input test on the den box, it failed"
		}
		if p.didTeach(words[1:]) {
			return false
		}
		return len(words) > 1 && words[1].Text != "a" && (isSubject(words[1].Text, words[0].Text) || p.isThing(words[1:])) // "did a reset"
	case "do", "does", "can", "could", "should", "would", "will", "shall", "may", "might":
		return len(words) > 1 && (isSubject(words[1].Text, words[0].Text) || p.isThing(words[1:]))
	case "how", "who", "why", "whose", "which", "what":
		return true
	case "where":
		return len(words) > 1 && (words[1].Text == "is" || words[1].Text == "are" || words[1].Text == "does" || words[1].Text == "do" || words[1].Text == "did" || words[1].Text == "was")
	}
	return strings.HasSuffix(strings.TrimRight(phrase, " \t\r\n\"'”’)"), "?")
}

// didTeach reports words after "did" that are of the customer's education alone,
// and with whom: "did the education with her".
func (p *Parser) didTeach(words []lex.Word) bool {
	for len(words) > 0 && (words[0].Text == "the" || words[0].Text == "some") {
		words = words[1:]
	}
	row, end := p.talk().Trie.Longest(words, 0)
	if row != nil && row.Class == vocab.Looked && strings.HasPrefix(row.Say, "inspection") && end < len(words) && words[end].Broken() { // "did the inspection, dish good"
		return true
	}
	return row != nil && row.Class == vocab.Check && row.Means == "education" && (end == len(words) || words[end].Text == "with" || words[end].Text == "for")
}

// isSubject reports that a word, right after a verb, is what a question is about.
// "have the receiver side at minus forty" is none, nor is "is pass".
func isSubject(w, verb string) bool {
	switch w {
	case "i", "we", "you", "he", "she", "they", "it", "there", "that", "this", "those", "these", "yall", "anybody", "anyone", "somebody", "your", "our":
		return true
	case "the", "a", "an", "my", "any":
		return verb != "have" && verb != "had"
	}
	return false
}

// isThing reports that words begin with what a statement is about: "is receiver
// two working" asks, and "is minus forty" only leaves out its place.
func (p *Parser) isThing(words []lex.Word) bool {
	row, _ := p.talk().Trie.Longest(words, 0)
	if row == nil {
		return false
	}
	switch row.Class {
	case vocab.Element, vocab.Room, vocab.Numbered, vocab.Some, vocab.Check, vocab.InputTest, vocab.Cable, vocab.CableType, vocab.Item, vocab.Bolt, vocab.Consent, vocab.Subject:
		return true
	}
	return false
}

// stopsShort reports that the words of entries end with one that something must
// follow.
func stopsShort(words []lex.Word, entries []entry.Entry) bool {
	if len(words) < 2 || len(entries) == 0 || ownsWords(entries[len(entries)-1]) {
		return false
	}
	switch before := words[len(words)-2].Text; words[len(words)-1].Text {
	case "a":
		return before != "n" && before != "slash" // "not applicable", by its letters
	case "the", "an", "of", "my", "our":
		return true
	}
	return false
}

// ownsWords reports an entry that keeps words as they were said.
func ownsWords(e entry.Entry) bool {
	switch e.Kind() {
	case entry.KindNote, entry.KindSite, entry.KindJob, entry.KindQuestion, entry.KindControl:
		return true
	}
	return false
}
