package main

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"downlead/capture"
	segments "downlead/capture/segment"
	audio "downlead/capture/sound"
	"downlead/grammar"
)

// adaptPhrases is how many phrases the model of noise is made from, each in quiet and in
// four noises.
const adaptPhrases = 150

// TestSpeechAdapt writes stretches of sound, as the first listener gets them, and what
// is said in them to the folder that DOWNLEAD_ADAPT names, for TestNoiseMade of
// capture: phrases by three voices of the half for fitting, in quiet and at 6 to 22 dB.
func TestSpeechAdapt(t *testing.T) {
	dir := os.Getenv("DOWNLEAD_ADAPT")
	if dir == "" {
		t.Skip("DOWNLEAD_ADAPT names no folder")
	}
	if err := os.MkdirAll(filepath.Join(dir, "raw"), 0o755); err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(77, 1))
	babble := babbleOf(t, "fit")
	var list, said strings.Builder
	for i, text := range halfTexts("fit", adaptPhrases, 4711) {
		voice := halfVoices("fit")[r.IntN(3)]
		clean := voiced(t, voice, text, []float64{0.9, 1, 1.15}[r.IntN(3)])
		put := func(name string, sound []int16, before int) {
			stretch, whole := stretchWith(t, sound, before, len(clean), func(seg segments.Segment) []int16 { return segments.Cleaned(seg.Samples, seg.Background) })
			if !whole {
				return
			}
			var b bytes.Buffer
			_ = binary.Write(&b, binary.LittleEndian, stretch)
			if err := os.WriteFile(filepath.Join(dir, "raw", name+".raw"), b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
			fmt.Fprintln(&list, name)
			fmt.Fprintf(&said, "<s> %s </s> (%s)\n", strings.ToLower(text), name)
		}
		put(fmt.Sprintf("%03d-quiet", i), padded(clean), audio.Rate)
		kinds := everyNoise()
		r.Shuffle(len(kinds), func(a, b int) { kinds[a], kinds[b] = kinds[b], kinds[a] })
		for _, kind := range kinds[:4] {
			n, db := noiseBefore+len(clean)+noiseAfter, 6+16*r.Float64()
			noise := anyNoise(r, kind, n, babble)
			put(fmt.Sprintf("%03d-%s", i, kind), mix(clean, noise, db), noiseBefore)
		}
	}
	p, err := grammar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"list": list.String(), "said": said.String(), "words": p.Pronunciations(nil)} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// stretchWith is the stretch that holds a phrase of n samples, as a listener
// hears it; whole is false where it lost a tenth of the phrase.
func stretchWith(t *testing.T, sound []int16, before, n int, heard func(segments.Segment) []int16) (stretch []int16, whole bool) {
	t.Helper()
	for seg, err := range capture.Segments(t.Context(), audio.FromSamples(sound), segments.Config{}) {
		if err != nil {
			t.Fatal(err)
		}
		from, to := max(int(seg.Start), before), min(int(seg.Start)+len(seg.Samples), before+n)
		if 10*(to-from) >= 9*n {
			return heard(seg), true
		}
	}
	return nil, false
}
