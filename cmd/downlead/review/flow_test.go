package review

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"net/http"
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	audio "downlead/capture/sound"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// demoSite serves the demo call up to a phrase, with the browser let in.
func demoSite(t testing.TB, until string) *site {
	t.Helper()
	j, p := newJournal(t), newParser(t)
	demo(t, j, p, until)
	return open(t, Config{Journal: j, Parser: p, Records: plainRecords()}).in()
}

// plainRecords stand for the real ones, which are export's: they tell what
// they were asked for.
func plainRecords() Records {
	tell := func(what string) Record {
		return Record{
			Preview: func(_ context.Context, key string) (string, error) { return what + " of " + key, nil },
			Forms: []Form{{Name: "txt", MediaType: "text/plain; charset=utf-8", Write: func(_ context.Context, w io.Writer, key string) error {
				_, err := fmt.Fprintf(w, "%s of %s", what, key)
				return err
			}}},
		}
	}
	return Records{Closeout: tell("closeout"), Pay: tell("pay"), Quality: tell("quality")}
}

func tone(i int) float64 { return math.Sin(2 * math.Pi * 440 * float64(i) / audio.Rate) }

// picture is a small PNG.
func picture(t testing.TB) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 4, 3))
	img.Set(1, 1, color.RGBA{200, 30, 30, 255})
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// reading finds the one current reading of a phrase.
func (s *site) reading(phrase string) (entry.Reading, int64) {
	s.t.Helper()
	for _, v := range record.View(s.records("4412")) {
		if r, ok := v.Entry.(entry.Reading); ok && v.SupersededBy == 0 && v.Phrase == phrase {
			return r, v.Seq
		}
	}
	s.t.Fatalf("no reading of %q", phrase)
	return entry.Reading{}, 0
}

const baseline = "behind receiver one, fail, minus sixty eight, strength twelve"

func TestCorrections(t *testing.T) {
	tests := []struct {
		name, typed string
		status      int
		level       string // of the baseline afterwards
		verdict     entry.Verdict
		says        string // on the page
	}{
		{"the phrase again", "behind receiver one, fail, minus fifty eight, strength twelve", 200, "-58", entry.Fail, "Kept:"},
		{"the number alone", "minus fifty eight", 200, "-58", entry.Fail, "Kept:"},
		{"the verdict alone", "pass", 200, "-68", entry.Pass, "Kept:"},
		{"as a correction", "correct that, minus fifty eight", 200, "-58", entry.Fail, "Kept:"},
		{"not a phrase", "behind receiver one, sprinkler minus fifty", 422, "-68", entry.Fail, "sprinkler"},
		{"nothing", "   ", 422, "-68", entry.Fail, "Nothing was typed"},
		{"no change", baseline, 422, "-68", entry.Fail, "already"},
		{"a question", "what next", 422, "-68", entry.Fail, "conversation"},
		{"which side", "ground block fail minus fifty", 422, "-68", entry.Fail, "side"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := demoSite(t, "wall plate")
			_, seq := s.reading(baseline)
			before := len(s.records("4412"))
			status, body := s.post(fmt.Sprintf("/job/4412/entry/%d", seq), url.Values{"phrase": {tt.typed}, "seen": {s.last("4412")}})
			if status != tt.status || !strings.Contains(body, tt.says) {
				t.Errorf("status %d, want %d and %q on the page", status, tt.status, tt.says)
			}
			r, _ := s.reading(baseline)
			if r.Level.String() != tt.level || r.Verdict != tt.verdict {
				t.Errorf("now %s %s, want %s %s", r.Verdict, r.Level, tt.verdict, tt.level)
			}
			records := s.records("4412")
			if tt.status != 200 {
				if len(records) != before {
					t.Errorf("%d entries were kept", len(records)-before)
				}
				if tt.typed != "   " && !strings.Contains(body, `value="`+tt.typed) {
					t.Error("what was typed is lost")
				}
				return
			}
			last := records[len(records)-1]
			if last.Origin != record.Reviewed || last.Entry.Kind() != entry.KindCorrection {
				t.Errorf("kept a %s of origin %q, want a correction from the review", last.Entry.Kind(), last.Origin)
			}
		})
	}
}

