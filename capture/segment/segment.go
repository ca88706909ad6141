package segment

import (
	"cmp"
	"math"
	"slices"
	"time"

	"downlead/capture/sound"
)

// Config says what counts as speech. Levels are of the 300-3400 Hz
// band (the telephone band of ITU-T G.120), in dB; what is
// zero is taken from DefaultSegmenter.
type Config struct {
	On, Off      float64       // dB over the noise floor at which speech begins and ends
	OnFrames     int           // frames in a row over On
	Hang         time.Duration // silence that ends a stretch
	Before       time.Duration // sound kept from before the beginning
	FloorWindow  time.Duration // how much of the past the noise floor is taken from
	FloorPortion float64       // the floor is this quantile of the frame levels
	Longest      time.Duration // a stretch that lasts longer is cut where it is quietest
	Depth        float64       // dB under the loudest of a stretch that is no longer its speaker
}

// DefaultConfig is the setting that found every one of ten phrases in a
// minute of clean sound, wind, pink noise to 10 dB and babble to 15 dB.
func DefaultConfig() Config {
	return Config{
		On: 9, Off: 5, OnFrames: 3,
		Hang: 500 * time.Millisecond, Before: 250 * time.Millisecond,
		FloorWindow: 4 * time.Second, FloorPortion: 0.2,
		Longest: 20 * time.Second, Depth: 16,
	}
}

// orDefault fills in what was left zero.
func (c Config) orDefault() Config {
	d := DefaultConfig()
	return Config{
		On: cmp.Or(c.On, d.On), Off: cmp.Or(c.Off, d.Off), OnFrames: cmp.Or(c.OnFrames, d.OnFrames),
		Hang: cmp.Or(c.Hang, d.Hang), Before: cmp.Or(c.Before, d.Before),
		FloorWindow: max(cmp.Or(c.FloorWindow, d.FloorWindow), FrameTime), FloorPortion: cmp.Or(c.FloorPortion, d.FloorPortion),
		Longest: max(cmp.Or(c.Longest, d.Longest), time.Second), Depth: cmp.Or(c.Depth, d.Depth),
	}
}

// Segment is one stretch of speech.
type Segment struct {
	Start   int64   // place of the first sample in the sound
	Samples []int16 // a copy of its own
	Noise   float64 // dB of full scale, the floor when speech began
	SNR     float64 // dB, frames with speech against the floor
	Cut     bool    // ended by Longest

	Background Spectrum  // the noise before it; nil where none was heard
	Impulsive  bool      // that noise is of short blows, and Background is without them
	Parts      []Segment // what it was joined from; nil where it is one stretch
}

const (
	levelFrame = sound.Rate / 50 // 20 ms
	FrameTime  = 20 * time.Millisecond

	// quietest is the lowest noise floor that is believed, dB of full scale;
	// silence of a file below it would make every rustle speech.
	quietest = -75.0
	// presumed fills the first moments of the floor's window, so that sound
	// which begins with a word has a floor to stand out from.
	presumed       = -60.0
	presumedFrames = 10
	learnedFrames  = 6 * presumedFrames

	// learning is as much sound as tells the noise: the spectrum is the mean of
	// about as much.
	learning = 2 * sound.Rate

	lookEvery = 10 // frames, how often the end of speech is looked for in noise
)

// Same reports that two segments are the same sound but for what is no longer than
// half of what is left around the speaker: where the noise ends is known better
// as time goes on.
func (s Segment) Same(other Segment) bool {
	const most = Edge * levelFrame / 2
	apart := func(a, b int64) bool { return a-b > most || b-a > most }
	return !apart(s.Start, other.Start) && !apart(s.Start+int64(len(s.Samples)), other.Start+int64(len(other.Samples)))
}

