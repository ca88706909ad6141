package capture

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"downlead/capture/segment"
	"downlead/capture/sound"
	"downlead/capture/soundtest"
)

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
			in := soundtest.Mixed(pure, soundtest.Blows(seed, len(pure), 40, soundtest.RMS(pure)))
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
