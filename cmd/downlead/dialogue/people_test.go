package dialogue

import (
	"bufio"
	"encoding/json"
	"os"
	"testing"

	"downlead/grammar/entry"
)

// TestPeopleAsked: of the phrases that a stranger wrote, those that must be
// asked about or refused leave nothing that counts.
func TestPeopleAsked(t *testing.T) {
	f, err := os.Open("../../../testdata/phrases/own.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	n := 0
	for lines := bufio.NewScanner(f); lines.Scan(); {
		var c struct {
			Say   string   `json:"say"`
			Given []string `json:"given"`
			Want  any      `json:"want"`
		}
		if err := json.Unmarshal(lines.Bytes(), &c); err != nil {
			t.Fatal(err)
		}
		if _, said := c.Want.(string); !said {
			continue
		}
		n++
		for _, r := range newCall(t, c.Given...).say(c.Say).Records {
			switch e := r.Entry.(type) {
			case entry.Unparsed, entry.Note, entry.Question:
				continue
			case entry.Job:
				if e.Verb == "complaint" {
					continue
				}
			}
			if !r.Unconfirmed {
				t.Errorf("%q: %s counts", c.Say, entry.Say(r.Entry))
			}
		}
	}
	if n < 40 {
		t.Errorf("%d phrases, want 40", n)
	}
}
