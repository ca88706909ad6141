package grammar

import "testing"

// Common practice, no source: "good" and "no" are said to customers, "pass" to the tool.
func TestSmallTalk(t *testing.T) {
	p, err := New(nil)
	if err != nil {
		t.Fatal(err)
	}
	for phrase, want := range map[string]bool{
		"good": true, "bad": true, "no": true, "yes": true, "Good": true,
		"pass": false, "fail": false, "passed": false, "wall plate good": false, "good good": false, "minus forty": false, "arrived": false, "": false, "gibberish": false,
	} {
		if got := p.SmallTalk(phrase); got != want {
			t.Errorf("%q: %v", phrase, got)
		}
	}
}