// TestCorrectionOfTwoReadings types a phrase of two readings again as one, as
// two and as three.
func TestCorrectionOfTwoReadings(t *testing.T) {
	const said = "ground block dish side pass minus forty one, receiver side fail minus fifty four"
	for typed, want := range map[string]string{
		"ground block dish side pass minus forty one, receiver side fail minus fifty five":             "-41 -55",
		"ground block dish side pass minus forty":                                                      "-40",
		"ground block dish side pass -40, receiver side fail -54, wall plate receiver side fail -60.5": "-40 -54 -60.5",
	} {
		s := demoSite(t, "behind receiver one")
		if status, _ := s.post("/job/4412/say", url.Values{"phrase": {said}}); status != 200 {
			t.Fatalf("say: status %d", status)
		}
		_, seq := s.reading(said)
		if status, body := s.post(fmt.Sprintf("/job/4412/entry/%d", seq), url.Values{"phrase": {typed}, "seen": {s.last("4412")}}); status != 200 {
			t.Fatalf("%s: status %d\n%s", typed, status, body)
		}
		var got []string
		for _, r := range record.Current(s.records("4412")) {
			if reading, ok := r.Entry.(entry.Reading); ok {
				got = append(got, reading.Level.String())
			}
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%s: levels %v, want %s", typed, got, want)
		}
	}
}

// TestToLookFirst stores what a call by voice leaves behind, and settles each
// of it on the page.
func TestToLookFirst(t *testing.T) {
	s := demoSite(t, "wall plate")
	const lot = 100_000_000 // hundredths: no rival
	reading := entry.Reading{Point: entry.Point{Element: entry.WallPlate, Side: entry.ReceiverSide}, Verdict: entry.Fail, Level: entry.NewDecimal(-60, 0)}
	unparsed := add(t, s.cfg.Journal, record.Draft{Phrase: "wall sprinkler fail", Entry: entry.Unparsed{Text: "wall sprinkler fail", Reason: "sprinkler is not known"}})
	asked := add(t, s.cfg.Journal, record.Draft{Phrase: "wall plate fail minus sixty", Unconfirmed: true, Entry: reading, Heard: &record.Heard{Margin: lot, SNR: 3000}})
	doubtful := add(t, s.cfg.Journal, record.Draft{Phrase: "wall plate, fail, minus sixty", Entry: reading, Heard: &record.Heard{Margin: 300, SNR: 3000}})
	clear := add(t, s.cfg.Journal, record.Draft{Phrase: "wall plate  fail minus sixty", Entry: reading, Heard: &record.Heard{Margin: lot, SNR: 3000}})

	_, page := s.get("/job/4412/entries")
	first, all, found := strings.Cut(page, `id="all-title"`)
	if !found {
		t.Fatal("no list of all entries")
	}
	order := []int{
		strings.Index(first, fmt.Sprintf(`id="entry-%d"`, unparsed.Seq)),
		strings.Index(first, fmt.Sprintf(`id="entry-%d"`, asked.Seq)),
		strings.Index(first, fmt.Sprintf(`id="entry-%d"`, doubtful.Seq)),
	}
	if order[0] < 0 || order[1] < order[0] || order[2] < order[1] {
		t.Errorf("first come %v, want: not understood, unconfirmed, perhaps misheard", order)
	}
	if strings.Contains(first, fmt.Sprintf(`id="entry-%d"`, clear.Seq)) || !strings.Contains(all, fmt.Sprintf(`id="entry-%d"`, clear.Seq)) {
		t.Error("a phrase that was heard clearly is among the first")
	}
	for _, words := range []string{"sprinkler is not known", "another number is nearly as likely", "Heard clearly."} {
		if !strings.Contains(page, words) {
			t.Errorf("the page does not say %q", words)
		}
	}
	for _, deed := range []struct{ path, phrase string }{
		{fmt.Sprintf("/job/4412/entry/%d", unparsed.Seq), "wall plate, fail, minus sixty one"},
		{fmt.Sprintf("/job/4412/entry/%d/confirm", asked.Seq), ""},
		{fmt.Sprintf("/job/4412/entry/%d/confirm", doubtful.Seq), ""},
	} {
		if status, body := s.post(deed.path, url.Values{"phrase": {deed.phrase}, "seen": {s.last("4412")}}); status != 200 {
			t.Errorf("%s: status %d: %s", deed.path, status, body)
		}
	}
	_, page = s.get("/job/4412/entries")
	if strings.Contains(page, `id="first-title"`) {
		t.Error("something is still to be looked at")
	}
	if r, _ := s.reading("wall sprinkler fail"); r.Level.String() != "-61" {
		t.Errorf("the phrase that was not understood now reads %s, want -61", r.Level)
	}
	// The scratched one is folded away, not gone.
	if status, _ := s.post(fmt.Sprintf("/job/4412/entry/%d/scratch", clear.Seq), url.Values{"seen": {s.last("4412")}}); status != 200 {
		t.Errorf("scratch: status %d", status)
	}
	_, page = s.get("/job/4412/entries")
	if !regexp.MustCompile(fmt.Sprintf(`<li class="phrase gone" id="entry-%d"`, clear.Seq)).MatchString(page) {
		t.Error("the scratched phrase is not shown as superseded")
	}
}

