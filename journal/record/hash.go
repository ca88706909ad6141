package record

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
)

// Hash is a SHA-256 sum (FIPS 180-4).
type Hash [sha256.Size]byte

// String returns the sum in lower-case hex.
func (h Hash) String() string { return hex.EncodeToString(h[:]) }

// MarshalText writes the sum in lower-case hex, in JSON too.
func (h Hash) MarshalText() ([]byte, error) { return []byte(h.String()), nil }

// UnmarshalText reads a sum in hex.
func (h *Hash) UnmarshalText(b []byte) error {
	v, err := ParseHash(string(b))
	if err != nil {
		return err
	}
	*h = v
	return nil
}

// ParseHash reads a sum of 64 hex digits, as printed on a closeout.
func ParseHash(s string) (Hash, error) {
	b, err := hex.DecodeString(s)
	if err != nil || len(b) != len(Hash{}) {
		return Hash{}, fmt.Errorf("%q is not a SHA-256 sum: 64 hex digits are needed", s)
	}
	return Hash(b), nil
}

// Chain returns the hash of a record from the hash of the one before it and
// its canonical text: SHA-256(prev || text). The hash before the first record
// is 32 zero bytes.
func Chain(prev Hash, text []byte) Hash {
	var buf [1024]byte
	b := append(buf[:0], prev[:]...)
	return sha256.Sum256(append(b, text...))
}
