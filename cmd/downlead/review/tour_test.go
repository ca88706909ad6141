package review

import (
	"context"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"downlead/cmd/downlead/axe"
	"downlead/cmd/downlead/dialogue"
	"downlead/journal/record"
)

// touring serves a tour of five phrases.
func touring(t *testing.T) *site {
	t.Helper()
	phrases := []string{
		"start job four four one two", "behind receiver one, fail, minus sixty three", "ground block receiver side, fail, minus fifty four",
		"ground block dish side, pass, minus thirty six", "replaced ground block",
	}
	parser := newParser(t)
	step := func(ctx context.Context, n int) (Config, error) {
		j := newJournal(t)
		s, err := dialogue.New(ctx, j, parser, nil, "")
		if err != nil {
			return Config{}, err
		}
		var r dialogue.Reply
		for _, said := range phrases[:n] {
			if r, err = s.Tell(ctx, dialogue.Phrase{Text: said, At: clock(), TimeSource: record.FromGiven, Origin: record.Typed}); err != nil {
				return Config{}, err
			}
		}
		return Config{Journal: j, Parser: parser, Now: clock, Tour: &TourStep{N: n, Of: len(phrases), At: "09:00", Said: phrases[n-1], Answer: r.Text, Job: "4412"}}, nil
	}
	ctx, cancel := context.WithCancel(context.Background())
	ready, done := make(chan string, 1), make(chan error, 1)
	go func() { done <- ServeTour(ctx, Tour{Steps: len(phrases), Step: step}, func(u string) { ready <- u }) }()
	s := &site{t: t}
	select {
	case s.start = <-ready:
	case err := <-done:
		t.Fatal(err)
	}
	t.Cleanup(func() {
		cancel()
		if err := <-done; err != nil {
			t.Errorf("ServeTour: %v", err)
		}
	})
	s.root = "http://" + mustURL(t, s.start).Host
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	s.client = &http.Client{Jar: jar, Timeout: 30 * time.Second}
	t.Cleanup(s.client.CloseIdleConnections)
	return s
}

// TestTourInTheBrowser goes forth and back by the buttons: what is said and
// what is known grow with each phrase, and are gone again with Back; axe-core
// finds nothing on a small screen and a large one.
func TestTourInTheBrowser(t *testing.T) {
	source := axe.Source(t)
	b := newTab(t, touring(t))
	press := func(label, said string) {
		t.Helper()
		b.until(label+" is there", `[...document.querySelectorAll(".tour button")].some(x => x.textContent == "`+label+`" && !x.disabled)`)
		eval[bool](b, `[...document.querySelectorAll(".tour button")].find(x => x.textContent == "`+label+`").click(), true`)
		b.until(said, `document.querySelector(".tour q")?.textContent == "`+said+`"`)
	}
	b.until("the first phrase", `document.querySelector(".tour q")?.textContent == "start job four four one two"`)
	if !eval[bool](b, `document.querySelector(".tour button").disabled`) {
		t.Error("there is a way back from the first phrase")
	}
	press("Next", "behind receiver one, fail, minus sixty three")
	press("Next", "ground block receiver side, fail, minus fifty four")
	press("Next", "ground block dish side, pass, minus thirty six")
	b.until("the fault is at the block", `document.querySelector("main").innerText.includes("ground block")`)
	press("Back", "ground block receiver side, fail, minus fifty four")
	b.open("/job/4412/entries")
	b.until("three entries", `!document.querySelector("main").innerText.includes("thirty six") && document.querySelector("main").innerText.includes("fifty four")`)
	press("To the end", "replaced ground block")
	b.until("the same page, with the last phrase", `location.pathname == "/job/4412/entries" && document.querySelector("main").innerText.includes("eplaced ground block")`)
	if !eval[bool](b, `document.querySelector(".tour .on").disabled`) {
		t.Error("there is a way on from the last phrase")
	}
	for _, width := range []int64{360, 1280} {
		b.do(chromedp.EmulateViewport(width, 900))
		eval[bool](b, source+"; true")
		found, err := chromedp.Run(b.ctx, chromedp.Evaluate[[]string](`axe.run(document, {resultTypes: ["violations"]}).then(r => r.violations.map(v => v.id + ": " + v.help + " " + v.nodes[0].html))`, chromedp.EvalAwaitPromise))
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range found {
			t.Errorf("%d px: %s", width, v)
		}
		if wide := eval[int](b, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); wide > 0 {
			t.Errorf("%d px: %d px too wide", width, wide)
		}
	}
}

// TestTourIsGuarded: a step is taken from the tour's own page alone, and none
// that is not there.
func TestTourIsGuarded(t *testing.T) {
	s := touring(t)
	if status, _ := s.post("/tour", url.Values{"to": {"2"}}); status != http.StatusForbidden {
		t.Errorf("a step without the cookie: status %d", status)
	}
	s.in()
	r := s.request(http.MethodPost, "/tour", strings.NewReader("to=2"))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", "http://elsewhere.example")
	r.Header.Set("Sec-Fetch-Site", "cross-site")
	if status, _ := s.do(r); status != http.StatusForbidden {
		t.Errorf("a step from another site: status %d", status)
	}
	if status, _ := s.post("/tour", url.Values{"to": {"on"}}); status != http.StatusBadRequest {
		t.Errorf("a step to nowhere: status %d", status)
	}
	if status, page := s.post("/tour", url.Values{"to": {"99"}}); status != http.StatusOK || !strings.Contains(page, "5 of 5") {
		t.Errorf("beyond the end: status %d", status)
	}
	if status, page := s.get("/tour?to=1"); status == http.StatusOK || strings.Contains(page, "1 of 5") {
		t.Errorf("a step by GET: status %d", status)
	}
}
