package export

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"downlead/export/closeout"
	"downlead/export/exporttest"
	"downlead/export/figure"
	"downlead/export/pdf"
	"downlead/grammar/entry"
)

// document writes a closeout with options into a folder of the test, or into
// the folder that the variable KEEP names, has it checked, and returns its path.
func document(t *testing.T, name string, c closeout.Closeout, o pdf.Options) string {
	t.Helper()
	dir := t.TempDir()
	if keep := os.Getenv("KEEP"); keep != "" {
		dir = keep
	}
	path := filepath.Join(dir, name)
	raw := exporttest.Render(t, func(b *bytes.Buffer) error { return pdf.WriteCloseout(c, b, o) })
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	if out := exporttest.Tool(t, "qpdf", "--check", path); !strings.Contains(out, "No syntax or stream encoding errors") {
		t.Error(out)
	}
	return path
}

// words are the words of a document, one space between.
func words(t *testing.T, path string) string {
	t.Helper()
	return strings.Join(strings.Fields(exporttest.Tool(t, "pdftotext", "-layout", path, "-")), " ")
}

func lacks(t *testing.T, text string, want ...string) {
	t.Helper()
	for _, w := range want {
		if !strings.Contains(text, w) {
			t.Errorf("the document lacks %q", w)
		}
	}
}

// shortCall is a call with one fault, closed with most steps left out; the
// path is what is usual.
func shortCall(t testing.TB) closeout.Input {
	c := newCall("1001", time.Date(2026, 11, 17, 15, 0, 0, 0, exporttest.Mountain(t)), "America/Denver")
	c.say(entry.Site{Text: "12 Rose Lane"})
	c.say(entry.Time{Mark: "en_route"})
	c.say(entry.Time{Mark: "arrived"})
	c.say(exporttest.LevelAt(exporttest.Behind(0), entry.Fail, "-63"))
	c.say(exporttest.LevelAt(exporttest.PointAt(entry.GroundBlock, 0, entry.ReceiverSide), entry.Fail, "-54"))
	c.say(exporttest.LevelAt(exporttest.PointAt(entry.GroundBlock, 0, entry.DishSide), entry.Pass, "-36"))
	c.say(entry.Action{Action: "replaced", Element: entry.GroundBlock})
	c.say(exporttest.LevelAt(exporttest.Behind(0), entry.Pass, "-46"))
	c.say(entry.Time{Mark: "departed"})
	c.say(entry.Job{Verb: "close", Text: "anyway, customer had to go"})
	for i := range c.records {
		c.records[i].Technician = "Ana Núñez"
	}
	return diagnosed(closeout.Input{Records: c.records, Version: "1.0.0-test", Count: 12})
}

// TestShortJobIsOnePage, on either paper, with what an office looks for first.
func TestShortJobIsOnePage(t *testing.T) {
	for name, size := range map[string]string{"letter": `612 x 792 pts \(letter\)`, "a4": `595\.\d+ x 841\.\d+ pts \(A4\)`} {
		paper, err := pdf.PaperNamed(name)
		if err != nil {
			t.Fatal(err)
		}
		path := document(t, "short-"+name+".pdf", closeoutOf(t, shortCall(t)), pdf.Options{Paper: paper})
		info := exporttest.Tool(t, "pdfinfo", path)
		for _, want := range []string{`Pages: +1\n`, `Page size: +` + size, `Author: +Ana Núñez`, `Title: +Closeout of job 1001`} {
			if !regexp.MustCompile(want).MatchString(info) {
				t.Errorf("pdfinfo lacks %s:\n%s", want, info)
			}
		}
		text := words(t, path)
		lacks(t, text, "Technician: Ana Núñez", "Reason given at closing: customer had to go", "Dashed: assumed, nobody said so", "page 1 of 1")
		if strings.Count(text, "customer had to go") != 1 {
			t.Error("the reason stands more than once")
		}
		// ISO 32000-1: 12.3.3 outlines, 14.9.2 language.
		for key, want := range map[string]string{"Title": `"/Title": "u:Signal path"`, "Lang": `"/Lang": "u:en"`} {
			if out := exporttest.Tool(t, "qpdf", "--json", path); !strings.Contains(out, want) {
				t.Errorf("no %s in the document", key)
			}
		}
	}
}

// TestPapers: regions by CLDR's supplemental data, from memory.
func TestPapers(t *testing.T) {
	for locale, want := range map[string]string{
		"": "Letter", "C": "Letter", "POSIX": "Letter", "C.UTF-8": "Letter", "en_US.UTF-8": "Letter", "fr_CA": "Letter", "es_MX@x": "Letter",
		"de_DE.UTF-8": "A4", "en_GB": "A4", "sr_RS@latin": "A4", "en-AU": "A4",
	} {
		if got := pdf.PaperFor(locale).Name; got != want {
			t.Errorf("%q: %s, want %s", locale, got, want)
		}
	}
	if _, err := pdf.PaperNamed("foolscap"); err == nil {
		t.Error("any paper will do")
	}
}

