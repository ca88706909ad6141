package journal

import (
	"encoding/json"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"github.com/gowebpki/jcs"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// everyEntry has one entry of each kind that is stored, with most members set.
func everyEntry() []entry.Entry {
	p := entry.Point{Element: entry.Splitter, Number: 2, Side: entry.ReceiverSide, Port: 3, Room: "den"}
	dec := func(s string) entry.Decimal {
		d, err := entry.ParseDecimal(s)
		if err != nil {
			panic(err)
		}
		return d
	}
	return []entry.Entry{
		entry.Reading{
			Point: p, Verdict: entry.Fail, Level: dec("-52.5"), Strength: dec("0"), MER: dec("9.5"), Volts: dec("18.1"),
			NoSignal: true, Slot: 119, Transponder: 21, Polarity: "odd", Assumed: []string{"sign"},
		},
		entry.Path{Elements: []entry.PathElement{{Element: entry.Dish}, {Element: entry.Cable, LengthFt: dec("60.25"), Cable: "rg6"}}},
		entry.Setting{Name: "threshold", Value: dec("75"), Slot: 110},
		entry.Setting{Name: "weather", Text: "rain"},
		entry.Action{Action: "replaced", Element: entry.Cable, At: &p, To: &p, LengthFt: dec("30")},
		entry.Material{Item: "fitting", Quantity: 2},
		entry.Check{Check: "outlet", Verdict: entry.Fail, Point: &p, Remark: "open ground"},
		entry.Time{Mark: "arrived"},
		entry.Miles{Value: dec("12.4")},
		entry.Code{Code: "7", Units: dec("2")},
		entry.Job{Verb: "start", Number: "4412"},
		entry.Site{Text: "12 Quarry Lane", Lat: dec("35.123456"), Lon: dec("-100.2"), Reported: "08:10"},
		entry.Consent{Given: true},
		entry.Note{Text: "<&> \u2028 \"q\" \\ / \x00\x1f\x7f é 😀"},
		entry.Correction{Verb: "change", Entry: 12, Point: &p, Level: dec("-43"), Replace: []entry.Entry{entry.Miles{Value: dec("1.5")}}},
		entry.Question{Question: "margin", Point: &p, Slot: 119},
		entry.Unparsed{Text: "mumble", Reason: "no word of it is known"},
		entry.Photo{SHA256: strings.Repeat("0", 64), Name: "a.jpg"},
		entry.Closeout{Head: strings.Repeat("0", 64), Count: 12, Format: "pdf"},
		entry.Purge{Entry: 4, Clip: strings.Repeat("0", 64)},
	}
}

func settled(t testing.TB, e entry.Entry) record.Draft {
	t.Helper()
	d := record.Draft{
		Job: "4412", At: evening.Add(123456789), Zone: "America/Chicago", Origin: record.Voice, TimeSource: record.FromRecording,
		Phrase: "é \"x\"\t\x01", Clip: strings.Repeat("a", 64), Unconfirmed: true,
		Heard: &record.Heard{Grammar: -1, Ratio: 2, WorstWord: -3, Margin: 4, SNR: 5, At: 6}, Entry: e,
	}
	if err := settle(&d, time.Now, &zones{}); err != nil {
		t.Fatal(err)
	}
	return d
}

func TestEveryKindIsStoredAndReadBack(t *testing.T) {
	for _, e := range everyEntry() {
		d := settled(t, e)
		d.Heard.Confidence, d.Heard.LogP, d.Heard.Lead, d.Heard.Free = 9931, -412, 655, -98 // since two listen
		text, err := encode(7, &d)
		if err != nil {
			t.Fatal(err)
		}
		canonical, err := jcs.Transform(text)
		if err != nil || string(canonical) != string(text) {
			t.Errorf("%s is not stored in canonical form (%v):\n%s\n%s", e.Kind(), err, text, canonical)
		}
		seq, got, err := decode(text, &zones{})
		if err != nil || seq != 7 {
			t.Errorf("%s: decode = %d, %v", e.Kind(), seq, err)
		}
		if diff := cmp.Diff(d, got, decimals); diff != "" {
			t.Errorf("%s (-stored +read):\n%s", e.Kind(), diff)
		}
	}
}

// The text that is hashed, written out in full: this is the format.
func TestTheStoredText(t *testing.T) {
	d := settled(t, entry.Reading{Point: entry.Point{Element: entry.WallPlate, Side: entry.ReceiverSide}, Level: entry.NewDecimal(-52, -5)})
	d.Phrase = "wall plate, minus fifty two point five"
	got, err := encode(7, &d)
	if err != nil {
		t.Fatal(err)
	}
	want := `{"at":"2026-11-20T18:00:00.123Z","clip":"aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa",` +
		`"entry":{"kind":"reading","level_dbm":"-52.5","point":{"element":"wall_plate","side":"receiver"}},` +
		`"heard":{"at_ms":6,"gpf":-1,"llr":2,"margin":4,"snr":5,"worst":-3},"job":"4412","kind":"reading","offset":-21600,` +
		`"origin":"voice","phrase":"wall plate, minus fifty two point five","seq":7,"time_source":"recording",` +
		`"unconfirmed":true,"zone":"America/Chicago"}`
	if string(got) != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestCanonicalTextOfARecord(t *testing.T) {
	j, _ := openTemp(t)
	records := sample(t, j)
	var h record.Hash
	for _, r := range records {
		text, err := Canonical(r)
		if err != nil {
			t.Fatal(err)
		}
		if h = record.Chain(h, text); h != r.Hash {
			t.Errorf("entry %d: the chain of the texts is %v, want %v", r.Seq, h, r.Hash)
		}
	}
}

func TestNumbersThatWouldBeRoundedAreRefused(t *testing.T) {
	for _, c := range []struct {
		entry entry.Entry
		ok    bool
	}{
		{entry.Closeout{Count: 1<<53 - 1}, true},
		{entry.Closeout{Count: 1 << 53}, false},
		{entry.Material{Item: "fitting", Quantity: -1 << 60}, false},
	} {
		d := settled(t, c.entry)
		if text, err := encode(1, &d); (err == nil) != c.ok {
			t.Errorf("%+v: %s, %v", c.entry, text, err)
		}
	}
	d := note("1", "x")
	d.Phrase = "\xff"
	if err := settle(&d, time.Now, &zones{}); err == nil {
		t.Error("a phrase that is not UTF-8 was taken")
	}
}

// FuzzDecode: whatever lies in a file, decoding says yes or no, and what it
// takes is stored and read back as the same.
func FuzzDecode(f *testing.F) {
	for _, e := range everyEntry() {
		d := settled(f, e)
		text, err := encode(7, &d)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Add([]byte(`{"at":"2026-11-20T18:00:00.123Z","entry":{"kind":"note"},"job":"","kind":"note","offset":1e400,"seq":-1}`))
	f.Add([]byte(`{}`))
	f.Add([]byte(`{"entry":{"kind":"correction","replace":[{"kind":"correction","replace":[{}]}]}}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		var z zones
		_ = eachMember(text, func(_, value []byte) { unquote(value); eachWord(value, true, func([]byte) {}) })
		seq, d, err := decode(text, &z)
		if err != nil {
			return
		}
		first := d
		if settle(&d, time.Now, &z) != nil {
			return
		}
		d.Zone = first.Zone
		again, err := encode(seq, &d)
		if err != nil || !utf8.Valid(again) {
			return // a number that cannot be kept
		}
		if canonical, err := jcs.Transform(again); err != nil || string(canonical) != string(again) {
			t.Fatalf("not canonical (%v): %s", err, again)
		}
		_, back, err := decode(again, &z)
		if err != nil {
			t.Fatalf("what was stored cannot be read: %v\n%s", err, again)
		}
		if third, err := encode(seq, &back); err != nil || string(third) != string(again) {
			t.Fatalf("stored as\n%s\nand read and stored again as (%v)\n%s", again, err, third)
		}
	})
}

// FuzzCanonical holds our own writing of strings against the library's.
func FuzzCanonical(f *testing.F) {
	for _, s := range []string{"", "a\"b\\c/d", "\b\t\n\v\f\r\x00\x1f\x7f\u0080\u2028\ufffd😀"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if !utf8.ValidString(s) {
			return
		}
		raw, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		want, err := jcs.Transform([]byte(`[` + string(raw) + `]`))
		if err != nil {
			t.Fatal(err)
		}
		if got := `[` + string(appendString(nil, s)) + `]`; got != string(want) {
			t.Errorf("%q: got %s, want %s", s, got, want)
		}
		var words []string
		wordsOf(appendString(nil, s), func(w []byte) { words = append(words, string(w)) })
		short := record.Tokens(s)
		for i := len(short) - 1; i >= 0; i-- {
			if len(short[i]) > maxWord {
				short = append(short[:i], short[i+1:]...)
			}
		}
		if diff := cmp.Diff(short, words); diff != "" && len(short)+len(words) > 0 {
			t.Errorf("words of %q as searched for and as kept:\n%s", s, diff)
		}
	})
}
