package dialogue

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"downlead/capture"
	"downlead/capture/confidence"
	"downlead/capture/hear"
	audio "downlead/capture/sound"
	"downlead/grammar"
	"downlead/grammar/entry"
	"downlead/grammar/speech"
	"downlead/journal"
	"downlead/journal/record"
)

// spoken renders phrases with a synthetic voice, half a second of silence
// around each.
func spoken(t testing.TB, phrases ...string) []int16 {
	t.Helper()
	return spokenBy(t, "slt", phrases...)
}

func spokenBy(t testing.TB, voice string, phrases ...string) []int16 {
	t.Helper()
	if _, err := exec.LookPath("flite"); err != nil {
		t.Skip("flite is not here: apt-get install flite")
	}
	silence := make([]int16, audio.Rate)
	sound := silence
	for _, text := range phrases {
		wav := filepath.Join(t.TempDir(), "say.wav")
		if b, err := exec.Command("flite", "-voice", voice, "-t", text, "-o", wav).CombinedOutput(); err != nil {
			t.Fatalf("flite: %v: %s", err, b)
		}
		src, err := audio.OpenFile(wav)
		if err != nil {
			t.Fatal(err)
		}
		samples, err := audio.ReadAll(t.Context(), src)
		if err != nil {
			t.Fatal(err)
		}
		src.Close()
		os.Remove(wav)
		sound = append(append(append([]int16{}, sound...), samples...), silence...)
	}
	return sound
}

// refocused is the recogniser of all tests whose listener leads it: each begins
// by giving it the grammar for its own job.
var refocused = sync.OnceValues(func() (*capture.Recogniser, error) {
	p, err := madeParser()
	if err != nil {
		return nil, err
	}
	return capture.NewRecogniser(capture.Config{
		JSGF: p.JSGF(speech.Focus{}), Pronunciations: p.Pronunciations(nil), Meaning: p.Meaning, Rivals: p.Rivals,
	})
})

// listened hears phrases in a job and returns what became of each.
func listened(t *testing.T, c *testCall, wake string, phrases ...string) []Event {
	t.Helper()
	return listenedAfter(t, c, wake, nil, phrases...)
}