// TestIncompleteIsAskedAbout says a reading without its side: it is kept,
// asked about, and cannot be confirmed as it is.
func TestIncompleteIsAskedAbout(t *testing.T) {
	s := demoSite(t, "wall plate")
	const said = "ground block fail minus fifty"
	status, page := s.post("/job/4412/say", url.Values{"phrase": {said}})
	if status != 200 || !strings.Contains(page, "Which side of the ground block") || strings.Contains(page, "It is right") {
		t.Errorf("status %d; want the question, and no button to confirm", status)
	}
	_, seq := s.reading(said)
	before := len(s.records("4412"))
	if status, _ := s.post(fmt.Sprintf("/job/4412/entry/%d/confirm", seq), url.Values{"seen": {s.last("4412")}}); status != http.StatusUnprocessableEntity || len(s.records("4412")) != before {
		t.Errorf("confirm: status %d, want 422 and nothing kept", status)
	}
	if status, _ := s.post(fmt.Sprintf("/job/4412/entry/%d", seq), url.Values{"phrase": {"receiver side"}, "seen": {s.last("4412")}}); status != 200 {
		t.Errorf("the side alone: status %d", status)
	}
	if _, page := s.get("/job/4412/entries"); strings.Contains(page, "Which side of the ground block") {
		t.Error("the side was given and is still asked for")
	}
	for _, v := range record.View(s.records("4412")) {
		if v.Seq == seq && v.Unconfirmed {
			t.Error("the reading has its side and still counts for nothing")
		}
	}
}

// TestTwoTabs has several tabs correct the same entry: one is taken, the
// others are told, with their words kept.
func TestTwoTabs(t *testing.T) {
	s := demoSite(t, "wall plate")
	_, seq := s.reading(baseline)
	seen := s.last("4412")
	path := fmt.Sprintf("/job/4412/entry/%d", seq)
	if status, _ := s.post(path, url.Values{"phrase": {"minus fifty eight"}, "seen": {seen}}); status != 200 {
		t.Fatalf("first tab: status %d", status)
	}
	status, body := s.post(path, url.Values{"phrase": {"minus fifty nine"}, "seen": {seen}})
	if status != http.StatusConflict || !strings.Contains(body, `value="minus fifty nine"`) {
		t.Errorf("second tab: status %d, want 409 with its words kept", status)
	}
	if r, _ := s.reading(baseline); r.Level.String() != "-58" {
		t.Errorf("now %s, want -58 of the first tab", r.Level)
	}

	seen = s.last("4412")
	kept := make(chan int, 8)
	var race sync.WaitGroup
	for i := range cap(kept) {
		race.Go(func() {
			status, _ := s.post(path, url.Values{"phrase": {fmt.Sprint("-", 61+i)}, "seen": {seen}})
			kept <- status
		})
	}
	race.Wait()
	close(kept)
	statuses := map[int]int{}
	for status := range kept {
		statuses[status]++
	}
	if statuses[200] != 1 || statuses[409] != 7 {
		t.Errorf("eight tabs at once: statuses %v, want one 200 and seven 409", statuses)
	}
}

