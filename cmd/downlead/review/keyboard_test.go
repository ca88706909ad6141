package review

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// misheard is what the recogniser made of "ground block receiver side, fail,
// minus fifty one": a word and a number of another reading.
const misheard = "ground block receiver side, pass, minus forty one"

// halfwaySite serves the demo call as it stands while the fault is traced,
// with what a call by voice leaves behind: a misheard reading with its sound,
// a phrase that was not understood, and one whose question was not answered.
func halfwaySite(t testing.TB) *site {
	t.Helper()
	j, p := newJournal(t), newParser(t)
	demo(t, j, p, "ground block receiver side")
	at := time.Date(2026, 11, 18, 8, 54, 0, 0, clock().Location())
	add(t, j, record.Draft{At: at, Phrase: "recording is fine", Entry: entry.Consent{Given: true}})
	clip, err := j.PutClip(t.Context(), "4412", bytes.NewReader(sound(t)))
	if err != nil {
		t.Fatal(err)
	}
	add(t, j, record.Draft{
		At: at.Add(2 * time.Minute), Phrase: misheard, Clip: clip, Heard: &record.Heard{Margin: 300, SNR: 2400},
		Entry: entry.Reading{Point: entry.Point{Element: entry.GroundBlock, Side: entry.ReceiverSide}, Verdict: entry.Pass, Level: entry.NewDecimal(-41, 0)},
	})
	add(t, j, record.Draft{
		At: at.Add(3 * time.Minute), Phrase: "ground sprinkler pass minus thirty six",
		Entry: entry.Unparsed{Text: "ground sprinkler pass minus thirty six", Reason: "sprinkler is not known; perhaps splitter"},
	})
	add(t, j, record.Draft{
		At: at.Add(4 * time.Minute), Phrase: "ground block dish side pass minus thirty six", Unconfirmed: true, Heard: &record.Heard{Margin: 100_000_000, SNR: 600},
		Entry: entry.Reading{Point: entry.Point{Element: entry.GroundBlock, Side: entry.DishSide}, Verdict: entry.Pass, Level: entry.NewDecimal(-36, 0)},
	})
	return open(t, Config{Journal: j, Parser: p, Records: leafRecords(t, realRecords(j)), CleanPhoto: func(b []byte) ([]byte, error) { return b, nil }}).in()
}

// TestReviewByKeyboard goes through a review as in the van, with the keyboard
// alone: find the job, play the clip of a misheard number, correct it, see
// the diagnosis change, settle the rest, close with a reason, save the PDF.
// It does so with the page's script and without.
func TestReviewByKeyboard(t *testing.T) {
	for name, before := range map[string][]chromedp.Action[chromedp.Void]{"with script": nil, "without script": {noScript()}} {
		t.Run(name, func(t *testing.T) {
			s := halfwaySite(t)
			b := newTab(t, s, before...)
			scripted := before == nil

			b.tabTo("#q")
			b.keys("quarry")
			b.enter()
			b.tabTo(`a[href="/job/4412"]`)
			b.enter()
			wrong := b.text(".tells .lead")
			if strings.Contains(wrong, "in the ground block or") {
				t.Fatalf("the misheard reading does not matter: %q", wrong)
			}

			b.tabTo(`.tabs a[href$="/entries"]`)
			b.enter()
			entry := b.entry(misheard)
			b.play(entry)
			b.correct(entry, "ground block receiver side, fail, minus fifty one", scripted)
			if got := b.text("#flash"); !strings.Contains(got, "−51 dBm") {
				t.Errorf("the page tells %q, want the new number read back", got)
			}
			b.correct(b.entry("ground sprinkler pass minus thirty six"), "splitter dish side, fail, minus fifty two point five", scripted)
			b.tabTo(b.entry("ground block dish side pass minus thirty six") + ` form[action$="/confirm"] button`)
			b.enter()
			if eval[bool](b, `document.querySelector("#first-title") !== null`) {
				t.Errorf("something is still to be looked at: %s", b.text(".first"))
			}

			b.tabTo(`.tabs a[href="/job/4412"]`)
			b.enter()
			b.until("the diagnosis changes to the ground block", `document.querySelector(".tells .lead").innerText.includes("in the ground block or")`)

			b.tabTo(`.tabs a[href$="/plan"]`)
			b.enter()
			b.tabTo(`#step-outlet button[value="outlet pass"]`)
			b.enter()
			b.tabTo("#reason")
			b.keys("customer had to leave")
			b.keys(kb.Tab)
			b.enter()
			if summary, err := s.cfg.Journal.Summary(t.Context(), "4412"); err != nil || summary.Open {
				t.Errorf("the job is still open (%v)", err)
			}
			b.savePDF()
		})
	}
}

