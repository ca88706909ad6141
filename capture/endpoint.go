package capture

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"time"

	"downlead/capture/segment"
	"downlead/capture/sound"
)

// Status is what the words of a phrase are so far.
type Status struct {
	Complete bool // a statement
	MayGoOn  bool // one statement could go on after them
	Hold     bool // they ask to wait, and say nothing: "hold on"
	Drop     bool // they take back what has not ended yet: "never mind"
	Answer   bool // they answer a question, and belong to nothing before them
	Amend    bool // a statement that can be replaced by a longer one
}

// Endpoints says where phrases end. The zero value ends them at every silence.
//
// A stretch of speech that is only the beginning of a statement stays pending:
// what comes within Wait is decoded together with it, the silence cut out. What
// comes is other sound where its words do not fit; that changes nothing. A
// statement that could go on is given, and if it does go on within Wait it is
// given again as a whole, with Utterance.Amends.
type Endpoints struct {
	Status func(words string) Status // nil: silence alone ends a phrase
	// Text is the sentence that is taken to be said in an utterance, where two
	// listeners heard it; nil takes Utterance.Text.
	Text    func(Utterance) string
	Spoken  func(Scores) bool // whether scores are those of speech for the tool; nil: all are
	Wait    time.Duration     // 0 means 6 s
	Waiting func(Utterance)   // is called when a beginning becomes pending; nil: nobody is
}

func (c Endpoints) orDefault() Endpoints {
	if c.Status == nil {
		c.Status = func(string) Status { return Status{Complete: true, MayGoOn: true} }
	}
	if c.Text == nil {
		c.Text = func(u Utterance) string { return u.Text }
	}
	if c.Spoken == nil {
		c.Spoken = func(Scores) bool { return true }
	}
	if c.Waiting == nil {
		c.Waiting = func(Utterance) {}
	}
	c.Wait = cmp.Or(c.Wait, 6*time.Second)
	return c
}

// endpointer puts the stretches of speech of a source together into phrases.
type endpointer struct {
	Endpoints
	r     *Recogniser
	doubt func(Utterance) bool

	pending  *Utterance      // what may go on; nil: nothing
	text     string          // of it
	given    bool            // pending is a statement and was given
	sound    segment.Segment // of it
	deadline int64           // place in the source, in samples, until when it waits
}

func newEndpointer(r *Recogniser, cfg Endpoints, doubt func(Utterance) bool) *endpointer {
	return &endpointer{Endpoints: cfg.orDefault(), r: r, doubt: doubt}
}

// hearing is what was heard in a stretch.
type hearing struct {
	whole Utterance  // with what is pending before it
	alone *Utterance // by itself; nil where nothing is pending
}

// hear decodes a stretch with what is pending, and by itself. It changes nothing.
func (e *endpointer) hear(ctx context.Context, seg segment.Segment) (hearing, error) {
	if e.pending == nil {
		u, err := e.r.recogniseSurely(ctx, seg, e.doubt)
		return hearing{whole: u}, err
	}
	alone, err := e.r.RecogniseSegment(ctx, seg)
	if err != nil {
		return hearing{}, err
	}
	whole, err := e.r.recogniseSurely(ctx, join(e.sound, seg), e.doubt)
	return hearing{whole, &alone}, err
}

// meaning is what a stretch is to the phrase that is pending.
type meaning int

const (
	anew  meaning = iota // the beginning of another, or nothing is pending
	more                 // it goes on
	other                // other sound: not for the tool
	hold                 // the speaker asks to wait
	drop                 // the speaker takes it back
)

// better is by how much a stretch must fit better by itself than as part of
// what is pending, 0.1024 nat a frame. A judgement.
const better = 6.0

func (e *endpointer) meaning(h hearing) meaning {
	if h.alone == nil {
		return anew
	}
	last := len(h.whole.Parts) - 1
	text, by := e.Text(h.whole), e.Text(*h.alone)
	added, whole := strings.CutPrefix(text, e.text+" ")
	fits := text != "" && h.whole.Text != "" && h.whole.Parts[last].Words > 0 && e.Spoken(h.whole.Scores) && e.Spoken(h.whole.Parts[last])
	alone := by != "" && h.alone.Text != "" && e.Spoken(h.alone.Scores)
	if e.given && (!whole || !e.Status(text).Complete) {
		fits = false // what was given does not change because of what is added
	}
	if alone {
		ahead := 0.0 // how much better it fits alone
		if fits {
			ahead = h.alone.Scores.Grammar - h.whole.Parts[last].Grammar
		}
		switch s := e.Status(by); {
		case e.given && (s.Answer || s.Drop || s.Hold):
			return anew
		case s.Drop && ahead >= 0:
			return drop
		case s.Hold && ahead >= 0:
			return hold
		case s.Complete && added != by && (!fits || ahead >= better):
			return anew
		}
	}
	switch {
	case fits:
		return more
	case e.given:
		return anew
	}
	return other
}

