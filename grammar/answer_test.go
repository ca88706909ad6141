package grammar

import "testing"

// What says something while nothing is asked is a statement; an answer says
// something only to a question.
func TestSays(t *testing.T) {
	p := newParser(t)
	for phrase, want := range map[string][2]bool{
		"arrived":               {true, true},
		"wall plate":            {true, true},
		"pass minus forty":      {true, true},
		"no":                    {false, true},
		"forty one":             {false, true},
		"no minus sixty":        {false, true},
		"the":                   {false, false},
		"removed":               {false, false},
		"strength two twelve a": {false, false},
	} {
		if got := [2]bool{p.Says(phrase, false) != "", p.Says(phrase, true) != ""}; got != want {
			t.Errorf("%q: says something %v, while a question is open %v; want %v", phrase, got[0], got[1], want)
		}
	}
	if p.Says("wall plate fail minus four one", false) != p.Says("wall plate fail minus forty one", false) {
		t.Error("two wordings of one statement have two keys")
	}
}