// TestScripts: what the fonts have is set, an accent apart from its letter
// joined to it (NFC, Unicode Standard Annex 15); what they have not is named,
// on the page and to whoever asked for the document.
func TestScripts(t *testing.T) {
	const address = "Łódź, Ñandú 3 — Улица Мира 7 — Οδός Ερμού 5 — თბილისი — Երևան — "
	in := shortCall(t)
	for i, r := range in.Records {
		if s, ok := r.Entry.(entry.Site); ok {
			s.Text = address + "cafe\u0301"
			in.Records[i].Entry = s
		}
	}
	var told []string
	o := pdf.Options{Lacking: func(s []string) { told = s }}
	text := strings.Join(strings.Fields(exporttest.Tool(t, "pdftotext", document(t, "scripts.pdf", closeoutOf(t, in), o), "-")), " ")
	lacks(t, text, address+"café")
	if told != nil {
		t.Errorf("said to lack %v", told)
	}
	for i, r := range in.Records {
		if s, ok := r.Entry.(entry.Site); ok {
			s.Text = "日本 שלום مرحبا 🛰"
			in.Records[i].Entry = s
		}
	}
	text = words(t, document(t, "lacking.pdf", closeoutOf(t, in), o))
	lacks(t, text, "[U+65E5][U+672C] [U+05E9]", "fonts lack them or cannot set them: Arabic, Han, Hebrew, symbols. The JSON form has them.")
	if want := []string{"Arabic", "Han", "Hebrew", "symbols"}; !slices.Equal(told, want) {
		t.Errorf("told %v, want %v", told, want)
	}
}

// TestManyReadings: 300 readings stay within their pages, in order.
func TestManyReadings(t *testing.T) {
	c := newCall("300", time.Date(2026, 6, 3, 13, 0, 0, 0, exporttest.Mountain(t)), "America/Denver")
	c.say(entry.Site{Text: "1 Example Square"})
	for i := range 300 {
		r := exporttest.LevelAt(exporttest.Behind(1+i%4), "", fmt.Sprintf("-%d", 40+i%25))
		r.Slot, r.Transponder = 101, 1+i/4
		c.say(r)
	}
	path := document(t, "many.pdf", closeoutOf(t, diagnosed(closeout.Input{Records: c.records, Version: "1.0.0-test", Count: 302})), pdf.Options{Paper: pdf.A4()})
	text := words(t, path)
	if n := strings.Count(text, "transponder"); n < 300 {
		t.Errorf("%d of 300 readings", n)
	}
	lacks(t, text, "transponder 75")
}

// picture is an invented photograph: its left half red, the rest blue, with an
// Exif block that names an orientation and a secret (Exif 2.32, 4.6.4).
func picture(t *testing.T, orientation byte) []byte {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, 800, 400))
	for y := range 400 {
		for x := range 800 {
			c := color.RGBA{220, 30, 30, 255}
			if x >= 400 {
				c = color.RGBA{30, 30, 220, 255}
			}
			m.SetRGBA(x, y, c)
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, nil); err != nil {
		t.Fatal(err)
	}
	exif := append([]byte("Exif\x00\x00MM\x00\x2a\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00"), orientation, 0, 0, 0, 0, 0, 0)
	exif = append(exif, "SECRET-PLACE"...)
	return slices.Concat([]byte{0xff, 0xd8, 0xff, 0xe1, 0, byte(len(exif) + 2)}, exif, b.Bytes()[2:])
}

