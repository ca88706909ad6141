package capture

import (
	"encoding/json"
	"math"
	"testing"
)

func TestDecide(t *testing.T) {
	inf := math.Inf(1)
	good := Scores{Grammar: -33, Ratio: -25, WorstWord: -45, NumberMargin: 900, SNR: 30}
	with := func(change func(*Scores)) Scores { s := good; change(&s); return s }
	for _, c := range []struct {
		name string
		s    Scores
		want Outcome
	}{
		{"good", good, Accept},
		{"no rival", with(func(s *Scores) { s.NumberMargin = inf }), Accept},
		{"thin margin", with(func(s *Scores) { s.NumberMargin = 20 }), Ask},
		{"negative margin", with(func(s *Scores) { s.NumberMargin = -250 }), Ask},
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
