package grammar

import "testing"

// What is complete and what can go on, as a person would say of it; phrases are
// invented.
func TestCompleteness(t *testing.T) {
	p := newParser(t)
	for _, c := range []struct {
		words             string
		complete, mayGoOn bool
	}{
		{"ground block dish side pass minus forty one", true, true},
		{"ground block dish side pass", true, true},
		{"ground block dish side pass minus", false, true},
		{"ground block dish side", false, true},
		{"ground block", false, true},
		{"dish side", false, true},
		{"behind", false, true},
		{"ground", false, false},
		{"pass", true, true},
		{"minus", false, true},
		{"replaced", false, true},
		{"replaced ground block", true, true},
		{"replaced ground block at", false, false},
		{"used two", false, true},
		{"used two fittings and", false, false},
		{"cable from ground block to", false, true},
		{"cable from", false, true},
		{"wall plate fail minus fifty for", false, false},
		{"cable from ground block to wall plate", true, true},
		{"path", false, true},
		{"path dish fifty feet", false, true},
		{"path dish ground block wall plate", false, true},
		{"path dish ground block wall plate receiver", true, true},
		{"path dish two way splitter receiver one", false, true},
		{"path dish two way splitter receiver one receiver two", true, true},
		{"what next", true, false},
		{"scratch that", true, true},
		{"arrived", true, false},
		{"read that back", true, false},
		{"start job four", true, true},
		{"wall plate frobnicate", false, false},
		{"", false, true},
	} {
		if complete, mayGoOn := p.Completeness(c.words, false); complete != c.complete || mayGoOn != c.mayGoOn {
			t.Errorf("%q: complete %v, may go on %v; want %v, %v", c.words, complete, mayGoOn, c.complete, c.mayGoOn)
		}
	}
	for words, mayGoOn := range map[string]bool{"yes": false, "no": true, "minus forty": true, "the second": false} {
		if complete, more := p.Completeness(words, true); !complete || more != mayGoOn {
			t.Errorf("the answer %q: complete %v, may go on %v", words, complete, more)
		}
	}
	if complete, more := p.Completeness("minus", true); complete || !more {
		t.Errorf("the answer %q: complete %v, may go on %v", "minus", complete, more)
	}
}
