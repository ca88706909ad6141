package export

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"downlead/diagnose/call"
	"downlead/export/archive"
	"downlead/export/closeout"
	"downlead/export/exporttest"
	"downlead/export/figure"
	"downlead/export/file"
	"downlead/grammar/entry"
)

// canaries are words that must not leave: each is planted where a person's
// words come in, and in places that quote them.
var canaries = []string{
	"canary-address", "canary-complaint", "canary-note", "canary-remark", "canary-photo", "canary-photo-remark",
	"canary-phrase", "canary-reason", "canary-room", "canary-close", "canary-finding-quote", "555-0142-canary", "(555) 010-0199",
	"someone@example.org", "41.123456", "-104.654321", "#4711*",
}

func planted(t testing.TB) closeout.Input {
	in := twoFaults(t)
	for i := range in.Records {
		r := &in.Records[i]
		r.Phrase = "canary-phrase " + r.Phrase
		switch e := r.Entry.(type) {
		case entry.Site:
			e.Text, e.Lat, e.Lon = "12 canary-address Lane", exporttest.Num("41.123456"), exporttest.Num("-104.654321")
			r.Entry = e
		case entry.Job:
			if e.Verb == "complaint" {
				e.Text = "canary-complaint: call 555-0142-canary"
			}
			if e.Verb == "close" {
				e.Text = "canary-close"
			}
			r.Entry = e
		case entry.Note:
			e.Text = "canary-note\ngate code #4711* for someone@example.org"
			r.Entry = e
		case entry.Check:
			e.Remark = "canary-remark"
			r.Entry = e
		case entry.Photo:
			e.Name, e.Remark = "canary-photo.jpg", "canary-photo-remark"
			e.At.Room = "canary-room"
			r.Entry = e
		case entry.Unparsed:
			e.Text, e.Reason = "canary-phrase x", "canary-reason"
			r.Entry = e
		case entry.Reading:
			e.Point.Room = "canary-room"
			r.Entry = e
		case entry.Action:
			e.Room = "canary-room"
			r.Entry = e
		}
	}
	in.Records[10].Unconfirmed = true
	for i := range in.Diagnosis.Path {
		if in.Diagnosis.Path[i].Room != "" {
			in.Diagnosis.Path[i].Room = "canary-room"
		}
	}
	in.Diagnosis.Points = nil
	in.Diagnosis.Missing = []call.Missing{{Step: "outlet", Detail: "failed: canary-remark; ring (555) 010-0199"}}
	in.Diagnosis.Findings[0].Text = "said “canary-note\ngate code #4711* for someone@example.org” in the canary-room"
	in.Explanation = append(in.Explanation, "The receiver in the Canary-Room was fine.")
	in.Steps = append(in.Steps, call.Step{Step: "x", State: "done", Detail: "canary-remark"})
	return in
}

func TestCanariesAreFoundUnredacted(t *testing.T) {
	var b bytes.Buffer
	if err := closeoutOf(t, planted(t)).JSON(&b); err != nil {
		t.Fatal(err)
	}
	for _, s := range []string{"canary-address", "canary-note", "canary-room", "41.123456"} {
		if !strings.Contains(b.String(), s) {
			t.Errorf("%q was not planted", s)
		}
	}
}

func TestRedact(t *testing.T) {
	t.Run("by hand", func(t *testing.T) { testRedact(t, planted(t)) })
	t.Run("as diagnosed", func(t *testing.T) { testRedact(t, diagnosed(planted(t))) })
}

func testRedact(t *testing.T, planted closeout.Input) {
	c, err := closeout.Redact(closeoutOf(t, planted))
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "redacted")
	in := withFiles(t)
	if err := archive.WriteArchive(context.Background(), dir, archive.ArchiveInput{Closeout: c, Records: in.Records, Open: in.Open}, file.FileOptions{}, nil); err != nil {
		t.Fatal(err)
	}
	text := map[string]string{}
	_ = filepath.WalkDir(dir, func(p string, d os.DirEntry, err error) error {
		if !d.IsDir() {
			b, _ := os.ReadFile(p)
			text[filepath.Base(p)] = string(b)
		}
		return err
	})
	file := filepath.Join(dir, "closeout.pdf")
	text["text of the pdf"] = exporttest.Tool(t, "pdftotext", file, "-")
	text["metadata of the pdf"] = exporttest.Tool(t, "pdfinfo", file)
	text["objects of the pdf"] = exporttest.Tool(t, "qpdf", "--qdf", "--object-streams=disable", file, "-")
	for name, s := range text {
		for _, bird := range append(canaries, "canary", "Quarry") {
			if strings.Contains(strings.ToLower(name+s), strings.ToLower(bird)) {
				t.Errorf("%s: %q got out", name, bird)
			}
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "records.jsonl")); err == nil {
		t.Error("a redacted archive holds the records")
	}
	for _, want := range []string{"[ADDRESS-1]", "[NOTE-1]", "[REMARK-1]", "[ROOM-1]", "[PHOTO-1]"} {
		if !strings.Contains(text["closeout.json"], want) {
			t.Errorf("no tag %s", want)
		}
	}
	// What payroll and quality need is still there.
	if len(c.Readings) == 0 || c.Readings[0].Level != exporttest.Num("-58") || c.Job != "4412" || !c.Redacted {
		t.Errorf("too much was taken away: %+v", c.Readings)
	}
}

