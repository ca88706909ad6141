package language

import (
	"strings"
	"testing"
)

func TestColumnsFitTheLine(t *testing.T) {
	words := strings.Fields(strings.Repeat("receiver wall fitting ", 14))
	for _, line := range strings.Split(columns(words, 30), "\n") {
		if len(line) > 30 {
			t.Errorf("%q is longer than 30", line)
		}
	}
	if got := columns(words, 30); !strings.HasSuffix(got, "and 2 more") {
		t.Errorf("42 words end with %q", got[len(got)-20:])
	}
	if got := commonPrefix([]string{"ground", "grounding", "groundblock"}); got != "ground" {
		t.Errorf("common prefix %q", got)
	}
}
