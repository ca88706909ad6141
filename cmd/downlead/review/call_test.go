package review

import (
	"context"
	"net/url"
	"strings"
	"testing"
	"time"

	"downlead/cmd/downlead/dialogue"
	"downlead/diagnose/level"
	"downlead/journal/record"
)

// TestLateDiagnosis holds a diagnosis back: the page comes all the same, says
// that there is more to come, and has it once it is there.
func TestLateDiagnosis(t *testing.T) {
	j, p := newJournal(t), newParser(t)
	demo(t, j, p, "replaced ground block")
	held, going := make(chan struct{}), make(chan struct{}, 100)
	s := open(t, Config{Journal: j, Parser: p, Options: func(context.Context, string) (level.Options, error) {
		going <- struct{}{}
		<-held
		return level.Options{}, nil
	}}).in()
	const bracket, late = "in the ground block or its fittings", "still being weighed"
	for range 3 {
		status, page := s.get("/job/4412")
		if status != 200 || !strings.Contains(page, late) || strings.Contains(page, bracket) {
			t.Fatalf("status %d; want the page without the diagnosis, saying so", status)
		}
		if !strings.Contains(page, `<noscript><meta http-equiv="refresh" content="2;url=/job/4412"></noscript>`) {
			t.Error("without the script the page does not come again by itself")
		}
		if !strings.Contains(page, ">Ground block<") {
			t.Error("the path is not drawn while the diagnosis is late")
		}
	}
	if n := len(going); n != 1 {
		t.Errorf("%d diagnoses of one job are under way, want 1", n)
	}
	close(held)
	for end := time.Now().Add(10 * time.Second); ; time.Sleep(10 * time.Millisecond) {
		_, page := s.get("/job/4412")
		if strings.Contains(page, bracket) && !strings.Contains(page, late) {
			break
		}
		if time.Now().After(end) {
			t.Fatal("the diagnosis never comes")
		}
	}
	// An entry that comes in is in the next diagnosis.
	if status, _ := s.post("/job/4412/say", url.Values{"phrase": {"replaced ground block"}}); status != 200 {
		t.Fatalf("say: status %d", status)
	}
	if _, page := s.get("/job/4412"); strings.Contains(page, bracket) && !strings.Contains(page, late) {
		t.Error("the diagnosis does not follow the new entry")
	}
}

// TestReadsWhatIsNew compares a job that was read in pieces with one read
// whole.
func TestReadsWhatIsNew(t *testing.T) {
	j, p := newJournal(t), newParser(t)
	demo(t, j, p, "wall plate")
	cfg, err := Config{Journal: j, Parser: p, Now: clock}.checked()
	if err != nil {
		t.Fatal(err)
	}
	s := newServer(cfg, nil)
	for range 3 {
		c, err := s.call(t.Context(), "4412")
		if err != nil {
			t.Fatal(err)
		}
		whole, err := j.Job(t.Context(), "4412")
		if err != nil {
			t.Fatal(err)
		}
		if len(c.records) != len(whole) || c.records[len(whole)-1].Hash != whole[len(whole)-1].Hash || len(c.view) != len(whole) {
			t.Errorf("%d records, want %d up to the same head", len(c.records), len(whole))
		}
		add(t, j, oneMore())
	}
	s.working.Wait()
}

// TestNoBracketSaysWhy: where no fault is bracketed the page says why not.
func TestNoBracketSaysWhy(t *testing.T) {
	for name, c := range map[string]struct{ phrases, want string }{
		"a fail, and a pass beyond it": {"ground block dish side fail minus fifty one; behind receiver pass minus forty four", "the readings disagree"},
		"volts alone":                  {"ground block dish side eighteen volts", "the signal has not been measured yet"},
		"all passes":                   {"behind receiver pass minus forty four", "no point fails now"},
	} {
		j, p := newJournal(t), newParser(t)
		d, err := dialogue.New(context.Background(), j, p, nil, "")
		if err != nil {
			t.Fatal(err)
		}
		for _, phrase := range strings.Split("start job 12; "+c.phrases, "; ") {
			if _, err := d.Hear(context.Background(), dialogue.Phrase{Text: phrase, At: clock(), Origin: record.Typed}); err != nil {
				t.Fatal(err)
			}
		}
		s := open(t, Config{Journal: j, Parser: p}).in()
		for end := time.Now().Add(10 * time.Second); ; time.Sleep(10 * time.Millisecond) {
			_, page := s.get("/job/12")
			if strings.Contains(page, "No fault is bracketed: "+c.want) {
				break
			}
			if time.Now().After(end) {
				t.Errorf("%s: the page does not say %q", name, c.want)
				break
			}
		}
	}
}
