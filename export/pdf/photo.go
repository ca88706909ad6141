package pdf

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	_ "image/png" // photographs are JPEG or PNG
	"io"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/draw"

	"downlead/export/closeout"
	"downlead/export/exif"
	"downlead/export/figure"
)

// The contact sheet, millimetres.
const (
	photoColumns = 3
	photoGap     = 4.0
	photoHeight  = 42.0
	photoCaption = 4 // lines
	photoLine    = 2.9
	photoSize    = 6.8 // points
)

// mostPixels bounds what a small file may unfold to in memory.
const mostPixels = 100_000_000

// thumbPixels is how long the longer side of a photograph on the sheet is:
// about 200 dots an inch.
const thumbPixels = 480

// closeoutPhotographs prints the contact sheet. The full size is in an archive.
func (s *Sheet) closeoutPhotographs(c closeout.Closeout, open func(string) (io.ReadCloser, error)) {
	if len(c.Photographs) == 0 || c.Redacted || open == nil {
		return
	}
	const height = photoHeight + photoCaption*photoLine + 3
	w := (s.Width() - (photoColumns-1)*photoGap) / photoColumns
	s.Heading("Photographs", height)
	for i, p := range c.Photographs {
		col := i % photoColumns
		if col == 0 {
			s.need(height)
		}
		x := PageMargin + float64(col)*(w+photoGap)
		if err := s.photograph(x, s.Y+1, w, p.SHA256, open); err != nil {
			s.Rect(x, s.Y+1, w, photoHeight, 0.2, figure.Gray, figure.White)
			for k, l := range figure.Wrap(s, photoSize, false, err.Error(), w-4) {
				s.Text(x+w/2, s.Y+photoHeight/2+photoLine*float64(k), photoSize, false, figure.Centre, figure.Gray, l)
			}
		}
		for k, l := range figure.Wrap(s, photoSize, false, photoWords(p), w) {
			if k < photoCaption {
				s.Text(x, s.Y+photoHeight+3.6+photoLine*float64(k), photoSize, false, figure.Left, figure.Black, l)
			}
		}
		if col == photoColumns-1 || i == len(c.Photographs)-1 {
			s.Y += height
		}
	}
}

func photoWords(p closeout.Photograph) string {
	t := fmt.Sprintf("%s (entry %d)", p.Name, p.Entry)
	if len(p.SHA256) >= 12 {
		t += ", SHA-256 " + p.SHA256[:12] + "…"
	}
	for _, more := range []string{p.Point, p.Remark} {
		if more != "" {
			t += ", " + more
		}
	}
	return t
}

// photograph puts one into a field, scaled to fit. It is drawn anew, so that
// nothing of its file but the picture is in the document.
func (s *Sheet) photograph(x, y, w float64, sum string, open func(string) (io.ReadCloser, error)) error {
	if s.pdf.GetImageInfo(sum) == nil {
		small, err := thumbnail(sum, open)
		if err != nil {
			return err
		}
		s.pdf.RegisterImageOptionsReader(sum, fpdf.ImageOptions{ImageType: "JPG"}, bytes.NewReader(small))
	}
	info := s.pdf.GetImageInfo(sum)
	k := min(w/info.Width(), photoHeight/info.Height())
	pw, ph := info.Width()*k, info.Height()*k
	s.pdf.ImageOptions(sum, x+(w-pw)/2, y+(photoHeight-ph)/2, pw, ph, false, fpdf.ImageOptions{ImageType: "JPG"}, 0, "")
	return nil
}

// thumbnail is a kept photograph, small and the right way up, as a JPEG.
func thumbnail(sum string, open func(string) (io.ReadCloser, error)) ([]byte, error) {
	f, err := open(sum)
	if err != nil {
		return nil, errors.New("the photograph is not at hand")
	}
	defer f.Close()
	raw, err := io.ReadAll(f)
	if err != nil {
		return nil, errors.New("the photograph cannot be read")
	}
	size, _, err := image.DecodeConfig(bytes.NewReader(raw))
	switch {
	case err != nil:
		return nil, errors.New("in a form that cannot be shown here")
	case size.Width < 1 || size.Height < 1 || size.Width > mostPixels/size.Height:
		return nil, errors.New("too large to be shown here")
	}
	full, _, err := image.Decode(bytes.NewReader(raw))
	if err != nil {
		return nil, errors.New("the picture is damaged")
	}
	var b bytes.Buffer
	err = jpeg.Encode(&b, upright(scaled(full), orientationOf(raw)), &jpeg.Options{Quality: 80})
	return b.Bytes(), err
}

func scaled(full image.Image) *image.RGBA {
	r := full.Bounds()
	k := min(1, thumbPixels/float64(max(r.Dx(), r.Dy())))
	small := image.NewRGBA(image.Rect(0, 0, max(1, int(k*float64(r.Dx()))), max(1, int(k*float64(r.Dy())))))
	draw.Draw(small, small.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	draw.CatmullRom.Scale(small, small.Bounds(), full, r, draw.Over, nil)
	return small
}

// upright turns a picture as its orientation says (Exif 2.32, 4.6.4, tag 274):
// 2, 4, 5 and 7 are mirrored, from 5 on rows and columns change places.
func upright(m *image.RGBA, orientation int) *image.RGBA {
	w, h := m.Rect.Dx(), m.Rect.Dy()
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	if orientation >= 5 {
		out = image.NewRGBA(image.Rect(0, 0, h, w))
	}
	for y := range h {
		for x := range w {
			to := [...]image.Point{{x, y}, {w - 1 - x, y}, {w - 1 - x, h - 1 - y}, {x, h - 1 - y}, {y, x}, {h - 1 - y, x}, {h - 1 - y, w - 1 - x}, {y, w - 1 - x}}[orientation-1]
			out.SetRGBA(to.X, to.Y, m.RGBAAt(x, y))
		}
	}
	return out
}

// orientationOf is the orientation that a JPEG names, 1 where it names none.
func orientationOf(b []byte) int {
	for at := 2; at+4 <= len(b) && b[at] == 0xff && b[at+1] != 0xda; {
		end := at + 2 + int(binary.BigEndian.Uint16(b[at+2:]))
		if end > len(b) {
			break
		}
		if body := b[at+4 : end]; b[at+1] == 0xe1 && bytes.HasPrefix(body, []byte("Exif\x00\x00")) {
			if o, ok := exif.Orientation(body[6:]); ok && o >= 1 && o <= 8 {
				return int(o)
			}
			return 1
		}
		at = end
	}
	return 1
}
