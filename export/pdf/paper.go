package pdf

import (
	"fmt"
	"slices"
	"strings"
)

// Paper is a size of paper, millimetres, upright.
type Paper struct {
	Name          string // as the PDF library calls it
	Width, Height float64
}

// The two papers that offices print on (ISO 216; ANSI/ASME Y14.1).
func Letter() Paper { return Paper{"Letter", 215.9, 279.4} }
func A4() Paper     { return Paper{"A4", 210, 297} }

// PaperNamed is the paper of a name, as "a4" or "letter".
func PaperNamed(name string) (Paper, error) {
	switch strings.ToLower(name) {
	case "letter":
		return Letter(), nil
	case "a4":
		return A4(), nil
	}
	return Paper{}, fmt.Errorf("%q is no paper that a document is made for: say letter or a4", name)
}

// PaperFor is the paper of a locale such as "de_DE.UTF-8", by its region. One
// that names no region gets Letter, as this trade's units are American.
func PaperFor(locale string) Paper {
	locale, _, _ = strings.Cut(locale, ".")
	locale, _, _ = strings.Cut(locale, "@")
	at := strings.LastIndexAny(locale, "_-")
	if at < 0 {
		return Letter()
	}
	// Unicode CLDR, supplemental measurement data, paperSize "US-Letter"; the
	// list is from memory.
	letter := []string{"BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"}
	if slices.Contains(letter, strings.ToUpper(locale[at+1:])) {
		return Letter()
	}
	return A4()
}
