package capture

import (
	"slices"
	"testing"

	"downlead/capture/segment"
	"downlead/capture/soundtest"
)

// Source: pocketsphinx-testdata, goforward.raw; "go forward ten meters" is what
// its documentation says is said. The grammar in use has no such sentence, and
// each listener chooses it by itself among its rivals.
func TestAmongSentences(t *testing.T) {
	soundtest.NeedPublished(t)
	r := recogniser(t, Config{JSGF: "#JSGF V1.0;\ngrammar g;\npublic <g> = wall plate | barrel;\n", Second: second(t)})
	u, err := r.RecogniseSegment(t.Context(), segment.Segment{Samples: soundtest.ReadRaw(t, soundtest.Published+"/goforward.raw"), Start: 16000, SNR: 30})
	if err != nil {
		t.Fatal(err)
	}
	const said = "go forward ten meters"
	rivals := []string{"go backward ten meters", "go forward two meters", "go forward ten centimeters", "no forward ten meters", "go forward zzyzx meters"}
	before := slices.Clone(rivals)
	v, ok, err := r.Among(t.Context(), u, said, rivals)
	if err != nil || !ok || !slices.Equal(rivals, before) {
		t.Fatalf("ok %v, error %v, rivals %q", ok, err, rivals)
	}
	text, e, _ := v.Weigh(func(text string) string { return text }, false)
	if text != said || v.Text != said || !e.Agree || !(e.Margin > 0) || !(e.Lead > 0) || !(e.Ratio > -43) || !e.Spoken || !(e.PhonemeLead > 0) || len(v.Words) != 4 {
		t.Errorf("chosen %q, first heard %q: %+v", text, v.Text, e)
	}
	if v.Start != u.Start || v.End != u.End || len(v.Samples) != len(u.Samples) || v.Scores.SNR != 30 || !slices.Contains(rivals, v.Rival) {
		t.Errorf("the stretch is another: %v to %v, %d samples, %g dB, rival %q", v.Start, v.End, len(v.Samples), v.Scores.SNR, v.Rival)
	}
	wrong, _, err := r.Among(t.Context(), u, "no backward two centimeters", []string{said})
	if err != nil || wrong.Text != said || wrong.Second.Sentences[0].Text != said {
		t.Errorf("%q and %+v, error %v: what was said was among the rivals", wrong.Text, wrong.Second, err)
	}
	alone := u
	alone.Second = nil
	for name, c := range map[string]struct {
		u    Utterance
		text string
	}{"a word that has no pronunciation": {u, "go zzyzx"}, "no words": {u, ""}, "one listener": {alone, said}} {
		if _, ok, err := r.Among(t.Context(), c.u, c.text, rivals); ok || err != nil {
			t.Errorf("%s: ok %v, error %v", name, ok, err)
		}
	}
}
