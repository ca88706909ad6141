package level

import "math"

// TransponderMHz returns the downlink centre frequency of channel n, from 1,
// in MHz. Plan "region2" is ITU Radio Regulations Appendix 30, Region 2:
// 12224.00 + 14.58*(n-1), odd and even channels on opposite polarisations;
// "region1" is Regions 1 and 3: 11727.48 + 19.18*(n-1).
func TransponderMHz(plan string, n int) float64 {
	if plan == "region1" {
		return 11727.48 + 19.18*float64(n-1)
	}
	return 12224.00 + 14.58*float64(n-1)
}

// Polarity tells odd from even channels; "" when the reading does not say.
func Polarity(transponder int, said string) string {
	switch {
	case said != "":
		return said
	case transponder <= 0:
		return ""
	case transponder%2 == 1:
		return "odd"
	}
	return "even"
}

// Intermediate is the frequency on the coax in MHz, and how uncertain it is:
// a transponder that was not said may be anywhere in the band.
func Intermediate(t *Tables, transponder int) (f, sd float64) {
	if transponder > 0 {
		f = TransponderMHz(t.Band.Plan, transponder) - t.Band.Oscillator
		if f >= t.Band.Low/2 && f <= t.Band.High*1.5 {
			return f, 0
		}
	}
	// standard deviation of an even spread over the band: width / sqrt(12)
	return (t.Band.Low + t.Band.High) / 2, (t.Band.High - t.Band.Low) / math.Sqrt(12)
}
