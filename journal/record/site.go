package record

import (
	"strings"
	"unicode"
)

// SiteKey folds an address so that one site written in two ways has one key:
// case, punctuation and spacing do not matter, and the common street words
// are shortened. "" for an address without a letter or digit.
func SiteKey(address string) string {
	fields := Tokens(address)
	for i, f := range fields {
		if short, ok := shortStreetWord(f); ok {
			fields[i] = short
		}
	}
	return strings.Join(fields, " ")
}

// Tokens splits text into words as wordsOf does.
func Tokens(text string) []string {
	return strings.FieldsFunc(strings.Map(unicode.ToLower, text), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	})
}

// shortStreetWord returns the short form of a street word: the commonest of
// the suffixes and directions in USPS Publication 28, section 233 and
// appendix C1 (from memory).
func shortStreetWord(w string) (string, bool) {
	switch w {
	case "street", "str":
		return "st", true
	case "road":
		return "rd", true
	case "lane":
		return "ln", true
	case "avenue", "av":
		return "ave", true
	case "drive", "drv":
		return "dr", true
	case "court":
		return "ct", true
	case "circle":
		return "cir", true
	case "boulevard":
		return "blvd", true
	case "place":
		return "pl", true
	case "terrace":
		return "ter", true
	case "trail":
		return "trl", true
	case "highway":
		return "hwy", true
	case "parkway":
		return "pkwy", true
	case "apartment":
		return "apt", true
	case "north":
		return "n", true
	case "south":
		return "s", true
	case "east":
		return "e", true
	case "west":
		return "w", true
	}
	return "", false
}