// TestTwoTabsAndAnotherWriter has two tabs and another program write at the
// same time: nothing is lost.
func TestTwoTabsAndAnotherWriter(t *testing.T) {
	file := filepath.Join(t.TempDir(), "journal.db")
	j, p := newJournalAt(t, file), newParser(t)
	demo(t, j, p, "wall plate")
	s := open(t, Config{Journal: j, Parser: p}).in()
	const each = 10
	before := len(s.records("4412"))
	var wg sync.WaitGroup
	for tab := range 2 {
		wg.Go(func() {
			for i := range each {
				if status, body := s.post("/job/4412/say", url.Values{"phrase": {fmt.Sprintf("note tab %d number %d", tab, i)}}); status != 200 {
					t.Errorf("tab %d: status %d: %s", tab, status, body)
				}
			}
		})
	}
	wg.Go(func() { // another program: its own connection to the file
		other, err := journal.Open(context.Background(), file, journal.Options{Now: clock})
		if err != nil {
			t.Error(err)
			return
		}
		defer other.Close()
		for i := range each {
			if _, err := other.Append(context.Background(), record.Draft{Job: "4412", At: clock(), Origin: record.Voice, TimeSource: record.FromClock, Phrase: fmt.Sprint("heard ", i), Entry: entry.Note{Text: fmt.Sprint("heard ", i)}}); err != nil {
				t.Error(err)
			}
		}
	})
	wg.Wait()
	texts := map[string]bool{}
	for _, r := range s.records("4412")[before:] {
		if n, ok := r.Entry.(entry.Note); ok {
			texts[n.Text] = true
		}
	}
	if len(texts) != 3*each {
		t.Errorf("%d notes are kept, want %d", len(texts), 3*each)
	}
}

func TestSearchAndPages(t *testing.T) {
	s := demoSite(t, "close job")
	for i := range 60 {
		number := fmt.Sprint(5000 + i)
		add(t, s.cfg.Journal, record.Draft{Job: number, Entry: entry.Job{Verb: "start", Number: number}})
		add(t, s.cfg.Journal, record.Draft{Job: number, Phrase: "note dog in the yard", Entry: entry.Note{Text: "dog in the yard"}})
		if i%2 == 0 {
			add(t, s.cfg.Journal, record.Draft{Job: number, Entry: entry.Job{Verb: "close", Text: "no access"}})
		}
	}
	for query, want := range map[string]string{
		"":                    "61 jobs",
		"?q=quarry":           "1 job",
		"?q=dog+yard":         "60 jobs",
		"?q=ground+block":     "1 job",
		"?q=nothing+like+it":  "0 jobs",
		"?when=today&page=99": "61 jobs",
	} {
		status, body := s.get("/" + query)
		if status != 200 || !strings.Contains(body, `role="status">`+want+"<") {
			t.Errorf("%q: status %d, want %s", query, status, want)
		}
	}
	_, body := s.get("/")
	if open, closed := strings.Index(body, ">open<"), strings.Index(body, ">closed<"); open < 0 || closed >= 0 && closed < open {
		t.Error("the open jobs do not come first")
	}
	if _, body := s.get("/?q=quarry"); !strings.Contains(body, "site 12 Quarry Lane") {
		t.Error("the hit is not shown")
	}
}
