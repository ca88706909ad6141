package field

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/jpeg"
	"image/png"
	"reflect"
	"slices"
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
	got, err := WithoutPosition(with)
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
	got, err := WithoutPosition(b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := png.Decode(bytes.NewReader(got)); err != nil {
		t.Errorf("no longer a picture: %v", err)
	}
}

// segment is a JPEG marker segment.
func segment(marker byte, body string) []byte {
	return append([]byte{0xff, marker, byte((len(body) + 2) >> 8), byte(len(body) + 2)}, body...)
}

// Every place in which a photograph can say where it was taken: each holds a
// canary, and none comes out. Exif 2.32 (CIPA DC-008-2019), MPF (CIPA
// DC-007-2009), JFIF 1.02, XMP part 3, T.81 B.2.4.5.
func TestNothingButThePictureIsKept(t *testing.T) {
	const canary = "GPSLatitude=39.7392,N"
	var b bytes.Buffer
	if err := jpeg.Encode(&b, gradient(), nil); err != nil {
		t.Fatal(err)
	}
	plain := b.Bytes()
	want, err := jpeg.Decode(bytes.NewReader(plain))
	if err != nil {
		t.Fatal(err)
	}
	second := slices.Concat([]byte("\xff\xd8"), segment(0xe1, "Exif\x00\x00II*\x00"+canary), plain[2:])
	with := []byte("\xff\xd8")
	for _, seg := range [][]byte{
		segment(0xe0, "JFIF\x00\x01\x02\x00\x00\x01\x00\x01\x02\x02"+canary), segment(0xe0, "JFXX\x00\x10"+string(second)),
		exifWithPosition(6), segment(0xe1, "Exif\x00\x00MM\x00*"+canary), segment(0xe1, "<x:xmpmeta>"+canary),
		segment(0xe1, "extension"+canary), segment(0xe2, "MPF\x00"+canary), segment(0xe2, "ICC_PROFILE\x00"+canary),
		segment(0xe3, canary), segment(0xe5, canary), segment(0xec, canary), segment(0xed, canary), segment(0xee, "Adobe"+canary),
		segment(0xef, canary), segment(0xfe, canary), segment(0xf0, canary),
		{0xff, 0xff, 0xff, 0xff}, // legal fill bytes before the next marker
	} {
		with = append(with, seg...)
	}
	with = slices.Concat(with, plain[2:], second, []byte("ftypmp42"+canary), []byte(canary))
	got, err := WithoutPosition(with)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(got, []byte("39.7392")) || bytes.Contains(got, []byte{0x25, 0x88}) || bytes.Count(got, []byte("\xff\xd8\xff")) != 1 {
		t.Errorf("something is left: %q", got[:min(len(got), 300)])
	}
	if !bytes.Contains(got, []byte{0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, 6}) {
		t.Error("the orientation is gone")
	}
	picture, err := jpeg.Decode(bytes.NewReader(got))
	if err != nil || !reflect.DeepEqual(picture, want) {
		t.Errorf("the picture is another: %v", err)
	}

	b.Reset()
	if err := png.Encode(&b, gradient()); err != nil {
		t.Fatal(err)
	}
	plain = b.Bytes()
	const header = 8 + 25 // signature and IHDR
	with = slices.Clone(plain[:header])
	for _, kind := range []string{"eXIf", "tEXt", "zTXt", "iTXt", "iCCP", "tIME", "prVt", "gpSx"} {
		with = append(with, pngChunk(kind, canary)...)
	}
	with = slices.Concat(with, plain[header:], []byte(canary), pngChunk("tEXt", canary))
	if got, err = WithoutPosition(with); err != nil || !bytes.Equal(got, plain) {
		t.Errorf("PNG: %v, %d bytes of %d", err, len(got), len(plain))
	}
}

func pngChunk(kind, body string) []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	b = append(b, kind+body...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
}

// gradient is a picture in which every point is another.
func gradient() image.Image {
	m := image.NewRGBA(image.Rect(0, 0, 40, 30))
	for i := range m.Pix {
		m.Pix[i] = byte(i * 7)
	}
	return m
}

func TestPhotographsThatAreNone(t *testing.T) {
	for name, b := range map[string]string{
		"nothing": "", "no picture": "\xff\xd8\xff\xd9", "cut": "\xff\xd8\xff\xe1\x00\x10Ex", "cut marker": "\xff\xd8\xff", "no marker": "\xff\xd8ab",
		"short length": "\xff\xd8\xff\xe1\x00\x01", "PNG without an end": "\x89PNG\r\n\x1a\n", "HEIC": "\x00\x00\x00\x18ftypheic",
	} {
		if got, err := WithoutPosition([]byte(b)); err == nil {
			t.Errorf("%s: %q", name, got)
		}
	}
}

func FuzzWithoutPosition(f *testing.F) {
	f.Add([]byte("\xff\xd8"))
	f.Add(append([]byte{0xff, 0xd8}, exifWithPosition(3)...))
	f.Add([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x04eXIf"))
	var b bytes.Buffer
	if err := jpeg.Encode(&b, gradient(), nil); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes())
	f.Fuzz(func(t *testing.T, b []byte) {
		got, err := WithoutPosition(b)
		if err == nil && len(got) > len(b)+64 {
			t.Errorf("%d bytes became %d", len(b), len(got))
		}
	})
}
