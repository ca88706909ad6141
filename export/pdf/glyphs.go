package pdf

import (
	"fmt"
	"strings"
	"unicode"

	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font/sfnt"
)

// glyphs knows which letters the documents' font has. Others would be empty
// boxes, and beyond the first 65,536 code points the PDF library fails.
type glyphs struct {
	font *sfnt.Font
	buf  *sfnt.Buffer
}

func newGlyphs() glyphs {
	f, err := sfnt.Parse(liberationsansregular.TTF)
	if err != nil {
		panic(err) // the font is part of the program
	}
	return glyphs{font: f, buf: new(sfnt.Buffer)}
}

// printable replaces what the font cannot show by its code point in words, so
// that a reader sees that something stands there: the JSON form has it.
func (g glyphs) printable(s string) string {
	if plainASCII(s) {
		return s
	}
	var b strings.Builder
	for _, r := range strings.ToValidUTF8(s, "\uFFFD") {
		switch {
		case unicode.IsSpace(r):
			b.WriteByte(' ')
		case unicode.IsControl(r), unicode.Is(unicode.Variation_Selector, r), r == '\u200d':
		case !g.has(r):
			fmt.Fprintf(&b, "[U+%04X]", r)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

func plainASCII(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			return false
		}
	}
	return true
}

func (g glyphs) has(r rune) bool {
	if r > 0xFFFF || unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Bidi_Control, r) {
		return false
	}
	i, err := g.font.GlyphIndex(g.buf, r)
	return err == nil && i != 0
}
