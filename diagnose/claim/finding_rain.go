package claim

import "math"

// rainTerm is one row of the tables of ITU-R P.838-3: a Gaussian over the
// logarithm of the frequency.
type rainTerm struct{ a, b, c float64 }

// rainFit is one coefficient of ITU-R P.838-3, Tables 1 to 4.
type rainFit struct {
	terms []rainTerm
	m, c  float64
}

// The coefficients of ITU-R P.838-3 (2005), Tables 1 to 4: k and alpha for
// horizontal and vertical polarisation.
func rainFits() (kH, kV, alphaH, alphaV rainFit) {
	kH = rainFit{[]rainTerm{{-5.33980, -0.10008, 1.13098}, {-0.35351, 1.26970, 0.45400}, {-0.23789, 0.86036, 0.15354}, {-0.94158, 0.64552, 0.16817}}, -0.18961, 0.71147}
	kV = rainFit{[]rainTerm{{-3.80595, 0.56934, 0.81061}, {-3.44965, -0.22911, 0.51059}, {-0.39902, 0.73042, 0.11899}, {0.50167, 1.07319, 0.27195}}, -0.16398, 0.63297}
	alphaH = rainFit{[]rainTerm{{-0.14318, 1.82442, -0.55187}, {0.29591, 0.77564, 0.19822}, {0.32177, 0.63773, 0.13164}, {-5.37610, -0.96230, 1.47828}, {16.1721, -3.29980, 3.43990}}, 0.67849, -1.95537}
	alphaV = rainFit{[]rainTerm{{-0.07771, 2.33840, -0.76284}, {0.56727, 0.95545, 0.54039}, {-0.20238, 1.14520, 0.26809}, {-48.2991, 0.791669, 0.116226}, {48.5833, 0.791459, 0.116479}}, -0.053739, 0.83433}
	return kH, kV, alphaH, alphaV
}

// at evaluates equations (2) and (3) of ITU-R P.838-3 at a frequency in GHz.
func (f rainFit) at(ghz float64) float64 {
	x := math.Log10(ghz)
	sum := f.m*x + f.c
	for _, t := range f.terms {
		d := (x - t.b) / t.c
		sum += t.a * math.Exp(-d*d)
	}
	return sum
}

// RainLoss returns the specific attenuation of rain in dB/km after ITU-R
// P.838-3: frequency in GHz (1 to 1000), rain rate in mm/h, elevation of the
// path and tilt of the polarisation (45 for circular) in degrees.
func RainLoss(ghz, rate, elevation, tau float64) float64 {
	fkH, fkV, faH, faV := rainFits()
	kH, kV := math.Pow(10, fkH.at(ghz)), math.Pow(10, fkV.at(ghz))
	aH, aV := faH.at(ghz), faV.at(ghz)
	cos := math.Cos(elevation * math.Pi / 180)
	tilt := cos * cos * math.Cos(2*tau*math.Pi/180)
	k := (kH + kV + (kH-kV)*tilt) / 2                     // equation (4)
	alpha := (kH*aH + kV*aV + (kH*aH-kV*aV)*tilt) / 2 / k // equation (5)
	return k * math.Pow(rate, alpha)                      // equation (1)
}
