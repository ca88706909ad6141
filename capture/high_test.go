package capture

import (
	"path/filepath"
	"testing"

	"downlead/capture/segment"
	"downlead/capture/sound"
	"downlead/capture/soundtest"
)

// A voice that is raised, in pitch and in the resonances of the mouth, by as much as a child's is above
// a man's: the first listener alone errs in sentences that it hears right with the second
// beside it, played slower. Words keep their places in the sound.
// Source of what is said: pocketsphinx-testdata, cards/cards.transcription.
func TestPublishedCardsByAHigherVoice(t *testing.T) {
	soundtest.NeedPublished(t)
	jsgf := readFile(t, soundtest.Published+"/cards/cards.gram")
	alone, both := recogniser(t, Config{JSGF: jsgf}), recogniser(t, Config{JSGF: jsgf, Second: second(t)})
	var first, agreed, lowered, n int
	for name, text := range transcripts(t, soundtest.Published+"/cards/cards.transcription") {
		in := readSound(t, filepath.Join(soundtest.Published, "cards", name+".wav"))
		for _, raised := range []float64{1.35, 1.45} {
			seg := segment.Segment{Samples: sound.AtSpeed(in, raised)}
			a, err := alone.RecogniseSegment(t.Context(), seg)
			if err != nil {
				t.Fatal(err)
			}
			b, err := both.RecogniseSegment(t.Context(), seg)
			if err != nil {
				t.Fatal(err)
			}
			n++
			if a.Text == text {
				first++
			}
			if b.Text == text {
				agreed++
			}
			t.Logf("%s raised by %.2f: %q alone, %q beside the second, pace %g", name, raised, a.Text, b.Text, b.pace)
			if b.pace != 0 {
				lowered++
				if end := b.Words[len(b.Words)-1].End; end > b.End {
					t.Errorf("%s: the last word ends at %v, the stretch at %v", name, end, b.End)
				}
			}
		}
	}
	if n != 10 || agreed != n || first > n-3 || lowered == 0 {
		t.Errorf("of %d: the first alone %d, beside the second %d, %d heard slower", n, first, agreed, lowered)
	}
}
