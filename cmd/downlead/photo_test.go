package main

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/jpeg"
	"image/png"
	"testing"
)

// exifWithPosition builds an Exif segment as JEITA CP-3451 lays it out: IFD0
// with an orientation and a pointer to a GPS IFD with a latitude reference.
func exifWithPosition(orient uint16) []byte {
	t := []byte("II*\x00\x08\x00\x00\x00")
	put16 := func(v uint16) { t = binary.LittleEndian.AppendUint16(t, v) }
	put32 := func(v uint32) { t = binary.LittleEndian.AppendUint32(t, v) }
	put16(2)
	put16(0x0112)
	put16(3)
	put32(1)
	put32(uint32(orient))
	put16(0x8825)
	put16(4)
	put32(1)
	put32(38)
	put32(0)
	put16(1)
	put16(1) // GPSLatitudeRef
	put16(2)
	put32(2)
	t = append(t, 'N', 0, 0, 0)
	put32(0)
	seg := append([]byte{0xff, 0xe1, 0, 0}, append([]byte("Exif\x00\x00"), t...)...)
	binary.BigEndian.PutUint16(seg[2:], uint16(len(seg)-2))
	return seg
}

func TestPositionIsTakenOutOfJPEG(t *testing.T) {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 8, 8)), nil); err != nil {
		t.Fatal(err)
	}
	plain := b.Bytes()
	xmp := append([]byte{0xff, 0xe1, 0, 40}, bytes.Repeat([]byte("x"), 38)...)
	with := append(append(append([]byte{0xff, 0xd8}, exifWithPosition(6)...), xmp...), plain[2:]...)
	got, err := withoutPosition(with)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(got, []byte{0x25, 0x88}) || bytes.Contains(got, []byte{0x88, 0x25}) || bytes.Contains(got, []byte("xxxx")) {
		t.Error("the position or the XMP is still there")
	}
	if !bytes.Contains(got, []byte{0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, 6}) {
		t.Error("the orientation is gone")
	}
	if _, err := jpeg.Decode(bytes.NewReader(got)); err != nil {
		t.Errorf("no longer a picture: %v", err)
	}
}

func TestPositionIsTakenOutOfPNG(t *testing.T) {
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 8, 8))); err != nil {
		t.Fatal(err)
	}
	got, err := withoutPosition(b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := png.Decode(bytes.NewReader(got)); err != nil {
		t.Errorf("no longer a picture: %v", err)
	}
}

func FuzzWithoutPosition(f *testing.F) {
	f.Add([]byte("\xff\xd8"))
	f.Add(append([]byte{0xff, 0xd8}, exifWithPosition(3)...))
	f.Add([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x04eXIf"))
	f.Fuzz(func(t *testing.T, b []byte) {
		got, err := withoutPosition(b)
		if err == nil && len(got) > len(b)+64 {
			t.Errorf("%d bytes became %d", len(b), len(got))
		}
	})
}
