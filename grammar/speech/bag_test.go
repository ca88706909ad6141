package speech

import (
	"testing"

	"downlead/grammar/vocab"
)

// TestBag: what bags are apart is never more than what their sounds are, of
// every two rows of the table.
func TestBag(t *testing.T) {
	s := NewSpeller()
	rows := vocab.Builtin()
	sounds := make([]string, len(rows))
	for i := range rows {
		sounds[i] = s.PhrasePhones(rows[i].Say)
	}
	near := 0
	for i, a := range sounds {
		for _, b := range sounds[i:] {
			const most = 4
			if apart, least := s.SoundsApart(a, b, most), BagOf(a).Apart(BagOf(b)); apart < least && apart <= most {
				t.Errorf("%q and %q are %.2f apart, their bags %.2f", a, b, apart, least)
			}
			if BagOf(a).Apart(BagOf(b)) <= 1 {
				near++
			}
		}
	}
	if near == 0 || near > len(sounds)*len(sounds)/4 {
		t.Errorf("%d of %d pairs are near by their bags", near, len(sounds)*len(sounds)/2)
	}
}
