package capture

import (
	"context"
	"errors"
	"io"
	"os"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	audio "downlead/capture/sound"
	"downlead/capture/soundtest"
)

// paced gives sound as a microphone does: no sooner than it is spoken, but
// times faster.
type paced struct {
	audio.Source
	times float64
	began time.Time
	given int
}

func (p *paced) Read(ctx context.Context, b []int16) (int, error) {
	if p.began.IsZero() {
		p.began = time.Now()
	}
	n, err := p.Source.Read(ctx, b)
	p.given += n
	time.Sleep(time.Until(p.began.Add(time.Duration(float64(p.given) / audio.Rate / p.times * float64(time.Second)))))
	return n, err
}

// What was decoded ahead is what would have been decoded after the silence,
// also where the speaker went on after a moment.
func TestAheadHearsTheSame(t *testing.T) {
	t.Parallel() // it waits for sound most of its time
	r := pointsRecogniser(t)
	sound := make([]int16, audio.Rate)
	for _, pause := range []int{audio.Rate * 3 / 10, audio.Rate, audio.Rate / 4, audio.Rate} {
		sound = slices.Concat(sound, soundtest.Phrase(t, "ground block dish side pass minus forty one"), make([]int16, pause))
	}
	heard := func(cfg ListenConfig) (out []Utterance) {
		for u, err := range Listen(t.Context(), &paced{Source: audio.FromSamples(sound), times: 3}, r, cfg) {
			if err != nil {
				t.Fatal(err)
			}
			u.Evidence = nil
			out = append(out, u)
		}
		return out
	}
	want := heard(ListenConfig{})
	all := func(Utterance) bool { return true }
	got := heard(ListenConfig{Ahead: 200 * time.Millisecond, Doubt: all})
	if len(want) < 2 || len(got) != len(want) {
		t.Fatalf("%d stretches ahead, %d after the silence", len(got), len(want))
	}
	same := 0
	for i := range got {
		how := cmp.Options{cmpopts.IgnoreUnexported(Utterance{})}
		if slices.Equal(got[i].Samples, want[i].Samples) {
			same++
		} else { // the noise is known better as the silence goes on, and with it where the speaker begins and ends
			how = append(how, cmpopts.IgnoreFields(Utterance{}, "Samples", "Scores", "Parts"), cmpopts.IgnoreFields(Word{}, "Score", "Ratio"),
				cmp.Comparer(func(a, b time.Duration) bool { return (a - b).Abs() <= 60*time.Millisecond }))
		}
		if d := cmp.Diff(want[i], got[i], how); d != "" {
			t.Errorf("stretch %d: %s", i, d)
		}
	}
	if same < len(want)/2 {
		t.Errorf("%d of %d stretches are the same to the sample", same, len(want))
	}
}

// What is decoded further ahead is what Confirm says.
func TestAheadConfirms(t *testing.T) {
	r := pointsRecogniser(t)
	sound := slices.Concat(make([]int16, audio.Rate), soundtest.Phrase(t, "ground block dish side pass minus forty one"), make([]int16, audio.Rate))
	n := 0
	for u, err := range Listen(t.Context(), audio.FromSamples(sound), r, ListenConfig{Doubt: func(Utterance) bool { return true }}) {
		if err != nil {
			t.Fatal(err)
		}
		want, err := r.Confirm(t.Context(), u)
		if n++; err != nil || u.Evidence == nil || !cmp.Equal(*u.Evidence, want) {
			t.Errorf("evidence %+v, want %+v, %v", u.Evidence, want, err)
		}
	}
	if n != 1 {
		t.Errorf("%d stretches", n)
	}
}

// What is done is what was taken: a phrase that is being decoded is not done yet,
// nor is one at which the loop was left, as it could not be kept.
func TestProgressIsWhatWasTaken(t *testing.T) {
	r := pointsRecogniser(t)
	phrase := slices.Concat(soundtest.Phrase(t, "ground block dish side pass minus forty one"), make([]int16, audio.Rate))
	said := slices.Concat(make([]int16, audio.Rate), phrase, phrase)
	for _, ahead := range []time.Duration{0, 200 * time.Millisecond} {
		var done time.Duration
		var taken []Utterance
		cfg := ListenConfig{Ahead: ahead, Progress: func(p Progress) { done = max(done, p.Done) }}
		for u, err := range Listen(t.Context(), audio.FromSamples(said), r, cfg) {
			if err != nil {
				t.Fatal(err)
			}
			if done > u.Start {
				t.Errorf("ahead %v: %v is done, and the phrase at %v was not taken", ahead, done, u.Start)
			}
			if taken = append(taken, u); len(taken) == 2 {
				break
			}
		}
		if len(taken) != 2 || done < taken[0].End || done > taken[1].Start {
			t.Errorf("ahead %v: %v is done, of %d phrases", ahead, done, len(taken))
		}
	}
}

