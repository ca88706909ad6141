package capture

import (
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"downlead/capture/segment"
	"downlead/capture/sound"
	"downlead/capture/soundtest"
)

// blown is a sound with forty blows a second beside it, each a rush that dies away in
// some milliseconds, so many dB under it.
func blown(pure []int16, seed uint64, db float64) []int16 {
	r := rand.New(rand.NewPCG(seed, 7))
	n := len(pure)
	blows := make([]float64, n)
	for range n * 40 / sound.Rate {
		at, loud := r.IntN(n), 0.5+r.Float64()
		for i := 0; i < 400 && at+i < n; i++ {
			blows[at+i] += loud * math.Exp(-float64(i)/60) * r.NormFloat64()
		}
	}
	signal, noise := 0.0, 0.0
	for i := range pure {
		signal += float64(pure[i]) * float64(pure[i])
		noise += blows[i] * blows[i]
	}
	by := math.Sqrt(signal/noise) / math.Pow(10, db/20)
	out := make([]int16, n)
	for i := range out {
		out[i] = sound.ToInt16(float32((float64(pure[i]) + by*blows[i]) / (1 << 15)))
	}
	return out
}

// declicked is a sound through ffmpeg's filter adeclick, which removes "impulsive noise".
func declicked(t *testing.T, samples []int16) []int16 {
	t.Helper()
	soundtest.Needs(t, "ffmpeg", "ffmpeg")
	dir := t.TempDir()
	in, out := filepath.Join(dir, "in.wav"), filepath.Join(dir, "out.wav")
	if err := os.WriteFile(in, sound.WAV(samples), 0o600); err != nil {
		t.Fatal(err)
	}
	if b, err := exec.Command("ffmpeg", "-loglevel", "error", "-i", in, "-af", "adeclick", out).CombinedOutput(); err != nil {
		t.Fatalf("ffmpeg: %v: %s", err, b)
	}
	return readSound(t, out)
}

// Where blows are as loud as the speaker all is heard right as if there were none,
// some of it without our filter and most with another one.
// Source of what is said: pocketsphinx-testdata, cards/cards.transcription.
func TestPublishedCardsUnderBlows(t *testing.T) {
	soundtest.NeedPublished(t)
	r := recogniser(t, Config{JSGF: readFile(t, soundtest.Published+"/cards/cards.gram")})
	var as, with, other, n int
	right := func(seg segment.Segment, text string) int {
		u, err := r.RecogniseSegment(t.Context(), seg)
		if err != nil {
			t.Fatal(err)
		}
		if u.Text == text {
			return 1
		}
		return 0
	}
	for name, text := range transcripts(t, soundtest.Published+"/cards/cards.transcription") {
		pure := readSound(t, filepath.Join(soundtest.Published, "cards", name+".wav"))
		for seed := range uint64(2) {
			in := blown(pure, seed, 0)
			n++
			as += right(segment.Segment{Samples: in}, text)
			with += right(segment.Segment{Samples: in, Impulsive: true}, text)
			other += right(segment.Segment{Samples: declicked(t, in)}, text)
		}
	}
	t.Logf("of %d: as it is %d, with the blows turned down %d, by the other filter %d", n, as, with, other)
	if n < 10 || with < n || with < other || with < as+n/2 {
		t.Errorf("of %d: as it is %d, with the blows turned down %d, by the other filter %d", n, as, with, other)
	}
}
