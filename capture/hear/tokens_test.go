package hear

import (
	"bytes"
	"strings"
	"testing"
)

// A token of 128 bytes and more has two bytes of length: 130 is 130 and 1, by the
// rule of the file, worked out by hand.
func TestLongTokensAreRead(t *testing.T) {
	long := strings.Repeat("x", 130)
	var file bytes.Buffer
	for id := range vocabulary {
		if id == 400 {
			file.WriteString("\x82\x01" + long)
			continue
		}
		file.WriteString("\x01a")
	}
	tok, err := readTokens(file.Bytes())
	if err != nil || tok.text[400] != long || tok.text[401] != "a" || tok.rank[long] != 400 {
		t.Fatalf("%v", err)
	}
	for _, cut := range []int{1, 2, 100} {
		if _, err := readTokens(file.Bytes()[:file.Len()-cut]); err == nil {
			t.Errorf("%d bytes less are read", cut)
		}
	}
	if _, err := readTokens([]byte("\x82")); err == nil {
		t.Error("half a length is read")
	}
}
