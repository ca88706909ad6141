package capture

import (
	"strings"
	"testing"

	"downlead/capture/hear"
	"downlead/capture/segment"
)

// heardAs is an utterance that the two listeners heard each in its own way.
func heardAs(first, second string, stretches ...int) Utterance {
	u := Utterance{Text: first, Second: &Witness{Sentences: []hear.Candidate{{Text: second}}}}
	for _, words := range stretches {
		u.Parts = append(u.Parts, Scores{Words: words})
	}
	return u
}

// What is said in two goes is joined by the words that both listeners choose: the
// first one alone heard another place here, and one that would have been
// given by itself.
func TestJoinedByWhatBothChoose(t *testing.T) {
	statements := Endpoints{
		Status: func(words string) Status {
			figures := strings.HasSuffix(words, "minus thirty nine")
			return Status{Complete: figures || words == "bad output two", MayGoOn: !figures && words != "bad output two"}
		},
		Text: func(u Utterance) string { return u.Second.Sentences[0].Text },
	}
	const place, rest = "splitter output two", "pass minus thirty nine"
	for _, first := range []string{"tap two", "bad output two"} {
		e := newEndpointer(nil, statements, nil)
		if got := e.take(segment.Segment{}, hearing{whole: heardAs(first, place)}); len(got) > 0 {
			t.Fatalf("%q was given by itself", first)
		}
		alone := heardAs(rest, rest)
		got := e.take(segment.Segment{}, hearing{heardAs("bad output two pass minus thirty nine", place+" "+rest, 3, 4), &alone})
		if len(got) != 1 || got[0].Second.Sentences[0].Text != place+" "+rest || got[0].Amends {
			t.Errorf("after %q: %d phrases, want the whole", first, len(got))
		}
	}
}

// A beginning waits for its rest; that of a stretch which was cut for its length
// does not, as what comes next is the same speech and no rest of a statement.
func TestACutStretchDoesNotWait(t *testing.T) {
	cfg := Endpoints{Status: func(string) Status { return Status{MayGoOn: true} }}
	for _, cut := range []bool{false, true} {
		e := newEndpointer(nil, cfg, nil)
		got := e.take(segment.Segment{Cut: cut}, hearing{whole: heardAs("splitter output two", "")})
		if (len(got) == 1) != cut || (e.pending == nil) != cut {
			t.Errorf("cut %v: %d given, pending %v", cut, len(got), e.pending)
		}
	}
}
