package main

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"downlead/capture"
	"downlead/capture/confidence"
	segments "downlead/capture/segment"
	audio "downlead/capture/sound"
)

// lostEach is how many lost phrases of a noise are looked into.
const lostEach = 10

// TestSpeechLost looks into the phrases of the unseen half that were lost or taken
// wrong, by the log that DOWNLEAD_WITNESS names (made with the same DOWNLEAD_CELL): what would have been heard of the same
// voice in quiet, and in the same noise if its stretch had been cut where it begins and ends. What is right in
// quiet was lost to the noise, what is right by the exact cut to where the stretch was cut.
func TestSpeechLost(t *testing.T) {
	path := os.Getenv("DOWNLEAD_WITNESS")
	if path == "" || os.Getenv("DOWNLEAD_LOST") == "" {
		t.Skip("DOWNLEAD_WITNESS names no file, or DOWNLEAD_LOST is not set")
	}
	cell := 2
	_, _ = fmt.Sscan(os.Getenv("DOWNLEAD_CELL"), &cell)
	table, err := confidence.Built()
	if err != nil {
		t.Fatal(err)
	}
	e := newEarBeside(t, secondOf(t))
	material := map[string]said{}
	for _, s := range confidenceMaterial(t, cell) {
		material[s.key] = s
	}
	looked := map[string]int{}
	for _, r := range readWitness(t, path) {
		line := r[0].line
		s, known := material[line.Key]
		noise, _, _ := strings.Cut(line.Noise, " ")
		got := r.became(table, confidence.DefaultCosts())
		if !known || line.Half != "report" || line.Text == "" || line.Answer || got == exact || got == askedRight || looked[noise] == lostEach {
			continue
		}
		looked[noise]++
		e.explain(t, table, s, r, got)
	}
}

// explain prints what became of a recording and what would have under other conditions.
func (e *ear) explain(t *testing.T, table confidence.Table, s said, r recording, got heardAs) {
	t.Helper()
	in, clean := s.sound(t), s.clean(t)
	before := audio.Rate // padded
	if strings.HasSuffix(s.noise, " dB") {
		before = noiseBefore
	}
	from, to := loudPart(clean)
	from, to = before+from, before+to
	exactly := segments.Segment{Start: int64(from), Samples: in[max(0, from-audio.Rate/8):min(len(in), to+audio.Rate/8)]}
	cut := "not found"
	for seg, err := range capture.Segments(t.Context(), audio.FromSamples(in), segments.Config{}) {
		if err != nil {
			t.Fatal(err)
		}
		start, end := int(seg.Start), int(seg.Start)+len(seg.Samples)
		if start < to && end > from {
			exactly.Background, exactly.Impulsive, exactly.SNR = seg.Background, seg.Impulsive, seg.SNR
			cut = fmt.Sprintf("cut %.2f s after its beginning and %.2f s before its end", float64(start-from)/audio.Rate, float64(to-end)/audio.Rate)
		}
	}
	t.Logf("%v: %s, %s, %q, %s", got, s.noise, s.voice, s.text, cut)
	for _, w := range r {
		t.Logf("    heard %q, the second %s, chosen %q: %.3f", w.line.Heard, bestOf(w.line.Second), w.text, table.Posterior(w.e))
	}
	u, err := e.phrase.RecogniseSegment(t.Context(), exactly)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("    cut exactly: %s", e.verdict(table, s, u))
	for u, err := range capture.Listen(t.Context(), audio.FromSamples(padded(clean)), e.phrase, capture.ListenConfig{Endpoints: e.endpoints()}) {
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("    in quiet: %s", e.verdict(table, s, u))
	}
}

// verdict is what would have become of an utterance.
func (e *ear) verdict(table confidence.Table, s said, u capture.Utterance) string {
	text, evidence, _ := u.Weigh(func(text string) string { return e.parser.Says(text, false) }, false)
	p := table.Posterior(evidence)
	decision := []string{"ignored", "asked", "taken"}[confidence.DefaultCosts().Decide(p)]
	wrong := "wrong"
	if text != "" && e.same(s, text) {
		wrong = "right"
	}
	return fmt.Sprintf("%s, %s, %q: %.3f", wrong, decision, text, p)
}

// loudPart is from where to where a recording is within 30 dB of its loudest 20 ms.
func loudPart(samples []int16) (from, to int) {
	const frame = audio.Rate / 50
	var powers []float64
	for f := range slices.Chunk(samples, frame) {
		sum := 0.0
		for _, v := range f {
			sum += float64(v) * float64(v)
		}
		powers = append(powers, sum)
	}
	most := slices.Max(powers)
	spoken := func(p float64) bool { return p > most/1000 }
	first := slices.IndexFunc(powers, spoken)
	last := len(powers) - 1
	for !spoken(powers[last]) {
		last--
	}
	return first * frame, min(len(samples), (last+1)*frame)
}
