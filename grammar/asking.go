package grammar

import "strings"

// asksSomebody reports that a phrase is a question or a request to another
// person: its first words turn verb and subject round, or it ends as one.
// Questions to the tool are rows of the table.
func asksSomebody(phrase string, words []word) bool {
	for len(words) > 0 && leadIn(words[0].text) {
		words = words[1:]
	}
	if len(words) == 0 {
		return false
	}
	switch words[0].text {
	case "is", "are", "was", "were", "have", "has", "had":
		for i := 2; i < len(words); i++ { // "is minus fifty a pass"
			if words[i-1].text == "a" && (words[i].text == "pass" || words[i].text == "fail") {
				return true
			}
		}
		return len(words) > 1 && isSubject(words[1].text, words[0].text)
	case "did":
		return len(words) > 1 && words[1].text != "a" && isSubject(words[1].text, words[0].text) // "did a reset"
	case "do", "does", "can", "could", "should", "would", "will", "shall", "may", "might":
		return len(words) > 1 && isSubject(words[1].text, words[0].text)
	case "how", "who", "why", "whose", "which":
		return true
	}
	return strings.HasSuffix(strings.TrimRight(phrase, " \t\r\n\"'”’)"), "?")
}

// leadIn are words before a sentence that say nothing.
func leadIn(w string) bool {
	switch w {
	case "uh", "um", "er", "ah", "hmm", "okay", "ok", "so", "well", "hey", "and", "alright", "now", "say":
		return true
	}
	return false
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
