package export

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"downlead/export/closeout"
	"downlead/export/exporttest"
	"downlead/export/figure"
	"downlead/export/pdf"
	"downlead/grammar/entry"
)

// bigHouse is a hard call to draw, invented: eight receivers behind two
// multiswitches, many slots, long words, a repair not proven, no signal.
func bigHouse(t testing.TB) closeout.Input {
	c := newCall("BIG 77", time.Date(2026, 6, 3, 13, 0, 0, 0, exporttest.Mountain(t)), "America/Denver")
	c.say(entry.Site{Text: "Flat 3, the third building behind the second gate, 1200 North Invented Boulevard Extension, Example Springs"})
	c.say(entry.Job{Verb: "complaint", Text: strings.Repeat("no picture in any of the upstairs rooms since the storm, downstairs sometimes; ", 4)})
	ft := func(s string) entry.Decimal { return exporttest.Num(s) }
	c.say(entry.Path{Elements: []entry.PathElement{
		{Element: entry.Dish},
		{Element: entry.LNB},
		{Element: entry.Cable, LengthFt: ft("60"), Cable: "rg6"},
		{Element: entry.GroundBlock},
		{Element: entry.Cable, LengthFt: ft("20")},
		{Element: entry.PowerInserter},
		{Element: entry.Cable, LengthFt: ft("3")},
		{Element: entry.Multiswitch, Number: 1, Ways: 8},
	}})
	rooms := []string{"kitchen", "living room", "den", "office", "bedroom one", "bedroom two", "garage", "patio"}
	for i, room := range rooms {
		c.say(entry.Path{Elements: []entry.PathElement{
			{Element: entry.Multiswitch, Number: 1, Port: i + 1},
			{Element: entry.Cable, LengthFt: ft(fmt.Sprint(20 + 7*i))},
			{Element: entry.WallPlate, Number: i + 1, Room: room},
			{Element: entry.Jumper, LengthFt: ft("6")},
			{Element: entry.Receiver, Number: i + 1, Room: room},
		}})
	}
	for i := range rooms {
		for _, slot := range []int{101, 110, 119} {
			r := exporttest.LevelAt(exporttest.Behind(i+1), "", fmt.Sprint(-44-i-slot%3))
			r.Slot, r.Strength = slot, exporttest.Num(fmt.Sprint(70+i))
			if i == 5 {
				r.Level, r.Strength, r.NoSignal = entry.Decimal{}, entry.Decimal{}, true
			}
			c.say(r)
		}
	}
	c.say(entry.Action{Action: "replaced", Element: entry.Multiswitch, Number: 1})
	c.say(exporttest.LevelAt(exporttest.Behind(1), entry.Pass, "-44"))
	c.say(entry.Check{Check: "mount", Verdict: entry.Fail, Remark: strings.Repeat("the mast leans and the lag bolts are pulling out of soft wood ", 3)})
	c.say(entry.Note{Text: "Ünïcödé ≤ −5 dBm — 日本語 emoji 🛰️ tab\tand\nline " + strings.Repeat("long", 60)})
	c.say(entry.Note{Text: strings.Repeat("a note that goes on and on; ", 60)})
	c.say(entry.Job{Verb: "close", Text: "storm coming, customer asked to stop"})
	in := diagnosed(closeout.Input{Records: c.records, Version: "1.0.0-test", AsOf: time.Date(2026, 6, 3, 23, 0, 0, 0, time.UTC), Count: 70})
	return in
}

func TestPDFOfABigHouse(t *testing.T) {
	c := closeoutOf(t, bigHouse(t))
	if c.Complete || c.Outcome != closeout.NotFixed {
		t.Errorf("complete %v outcome %s", c.Complete, c.Outcome)
	}
	raw := exporttest.Render(t, func(b *bytes.Buffer) error { return pdf.WriteCloseout(c, b, pdf.Options{}) })
	dir := t.TempDir()
	if keep := os.Getenv("KEEP"); keep != "" {
		dir = keep
	}
	path := filepath.Join(dir, "big.pdf")
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	if out := exporttest.Tool(t, "qpdf", "--check", path); !strings.Contains(out, "No syntax or stream encoding errors") {
		t.Error(out)
	}
	text := strings.Join(strings.Fields(exporttest.Tool(t, "pdftotext", "-layout", path, "-")), " ")
	for _, want := range []string{"INCOMPLETE", "storm coming, customer asked to stop", "Ünïcödé ≤ −5 dBm", "no signal", "receiver 8 (patio)", "slot 119", "soft wood"} {
		if !strings.Contains(text, want) {
			t.Errorf("the document lacks %q", want)
		}
	}
}

// FuzzPDF: whatever was said, a document comes out.
func FuzzPDF(f *testing.F) {
	for _, s := range []string{"", "plain", "\x00\xff", "🛰️🏠", "日本語", strings.Repeat("x", 500), "a\n\n\nb", "{pages}", "\u202eright to left", "()\\"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		in := twoFaults(t)
		for i, r := range in.Records {
			switch e := r.Entry.(type) {
			case entry.Note:
				e.Text = s
				in.Records[i].Entry = e
			case entry.Site:
				e.Text = s
				in.Records[i].Entry = e
			case entry.Check:
				e.Remark = s
				in.Records[i].Entry = e
			}
		}
		c := closeoutOf(t, in)
		a := exporttest.Render(t, func(b *bytes.Buffer) error { return pdf.WriteCloseout(c, b, pdf.Options{}) })
		if !bytes.HasPrefix(a, []byte("%PDF-")) {
			t.Error("no document")
		}
		for _, write := range []func(*bytes.Buffer) error{
			func(b *bytes.Buffer) error { return figure.PathSVG(c, b) }, func(b *bytes.Buffer) error { return figure.LevelSVG(c, b) },
			func(b *bytes.Buffer) error { return c.Text(b) }, func(b *bytes.Buffer) error { return c.CSV(b) },
		} {
			exporttest.Render(t, write)
		}
	})
}

// TestWrap: no line is too wide, nothing is lost.
func TestWrap(t *testing.T) {
	s := pdf.NewSheet(pdf.SheetInfo{})
	for _, text := range []string{"", "one", strings.Repeat("word ", 300), strings.Repeat("x", 5000), "a " + strings.Repeat("ü", 200) + " b\n\nc"} {
		lines := figure.Wrap(s, 8, false, text, 40)
		for _, l := range lines {
			if w := s.TextWidth(8, false, l); w > 40 {
				t.Errorf("%q is %.1f mm wide", l, w)
			}
		}
		squeeze := func(s string) string { return strings.Join(strings.Fields(s), "") }
		if got := squeeze(strings.Join(lines, " ")); got != squeeze(text) {
			t.Errorf("%q came out as %q", text, got)
		}
	}
}