func TestRedactionIsStable(t *testing.T) {
	var first []byte
	for range 5 {
		c, err := closeout.Redact(closeoutOf(t, planted(t)))
		if err != nil {
			t.Fatal(err)
		}
		raw := exporttest.Render(t, func(b *bytes.Buffer) error { return c.JSON(b) })
		if first != nil && !bytes.Equal(first, raw) {
			t.Fatal("tags differ from run to run")
		}
		first = raw
	}
	in := closeoutOf(t, planted(t))
	c, _ := closeout.Redact(in)
	tags := map[string]string{}
	for i, k := range in.Checks {
		if old, ok := tags[k.Remark]; ok && old != c.Checks[i].Remark {
			t.Errorf("%q became %q and %q", k.Remark, old, c.Checks[i].Remark)
		}
		tags[k.Remark] = c.Checks[i].Remark
	}
}

// Words of every length are found inside sentences of the product: of one or
// two letters, and of three to seven bytes.
func TestShortWordsAreRedacted(t *testing.T) {
	for _, word := range []string{"Q", "Bo", "Zoe", "Maria", "Ortega7", "J", "É"} {
		in := twoFaults(t)
		for i := range in.Records {
			if n, ok := in.Records[i].Entry.(entry.Note); ok {
				n.Text = word
				in.Records[i].Entry = n
			}
		}
		in.Diagnosis.Findings[0].Text = "the reading of " + word + ", " + strings.ToLower(word) + " " + word + " said so (" + word + ")"
		in.Explanation = append(in.Explanation, word+" was told.")
		c, err := closeout.Redact(closeoutOf(t, in))
		if err != nil {
			t.Fatal(err)
		}
		for _, said := range append([]string{c.Findings[0].Text}, c.Explanation[len(c.Explanation)-1]) {
			for _, w := range strings.FieldsFunc(said, func(r rune) bool {
				return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '-' && r != '[' && r != ']'
			}) {
				if strings.EqualFold(w, word) {
					t.Errorf("%q is left in %q", word, said)
				}
			}
			if !strings.Contains(said, "[NOTE-") {
				t.Errorf("no tag in %q", said)
			}
		}
	}
}

// A technician's own names of checks and codes go, the product's stay; a
// zone's name, which is a region, goes, and times keep their offsets.
func TestOwnNamesAndZonesAreRedacted(t *testing.T) {
	in := twoFaults(t)
	for i := range in.Records {
		switch e := in.Records[i].Entry.(type) {
		case entry.Check:
			if e.Check == "mount" {
				e.Check = "canary gate of the smiths"
				in.Records[i].Entry = e
			}
		case entry.Code:
			e.Code = "canary tower"
			in.Records[i].Entry = e
		}
	}
	full := closeoutOf(t, in)
	c, err := closeout.Redact(full)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	for _, write := range []func(io.Writer) error{full.JSON, full.Text} {
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
	}
	for _, canary := range []string{"canary gate", "canary tower", "America/Denver"} {
		if !strings.Contains(b.String(), canary) {
			t.Errorf("%q is not there unredacted, so it proves nothing", canary)
		}
	}
	b.Reset()
	for _, write := range []func(io.Writer) error{c.JSON, c.Text, c.CSV, func(w io.Writer) error { return figure.PathSVG(c, w) }, func(w io.Writer) error { return figure.LevelSVG(c, w) }} {
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
	}
	for _, canary := range []string{"canary", "America", "Denver"} {
		if strings.Contains(b.String(), canary) {
			t.Errorf("%q is left", canary)
		}
	}
	for _, kept := range []string{"[CHECK-1]", "[CODE-1]", "-07:00", `"outlet"`} {
		if !strings.Contains(b.String(), kept) {
			t.Errorf("%q is gone", kept)
		}
	}
}