// listenedAfter hears them after another sound.
func listenedAfter(t *testing.T, c *testCall, wake string, before []int16, phrases ...string) []Event {
	t.Helper()
	sound := slices.Concat(before, spoken(t, phrases...))
	r, err := refocused()
	if err != nil {
		t.Skip(err)
	}
	l := &Listener{
		Session: c.Session, Recogniser: r, Thresholds: capture.DefaultThresholds(), Origin: record.Voice, Wake: wake, Encode: audio.WAV,
		When: func(u capture.Utterance) (time.Time, record.TimeSource) {
			return c.at.Add(u.Start), record.FromRecording
		},
	}
	if err := l.Refocus(t.Context()); err != nil {
		t.Fatal(err)
	}
	var events []Event
	for u, err := range capture.Listen(t.Context(), audio.FromSamples(sound), r, capture.ListenConfig{}) {
		if err != nil {
			t.Fatal(err)
		}
		ev, err := l.Take(t.Context(), u)
		if err != nil {
			t.Fatal(err)
		}
		events = append(events, ev)
		if err := l.Refocus(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	return events
}

func TestPauseAndResume(t *testing.T) {
	c := newCall(t)
	listened(t, c, "", "pause", "wall plate fail minus sixty", "resume", "behind receiver one fail minus sixty two")
	if got := c.readings(); got != "behind receiver one, fail, minus sixty two" {
		t.Errorf("%q counts, want only what was said after resume", got)
	}
}

// Who goes on after a question, and not at once, is heard.
func TestQuestionExpires(t *testing.T) {
	c := newCall(t)
	c.hear("wall plate fail minus sixty", "the words are not clear")
	if _, open := c.Open(); !open {
		t.Fatal("no question is open")
	}
	listenedAfter(t, c, "", make([]int16, 31*audio.Rate), "behind receiver one fail minus sixty two")
	if got := c.readings(); got != "behind receiver one, fail, minus sixty two" {
		t.Errorf("%q counts", got)
	}
}

// So is who goes on at once: the question stays unanswered, what it is about
// counts for nothing, and the next phrase is kept.
func TestGoingOnAfterAQuestion(t *testing.T) {
	c := newCall(t)
	c.hear("wall plate fail minus sixty", "the words are not clear")
	listened(t, c, "", "behind receiver one fail minus sixty two", "replaced ground block")
	if got := c.readings(); got != "behind receiver one, fail, minus sixty two" {
		t.Errorf("%q counts", got)
	}
	records, err := c.Journal.Job(t.Context(), "7")
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(record.Current(records), func(r record.Record) bool { return r.Entry.Kind() == entry.KindAction }) {
		t.Error("the repair was lost")
	}
}

func TestWakePhrase(t *testing.T) {
	c := newCall(t)
	listened(t, c, "okay ladder", "wall plate fail minus sixty", "okay ladder", "behind receiver one fail minus sixty two")
	if got := c.readings(); got != "behind receiver one, fail, minus sixty two" {
		t.Errorf("%q counts, want only what was said after the wake phrase", got)
	}
}

// Few words must stand out where they would be kept, and only there.
func TestLimits(t *testing.T) {
	p, err := grammar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	poor := capture.Scores{Grammar: -42, Ratio: -33, WorstWord: -60, NumberMargin: 900, SNR: 40, Words: 3}
	for _, c := range []struct {
		text      string
		answering bool
		want      capture.Outcome
	}{
		{"read that back", false, capture.Accept},
		{"replaced ground block", false, capture.Ask},
		{"pause", false, capture.Ask},
		{"minus sixty one", true, capture.Accept},
	} {
		if got := Limits(capture.DefaultThresholds(), p, c.text, c.answering).Decide(poor); got != c.want {
			t.Errorf("%q: %v, want %v", c.text, got, c.want)
		}
	}
}

// A note's words are those of the general model: rough, but words.
func TestNotes(t *testing.T) {
	for name, phrases := range map[string][]string{
		"two breaths": {"note", "the dog is in the yard"},
		"one breath":  {"note the dog is in the yard"},
	} {
		t.Run(name, func(t *testing.T) {
			c := newCall(t)
			events := listened(t, c, "", phrases...)
			records, err := c.Journal.Job(t.Context(), "7")
			if err != nil {
				t.Fatal(err)
			}
			note, ok := records[len(records)-1].Entry.(entry.Note)
			if !ok || !note.Rough || !strings.Contains(note.Text, "in the yard") {
				t.Errorf("kept %+v after %+v", records[len(records)-1].Entry, events)
			}
		})
	}
}

// A note in one breath begins with its word for the second listener too.
func TestBothHearANoteBegin(t *testing.T) {
	for free, want := range map[string]bool{
		"note the dog is in the yard": true, "Note, the dog": true, "not the dog is in the yard": true, "notes the dog": true,
		"no false founder": false, "no": false, "the note": false, "": false,
	} {
		if got := beginsNote(free); got != want {
			t.Errorf("%q: %v", free, got)
		}
	}
	l, u := &Listener{Session: newCall(t).Session}, capture.Utterance{Text: "no that was", End: 2 * time.Second, Second: &capture.Witness{Free: "no false founder"}}
	if ev, err := l.noteInOneBreath(t.Context(), u); err != nil || ev.Outcome != Ignored {
		t.Errorf("%+v, %v", ev, err)
	}
}

// Sound is kept after consent alone, and purging leaves the entry.
func TestSoundIsKeptAfterConsentAlone(t *testing.T) {
	c := newCall(t)
	listened(t, c, "", "wall plate fail minus sixty", "recording is fine", "behind receiver one fail minus sixty two", "stop recording", "ground block dish side pass minus thirty six")
	records, err := c.Journal.Job(t.Context(), "7")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range records {
		reading, ok := r.Entry.(entry.Reading)
		if ok && (r.Clip != "") != (reading.Point.Element == entry.Receiver) {
			t.Errorf("%s: clip %q", r.Phrase, r.Clip)
		}
	}
}

// microphone gives sound no sooner than it is spoken, and tells when it gave
// the last.
type microphone struct {
	audio.Source
	began time.Time
	given int
	last  time.Time
}

func (m *microphone) Read(ctx context.Context, p []int16) (int, error) {
	n, err := m.Source.Read(ctx, p)
	m.given += n
	time.Sleep(time.Until(m.began.Add(time.Duration(m.given) * time.Second / audio.Rate)))
	m.last = time.Now()
	return n, err
}

// BenchmarkTake measures from the end of speech, and from the last of the sound that
// was waited for, to the entry on the disk and the answer ready, at the pace of
// speech: three kinds of phrases by three voices. Goal with both listeners:
// 300 ms at the median and 600 ms at the 95th percentile from the end of the stretch.
func BenchmarkTake(b *testing.B) {
	b.Run("one listener", func(b *testing.B) { benchmarkTake(b, nil) })
	b.Run("both", func(b *testing.B) {
		second := capture.OpenSecond(hear.Folder())
		defer second.Close()
		if err := second.Wait(); err != nil {
			b.Skip(err)
		}
		benchmarkTake(b, second)
	})
}

func benchmarkTake(b *testing.B, second *capture.Second) {
	p, err := grammar.New(nil)
	if err != nil {
		b.Fatal(err)
	}
	j, err := journal.Open(b.Context(), filepath.Join(b.TempDir(), "journal.db"), journal.Options{Create: true})
	if err != nil {
		b.Fatal(err)
	}
	defer j.Close()
	s, err := New(b.Context(), j, p, nil, "")
	if err != nil {
		b.Fatal(err)
	}
	for _, text := range []string{"start job 1", "path dish ground block wall plate receiver"} {
		if _, err := s.Hear(b.Context(), Phrase{Text: text, At: time.Now()}); err != nil {
			b.Fatal(err)
		}
	}
	r, err := capture.NewRecogniser(capture.Config{
		JSGF: p.JSGF(speech.Focus{}), Pronunciations: p.Pronunciations(nil), Meaning: p.Meaning, Rivals: p.Rivals, Second: second,
		Completeness: func(words string) (bool, bool) { return p.Completeness(words, false) },
	})
	if err != nil {
		b.Skip(err)
	}
	defer r.Close()
	table, err := confidence.Built()
	if err != nil {
		b.Fatal(err)
	}
	l := &Listener{
		Session: s, Recogniser: r, Thresholds: capture.DefaultThresholds(), Origin: record.Voice, Figure: Figure{Table: table, Costs: confidence.DefaultCosts()},
		When: func(capture.Utterance) (time.Time, record.TimeSource) { return time.Now(), record.FromClock },
	}
	if err := l.Refocus(b.Context()); err != nil {
		b.Fatal(err)
	}
	var sounds [][]int16
	for _, voice := range []string{"slt", "rms", "awb"} {
		for _, text := range []string{"ground block dish side pass minus thirty six", "wall plate fail minus sixty", "behind receiver one fail minus sixty two strength twelve"} {
			sounds = append(sounds, spokenBy(b, voice, text))
		}
	}
	var took, after []time.Duration
	for i := 0; b.Loop(); i++ {
		sound := sounds[i%len(sounds)]
		mic := &microphone{Source: audio.FromSamples(sound), began: time.Now()}
		how := capture.ListenConfig{Ahead: 140 * time.Millisecond, Doubt: l.Doubt, Endpoints: l.Endpoints(0, nil)}
		for u, err := range capture.Listen(b.Context(), mic, r, how) {
			if err != nil {
				b.Fatal(err)
			}
			ended := mic.last
			ev, err := l.Take(b.Context(), u)
			if err != nil {
				b.Fatal(err)
			}
			if ev.Outcome != Ignored && !u.Amends {
				took = append(took, time.Since(ended))
				after = append(after, time.Since(mic.began)-spokenUntil(sound))
			}
			s.Leave()
			if err := l.Refocus(b.Context()); err != nil {
				b.Fatal(err)
			}
		}
	}
	for _, at := range []int{50, 95} {
		b.ReportMetric(percentile(took, at).Seconds()*1000, fmt.Sprintf("p%d-ms", at))
		b.ReportMetric(percentile(after, at).Seconds()*1000, fmt.Sprintf("p%d-ms-after-speech", at))
	}
	b.ReportMetric(float64(len(took)), "phrases")
}

// spokenUntil is where the last that can be heard of a sound is.
func spokenUntil(sound []int16) time.Duration {
	n := len(sound)
	for n > 0 && sound[n-1] < 300 && sound[n-1] > -300 {
		n--
	}
	return time.Duration(n) * time.Second / audio.Rate
}

func percentile(took []time.Duration, p int) time.Duration {
	slices.Sort(took)
	return took[min(len(took)-1, len(took)*p/100)]
}

// Until somebody says the path every word is as likely as another.
func TestThisJobsPlacesFirst(t *testing.T) {
	c := newCall(t, "wall plate fail minus sixty")
	if words, err := c.elsewhere(t.Context()); err != nil || len(words) > 0 {
		t.Errorf("before the path: %q, %v", words, err)
	}
	c.say("path dish ground block splitter kitchen wall plate receiver")
	words, err := c.elsewhere(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for word, want := range map[string]bool{"attic": true, "diplexer": true, "splitter": false, "kitchen": false, "ground": false, "receiver": false} {
		if slices.Contains(words, word) != want {
			t.Errorf("%q among words of other places: %v", word, !want)
		}
	}
}
