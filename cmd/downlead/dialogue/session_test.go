package dialogue

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"downlead/capture"
	"downlead/grammar"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// testCall is a conversation on a real journal. All phrases are invented.
type testCall struct {
	t *testing.T
	*Session
	at   time.Time
	path string // of the journal
}

func newCall(t *testing.T, phrases ...string) *testCall {
	t.Helper()
	path := filepath.Join(t.TempDir(), "journal.db")
	j, err := journal.Open(t.Context(), path, journal.Options{Create: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { j.Close() })
	s, err := New(t.Context(), j, usualParser(t), nil, "")
	if err != nil {
		t.Fatal(err)
	}
	c := &testCall{t: t, Session: s, at: time.Date(2026, 11, 18, 9, 0, 0, 0, time.UTC), path: path}
	for _, text := range append([]string{"start job 7"}, phrases...) {
		c.say(text)
	}
	return c
}

// madeParser is made once for all tests: nothing changes a parser.
var madeParser = sync.OnceValues(func() (*grammar.Parser, error) { return grammar.New(nil) })

func usualParser(t testing.TB) *grammar.Parser {
	t.Helper()
	p, err := madeParser()
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// say types a phrase; hear hears it with a doubt.
func (c *testCall) say(text string) Reply {
	c.t.Helper()
	return c.phrase(Phrase{Text: text, Origin: record.Typed})
}

func (c *testCall) hear(text, doubt string) Reply {
	c.t.Helper()
	return c.phrase(Phrase{Text: text, Origin: record.Voice, Doubt: doubt})
}

func (c *testCall) phrase(p Phrase) Reply {
	c.t.Helper()
	c.at = c.at.Add(time.Minute)
	p.At, p.TimeSource = c.at, record.FromGiven
	r, err := c.Hear(c.t.Context(), p)
	if err != nil {
		c.t.Fatalf("%q: %v", p.Text, err)
	}
	return r
}

// kept are the records that count.
func (c *testCall) kept() []record.Record {
	c.t.Helper()
	records, err := c.Journal.Job(c.t.Context(), "7")
	if err != nil {
		c.t.Fatal(err)
	}
	return record.Current(records)
}

// readings are those that count, read back.
func (c *testCall) readings() string {
	c.t.Helper()
	var out []string
	for _, r := range c.kept() {
		if r.Entry.Kind() == entry.KindReading {
			out = append(out, entry.Say(r.Entry))
		}
	}
	return strings.Join(out, "; ")
}

func TestQuestions(t *testing.T) {
	const sixtyOne = "behind receiver one fail minus sixty one"
	for _, c := range []struct {
		name   string
		before []string
		say    string
		doubt  string
		asked  string // part of the question
		while  string // readings that count while it is open
		answer string
		then   string // readings that count after the answer
	}{
		{name: "a doubt, yes", say: sixtyOne, doubt: "noise", asked: "Did you say", answer: "yes", then: "behind receiver one, fail, minus sixty one"},
		{name: "a doubt, no", say: sixtyOne, doubt: "noise", asked: "Did you say", answer: "no", then: ""},
		{name: "a doubt, another number", say: sixtyOne, doubt: "noise", asked: "Did you say", answer: "minus fifty one", then: "behind receiver one, fail, minus fifty one"},
		{name: "a doubt, digit by digit", say: sixtyOne, doubt: "noise", asked: "Did you say", answer: "minus five one", then: "behind receiver one, fail, minus fifty one"},
		{name: "a doubt, another phrase instead", say: sixtyOne, doubt: "noise", asked: "Did you say", answer: "wall plate fail minus sixty", then: "wall plate receiver side, fail, minus sixty"},
		{name: "a side that was not said", say: "ground block fail minus fifty four", asked: "dish side or receiver side", answer: "dish side", then: "ground block dish side, fail, minus fifty four"},
		{name: "a side, by its order", say: "ground block fail minus fifty four", asked: "dish side or receiver side", answer: "the second", then: "ground block receiver side, fail, minus fifty four"},
		{name: "no signal, and a level", say: "ground block dish side, no signal, minus forty two", asked: "contradicts", answer: "no"},
		{name: "a room, its receiver", say: "kitchen passes minus forty four", asked: "receiver, or at the kitchen wall plate", answer: "the receiver", then: "behind receiver in the kitchen, pass, minus forty four"},
		{name: "a room, its plate", say: "kitchen passes minus forty four", asked: "receiver, or at the kitchen wall plate", answer: "wall plate", then: "wall plate receiver side in the kitchen, pass, minus forty four"},
		{name: "a room, after another place", before: []string{"wall plate fail minus fifty two"}, say: "the den is minus forty", asked: "Behind the den", while: "wall plate receiver side, fail, minus fifty two", answer: "neither", then: "wall plate receiver side, fail, minus fifty two"},
		{
			name: "one of two", before: []string{"path dish, lnb, fifty feet, splitter one, twenty feet, splitter two, thirty feet, receiver one"},
			say: "splitter dish side fail minus fifty two", asked: "Which one", answer: "the first", then: "splitter one dish side, fail, minus fifty two",
		},
		{
			name: "a verdict against its number, meant", say: "behind receiver one pass minus fifty three", asked: "is below the floor",
			while: "behind receiver one, pass, minus fifty three", answer: "yes", then: "behind receiver one, pass, minus fifty three",
		},
		{
			name: "a verdict against its number, not meant", say: "behind receiver one pass minus fifty three", asked: "is below the floor",
			while: "behind receiver one, pass, minus fifty three", answer: "no", then: "behind receiver one, fail, minus fifty three",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			call := newCall(t, c.before...)
			r := call.hear(c.say, c.doubt)
			if r.Outcome != Asked || !strings.Contains(r.Asked, c.asked) {
				t.Fatalf("reply %+v, want the question %q", r, c.asked)
			}
			if got := call.readings(); got != c.while {
				t.Errorf("while it is open %q counts, want %q", got, c.while)
			}
			call.say(c.answer)
			if got := call.readings(); got != c.then {
				t.Errorf("after %q, %q counts, want %q", c.answer, got, c.then)
			}
		})
	}
}

func TestADoubtIsAboutTheWholePhrase(t *testing.T) {
	c := newCall(t)
	r := c.hear("ground block dish side pass minus forty one, receiver side fail minus fifty four", "noise")
	if strings.Count(r.Asked, ";") != 1 || c.readings() != "" {
		t.Fatalf("asked %q, counts %q", r.Asked, c.readings())
	}
	c.say("yes")
	if got := c.readings(); strings.Count(got, ";") != 1 {
		t.Errorf("%q counts, want both readings", got)
	}
}

// An implausible number is asked about by voice, never when typed, and never
// changed.
func TestImplausibleNumbers(t *testing.T) {
	path := "path dish, lnb, two hundred feet, ground block, forty feet, wall plate, six foot jumper, receiver one"
	for _, c := range []struct {
		say   string
		asked bool
	}{
		{"behind receiver one fail minus ninety", true},
		{"behind receiver one pass minus twenty", true}, // 246 ft of cable cannot pass that much
		{"behind receiver one fail minus fifty eight", false},
	} {
		voice, typed := newCall(t, path), newCall(t, path)
		if r := voice.hear(c.say, ""); (r.Asked != "") != c.asked {
			t.Errorf("%q by voice: asked %q", c.say, r.Asked)
		}
		if r := typed.say(c.say); r.Asked != "" {
			t.Errorf("%q typed: asked %q", c.say, r.Asked)
		}
	}
}

func TestNothingBeforeAJob(t *testing.T) {
	j, err := journal.Open(t.Context(), filepath.Join(t.TempDir(), "journal.db"), journal.Options{Create: true})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	p, _ := grammar.New(nil)
	s, err := New(t.Context(), j, p, nil, "")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Hear(t.Context(), Phrase{Text: "arrived", At: time.Now()}); !errors.Is(err, ErrNoJob) {
		t.Errorf("error %v, want ErrNoJob", err)
	}
	if _, n, _ := j.Head(t.Context()); n != 0 {
		t.Errorf("%d records were stored", n)
	}
}

func TestWhatIsNotUnderstoodIsKept(t *testing.T) {
	c := newCall(t)
	r := c.say("sprinkler output two on fire")
	if r.Outcome != Unparsed || r.Err == nil || len(r.Records) != 1 {
		t.Fatalf("reply %+v", r)
	}
	u, ok := r.Records[0].Entry.(entry.Unparsed)
	if !ok || u.Text != "sprinkler output two on fire" || u.Reason == "" {
		t.Errorf("kept %+v", r.Records[0].Entry)
	}
}

func TestCautionsComeOnce(t *testing.T) {
	c := newCall(t, "arrived", "behind receiver one fail minus sixty")
	seen := map[string]int{}
	for _, text := range []string{
		"ground block dish side no signal", "replaced lnb", "behind receiver one pass minus forty four", "outlet pass", "input test pass", "dish pass", "grounding pass",
	} {
		for _, caution := range c.say(text).Caution {
			seen[caution]++
		}
	}
	if len(seen) < 3 {
		t.Errorf("%d cautions, want the ladder, power lines, outlet and grounding ones", len(seen))
	}
	for caution, n := range seen {
		if n != 1 {
			t.Errorf("%d times: %s", n, caution)
		}
	}
}

func TestClosingWithThingsMissing(t *testing.T) {
	c := newCall(t, "arrived")
	if r := c.say("close job"); !strings.Contains(r.Asked, "Still missing") {
		t.Fatalf("asked %q", r.Asked)
	}
	if r := c.say("no"); r.Text != "Not closed." {
		t.Errorf("answer %q", r.Text)
	}
	c.say("close job")
	c.say("yes")
	if _, err := c.Journal.CurrentJob(t.Context()); !errors.Is(err, journal.ErrNoJob) {
		t.Errorf("error %v, want that no job is open", err)
	}
}

// Two conversations about one job lose nothing, and see each other's entries.
// Every fifth is a reading; the others say nothing of the signal, so that the
// time goes into storing at once and not into weighing a hundred readings.
func TestTwoConversations(t *testing.T) {
	a := newCall(t)
	b, err := New(t.Context(), a.Journal, a.Parser, nil, "7")
	if err != nil {
		t.Fatal(err)
	}
	text := func(whose, reading string, i int) string {
		if i%5 == 0 {
			return reading
		}
		return fmt.Sprintf("note %s wrote %d", whose, i)
	}
	done := make(chan error, 1)
	go func() {
		for i := range 20 {
			if _, err := b.Hear(context.Background(), Phrase{Text: text("b", "wall plate fail minus sixty", i), At: time.Now(), Origin: record.Reviewed}); err != nil {
				done <- err
				return
			}
		}
		done <- nil
	}()
	for i := range 20 {
		a.say(text("a", "behind receiver one fail minus sixty two", i))
	}
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	if got := strings.Count(a.readings(), ";") + 1; got != 8 {
		t.Errorf("%d readings, want 8", got)
	}
	notes := map[string]int{}
	for _, r := range a.kept() {
		if n, ok := r.Entry.(entry.Note); ok {
			notes[n.Text]++
		}
	}
	if len(notes) != 32 {
		t.Errorf("%d notes, want 32: %v", len(notes), notes)
	}
}

// A doubt between two is asked about by the word that differs, and either
// answers it; so does the phrase said again.
func TestQuestionNamesTheTwo(t *testing.T) {
	const fifty = "wall plate fail minus fifty"
	for _, c := range []struct{ say, rival, asked, answer, then string }{
		{fifty, fifty + " eight", "Fifty, or fifty eight?", "fifty", "wall plate receiver side, fail, minus fifty"},
		{fifty, fifty + " eight", "Fifty, or fifty eight?", "minus fifty eight", "wall plate receiver side, fail, minus fifty eight"},
		{fifty, fifty + " eight", "Fifty, or fifty eight?", "the second", "wall plate receiver side, fail, minus fifty eight"},
		{fifty, fifty + " eight", "Fifty, or fifty eight?", "five eight", "wall plate receiver side, fail, minus fifty eight"},
		{fifty, fifty + " eight", "Fifty, or fifty eight?", fifty, "wall plate receiver side, fail, minus fifty"},
		{fifty, fifty + " eight", "Fifty, or fifty eight?", fifty + " eight", "wall plate receiver side, fail, minus fifty eight"},
		{fifty, fifty + " eight", "Fifty, or fifty eight?", "yes", ""},
		{fifty, fifty + " eight", "Fifty, or fifty eight?", "no", ""},
		{fifty, fifty + " eight", "Fifty, or fifty eight?", "minus forty", "wall plate receiver side, fail, minus forty"},
		{fifty, "wall plate pass minus fifty", "Fail, or pass?", "pass", "wall plate receiver side, pass, minus fifty"},
		{fifty + " four point seven", fifty + " point seven", "Fifty four point seven, or fifty point seven?", "minus fifty point seven", "wall plate receiver side, fail, minus fifty point seven"},
		{"ground block dish side pass minus forty", "ground block receiver side pass minus forty", "Dish, or receiver?", "receiver side", "ground block receiver side, pass, minus forty"},
		{fifty, "wall plate pass minus twenty", "Did you say: wall plate receiver side, fail, minus fifty?", "yes", "wall plate receiver side, fail, minus fifty"},
		{fifty, "what next", "Did you say: wall plate receiver side, fail, minus fifty?", fifty, "wall plate receiver side, fail, minus fifty"},
	} {
		call := newCall(t)
		r := call.phrase(Phrase{Text: c.say, Origin: record.Voice, Doubt: "noise", Rival: c.rival})
		if r.Asked != c.asked {
			t.Errorf("%q or %q: asked %q, want %q", c.say, c.rival, r.Asked, c.asked)
			continue
		}
		call.say(c.answer)
		if got := call.readings(); got != c.then {
			t.Errorf("%q or %q: after %q, %q counts, want %q", c.say, c.rival, c.answer, got, c.then)
		}
		if open, _ := call.Open(); (open != "") != (c.answer == "yes" && c.then == "") {
			t.Errorf("%q: after %q the question %q is open", c.say, c.answer, open)
		}
	}
}

func TestCalibrate(t *testing.T) {
	now := capture.DefaultThresholds()
	var records []record.Record
	for i := range 200 {
		records = append(records, record.Record{Seq: int64(i + 1), Draft: record.Draft{
			Job: "7", Origin: record.Voice, Entry: entry.Time{Mark: "arrived"},
			Heard: &record.Heard{Grammar: -3000 - i, Ratio: -2000 - i, WorstWord: -4000 - i, Margin: 90000},
		}})
	}
	c, ok := Calibrate(records, now)
	if !ok || c.Right != 200 || c.Wrong != 0 {
		t.Fatalf("%+v, %v", c, ok)
	}
	// The lowest hundredth of -30.00 … -31.99 is -31.97, less one.
	if got := c.Suggest.Grammar; got > -32.9 || got < -33.1 {
		t.Errorf("grammar limit %.2f, want about -33", got)
	}
	if c.Suggest.Margin != now.Margin {
		t.Errorf("margin %v, want it left at %v: nothing was wrong", c.Suggest.Margin, now.Margin)
	}
	if _, ok := Calibrate(records[:50], now); ok {
		t.Error("50 phrases were enough")
	}
}

// The disk is full where clips are kept: the entry stands without its sound,
// and the reply says so.
func TestFullDiskKeepsTheEntry(t *testing.T) {
	c := newCall(t, "recording is fine")
	clips := c.path + "-clips"
	if err := os.MkdirAll(clips, 0o700); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", clips).CombinedOutput(); err != nil {
		t.Skipf("a disk of its own cannot be mounted here (root is needed): %v %s", err, out)
	}
	t.Cleanup(func() {
		if out, err := exec.Command("umount", clips).CombinedOutput(); err != nil {
			t.Errorf("umount: %v %s", err, out)
		}
	})
	r := c.phrase(Phrase{Text: "wall plate fail minus sixty", Origin: record.Voice, Sound: make([]byte, 100<<10)})
	if len(r.Records) != 1 || r.Records[0].Clip != "" || !strings.Contains(r.Warning, "sound could not be kept") {
		t.Errorf("%+v", r)
	}
	if got := c.readings(); got != "wall plate receiver side, fail, minus sixty" {
		t.Errorf("%q counts", got)
	}
	left, err := os.ReadDir(clips)
	if err != nil || len(left) > 0 {
		t.Errorf("left of the clip: %v, %v", left, err)
	}
	r = c.phrase(Phrase{Text: "ground block dish side pass minus thirty six", Origin: record.Voice, Sound: make([]byte, 10<<10)})
	if r.Warning != "" || r.Records[0].Clip == "" {
		t.Errorf("a clip that fits: %q, %+v", r.Warning, r.Records)
	}
}

