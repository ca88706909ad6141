package journal

import (
	"slices"
	"strings"
	"unicode"

	"downlead/grammar"
)

// tokens splits text into lower-case runs of letters and digits.
func tokens(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	})
}

// words returns what a record can be found by: the words of its phrase, of an
// address or a free text, and those of its elements' own names.
func words(d *Draft) []string {
	list := tokens(d.Phrase)
	switch e := d.Entry.(type) {
	case grammar.Job:
		list = append(append(list, tokens(e.Number)...), tokens(e.Text)...)
	case grammar.Site:
		list = append(list, tokens(e.Text)...)
	case grammar.Note:
		list = append(list, tokens(e.Text)...)
	case grammar.Unparsed:
		list = append(list, tokens(e.Text)...)
	case grammar.Check:
		list = append(append(list, tokens(e.Remark)...), tokens(e.Check)...)
	case grammar.Reading:
		list = append(list, tokens(string(e.Point.Element))...)
	case grammar.Action:
		list = append(list, tokens(string(e.Element))...)
	case grammar.Path:
		for _, p := range e.Elements {
			list = append(list, tokens(string(p.Element))...)
		}
	}
	slices.Sort(list)
	list = slices.Compact(list)
	return slices.DeleteFunc(list, func(w string) bool { return w == "" || len(w) > 64 })
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
