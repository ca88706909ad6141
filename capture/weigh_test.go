package capture

import (
	"math"
	"strings"
	"testing"

	"downlead/capture/hear"
)

// What two listeners make of a stretch together. The scores are invented; the
// figures are worked out by hand from what Weigh and hear.Candidate.Score say: a
// word is worth one nat, a unit of the first listener's fit 0.004 of one.
func TestWeigh(t *testing.T) {
	const one, other = "wall plate fail minus fifty", "wall plate fail minus sixty"
	sentence := func(text string, logP float64) hear.Candidate { return hear.Candidate{Text: text, LogP: logP} }
	for _, c := range []struct {
		name     string
		first    string
		second   []hear.Candidate
		own, fit float64
		text     string
		agree    bool
		lead     float64
	}{
		{"both hear the same", one, []hear.Candidate{sentence(one, -2), sentence(other, -9)}, -2, 0, one, true, 7},
		{"nothing else is possible", one, []hear.Candidate{sentence(one, -2)}, -2, 0, one, true, math.Inf(1)},
		{"the second is ahead by more than the first's fit", one, []hear.Candidate{sentence(other, -2), sentence(one, -5)}, -5, 700, other, false, 3}, // 3 over 2.8
		{"the first's fit outweighs that", one, []hear.Candidate{sentence(other, -2), sentence(one, -5)}, -5, 800, one, false, -3},                    // 3 under 3.2
		{"the first heard nothing", "", []hear.Candidate{sentence(other, -2), sentence(one, -4)}, math.Inf(-1), 0, other, false, 2},
		{"the second heard nothing", one, nil, -4, 0, one, false, math.Inf(1)},
		{"a longer sentence is not less likely for its words", one, []hear.Candidate{sentence(one+" eight", -6), sentence(one, -5.5)}, -5.5, 0, one + " eight", false, 0.5},
	} {
		u := Utterance{
			Text: c.first, Scores: Scores{Grammar: -31, Ratio: -21, WorstWord: -41, NumberMargin: 500, Covered: 0.9},
			Second: &Witness{Free: one, FreeLogP: -1, Sentences: c.second, Own: c.own, Fit: c.fit},
		}
		text, e, ok := u.Weigh(func(text string) string { return text }, true)
		if !ok || text != c.text || e.Agree != c.agree || e.Lead != c.lead && math.Abs(e.Lead-c.lead) > 1e-9 {
			t.Errorf("%s: %q, agree %v, lead %g; want %q, %v, %g", c.name, text, e.Agree, e.Lead, c.text, c.agree, c.lead)
		}
		if e.Nothing != (c.first == "") || e.Grammar != -31 || e.Ratio != -21 || e.WorstWord != -41 || e.Covered != 0.9 || !e.Answering || e.Words != len(strings.Fields(text)) {
			t.Errorf("%s: evidence %+v", c.name, e)
		}
		if margin := map[bool]float64{true: 500, false: -c.fit}[text == c.first]; e.Margin != margin {
			t.Errorf("%s: margin %g, want %g", c.name, e.Margin, margin)
		}
		if want := -1 - e.LogP; e.Free != want {
			t.Errorf("%s: the free text is %g likelier, want %g", c.name, e.Free, want)
		}
	}
	// Two ways to say one thing are one: neither is a rival of the other.
	u := Utterance{Text: "five oh", Second: &Witness{Sentences: []hear.Candidate{sentence("five zero", -2), sentence("five oh", -3), sentence("nine", -8)}, Own: -3}}
	_, e, ok := u.Weigh(func(text string) string { return strings.ReplaceAll(text, "oh", "zero") }, false)
	if !ok || !e.Agree || e.Lead != 7 { // 6 nats and one word
		t.Errorf("two ways to say it: %+v", e)
	}
	// Where the first listener lost every rival on its way, its margin says nothing.
	u = Utterance{Text: one, Scores: Scores{NumberMargin: math.Inf(1)}, Second: &Witness{Sentences: []hear.Candidate{sentence(one, -2), sentence(other, -4)}, Own: -2}}
	if _, e, _ := u.Weigh(strings.ToLower, false); e.Margin != 0 {
		t.Errorf("every rival was lost: margin %g", e.Margin)
	}
	// What says nothing is no rival, and does not part the listeners.
	u.Second.Sentences = []hear.Candidate{sentence("no", -1), sentence(one, -2)}
	statement := func(text string) string { return strings.TrimPrefix(text, "no") }
	if text, e, _ := u.Weigh(statement, false); text != one || !e.Agree || !math.IsInf(e.Lead, 1) || e.Empty {
		t.Errorf("beside what says nothing: %q, %+v", text, e)
	}
	u.Text, u.Second.Free = "no", "now"
	if text, e, _ := u.Weigh(statement, false); text != "no" || !e.Empty || e.Far != 0.5 { // one letter more than two
		t.Errorf("what says nothing: %q, %+v", text, e)
	}
	if text, _, ok := (Utterance{Text: one}).Weigh(strings.ToLower, false); ok || text != one {
		t.Errorf("one listener alone: %q, %v", text, ok)
	}
	if _, _, ok := (Utterance{Second: &Witness{}}).Weigh(strings.ToLower, false); ok {
		t.Error("nothing was heard, and it is weighed")
	}
}

// What the phonemes say joins in. The scores are invented; a nat of the phonemes is worth 0.4, as likeliest says.
func TestWeighPhonemes(t *testing.T) {
	const one, other, third = "wall plate fail minus fifty", "wall plate fail minus sixty", "wall plate fail minus sixteen"
	sentence := func(text string, logP float64) hear.Candidate { return hear.Candidate{Text: text, LogP: logP} }
	for _, c := range []struct {
		name      string
		phonemes  []hear.Candidate
		text      string
		fit, lead float64
		spoken    bool
	}{
		{"they bear out the first listener", []hear.Candidate{sentence(one, -1), sentence(third, -7), sentence(other, -9)}, one, -1, 6, true},         // 2 behind by letters and 0.8 by sound, 3.2 ahead
		{"they bear out the second", []hear.Candidate{sentence(other, -2), sentence(one, -4.5)}, other, -2, 2.5, true},                                // 2 and 1 ahead, 0.8 behind
		{"a third sentence fits best by far", []hear.Candidate{sentence(third, 0), sentence(other, -15), sentence(one, -20)}, third, 0, 15, true},     // 6 ahead, 4 and 0.8 behind
		{"a third sentence fits a little better", []hear.Candidate{sentence(third, 0), sentence(other, -5), sentence(one, -8)}, other, -5, -5, false}, // 2 ahead
	} {
		u := Utterance{
			Text: one, Scores: Scores{NumberMargin: 200},
			Second: &Witness{Spoken: c.phonemes[0].Text, Phonemes: c.phonemes, Sentences: []hear.Candidate{sentence(other, -2), sentence(one, -4), sentence(third, -6)}, Own: -4, Fit: 200},
		}
		text, e, ok := u.Weigh(strings.ToLower, false)
		if !ok || text != c.text || e.PhonemeFit != c.fit || e.PhonemeLead != c.lead || e.Spoken != c.spoken {
			t.Errorf("%s: %q, fit %g, lead %g, %v; want %q, %g, %g, %v", c.name, text, e.PhonemeFit, e.PhonemeLead, e.Spoken, c.text, c.fit, c.lead, c.spoken)
		}
	}
}