// Segmenter splits sound into speech and silence. It is fed in any portions
// and keeps no more than one stretch.
type Segmenter struct {
	cfg     Config
	band    bandPass
	partial []int16 // less than a frame
	At      int64   // place of the first sample of partial
	given   int64   // place of the end of the last stretch that was given

	levels  []float64 // of the last FloorWindow, a ring
	oldest  int
	sorted  []float64 // scratch
	floor   float64
	learned bool        // the floor was known when speech began
	ring    []int16     // the last frames before speech, for Before
	waiting []float64   // dB, their levels
	before  *background // of what has left the ring
	spread  spread      // of its levels
	loud    int         // frames over On in a row
	speech  bool
	silence int // frames under Off in a row
	seg     Segment
	energy  float64 // sum of the power of the speech frames
	voiced  int
	history []float64 // level of every frame of the stretch
	lead    int       // frames of the stretch from before history
	loudest float64   // dB, the loudest three frames of the stretch
}

// New starts at the beginning of a sound.
func New(cfg Config) *Segmenter {
	s := &Segmenter{cfg: cfg.orDefault(), band: newBandPass(), floor: presumed, before: newBackground()}
	for range presumedFrames {
		s.levels = append(s.levels, presumed)
	}
	return s
}

// Speaking tells whether a stretch is open.
func (s *Segmenter) Speaking() bool { return s.speech }

// Settled is the place before which everything was given, and from which a
// Segmenter that begins anew finds the same: before the open stretch, or what
// may still become the beginning of one, by as long as it takes to know the noise.
func (s *Segmenter) Settled() int64 {
	at := s.At - int64(len(s.ring))
	if s.speech {
		at = s.seg.Start
	}
	return max(s.given, at-learning)
}

// Noise is the present noise floor in dB of full scale.
func (s *Segmenter) Noise() float64 { return s.floor }

// Silent tells whether the open stretch has been silent for quiet already.
func (s *Segmenter) Silent(quiet time.Duration) bool {
	return s.speech && s.silence > 0 && time.Duration(s.silence)*FrameTime >= quiet
}

// Pending is the open stretch as it would be given if nothing more was said. The
// samples are shared with the Segmenter, which does not change them.
func (s *Segmenter) Pending() Segment {
	if !s.speech {
		return Segment{}
	}
	seg := s.measured(s.seg)
	s.trim(&seg)
	return seg
}

// Feed takes the samples that come next and calls found for every stretch
// that ended in them.
func (s *Segmenter) Feed(samples []int16, found func(Segment)) {
	for len(samples) > 0 {
		n := min(levelFrame-len(s.partial), len(samples))
		s.partial = append(s.partial, samples[:n]...)
		samples = samples[n:]
		if len(s.partial) == levelFrame {
			s.frame(s.partial, found)
			s.At += levelFrame
			s.partial = s.partial[:0]
		}
	}
}

// End ends the open stretch, if there is one, before silence has ended it.
func (s *Segmenter) End(found func(Segment)) {
	if s.speech {
		s.end(len(s.seg.Samples), false, found)
	}
}

// Flush ends the sound: an open stretch is given with what there is of it.
func (s *Segmenter) Flush(found func(Segment)) {
	if s.speech {
		s.seg.Samples = append(s.seg.Samples, s.partial...)
		s.end(len(s.seg.Samples), false, found)
	}
	s.At += int64(len(s.partial))
	s.partial = s.partial[:0]
	s.ring, s.waiting = s.ring[:0], s.waiting[:0]
}

func (s *Segmenter) frame(f []int16, found func(Segment)) {
	power, digital := s.band.power(f)
	level := 10 * math.Log10(power+1e-12)
	if !digital { // silence that was put in says nothing of the noise
		s.learn(level)
	}
	if !s.speech {
		s.wait(f, level, power)
		return
	}
	s.seg.Samples = append(s.seg.Samples, f...)
	s.goOn(level)
	switch {
	case s.silence >= int(s.cfg.Hang/FrameTime), len(s.history)%lookEvery == 0 && s.gone():
		s.end(len(s.seg.Samples), false, found)
	case len(s.history) >= int(s.cfg.Longest/FrameTime):
		s.cut(found)
	}
}

// goOn takes the level of a frame into the open stretch.
func (s *Segmenter) goOn(level float64) {
	s.history = append(s.history, level)
	s.loudest = max(s.loudest, s.recent(3))
	if level < s.least(s.floor) {
		s.silence++
		return
	}
	s.silence = 0
	s.energy += math.Pow(10, level/10)
	s.voiced++
}

