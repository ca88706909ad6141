package main

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
)

// errPhotoFormat says which photographs the position can be taken out of.
var errPhotoFormat = errors.New("the position can be taken out of JPEG and PNG alone; convert it, or give --keep-position")

// withoutPosition returns a photograph without what tells where it was taken:
// Exif and XMP, which hold the position, are left out whole. The picture's
// orientation, which Exif holds too, is kept. (Exif: JEITA CP-3451; XMP in
// JPEG: an APP1 segment of its own; PNG: the eXIf and text chunks.)
func withoutPosition(b []byte) ([]byte, error) {
	switch {
	case bytes.HasPrefix(b, []byte("\xff\xd8")):
		return jpegWithoutPosition(b)
	case bytes.HasPrefix(b, []byte("\x89PNG\r\n\x1a\n")):
		return pngWithoutPosition(b)
	}
	return nil, errPhotoFormat
}

func jpegWithoutPosition(b []byte) ([]byte, error) {
	out := []byte{0xff, 0xd8}
	for at := 2; ; {
		if at+4 > len(b) || b[at] != 0xff {
			return nil, fmt.Errorf("the JPEG is damaged at byte %d", at)
		}
		marker := b[at+1]
		if marker == 0xda || marker == 0xd9 { // the picture itself: no more segments
			return append(out, b[at:]...), nil
		}
		end := at + 2 + int(binary.BigEndian.Uint16(b[at+2:]))
		if end > len(b) || end < at+4 {
			return nil, fmt.Errorf("the JPEG is damaged at byte %d", at)
		}
		body := b[at+4 : end]
		switch {
		case marker == 0xe1 && bytes.HasPrefix(body, []byte("Exif\x00\x00")):
			out = append(out, orientation(body[6:])...)
		case marker == 0xe1: // XMP
		case marker == 0xed: // captions, places
		default:
			out = append(out, b[at:end]...)
		}
		at = end
	}
}

// orientation is an Exif segment that holds the orientation of another, and
// nothing else; empty when that has none.
func orientation(tiff []byte) []byte {
	if len(tiff) < 8 {
		return nil
	}
	var order binary.ByteOrder = binary.BigEndian
	if bytes.HasPrefix(tiff, []byte("II")) {
		order = binary.LittleEndian
	}
	at := int(order.Uint32(tiff[4:]))
	if at < 8 || at+2 > len(tiff) {
		return nil
	}
	const entry = 12 // bytes: tag, type, count, value
	n := int(order.Uint16(tiff[at:]))
	for i := range n {
		field := at + 2 + i*entry
		if field+entry > len(tiff) {
			return nil
		}
		const tagOrientation = 0x0112
		if order.Uint16(tiff[field:]) != tagOrientation {
			continue
		}
		seg := []byte{0xff, 0xe1, 0, 0, 'E', 'x', 'i', 'f', 0, 0, 'M', 'M', 0, 42, 0, 0, 0, 8, 0, 1}
		seg = append(seg, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, byte(order.Uint16(tiff[field+8:])), 0, 0, 0, 0, 0, 0)
		binary.BigEndian.PutUint16(seg[2:], uint16(len(seg)-2))
		return seg
	}
	return nil
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
		switch string(b[at+4 : at+8]) {
		case "eXIf", "tEXt", "zTXt", "iTXt":
		default:
			out = append(out, b[at:end]...)
		}
		at = end
	}
	return out, nil
}
