package capture

import "testing"

// pointsRecogniser has the tests' own grammar.
func pointsRecogniser(t testing.TB) *Recogniser {
	t.Helper()
	return recogniser(t, Config{JSGF: readFile(t, "testdata/points.gram"), Meaning: Words(isNumber)})
}

// isNumber tells the words that carry a number or a verdict in the tests' grammar.
func isNumber(word string) bool {
	switch word {
	case "ground", "block", "wall", "plate", "splitter", "barrel", "side", "behind", "what", "next", "where", "is", "the", "read", "back":
		return false
	}
	return true
}