// wait looks for the beginning of speech.
func (s *Segmenter) wait(f []int16, level, power float64) {
	keep := int(s.cfg.Before/FrameTime+time.Duration(s.cfg.OnFrames)) * levelFrame
	s.ring, s.waiting = append(s.ring, f...), append(s.waiting, level)
	if extra := len(s.ring) - keep; extra > 0 {
		s.before.learn(s.ring[:extra])
		s.ring = append(s.ring[:0], s.ring[extra:]...)
		s.spread.learn(s.waiting[0])
		s.waiting = append(s.waiting[:0], s.waiting[1:]...)
	}
	if level < s.floor+s.cfg.On {
		s.loud = 0
		return
	}
	if s.loud == 0 {
		s.energy, s.voiced, s.history = 0, 0, s.history[:0]
	}
	s.loud++
	s.history = append(s.history, level)
	s.energy += power
	s.voiced++
	if s.loud < s.cfg.OnFrames {
		return
	}
	s.speech, s.silence, s.loud = true, 0, 0
	s.learned = len(s.levels) >= learnedFrames
	s.loudest, s.lead = quietest, len(s.ring)/levelFrame-len(s.history)
	s.seg = Segment{
		Start:   s.At + levelFrame - int64(len(s.ring)),
		Samples: slices.Clone(s.ring),
		Noise:   s.floor,
	}
	s.seg.Background, s.seg.Impulsive = s.before.noise()
	s.ring, s.waiting = s.ring[:0], s.waiting[:0]
}

// risePatience is how long the noise floor may not rise within a stretch: a
// phrase without pauses must not become its own noise, but a gust that stays
// must not keep the stretch open for ever.
const risePatience = 6 * time.Second

// learn takes a frame into the noise floor.
func (s *Segmenter) learn(level float64) {
	if n := int(s.cfg.FloorWindow / FrameTime); len(s.levels) < n {
		s.levels = append(s.levels, level)
	} else {
		s.levels[s.oldest] = level
		s.oldest = (s.oldest + 1) % n
	}
	s.sorted = append(s.sorted[:0], s.levels...)
	slices.Sort(s.sorted)
	portion := s.cfg.FloorPortion
	if s.speech { // the pauses between syllables are less of the time than those between phrases
		portion /= 2
	}
	floor := max(quietest, s.sorted[int(portion*float64(len(s.sorted)-1))])
	patient := s.learned && len(s.history) < int(risePatience/FrameTime)
	if s.speech && floor > s.floor && patient {
		return
	}
	s.floor = floor
}

// end gives the first n samples of the open stretch.
func (s *Segmenter) end(n int, cut bool, found func(Segment)) {
	seg := s.seg
	rest := seg.Samples[n:]
	seg.Samples = seg.Samples[:n:n]
	seg.Cut = cut
	seg = s.measured(seg)
	s.given = seg.Start + int64(n)
	s.seg = Segment{Start: s.given, Samples: slices.Clone(rest), Noise: s.floor, Background: seg.Background, Impulsive: seg.Impulsive}
	s.speech = cut
	s.trim(&seg)
	s.energy, s.voiced, s.silence = 0, 0, 0
	s.history, s.loudest, s.lead = s.history[:0], quietest, 0
	found(seg)
}

// measured is a segment with its levels.
func (s *Segmenter) measured(seg Segment) Segment {
	if !s.learned {
		seg.Noise = max(seg.Noise, s.floor)
	}
	if s.voiced > 0 {
		speech := s.energy/float64(s.voiced) - math.Pow(10, seg.Noise/10)
		seg.SNR = 10*math.Log10(max(speech, 1e-12)) - seg.Noise
	}
	return seg
}

// cut ends a stretch that is too long at the quietest frame of its last quarter.
func (s *Segmenter) cut(found func(Segment)) {
	from := len(s.history) * 3 / 4
	quiet := from
	for i := from; i < len(s.history); i++ {
		if s.history[i] < s.history[quiet] {
			quiet = i
		}
	}
	rest := slices.Clone(s.history[quiet:])
	s.end(max(0, len(s.seg.Samples)-len(rest)*levelFrame), true, found)
	for _, level := range rest {
		s.goOn(level)
	}
}
