package segment

import (
	"cmp"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat"

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
	partial []int16 // less than a frame
	At      int64   // place of the first sample of partial
	given   int64   // place of the end of the last stretch that was given

	meter  *meter
	gauges [kinds]gauge
	frames int         // since it was last looked for blows in the noise
	blows  int         // frames for which speech is still told without them
	ring   []int16     // the last frames before speech, for Before
	before *background // of what has left the ring
	loud   int         // frames over On in a row
	speech bool
	seg    Segment
	lead   int // frames of the stretch from before the gauges' histories
}

// New starts at the beginning of a sound.
func New(cfg Config) *Segmenter {
	s := &Segmenter{cfg: cfg.orDefault(), meter: newMeter(), before: newBackground()}
	for k := range s.gauges {
		s.gauges[k] = newGauge(kind(k))
	}
	return s
}

// gauge is the one by which speech is told now.
func (s *Segmenter) gauge() *gauge { return &s.gauges[s.kind()] }

func (s *Segmenter) kind() kind {
	if s.blows > 0 {
		return sustained
	}
	return plain
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
func (s *Segmenter) Noise() float64 { return s.gauge().floor }

// Silent tells whether the open stretch has been silent for quiet already.
func (s *Segmenter) Silent(quiet time.Duration) bool {
	silence := s.gauge().silence
	return s.speech && silence > 0 && time.Duration(silence)*FrameTime >= quiet
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
	s.rest()
}

func (s *Segmenter) frame(f []int16, found func(Segment)) {
	level, digital := s.meter.level(f)
	s.choose()
	for k := range s.gauges {
		if !digital { // silence that was put in says nothing of the noise
			s.gauges[k].learn(level[k], s.speech, s.cfg)
		}
	}
	if !s.speech {
		s.wait(f, level)
		return
	}
	s.seg.Samples = append(s.seg.Samples, f...)
	for k := range s.gauges {
		s.gauges[k].goOn(level[k], s.cfg)
	}
	g := s.gauge()
	switch {
	case g.silence >= int(s.cfg.Hang/FrameTime), len(g.history)%lookEvery == 0 && s.speakerDone():
		s.end(len(s.seg.Samples), false, found)
	case len(g.history) >= int(s.cfg.Longest/FrameTime):
		s.cut(found)
	}
}

// choose tells now and then which kind of level tells speech from the noise. Who drills will drill again
// after a pause.
func (s *Segmenter) choose() {
	const (
		every   = 50 // frames
		patient = int(30 * time.Second / FrameTime)
	)
	s.blows = max(0, s.blows-1)
	if s.frames++; s.frames < every {
		return
	}
	s.frames = 0
	if noise := s.noise(); isImpulsive(noise[max(0, len(noise)-learning):]) {
		s.blows = patient
	}
}

// noise is what is known of the noise: that of before speech, or where listening began in noise, which was taken for
// speech, the stretch; nothing of one that may be speech. A low voice is as impulsive as rain.
func (s *Segmenter) noise() []int16 {
	const most = 5.0 // dB that the levels of noise lie apart; of a sentence it is 10 and more
	if s.before.frames >= believed {
		return s.before.recent
	}
	if !s.speech || stat.PopStdDev(s.gauges[plain].history, nil) > most {
		return nil
	}
	return s.seg.Samples
}

// wait looks for the beginning of speech.
func (s *Segmenter) wait(f []int16, level [kinds]float64) {
	keep := int(s.cfg.Before/FrameTime) + s.cfg.OnFrames
	s.ring = append(s.ring, f...)
	if extra := len(s.ring) - keep*levelFrame; extra > 0 {
		s.before.learn(s.ring[:extra])
		s.ring = append(s.ring[:0], s.ring[extra:]...)
	}
	for k := range s.gauges {
		s.gauges[k].keep(level[k], keep)
	}
	g := s.gauge()
	if level[s.kind()] < g.floor+s.cfg.On {
		s.loud = 0
		return
	}
	s.loud++
	for k := range s.gauges {
		if s.loud == 1 {
			s.gauges[k].begin()
		}
		s.gauges[k].history = append(s.gauges[k].history, level[k])
	}
	if s.loud < s.cfg.OnFrames {
		return
	}
	s.speech, s.loud = true, 0
	s.lead = len(s.ring)/levelFrame - len(g.history)
	s.seg = Segment{Start: s.At + levelFrame - int64(len(s.ring)), Samples: slices.Clone(s.ring)}
	s.seg.Background, s.seg.Impulsive = s.before.noise()
	for k := range s.gauges {
		s.gauges[k].open()
	}
	s.ring = s.ring[:0]
}

// rest leaves nothing that is kept from before speech.
func (s *Segmenter) rest() {
	s.ring = s.ring[:0]
	for k := range s.gauges {
		s.gauges[k].wait = s.gauges[k].wait[:0]
	}
}

// end gives the first n samples of the open stretch.
func (s *Segmenter) end(n int, cut bool, found func(Segment)) {
	seg := s.seg
	rest := seg.Samples[n:]
	seg.Samples = seg.Samples[:n:n]
	seg.Cut = cut
	seg = s.measured(seg)
	s.given = seg.Start + int64(n)
	s.seg = Segment{Start: s.given, Samples: slices.Clone(rest), Background: seg.Background, Impulsive: seg.Impulsive}
	s.speech = cut
	s.trim(&seg)
	s.lead = 0
	for k := range s.gauges {
		s.gauges[k].begin()
		s.gauges[k].noise = s.gauges[k].floor
	}
	found(seg)
}

// measured is a segment with its levels.
func (s *Segmenter) measured(seg Segment) Segment {
	seg.Noise, seg.SNR = s.gauge().measured()
	return seg
}

// cut ends a stretch that is too long at the quietest frame of its last quarter.
func (s *Segmenter) cut(found func(Segment)) {
	history := s.gauge().history
	from := len(history) * 3 / 4
	quiet := from
	for i := from; i < len(history); i++ {
		if history[i] < history[quiet] {
			quiet = i
		}
	}
	var rest [kinds][]float64
	for k, g := range s.gauges {
		rest[k] = slices.Clone(g.history[quiet:])
	}
	s.end(max(0, len(s.seg.Samples)-len(rest[0])*levelFrame), true, found)
	for k := range s.gauges {
		for _, level := range rest[k] {
			s.gauges[k].goOn(level, s.cfg)
		}
	}
}