// Eight hours of sound with a phrase every five minutes, through recognition, at
// full speed: the memory of the process is flat.
func TestLongSpeechMemory(t *testing.T) {
	soundtest.TakesLong(t)
	const hours = 8.0
	r := pointsRecogniser(t)
	said := soundtest.Phrase(t, "ground block dish side pass minus forty one")
	src := &soundtest.Endless{Left: int(hours * 3600 * audio.Rate), Sound: slices.Concat(soundtest.Hiss(8, 10*audio.Rate, -60), said, soundtest.Hiss(9, 290*audio.Rate-len(said), -60))}
	var before int64
	n := 0
	for u, err := range Listen(t.Context(), src, r, ListenConfig{Ahead: 200 * time.Millisecond, Doubt: func(Utterance) bool { return true }}) {
		if err != nil {
			t.Fatal(err)
		}
		if u.Text != "ground block dish side pass minus forty one" {
			t.Errorf("phrase %d: %q", n, u.Text)
		}
		if n++; n == 3 {
			before = resident(t)
		}
	}
	if want := int(hours) * 12; n != want {
		t.Errorf("%d phrases, want %d", n, want)
	}
	grown := resident(t) - before
	t.Logf("%d phrases in %g hours of sound; resident memory grew by %.1f MB", n, float64(hours), float64(grown)/(1<<20))
	if grown > 24<<20 {
		t.Errorf("resident memory grew by %d bytes", grown)
	}
}

// resident is the memory of this process in bytes, the library's with it.
func resident(t *testing.T) int64 {
	t.Helper()
	debug.FreeOSMemory() // what Go has freed and keeps is not the day's
	b, err := os.ReadFile("/proc/self/statm")
	if err != nil {
		t.Skip(err)
	}
	pages, err := strconv.ParseInt(strings.Fields(string(b))[1], 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	return pages * int64(os.Getpagesize())
}

// ending gives sound, and then an error instead of its end.
type ending struct {
	audio.Source
	err error
}

func (e ending) Read(ctx context.Context, b []int16) (int, error) {
	n, err := e.Source.Read(ctx, b)
	if errors.Is(err, io.EOF) {
		err = e.err
	}
	return n, err
}

// A phrase in the middle of which listening ends is marked: what was heard of it
// may be less than was said. A recording's own end breaks nothing off, nor does
// an end in the silence behind a phrase.
func TestBrokenOff(t *testing.T) {
	r := pointsRecogniser(t)
	phrase := slices.Concat(make([]int16, audio.Rate), soundtest.Phrase(t, "ground block dish side pass minus forty one"))
	for name, c := range map[string]struct {
		sound []int16
		err   error
		want  bool
	}{
		"in the middle":           {phrase[:len(phrase)*3/4], context.Canceled, true},
		"the device is gone":      {phrase[:len(phrase)*3/4], audio.ErrDeviceLost, true},
		"in the silence behind":   {slices.Concat(phrase, make([]int16, audio.Rate*2/5)), context.Canceled, false},
		"the end of a recording":  {phrase[:len(phrase)*3/4], io.EOF, false},
		"after the phrase is out": {slices.Concat(phrase, make([]int16, audio.Rate)), context.Canceled, false},
	} {
		n := 0
		for u, err := range Listen(t.Context(), ending{audio.FromSamples(c.sound), c.err}, r, ListenConfig{}) {
			if err != nil {
				break
			}
			if n++; u.Broken != c.want {
				t.Errorf("%s: broken off: %v, want %v", name, u.Broken, c.want)
			}
		}
		if n != 1 {
			t.Errorf("%s: %d stretches", name, n)
		}
	}
}
