package entry

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
)

// Decimal is an exact decimal number that was said or typed, with up to six
// places. The zero Decimal means "not said": use NewDecimal or ParseDecimal to
// make one that was, zero included. Decimals compare with ==.
//
// A Decimal is a JSON number in the machine form and a JSON string in the
// stored form; UnmarshalJSON takes both.
type Decimal struct {
	micro int64
	said  bool
}

const DecimalScale = 1_000_000

// NewDecimal returns units + tenths/10, the tenths carrying the sign of their own.
func NewDecimal(units, tenths int64) Decimal {
	return Decimal{micro: units*DecimalScale + tenths*DecimalScale/10, said: true}
}

// DecimalOf returns a number of millionths.
func DecimalOf(micro int64) Decimal { return Decimal{micro: micro, said: true} }

// ParseDecimal reads "-41", "18.1" or "35.123456". It refuses exponents, a
// bare sign, more than six places, and anything beyond ±999999999.
func ParseDecimal(s string) (Decimal, error) {
	body, negative := strings.CutPrefix(s, "-")
	whole, frac, _ := strings.Cut(body, ".")
	if whole == "" || len(whole) > 9 || len(frac) > 6 || strings.HasSuffix(body, ".") {
		return Decimal{}, fmt.Errorf("%q is not a decimal number", s)
	}
	digits := whole + frac + strings.Repeat("0", 6-len(frac))
	for _, r := range digits {
		if r < '0' || r > '9' {
			return Decimal{}, fmt.Errorf("%q is not a decimal number", s)
		}
	}
	micro, err := strconv.ParseInt(digits, 10, 64)
	if err != nil {
		return Decimal{}, fmt.Errorf("%q is not a decimal number", s)
	}
	if negative {
		micro = -micro
	}
	return Decimal{micro: micro, said: true}, nil
}

// IsZero reports that the number was not said. encoding/json's omitzero uses it.
func (d Decimal) IsZero() bool { return !d.said }

// Said reports that the number was said, even if it is 0.
func (d Decimal) Said() bool { return d.said }

// Float returns the nearest float64; 0 when the number was not said.
func (d Decimal) Float() float64 { return float64(d.micro) / DecimalScale }

// Micro returns the number in millionths.
func (d Decimal) Micro() int64 { return d.micro }

// Sign returns -1, 0 or +1.
func (d Decimal) Sign() int {
	switch {
	case d.micro < 0:
		return -1
	case d.micro > 0:
		return 1
	}
	return 0
}

// Neg returns the number with its sign turned.
func (d Decimal) Neg() Decimal { return Decimal{micro: -d.micro, said: d.said} }

// String prints the shortest form: "-41", "18.1"; "" when not said.
func (d Decimal) String() string {
	if !d.said {
		return ""
	}
	n, sign := d.micro, ""
	if n < 0 {
		n, sign = -n, "-"
	}
	s := fmt.Sprintf("%s%d.%06d", sign, n/DecimalScale, n%DecimalScale)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

// MarshalJSON writes a JSON number.
func (d Decimal) MarshalJSON() ([]byte, error) {
	if !d.said {
		return []byte("null"), nil
	}
	return []byte(d.String()), nil
}

// UnmarshalJSON reads a JSON number, a string holding one, or null.
func (d *Decimal) UnmarshalJSON(b []byte) error {
	if bytes.Equal(b, []byte("null")) {
		*d = Decimal{}
		return nil
	}
	v, err := ParseDecimal(strings.Trim(string(b), `"`))
	if err != nil {
		return err
	}
	*d = v
	return nil
}

// Whole returns n as a Decimal.
func Whole(n int64) Decimal { return Decimal{micro: n * DecimalScale, said: true} }
