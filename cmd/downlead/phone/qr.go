package phone

import (
	"fmt"
	"io"
	"strings"

	"github.com/boombuler/barcode/qr"
)

// code is a QR code with its quiet zone of four modules on every side
// (ISO/IEC 18004, 6.3.8).
type code struct {
	dark [][]bool
}

const quietZone = 4

func newCode(text string) (code, error) {
	q, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return code{}, fmt.Errorf("draw the QR code: %w", err)
	}
	n := q.Bounds().Dx()
	c := code{dark: make([][]bool, n+2*quietZone)}
	for y := range c.dark {
		c.dark[y] = make([]bool, n+2*quietZone)
		for x := range c.dark[y] {
			inX, inY := x-quietZone, y-quietZone
			if inX >= 0 && inY >= 0 && inX < n && inY < n {
				r, _, _, _ := q.At(inX, inY).RGBA()
				c.dark[y][x] = r == 0
			}
		}
	}
	return c, nil
}

// PrintCode writes an invitation's QR code for a terminal: two modules in a
// character, dark on light whatever the terminal's own colours are.
func PrintCode(w io.Writer, i Invitation) error {
	c, err := newCode(i.URL)
	if err != nil {
		return err
	}
	const onLight, plain = "\x1b[30;107m", "\x1b[0m" // ECMA-48, and the bright white that terminals add
	for y := 0; y < len(c.dark); y += 2 {
		var b strings.Builder
		for x := range c.dark[y] {
			upper, lower := c.dark[y][x], y+1 < len(c.dark) && c.dark[y+1][x]
			b.WriteString([...]string{" ", "▄", "▀", "█"}[index(upper)*2+index(lower)])
		}
		if _, err := fmt.Fprintf(w, "%s%s%s\n", onLight, b.String(), plain); err != nil {
			return err
		}
	}
	return nil
}

func index(b bool) int {
	if b {
		return 1
	}
	return 0
}

// Drawing is a QR code as the path of an SVG of Size by Size units.
type Drawing struct {
	Size int
	Path string
}

// Draw draws an invitation's QR code.
func (i Invitation) Draw() (Drawing, error) {
	c, err := newCode(i.URL)
	if err != nil {
		return Drawing{}, err
	}
	var b strings.Builder
	for y, row := range c.dark {
		for x, dark := range row {
			if dark {
				fmt.Fprintf(&b, "M%d %dh1v1h-1z", x, y)
			}
		}
	}
	return Drawing{Size: len(c.dark), Path: b.String()}, nil
}
