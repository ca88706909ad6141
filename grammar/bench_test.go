package grammar

import (
	"testing"

	"downlead/grammar/speech"
)

// The goals: a typical reading under 30 microseconds and 100 allocations, the
// longest path phrase under 300 microseconds, a parser made in under 15
// milliseconds. Run with: go test -run '^$' -bench . ./grammar
func BenchmarkParse(b *testing.B) {
	for _, bench := range []struct{ name, phrase string }{
		{"phrase=reading", typicalReading},
		{"phrase=two_readings", "ground block dish side pass minus forty one, receiver side fail minus fifty four"},
		{"phrase=longest_path", longestPath},
		{"phrase=misheard", "ground lock dish side past minus for t one"},
		{"phrase=refused", "removed sprinkler at the wall plate"},
	} {
		b.Run(bench.name, func(b *testing.B) {
			p := newParser(b)
			_, _ = p.Parse(bench.phrase)
			b.ReportAllocs()
			for b.Loop() {
				_, _ = p.Parse(bench.phrase)
			}
		})
	}
}

const (
	typicalReading = "ground block dish side, pass, minus forty one"
	longestPath    = "path dish, L N B, sixty feet of R G six, ground block, forty feet of R G six, two way splitter output one, fifty feet, " +
		"kitchen wall plate, six foot jumper, diplexer, four foot jumper, power inserter, three foot jumper, receiver one in the kitchen"
)

func BenchmarkNew(b *testing.B) {
	for b.Loop() {
		if _, err := New(nil); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkFirst is what a process pays before its first entry.
func BenchmarkFirst(b *testing.B) {
	for b.Loop() {
		p, err := New(nil)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := p.Parse(typicalReading); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRivals(b *testing.B) {
	p := newParser(b)
	for b.Loop() {
		_ = p.Rivals("ground block dish side pass minus forty one")
	}
}

func BenchmarkJSGF(b *testing.B) {
	p := newParser(b)
	for b.Loop() {
		_ = p.JSGF(speech.Focus{})
	}
}

// TestAllocations holds the goal that does not depend on the machine's load.
func TestAllocations(t *testing.T) {
	p := newParser(t)
	n := testing.AllocsPerRun(100, func() { _, _ = p.Parse(typicalReading) })
	t.Logf("%.0f allocations for a typical reading", n)
	if n > 100 {
		t.Errorf("%.0f allocations for a typical reading, want at most 100", n)
	}
}