// entry is the selector of the phrase with these words.
func (b *tab) entry(words string) string {
	b.t.Helper()
	id := eval[string](b, fmt.Sprintf(`[...document.querySelectorAll("li.phrase")].filter(e => e.id.startsWith("entry-") && e.querySelector(".words").innerText.includes(%q)).map(e => e.id).join(" ")`, words))
	if id == "" || strings.Contains(id, " ") {
		b.t.Fatalf("%q stands in the phrases %q, want one", words, id)
	}
	return "#" + id
}

// play plays the clip of an entry with the space bar.
func (b *tab) play(entry string) {
	b.t.Helper()
	b.tabTo(entry + " audio")
	b.keys(" ")
	b.until("the clip plays", fmt.Sprintf(`document.querySelector(%q).currentTime > 0`, entry+" audio"))
}

// correct types a phrase again in its place.
func (b *tab) correct(entry, phrase string, scripted bool) {
	b.t.Helper()
	if !eval[bool](b, fmt.Sprintf(`document.querySelector(%q).open`, entry+" .deeds details")) {
		b.tabTo(entry + " .deeds summary")
		b.keys(kb.Enter)
	}
	b.tabTo(entry + ` input[name="phrase"]`)
	if scripted {
		b.replace("ground sprinkler side")
		b.until("a wrong phrase is told of while it is typed", fmt.Sprintf(`document.querySelector(%q)?.textContent.length > 0`, entry+" .check.bad"))
	}
	b.replace(phrase)
	if scripted {
		b.until("the phrase's meaning is told while it is typed", fmt.Sprintf(`document.querySelector(%q)?.textContent.startsWith("Means: ")`, entry+" .check.good"))
	}
	b.enter()
}

// savePDF presses the button and reads the file that comes.
func (b *tab) savePDF() {
	b.t.Helper()
	dir := b.t.TempDir()
	if _, err := chromedp.CallBrowser(b.ctx, browser.SetDownloadBehavior, browser.SetDownloadBehaviorParams{
		Behavior: browser.SetDownloadBehaviorBehaviorAllow, DownloadPath: dir,
	}); err != nil {
		b.t.Fatal(err)
	}
	b.tabTo(`button[name="format"][value="pdf"]`)
	b.keys(kb.Enter)
	file := filepath.Join(dir, "closeout-4412.pdf")
	for end := time.Now().Add(15 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		pdf, err := os.ReadFile(file)
		if err == nil && bytes.HasPrefix(pdf, []byte("%PDF-")) && bytes.Contains(pdf, []byte("%%EOF")) {
			break
		}
		if time.Now().After(end) {
			b.t.Fatalf("no PDF was saved: %v", err)
		}
	}
	records := b.site.records("4412")
	if c, ok := records[len(records)-1].Entry.(entry.Closeout); !ok || c.Format != "pdf" {
		b.t.Errorf("the last entry is %+v, want that a PDF was made", records[len(records)-1].Entry)
	}
}

// TestNewEntriesAppear has another writer add entries while the page is open,
// a phrase half typed in it.
func TestNewEntriesAppear(t *testing.T) {
	s := halfwaySite(t)
	b := newTab(t, s)
	b.open("/job/4412")
	other := newTab(t, s)
	other.open("/job/4412/entries")
	b.tabTo("#phrase")
	b.keys("note half ty")
	add(t, s.cfg.Journal, record.Draft{Phrase: "LNB, pass, minus thirty", Entry: entry.Reading{Point: entry.Point{Element: entry.LNB, Side: entry.ReceiverSide}, Verdict: entry.Pass, Level: entry.NewDecimal(-30, 0)}})
	b.until("the path shows the new reading", `document.querySelector(".pathfig").textContent.includes("−30 dBm")`)
	b.until("it is told to those who listen", `document.querySelector("#live-word").textContent.includes("LNB")`)
	b.keys("ped")
	if got := eval[string](b, `document.querySelector("#phrase").value`); got != "note half typed" {
		t.Errorf("the phrase that was being typed is now %q", got)
	}
	other.until("the other tab has it too", `document.querySelector("#live-entries").textContent.includes("−30 dBm")`)
}
