package segment

import (
	"math"
	"slices"
	"time"
)

// kind is how the level of sound is taken.
type kind int

const (
	plain     kind = iota
	sustained      // of what lasts longer than the blows of impulsive noise; taken where there are any
	kinds
)

// gauge follows the levels of one kind, 20 ms each, in dB of full scale.
type gauge struct {
	kind   kind
	levels []float64 // of the last FloorWindow, a ring
	oldest int
	sorted []float64 // scratch
	floor  float64
	spread spread    // of the levels before speech
	wait   []float64 // those that are not in it yet, as they belong to what is kept before speech

	// Of the stretch that is open, or may be about to be.
	noise   float64   // the floor when speech began
	learned bool      // it was known then
	history []float64 // level of every frame
	loudest float64   // of three frames
	energy  float64   // sum of the power of the frames with speech
	voiced  int       // how many those are
	silence int       // frames in a row since
}

func newGauge(kind kind) gauge {
	g := gauge{kind: kind, floor: presumed, loudest: quietest}
	for range presumedFrames {
		g.levels = append(g.levels, presumed)
	}
	return g
}

// begin begins a stretch with its next frame.
func (g *gauge) begin() {
	g.history, g.loudest, g.energy, g.voiced, g.silence = g.history[:0], quietest, 0, 0, 0
}

// open ends the wait for the stretch that has begun.
func (g *gauge) open() {
	g.noise, g.learned = g.floor, len(g.levels) >= learnedFrames
	g.wait = g.wait[:0]
	for _, level := range g.history {
		g.speak(level)
	}
}

// goOn takes the level of a frame into the open stretch.
func (g *gauge) goOn(level float64, cfg Config) {
	g.history = append(g.history, level)
	g.loudest = max(g.loudest, g.recent(3))
	if level < g.threshold(g.floor, cfg) {
		g.silence++
		return
	}
	g.speak(level)
}

func (g *gauge) speak(level float64) {
	g.silence = 0
	g.energy += math.Pow(10, level/10)
	g.voiced++
}

// keep takes a level from before speech, of which n more are kept with it.
func (g *gauge) keep(level float64, n int) {
	g.wait = append(g.wait, level)
	if len(g.wait) > n {
		g.spread.learn(g.wait[0])
		g.wait = append(g.wait[:0], g.wait[1:]...)
	}
}

// risePatience is how long the noise floor may not rise within a stretch: a
// phrase without pauses must not become its own noise, but a gust that stays
// must not keep the stretch open for ever.
const risePatience = 6 * time.Second

// learn takes a frame into the noise floor.
func (g *gauge) learn(level float64, speech bool, cfg Config) {
	if n := int(cfg.FloorWindow / FrameTime); len(g.levels) < n {
		g.levels = append(g.levels, level)
	} else {
		g.levels[g.oldest] = level
		g.oldest = (g.oldest + 1) % n
	}
	portion := cfg.FloorPortion
	if speech { // the pauses between syllables are less of the time than those between phrases
		portion /= 2
	}
	floor := g.quantile(len(g.levels), portion)
	if g.kind == sustained { // who drills stops, and what is said then stands out from the quiet, not from the drill
		const pause, portion = 25, 0.2 // half a second, in frames
		floor = min(floor, g.quantile(pause, portion))
	}
	floor = max(quietest, floor)
	patient := g.learned && len(g.history) < int(risePatience/FrameTime)
	if speech && floor > g.floor && patient {
		return
	}
	g.floor = floor
}

// quantile is the level that so much of the last frames is under.
func (g *gauge) quantile(frames int, portion float64) float64 {
	n := len(g.levels)
	g.sorted = g.sorted[:0]
	for i := range min(frames, n) {
		g.sorted = append(g.sorted, g.levels[(g.oldest+2*n-1-i)%n])
	}
	slices.Sort(g.sorted)
	return g.sorted[int(portion*float64(len(g.sorted)-1))]
}

// measured is the level of the noise of the open stretch, and its SNR, both dB.
func (g *gauge) measured() (noise, snr float64) {
	noise = g.noise
	if !g.learned {
		noise = max(noise, g.floor)
	}
	if g.voiced > 0 {
		speech := g.energy/float64(g.voiced) - math.Pow(10, noise/10)
		snr = 10*math.Log10(max(speech, 1e-12)) - noise
	}
	return noise, snr
}

// threshold is the level from which a frame of the open stretch is its speaker's, in dB.
func (g *gauge) threshold(floor float64, cfg Config) float64 {
	depth := cfg.Depth
	if g.spread.steady() || g.kind == sustained {
		depth += deeper
	}
	return max(floor+cfg.Off, min(g.loudest-depth, floor+standsOut))
}

// recent is the mean level of the last n frames of the stretch, in dB; the
// least level there is while there are fewer.
func (g *gauge) recent(n int) float64 {
	if len(g.history) < n {
		return math.Inf(-1)
	}
	sum := 0.0
	for _, v := range g.history[len(g.history)-n:] {
		sum += v
	}
	return sum / float64(n)
}
