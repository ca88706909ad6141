package record

import "testing"

// Source: USPS Publication 28, appendix C1 (street suffixes) and section 233
// (directions), from memory; "av", "str" and "drv" are among the common forms
// that appendix C1 lists beside the standard one.
func TestStreetWordsAreShortened(t *testing.T) {
	for long, short := range map[string]string{
		"Street": "ST", "Str": "ST", "Road": "RD", "Lane": "LN", "Avenue": "AVE", "Av": "AVE", "Drive": "DR", "Drv": "DR",
		"Court": "CT", "Circle": "CIR", "Boulevard": "BLVD", "Place": "PL", "Terrace": "TER", "Trail": "TRL",
		"Highway": "HWY", "Parkway": "PKWY",
	} {
		a, b := SiteKey("12 Quarry "+long), SiteKey("12 QUARRY "+short+".")
		if a != b {
			t.Errorf("%s and %s are two sites: %q, %q", long, short, a, b)
		}
	}
	for long, short := range map[string]string{"North": "N", "South": "S", "East": "E", "West": "W"} {
		if a, b := SiteKey("12 "+long+" Quarry Ln"), SiteKey("12 "+short+". Quarry Lane"); a != b {
			t.Errorf("%s and %s are two sites: %q, %q", long, short, a, b)
		}
	}
	if a, b := SiteKey("4 Hill St, Apartment 2"), SiteKey("4 hill st apt 2"); a != b {
		t.Errorf("%q, %q", a, b)
	}
	for _, other := range []string{"12 Quarry Way", "12 Quarry", "12 Quarry Lane Apt 2", "12 N Quarry Lane"} {
		if SiteKey(other) == SiteKey("12 Quarry Lane") {
			t.Errorf("%q is taken for 12 Quarry Lane", other)
		}
	}
}