// A level heard over three spreads above what a healthy path gives is asked
// about: at the LNB -32 dBm, and 4.1 dB with one transponder against another,
// so from about -19.6 dBm on. The figures of the tables; common practice.
func TestALevelTooGoodIsAskedAbout(t *testing.T) {
	for level, asked := range map[string]bool{"twenty three": false, "seventeen": true} {
		c := newCall(t, "path dish, l n b, sixty feet, ground block, forty feet, wall plate, jumper, receiver")
		r := c.hear("l n b pass minus "+level, "")
		if got := strings.Contains(r.Text, "unusual"); got != asked {
			t.Errorf("minus %s at the LNB: asked %v, want %v: %q", level, got, asked, r.Text)
		}
	}
}

// "Plugged in all the receivers" is one deed at each receiver of the path.
func TestOneDeedOfManyReceivers(t *testing.T) {
	for say, want := range map[string]int{"plugged in all the receivers": 2, "plugged both boxes back in": 2, "rebooted all the boxes": 2, "plugged in receiver one": 1} {
		c := newCall(t, "path dish, L N B, sixty feet, ground block, thirty feet, two way splitter", "receiver one on splitter output one, kitchen, twenty feet", "receiver two on splitter output two, den, forty feet")
		c.say(say)
		var numbers []int
		for _, r := range c.kept() {
			if a, ok := r.Entry.(entry.Action); ok {
				numbers = append(numbers, a.Number)
			}
		}
		if len(numbers) != want || len(numbers) == 2 && numbers[0] == numbers[1] {
			t.Errorf("%q: deeds at receivers %v, want %d", say, numbers, want)
		}
	}
}
