package speech

import "strings"

// Bag counts the phones of a sound by kind, for what is far from it to be known
// without a comparison phone by phone.
type Bag [len(bagKinds) + 1]uint8

// bagKinds are the phones of each kind, vowels aside: no phone is close to one
// of another kind. Those that are close to t and d, which may be left out for
// little, and h are of none.
var bagKinds = [...]string{"sz", "SZ", "CJ", "mnN", "lr", "kg", "w", "y"}

// leastApart is what a phone too many of a kind costs at least: a vowel left out.
const leastApart = 0.6

// BagOf counts the phones of a sound.
func BagOf(sound string) Bag {
	var b Bag
	for i := range len(sound) {
		if strings.IndexByte(vowels, sound[i]) >= 0 {
			b[len(bagKinds)]++
			continue
		}
		for kind, phones := range bagKinds {
			if strings.IndexByte(phones, sound[i]) >= 0 {
				b[kind]++
			}
		}
	}
	return b
}

// Apart is the least that SoundsApart can say of two sounds.
func (b Bag) Apart(other Bag) float64 {
	more, less := 0, 0
	for i := range b {
		if d := int(b[i]) - int(other[i]); d > 0 {
			more += d
		} else {
			less -= d
		}
	}
	return leastApart * float64(max(more, less))
}