// TestContactSheet: photographs stand in the document, small, the right way
// up and without what their files say besides; one that cannot be shown is
// named; a redacted document has none.
func TestContactSheet(t *testing.T) {
	c := closeoutOf(t, shortCall(t))
	kept := map[string][]byte{"aaaaaaaaaaaa1": picture(t, 1), "bbbbbbbbbbbb2": picture(t, 6), "cccccccccccc3": []byte("no picture")}
	for i, sum := range []string{"aaaaaaaaaaaa1", "bbbbbbbbbbbb2", "cccccccccccc3", "dddddddddddd4"} {
		c.Photographs = append(c.Photographs, closeout.Photograph{Entry: int64(20 + i), SHA256: sum, Name: fmt.Sprintf("clamp%d.jpg", i+1), Point: "ground block, dish side", Remark: "corroded clamp"})
	}
	o := pdf.Options{Photo: func(sum string) (io.ReadCloser, error) {
		b, ok := kept[sum]
		if !ok {
			return nil, errors.New("gone")
		}
		return io.NopCloser(bytes.NewReader(b)), nil
	}}
	path := document(t, "photographs.pdf", c, o)
	text := words(t, path)
	lacks(t, text, "Photographs", "clamp1.jpg (entry 20), SHA-256 aaaaaaaaaaaa…", "in a form that cannot be shown here", "the photograph is not at hand")
	list := exporttest.Tool(t, "pdfimages", "-list", path)
	for _, want := range []string{`480 +240 +rgb .* jpeg`, `240 +480 +rgb .* jpeg`} {
		if !regexp.MustCompile(want).MatchString(list) {
			t.Errorf("no image %s:\n%s", want, list)
		}
	}
	dir := t.TempDir()
	exporttest.Tool(t, "pdfimages", "-j", path, filepath.Join(dir, "i"))
	for _, f := range []string{"i-000.jpg", "i-001.jpg"} {
		b, err := os.ReadFile(filepath.Join(dir, f))
		if err != nil {
			t.Fatal(err)
		}
		if bytes.Contains(b, []byte("SECRET-PLACE")) || bytes.Contains(b, []byte("Exif")) {
			t.Errorf("%s holds what its file said", f)
		}
		m, err := jpeg.Decode(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		// Red is on the left, and turned by 6, row 0 is the right side: red is on top.
		r, _, blue, _ := m.At(20, 20).RGBA()
		if r < blue {
			t.Errorf("%s stands the wrong way", f)
		}
		if r, _, blue, _ = m.At(m.Bounds().Dx()-20, m.Bounds().Dy()-20).RGBA(); r > blue {
			t.Errorf("%s stands the wrong way", f)
		}
	}
	redacted, err := closeout.Redact(c)
	if err != nil {
		t.Fatal(err)
	}
	path = document(t, "redacted.pdf", redacted, o)
	if strings.Contains(exporttest.Tool(t, "pdfimages", "-list", path), "jpeg") {
		t.Error("a redacted document shows photographs")
	}
	text = words(t, path)
	lacks(t, text, "Reason given at closing: [REASON-1]", "Technician: [TECHNICIAN-1]", "[PHOTO-1]")
	for _, secret := range []string{"customer had to go", "Núñez", "Rose Lane", "clamp1"} {
		if strings.Contains(text, secret) {
			t.Errorf("the redacted document says %q", secret)
		}
	}
}

// TestAssumedPathIsDashed: what nobody said is drawn dashed and named; a path
// that was said is not.
func TestAssumedPathIsDashed(t *testing.T) {
	svg := func(in closeout.Input) string {
		return string(exporttest.Render(t, func(b *bytes.Buffer) error { return figure.PathSVG(closeoutOf(t, in), b) }))
	}
	if got := svg(shortCall(t)); !strings.Contains(got, "Wall plate, assumed") || !strings.Contains(got, "stroke-dasharray") {
		t.Errorf("an assumed path is drawn as a known one:\n%s", got)
	}
	if got := svg(twoFaults(t)); regexp.MustCompile(`Splitter(, \d ways)?, assumed`).MatchString(got) {
		t.Errorf("a splitter that was read at is drawn as assumed:\n%s", got)
	}
}

// TestManyReceivers: a path that is longer than a page goes on over the next
// ones, with every receiver and what was read behind it, and so do its levels.
func TestManyReceivers(t *testing.T) {
	c := newCall("24", time.Date(2026, 6, 3, 13, 0, 0, 0, exporttest.Mountain(t)), "America/Denver")
	c.say(entry.Site{Text: "1 Example Square"})
	for i := range 24 {
		p := exporttest.Behind(1 + i)
		p.Room = fmt.Sprintf("flat %d", 100+i)
		c.say(exporttest.LevelAt(p, entry.Pass, fmt.Sprintf("-%d.25", 20+i)))
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	in := diagnosed(closeout.Input{Records: c.records, Version: "1.0.0-test", Count: 26})
	runtime.ReadMemStats(&after)
	if took := (after.TotalAlloc - before.TotalAlloc) >> 20; took > 1000 { // a phone's memory; 24 receivers have thousands of sets of faults
		t.Errorf("concluding the call took %d MB", took)
	}
	path := document(t, "receivers.pdf", closeoutOf(t, in), pdf.Options{Paper: pdf.A4()})
	text := words(t, path)
	for i := range 24 {
		// The path's row, the level figure and the table.
		if got, want := strings.Count(text, fmt.Sprintf("−%d.25 dBm, margin", 20+i)), 1; got != want {
			t.Errorf("receiver %d stands %d times in the path", i+1, got)
		}
		lacks(t, text, fmt.Sprintf("Receiver %d", 1+i), fmt.Sprintf("Level to receiver %d (flat %d)", 1+i, 100+i), fmt.Sprintf("−%d.25 pass", 20+i))
	}
}
