package pay

import (
	"strings"
	"testing"
)

// FuzzRates reads a rates file that may be anything.
func FuzzRates(f *testing.F) {
	f.Add(RatesExample)
	f.Add("zone = \"UTC\"\n[[rates]]\nfrom = 1")
	f.Fuzz(func(t *testing.T, text string) {
		r, err := ReadRates(strings.NewReader(text))
		if err == nil && r.Zone == nil {
			t.Error("rates without a zone")
		}
	})
}
