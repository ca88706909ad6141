package record

import (
	"crypto/sha256"
	"encoding/hex"
	"testing"

	"github.com/gowebpki/jcs"
)

// Source: independent computation, with another language's SHA-256 and JSON
// libraries.
func TestChain(t *testing.T) {
	var h Hash
	for _, c := range []struct{ text, want string }{
		{`{"seq":1,"type":"visit.opened"}`, "31d856b721db347f79fe82a360d2776d548b89fdd2d300dd61303c93f5193693"},
		{`{"type":"unit.added", "seq":2}`, "33369cf8b8dfd99ece315ecd0b5447a4955aabf0776425df5b55996581f6fa0d"},
		{`{"seq":3.0,"type":"visit\u002eclosed"}`, "ec3948f2f1176156d8e1b4f0a1a371b9cb3bbe875af5c534cce1b4986e2426df"},
	} {
		text, err := jcs.Transform([]byte(c.text))
		if err != nil {
			t.Fatal(err)
		}
		if h = Chain(h, text); h.String() != c.want {
			t.Errorf("hash after %s is %v, want %s", c.text, h, c.want)
		}
	}
}

// Source: FIPS 180-2, appendix B (from memory), and the empty message of the
// NIST example values (from memory). chain(prev, text) hashes 32 bytes more,
// so the plain function is checked here and chain against it.
func TestSHA256(t *testing.T) {
	million := make([]byte, 1_000_000)
	for i := range million {
		million[i] = 'a'
	}
	for _, c := range []struct{ text, want string }{
		{"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"},
		{"", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"},
		{"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq", "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"},
		{string(million), "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"},
	} {
		if got := hex.EncodeToString(sum([]byte(c.text))); got != c.want {
			t.Errorf("SHA-256 of %d bytes is %s, want %s", len(c.text), got, c.want)
		}
		prev := Hash{1, 2, 3}
		if got, want := Chain(prev, []byte(c.text)), sha256.Sum256(append(prev[:], c.text...)); got != want {
			t.Errorf("chain of %d bytes is %v, want %x", len(c.text), got, want)
		}
	}
}

func sum(b []byte) []byte { s := sha256.Sum256(b); return s[:] }

// Source: RFC 8785, sections 3.2.2 and 3.2.3 (input and output given there)
// and the number samples of appendix B, from memory.
func TestCanonicalJSON(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{
			`{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001], "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/", "literals": [null, true, false]}`,
			`{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\u000f\nA'B\"\\\\\"/"}`,
		},
		{
			`{"\u20ac":"Euro Sign","\r":"Carriage Return","\ufb33":"Hebrew Letter Dalet With Dagesh","1":"One","\ud83d\ude00":"Emoji: Grinning Face","\u0080":"Control","\u00f6":"Latin Small Letter O With Diaeresis"}`,
			"{\"\\r\":\"Carriage Return\",\"1\":\"One\",\"\u0080\":\"Control\",\"ö\":\"Latin Small Letter O With Diaeresis\",\"€\":\"Euro Sign\",\"😀\":\"Emoji: Grinning Face\",\"\ufb33\":\"Hebrew Letter Dalet With Dagesh\"}",
		},
		{`[0, -0, 9007199254740991, -9007199254740991, 295147905179352830000, 1e23, 5e-324]`, `[0,0,9007199254740991,-9007199254740991,295147905179352830000,1e+23,5e-324]`},
	} {
		got, err := jcs.Transform([]byte(c.in))
		if err != nil || string(got) != c.want {
			t.Errorf("canonical form of %s\n is %s (%v)\nwant %s", c.in, got, err, c.want)
		}
	}
}
