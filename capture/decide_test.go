package capture

import (
	"encoding/json"
	"math"
	"testing"
)

func TestDecide(t *testing.T) {
	inf := math.Inf(1)
	good := Scores{Grammar: -33, Ratio: -25, WorstWord: -45, NumberMargin: 900, SNR: 40, Words: 5}
	with := func(change func(*Scores)) Scores { s := good; change(&s); return s }
	for _, c := range []struct {
		name string
		s    Scores
		want Outcome
	}{
		{"good", good, Accept},
		{"no rival", with(func(s *Scores) { s.NumberMargin = inf }), Accept},
		{"thin margin", with(func(s *Scores) { s.NumberMargin, s.SNR = 20, 35 }), Ask},
		{"thin margin in quiet", with(func(s *Scores) { s.NumberMargin, s.SNR = 20, 45 }), Accept},
		{"three poor words", with(func(s *Scores) { s.Ratio, s.Words = -33, 3 }), Ask},
		{"three words that fit badly", with(func(s *Scores) { s.Grammar, s.Words = -45, 3 }), Ask},
		{"one word that fits as well as three must", with(func(s *Scores) { s.Ratio, s.Words = -27, 1 }), Ask},
		{"mostly noise", with(func(s *Scores) { s.Covered = 0.5 }), Ignore},
		{"a word or two, and noise", with(func(s *Scores) { s.Covered, s.Words = 0.7, 2 }), Ignore},
		{"mostly words", with(func(s *Scores) { s.Covered = 0.9 }), Accept},
		{"three good words", with(func(s *Scores) { s.Words = 3 }), Accept},
		{"five such words", with(func(s *Scores) { s.Ratio = -33 }), Accept},
		{"negative margin", with(func(s *Scores) { s.NumberMargin, s.SNR = -450, 45 }), Ask},
		{"noise", with(func(s *Scores) { s.SNR = 4 }), Ask},
		{"clipped", with(func(s *Scores) { s.Clipped = 0.2 }), Ask},
		{"doubtful", with(func(s *Scores) { s.Grammar = -55 }), Ask},
		{"one word does not fit", with(func(s *Scores) { s.WorstWord = -90 }), Ask},
		{"other speech", with(func(s *Scores) { s.Grammar, s.Ratio, s.WorstWord = -87, -77, -118 }), Ignore},
		{"not of the grammar", with(func(s *Scores) { s.Ratio = -55 }), Ignore},
		{"nothing", Scores{Grammar: -inf, Ratio: -inf, WorstWord: -inf, NumberMargin: inf}, Ignore},
		{"not a number", with(func(s *Scores) { s.Grammar = math.NaN() }), Ignore},
	} {
		if got := DefaultThresholds().Decide(c.s); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
		b, err := json.Marshal(c.s)
		if err != nil || !json.Valid(b) {
			t.Errorf("%s: %s, %v", c.name, b, err)
		}
	}
}

func TestDecideEvenShort(t *testing.T) {
	s := Scores{Grammar: -40, Ratio: -33, WorstWord: -45, NumberMargin: 900, SNR: 40, Words: 3}
	if a, b := DefaultThresholds().Decide(s), DefaultThresholds().EvenShort().Decide(s); a != Ask || b != Accept {
		t.Errorf("%v as a phrase and %v as an answer", a, b)
	}
}

func TestDoubt(t *testing.T) {
	good := Scores{Grammar: -33, Ratio: -25, NumberMargin: 900, SNR: 45}
	for name, change := range map[string]func(*Scores){
		"margin": func(s *Scores) { s.NumberMargin = 400 }, "noise": func(s *Scores) { s.SNR = 35 },
		"grammar": func(s *Scores) { s.Grammar = -43 }, "ratio": func(s *Scores) { s.Ratio = -32 },
	} {
		s := good
		change(&s)
		if limits := DefaultThresholds(); !limits.Doubt(s) || limits.Doubt(good) {
			t.Errorf("%s: %v, and %v for a good phrase", name, limits.Doubt(s), limits.Doubt(good))
		}
	}
}

func TestBorne(t *testing.T) {
	for _, c := range []struct {
		name          string
		snr, margin   float64
		words, others int
		ratio         float64
		want          bool
	}{
		{"both agree", 27, 300, 5, 0, -25, true},
		{"one does not, in noise", 27, 300, 5, 1, -25, false},
		{"one does not, in quiet", 45, 300, 5, 1, -25, true},
		{"one does not, of few words", 45, 300, 2, 1, -25, false},
		{"one does not, by a thin margin", 45, 20, 5, 1, -25, false},
		{"neither agrees", 45, 300, 5, 2, -25, false},
		{"one does not, of words that fit poorly", 45, 300, 5, 1, -33, false},
	} {
		e := Evidence{Decodes: 2, Others: make([]string, c.others)}
		if got := DefaultThresholds().Borne(Scores{Grammar: -33, Ratio: c.ratio, SNR: c.snr, NumberMargin: c.margin, Words: c.words}, e); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}