// ended reports that a phrase could not go on after what was heard in a
// stretch: no more silence need be waited for.
func (e *endpointer) ended(h hearing) bool {
	if m := e.meaning(h); m != anew && m != more || h.whole.Text == "" {
		return false
	}
	s := e.Status(e.Text(h.whole))
	return s.Complete && !s.MayGoOn && e.Spoken(h.whole.Scores)
}

// take gives the phrases that have ended with a stretch.
func (e *endpointer) take(seg segment.Segment, h hearing) []Utterance {
	switch e.meaning(h) {
	case more:
		h.whole.Amends = e.given
		return e.offer(join(e.sound, seg), h.whole)
	case other:
		return nil
	case hold:
		e.wait(seg)
		return nil
	case drop:
		e.pending = nil
		return []Utterance{*h.alone}
	}
	u := h.whole
	if h.alone != nil {
		u = *h.alone
	}
	return slices.Concat(e.release(), e.offer(seg, u))
}

// offer gives an utterance that is a phrase, or keeps it pending.
func (e *endpointer) offer(seg segment.Segment, u Utterance) []Utterance {
	e.pending = nil
	text := e.Text(u)
	s := e.Status(text)
	if text == "" || u.Text == "" || !s.MayGoOn || s.Answer || s.Complete && !s.Amend || !e.Spoken(u.Scores) || seg.Cut {
		return []Utterance{u}
	}
	e.pending, e.text, e.given, e.sound = &u, text, s.Complete, seg
	e.wait(seg)
	if e.given {
		return []Utterance{u}
	}
	e.Waiting(u)
	return nil
}

// wait lets what is pending wait from the end of a stretch on.
func (e *endpointer) wait(seg segment.Segment) {
	e.deadline = end(seg) + int64(e.Wait*sound.Rate/time.Second)
}

// expired gives what has waited in vain until a place in the source.
func (e *endpointer) expired(at int64) []Utterance {
	if e.pending == nil || at <= e.deadline {
		return nil
	}
	return e.release()
}

// release gives what is pending as it is.
func (e *endpointer) release() []Utterance {
	if e.pending == nil {
		return nil
	}
	u := *e.pending
	e.pending = nil
	if e.given {
		return nil
	}
	return []Utterance{u}
}

// join is two stretches as one sound, what lies between them cut out.
func join(s segment.Segment, next segment.Segment) segment.Segment {
	j := s
	j.Samples = slices.Concat(s.Samples, next.Samples)
	j.SNR, j.Cut = min(s.SNR, next.SNR), next.Cut
	j.Parts = append(slices.Clone(stretches(s)), stretches(next)...)
	return j
}

// stretches are those that a segment was joined from; itself where it was not.
func stretches(s segment.Segment) []segment.Segment {
	if s.Parts == nil {
		return []segment.Segment{s}
	}
	return s.Parts
}

// end is the place after the last sample in the sound.
func end(s segment.Segment) int64 {
	parts := stretches(s)
	last := parts[len(parts)-1]
	return last.Start + int64(len(last.Samples))
}

// heard is a segment as each listener hears it: the second one without the blows
// of impulsive noise, the first one with steady noise turned down in that too.
func heard(s segment.Segment) (first, second []int16) {
	for _, p := range stretches(s) {
		samples := p.Undisturbed()
		second = append(second, samples...)
		first = append(first, segment.Cleaned(samples, p.Background)...)
	}
	return first, second
}

// stretchAt is which of the stretches holds a sample of the segment, and where
// that stretch begins in it.
func stretchAt(s segment.Segment, sample int) (i, begin int) {
	parts := stretches(s)
	for ; i < len(parts)-1 && sample >= begin+len(parts[i].Samples); i++ {
		begin += len(parts[i].Samples)
	}
	return i, begin
}

// timeAt is the time in the source of a time in the segment.
func timeAt(s segment.Segment, t time.Duration) time.Duration {
	i, begin := stretchAt(s, int(t*sound.Rate/time.Second))
	return t + samplesTime(stretches(s)[i].Start-int64(begin))
}

func samplesTime(n int64) time.Duration {
	return time.Duration(float64(n) / sound.Rate * float64(time.Second))
}

// scoresByStretch are the scores of the words in each of a segment's stretches;
// words has times in the segment. nil where it is but one.
func scoresByStretch(s segment.Segment, words []Word) []Scores {
	if s.Parts == nil {
		return nil
	}
	in := make([][]Word, len(s.Parts))
	for _, w := range words {
		i, _ := stretchAt(s, int((w.Start+w.End)/2*sound.Rate/time.Second))
		in[i] = append(in[i], w)
	}
	out := make([]Scores, len(in))
	for i, part := range s.Parts {
		out[i] = scoresOf(in[i])
		out[i].SNR, out[i].Clipped = part.SNR, clipped(part.Samples)
		out[i].Covered = covered(part, in[i])
	}
	return out
}
