package main

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"downlead/capture"
	segments "downlead/capture/segment"
	"downlead/capture/sound"
	"downlead/cmd/downlead/dialogue"
	"downlead/export/quality"
)

// tally counts outcomes.
type tally [wrong + 1]int

func (c tally) n() int {
	sum := 0
	for _, v := range c {
		sum += v
	}
	return sum
}

// speechCounts are the outcomes by group, in either half of the material.
type speechCounts struct {
	groups map[string]tally
	stored map[string]int           // of what was no phrase
	length map[string]time.Duration // likewise
}

func newSpeechCounts() *speechCounts {
	return &speechCounts{map[string]tally{}, map[string]int{}, map[string]time.Duration{}}
}

// group names a row of the table.
func group(half, noise, voice string) string {
	return fmt.Sprintf("%-7s| %-12s| %s", half, noise, voice)
}

func (s said) half() string {
	if s.chosen() {
		return "chosen"
	}
	return "unseen"
}

// row is the group of a recording.
func (s said) row() string {
	voice := s.voice
	if s.answer {
		voice += ", answers"
	}
	return group(s.half(), s.noise, voice)
}

func (c *speechCounts) add(s said, r result) {
	groups := []string{s.row()}
	if s.text != "" && !s.answer {
		groups = append(groups, group(s.half(), s.noise, "all"))
	}
	if s.text == "" {
		c.length[groups[0]] += r.length
		if r.stored {
			c.stored[groups[0]]++
		}
	}
	for _, name := range groups {
		t := c.groups[name]
		t[r.outcome]++
		c.groups[name] = t
	}
}

// share prints k of n with its 95 % Wilson interval, in per cent.
func share(k, n int) string {
	low, high := quality.Wilson(k, n)
	return fmt.Sprintf("%3d %5.1f (%4.1f-%5.1f)", k, 100*float64(k)/float64(n), 100*low, 100*high)
}

// report prints the table.
func (c *speechCounts) report(t *testing.T) {
	t.Helper()
	t.Logf("%-48s %4s  %-22s %-22s %-22s %5s %5s  %s", "per cent, with 95 % Wilson intervals", "n", "exact", "or after yes", "or said again", "asked", "ign.", "wrong unasked")
	for _, name := range slices.Sorted(maps.Keys(c.groups)) {
		g := c.groups[name]
		n := g.n()
		if c.length[name] > 0 {
			hours := c.length[name].Hours()
			t.Logf("%-48s %4d  no phrase, %.2f h: stored %d, %.1f an hour (at most %.1f); asked %d, other words taken %d",
				name, n, hours, c.stored[name], float64(c.stored[name])/hours, poissonMost(c.stored[name])/hours, g[askedWrong], g[wrong]-c.stored[name])
			continue
		}
		t.Logf("%-48s %4d  %-22s %-22s %-22s %5d %5d  %s", name, n, share(g[exact], n), share(g[exact]+g[askedRight], n),
			share(g[exact]+g[askedRight]+g[saidAgain], n), g[askedRight]+g[askedWrong]+g[saidAgain], g[ignoredIt], share(g[wrong], n))
	}
}

// poissonMost is the upper end of the exact 95 % interval of a Poisson mean of
// which k were seen (F. Garwood, Biometrika 28, 1936).
func poissonMost(k int) float64 {
	atMost := func(mean float64) float64 {
		term, sum := math.Exp(-mean), 0.0
		for i := range k + 1 {
			sum += term
			term *= mean / float64(i+1)
		}
		return sum
	}
	low, high := 0.0, float64(2*k+10)
	for range 60 {
		if mid := (low + high) / 2; atMost(mid) > 0.025 {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}

// sum adds the groups of both halves that end alike.
func (c *speechCounts) sum(suffix string) (all tally) {
	for name, g := range c.groups {
		if strings.HasSuffix(name, suffix) {
			for k := range g {
				all[k] += g[k]
			}
		}
	}
	return all
}

// floors fails where the measurement falls below what was reached.
func (c *speechCounts) floors(t *testing.T) {
	t.Helper()
	check := func(suffix string, least, most float64) {
		g := c.sum(suffix)
		n := float64(g.n())
		if n == 0 {
			return
		}
		if good := float64(g[exact] + g[askedRight]); good < least*n {
			t.Errorf("%s: of %.0f, %.0f exact or right after one question; at least %.0f", suffix, n, good, least*n)
		}
		if bad := float64(g[wrong]); bad > most*n {
			t.Errorf("%s: of %.0f, %.0f wrong without a question; at most %.1f", suffix, n, bad, most*n)
		}
	}
	check("| quiet       | all", 0.98, 0.003)
	for _, kind := range noiseKinds() {
		check(fmt.Sprintf("| %-12s| all", kind+" 20 dB"), 0.92, 0.02)
	}
	check("| human, answers", 0.97, 0)
	stored, near := 0, 0
	for row, n := range c.stored {
		if strings.HasSuffix(row, "| near") {
			near += n
		} else {
			stored += n
		}
	}
	if stored > 0 || near > 2 {
		t.Errorf("%d stretches of other speech and %d near misses were stored", stored, near)
	}
}

// reportLatency hears some recordings one after the other and prints the time
// from the end of a stretch to the decision about it.
func reportLatency(t *testing.T, material []said) {
	t.Helper()
	e := newEar(t)
	var took []time.Duration
	for _, s := range material {
		for seg, err := range capture.Segments(t.Context(), sound.FromSamples(s.sound(t)), segments.Config{}) {
			if err != nil {
				t.Fatal(err)
			}
			began := time.Now()
			u, err := e.phrase.RecogniseSegment(t.Context(), seg)
			if err != nil {
				t.Fatal(err)
			}
			if _, _, err := dialogue.Judge(t.Context(), e.phrase, e.limits, u); err != nil {
				t.Fatal(err)
			}
			took = append(took, time.Since(began))
		}
	}
	slices.Sort(took)
	if n := len(took); n > 0 {
		t.Logf("from the end of a stretch to the decision, of %d: median %d ms, 95th percentile %d ms", n, took[n/2].Milliseconds(), took[n*95/100].Milliseconds())
	}
}
