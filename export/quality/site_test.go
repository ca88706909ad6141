package quality

import "testing"

// TestPlaceKey: numbers as people say those of houses, common practice, no
// source; the street words are those of the journal.
func TestPlaceKey(t *testing.T) {
	for said, written := range map[string]string{
		"twelve A Street":                    "12 A St.",
		"Twelve Quarry Lane":                 "12 quarry ln",
		"forty two Mill Road":                "42 Mill Rd",
		"one twenty three Mill Road":         "123 mill road",
		"twelve thirty four Mill Road":       "1234 Mill Road",
		"one oh five Mill Road":              "105 Mill Road",
		"four four one two Mill Road":        "4412 Mill Road",
		"two hundred and five Mill Road":     "205 Mill Road",
		"twelve hundred Mill Road":           "1200 Mill Road",
		"five thousand ten Mill Road":        "5010 Mill Road",
		"one hundred twenty three Mill Road": "123 Mill Road",
		"nine ninety nine Mill Road":         "999 Mill Road",
		"7 twenty first street":              "7 21st Street",
		"7 Twelfth Street":                   "7 12th Street",
		"twenty Ford Road":                   "20 Ford Road",
		"sixty Mill Road apartment three":    "60 Mill Road Apt 3",
		"1 Hundred Acre Lane":                "1 hundred acre lane",
	} {
		if a, b := placeKey(said), placeKey(written); a != b {
			t.Errorf("%q is %q and %q is %q", said, a, written, b)
		}
	}
	for _, pair := range [][2]string{{"12 A Street", "12 B Street"}, {"twelve A Street", "21 A Street"}, {"one twenty Mill Road", "1 Twenty Second Street"}} {
		if placeKey(pair[0]) == placeKey(pair[1]) {
			t.Errorf("%q and %q have one key", pair[0], pair[1])
		}
	}
	if placeKey(" ,") != "" {
		t.Error("an address without words has a key")
	}
}
