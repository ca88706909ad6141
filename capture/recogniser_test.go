package capture

import (
	"os"
	"testing"
)

// pointsRecogniser has the tests' own grammar.
func pointsRecogniser(t testing.TB) *Recogniser {
	t.Helper()
	jsgf, err := os.ReadFile("testdata/points.gram")
	if err != nil {
		t.Fatal(err)
	}
	r, err := NewRecogniser(Config{JSGF: string(jsgf)})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { r.Close() })
	return r
}
