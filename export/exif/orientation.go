// Package exif reads the one thing that is kept of a photograph's metadata: how
// the picture has to be turned.
package exif

import (
	"bytes"
	"encoding/binary"
)

// Orientation returns the orientation (tag 274, 0x0112) in the first directory
// of the TIFF data of an Exif segment, as it stands there; false where there is
// none, or the data is cut off (Exif 2.32, 4.5 and 4.6.4).
func Orientation(tiff []byte) (uint16, bool) {
	if len(tiff) < 8 {
		return 0, false
	}
	var order binary.ByteOrder = binary.BigEndian
	if bytes.HasPrefix(tiff, []byte("II")) {
		order = binary.LittleEndian
	}
	at := int(order.Uint32(tiff[4:]))
	if at < 8 || at+2 > len(tiff) {
		return 0, false
	}
	const entry, tagOrientation = 12, 0x0112 // bytes: tag, type, count, value
	for i := range int(order.Uint16(tiff[at:])) {
		field := at + 2 + i*entry
		if field+entry > len(tiff) {
			return 0, false
		}
		if order.Uint16(tiff[field:]) == tagOrientation {
			return order.Uint16(tiff[field+8:]), true
		}
	}
	return 0, false
}
