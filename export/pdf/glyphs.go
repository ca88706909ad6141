package pdf

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"codeberg.org/go-fonts/dejavu/dejavusans"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/norm"
)

// The families of the documents: the first for Latin, Greek and Cyrillic, the
// second for what the first lacks.
const (
	sans  = "sans"
	other = "other"
	mono  = "mono"
)

// glyphs knows which letters the documents' fonts have. Others would be empty
// boxes, and beyond the first 65,536 code points the PDF library fails.
type glyphs struct {
	sans, other *sfnt.Font
	buf         *sfnt.Buffer
	lacking     map[string]bool // scripts that were met and are in no font
}

func newGlyphs() glyphs {
	parse := func(ttf []byte) *sfnt.Font {
		f, err := sfnt.Parse(ttf)
		if err != nil {
			panic(err) // the font is part of the program
		}
		return f
	}
	return glyphs{
		sans: parse(liberationsansregular.TTF), other: parse(dejavusans.TTF),
		buf: new(sfnt.Buffer), lacking: map[string]bool{},
	}
}

// run is a piece of text in one font.
type run struct{ family, text string }

// runs parts a text by the fonts it needs.
func (g glyphs) runs(s string) []run {
	s = g.printable(s)
	if plainASCII(s) {
		return []run{{sans, s}}
	}
	var out []run
	for _, r := range s {
		family := sans
		if !g.has(g.sans, r) {
			family = other
		}
		if n := len(out); n > 0 && (out[n-1].family == family || unicode.Is(unicode.Mn, r)) {
			out[n-1].text += string(r) // an accent stays with its letter
		} else {
			out = append(out, run{family, string(r)})
		}
	}
	return out
}

// printable replaces what no font can show by its code point in words, so
// that a reader sees that something stands there: the JSON form has it.
func (g glyphs) printable(s string) string {
	if plainASCII(s) {
		return s
	}
	var b strings.Builder
	for _, r := range norm.NFC.String(strings.ToValidUTF8(s, "\uFFFD")) {
		switch {
		case unicode.IsSpace(r):
			b.WriteByte(' ')
		case unicode.IsControl(r), unicode.Is(unicode.Variation_Selector, r), r == '\u200d':
		case !g.drawable(r):
			g.lacking[script(r)] = true
			fmt.Fprintf(&b, "[U+%04X]", r)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// drawable reports that a letter can be set: some font has it, and it is set
// from left to right in the form it is stored in.
func (g glyphs) drawable(r rune) bool {
	if r > 0xFFFF || unicode.In(r, unicode.Cf, unicode.Bidi_Control, unicode.Arabic, unicode.Hebrew, unicode.Nko) {
		return false
	}
	return g.has(g.sans, r) || g.has(g.other, r)
}

func (g glyphs) has(f *sfnt.Font, r rune) bool {
	i, err := f.GlyphIndex(g.buf, r)
	return err == nil && i != 0
}

// script names the script that a letter is of.
func script(r rune) string {
	for _, name := range slices.Sorted(maps.Keys(unicode.Scripts)) {
		if unicode.Is(unicode.Scripts[name], r) && name != "Common" && name != "Inherited" {
			return strings.ReplaceAll(name, "_", " ")
		}
	}
	return "symbols"
}

func plainASCII(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			return false
		}
	}
	return true
}
