package field

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"

	"downlead/export/exif"
)

// errPhotoFormat says which photographs the position can be taken out of.
var errPhotoFormat = errors.New("the position can be taken out of JPEG and PNG alone; convert it, or give --keep-position")

// WithoutPosition returns a photograph without what tells where, when and with
// what it was taken. Only what the picture itself needs is kept, to the bit,
// and of all else only the orientation, on purpose: no Exif (CIPA DC-008-2019,
// Exif 2.32), no XMP, no maker's notes, no comments, no colour profile, no
// thumbnail (JFIF 1.02 has one too), no further pictures of a multi-picture
// file (CIPA DC-007), and nothing behind the picture's end.
func WithoutPosition(b []byte) ([]byte, error) {
	switch {
	case bytes.HasPrefix(b, []byte("\xff\xd8")):
		return jpegWithoutPosition(b)
	case bytes.HasPrefix(b, []byte("\x89PNG\r\n\x1a\n")):
		return pngWithoutPosition(b)
	}
	return nil, errPhotoFormat
}

// jpegKept are the markers of what a picture needs (ITU-T T.81, table B.1):
// frames, tables, restart interval, lines, scans.
func jpegKept(marker byte) bool {
	switch {
	case marker >= 0xc0 && marker <= 0xcf && marker != 0xc8: // SOF, DHT, DAC
		return true
	case marker >= 0xda && marker <= 0xdf: // SOS, DQT, DNL, DRI, DHP, EXP
		return true
	}
	return false
}

func jpegWithoutPosition(b []byte) ([]byte, error) {
	out := []byte{0xff, 0xd8}
	oriented, pictured := false, false
	for at := 2; ; {
		if at >= len(b) && pictured {
			return append(out, 0xff, 0xd9), nil // cut off behind the picture: it is kept as it is
		}
		start := at
		for at < len(b) && b[at] == 0xff { // any number of fill bytes may come first (T.81, B.1.1.2)
			at++
		}
		if at == start || at >= len(b) {
			return nil, fmt.Errorf("the JPEG is damaged at byte %d", start)
		}
		marker := b[at]
		at++
		switch {
		case marker == 0xd9:
			if !pictured {
				return nil, errors.New("the JPEG holds no picture")
			}
			return append(out, 0xff, 0xd9), nil
		case marker == 0x01, marker >= 0xd0 && marker <= 0xd7: // these have no length
			continue
		case at+2 > len(b):
			return nil, fmt.Errorf("the JPEG is damaged at byte %d", start)
		}
		end := at + int(binary.BigEndian.Uint16(b[at:]))
		if end > len(b) || end < at+2 {
			return nil, fmt.Errorf("the JPEG is damaged at byte %d", start)
		}
		body := b[at+2 : end]
		switch {
		case jpegKept(marker):
			out = append(append(out, 0xff, marker), b[at:end]...)
		case marker == 0xe1 && !oriented && bytes.HasPrefix(body, []byte("Exif\x00\x00")):
			seg := orientation(body[6:])
			out, oriented = append(out, seg...), seg != nil
		case marker == 0xee && len(body) == adobeLength && bytes.HasPrefix(body, []byte("Adobe")):
			// How the colours are to be read, without which they would be wrong.
			out = append(append(out, 0xff, marker), b[at:end]...)
		}
		at = end
		if marker == 0xda {
			pictured = true
			end = scanEnd(b, at)
			out = append(out, b[at:end]...)
			at = end
		}
	}
}

// adobeLength is how long the segment is that says how colours are transformed
// (ITU-T T.872, 6.5.3).
const adobeLength = 12

// scanEnd is where the coded data of a scan ends: at a marker that is neither
// a stuffed byte nor a restart (T.81, B.1.1.5).
func scanEnd(b []byte, at int) int {
	for ; at+1 < len(b); at++ {
		if next := b[at+1]; b[at] == 0xff && next != 0 && next != 0xff && (next < 0xd0 || next > 0xd7) {
			return at
		}
	}
	return len(b)
}

// orientation is an Exif segment that holds the orientation of another, and
// nothing else; empty when that has none.
func orientation(tiff []byte) []byte {
	value, ok := exif.Orientation(tiff)
	if !ok {
		return nil
	}
	seg := []byte{0xff, 0xe1, 0, 0, 'E', 'x', 'i', 'f', 0, 0, 'M', 'M', 0, 42, 0, 0, 0, 8, 0, 1}
	seg = append(seg, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, byte(value), 0, 0, 0, 0, 0, 0)
	binary.BigEndian.PutUint16(seg[2:], uint16(len(seg)-2))
	return seg
}

func pngWithoutPosition(b []byte) ([]byte, error) {
	const head = 8 // bytes of signature, and of a chunk's length and type
	out := append([]byte{}, b[:head]...)
	for at := head; at < len(b); {
		if at+head+4 > len(b) {
			return nil, fmt.Errorf("the PNG is damaged at byte %d", at)
		}
		length := int(binary.BigEndian.Uint32(b[at:]))
		end := at + head + length + 4
		if length < 0 || end > len(b) || end < at ||
			crc32.ChecksumIEEE(b[at+4:end-4]) != binary.BigEndian.Uint32(b[end-4:]) {
			return nil, fmt.Errorf("the PNG is damaged at byte %d", at)
		}
		// What the picture needs (PNG, third edition, section 11), animation too.
		switch kind := string(b[at+4 : at+8]); kind {
		case "IHDR", "PLTE", "IDAT", "tRNS", "gAMA", "cHRM", "sRGB", "sBIT", "bKGD", "pHYs", "acTL", "fcTL", "fdAT":
			out = append(out, b[at:end]...)
		case "IEND":
			return append(out, b[at:end]...), nil // nothing behind it
		}
		at = end
	}
	return nil, errors.New("the PNG is cut off")
}
