package capture

import (
	"context"
	"errors"
	"io"
	"iter"
	"time"

	"downlead/capture/segment"
	"downlead/capture/sound"
)

// ListenConfig is how Listen listens; the zero value is good.
type ListenConfig struct {
	Segmenter segment.Config
	// Shortest is the least speech that is worth decoding; 0 means 150 ms.
	Shortest time.Duration
	// Ahead, where not 0, decodes what was said as soon as the speaker has been
	// silent for so long, rather than when the silence has ended the stretch:
	// the answer comes sooner. Whoever goes on speaking is decoded again. Good
	// for a microphone, a waste for a file.
	Ahead time.Duration
	// Endpoints says where a phrase ends.
	Endpoints Endpoints
	// Doubt says which utterances are decoded further at once
	// (Utterance.Evidence); nil: none.
	Doubt func(Utterance) bool
	// Progress is told how far it has come, whenever sound was read and before
	// a stretch is decoded; nil: nobody is told.
	Progress func(Progress)
}

// Progress is how far Listen has come in a source.
type Progress struct {
	Done     time.Duration // what was said before it has been given, and the next was asked for: a phrase at which the loop was left is not done
	Speaking bool          // somebody speaks
	Decoding bool          // a stretch is being decoded
}

// Chunk is how much is read from a source at a time.
const Chunk = sound.Rate / 50

// Segments yields the stretches of speech of a source, without decoding them.
// Its errors are as those of Listen.
func Segments(ctx context.Context, src sound.Source, cfg segment.Config) iter.Seq2[segment.Segment, error] {
	return func(yield func(segment.Segment, error) bool) {
		s := segment.New(cfg)
		buf := make([]int16, Chunk)
		going := true
		give := func(seg segment.Segment) { going = going && yield(seg, nil) }
		for going {
			n, err := src.Read(ctx, buf)
			s.Feed(buf[:n], give)
			if err == nil {
				continue
			}
			s.Flush(give) // what was said so far is kept
			if !going || errors.Is(err, io.EOF) {
				return
			}
			going = yield(segment.Segment{}, err) && errors.Is(err, sound.ErrDeviceLost)
		}
	}
}

// Listen yields what is said in a source: an Utterance for every phrase, also
// for stretches of speech in which nothing was recognised. It ends with the
// source; an error ends it too, except ErrDeviceLost, after which it waits
// for the microphone to come back. When ctx ends, the stretch that was open
// is decoded and given, then the error of ctx; Utterance.Broken says that the
// speaker had not come to an end.
func Listen(ctx context.Context, src sound.Source, r *Recogniser, cfg ListenConfig) iter.Seq2[Utterance, error] {
	if cfg.Shortest == 0 {
		cfg.Shortest = 150 * time.Millisecond
	}
	return func(yield func(Utterance, error) bool) {
		e := newEndpointer(r, cfg.Endpoints, cfg.Doubt)
		l := &listening{
			cfg: cfg, s: segment.New(cfg.Segmenter), e: e,
			ahead: &ahead{e: e, ctx: context.WithoutCancel(ctx)},
			yield: yield, going: true,
		}
		defer l.ahead.wait()
		l.run(ctx, src)
	}
}

// listening is one run of Listen.
type listening struct {
	cfg   ListenConfig
	s     *segment.Segmenter
	e     *endpointer
	ahead *ahead
	yield func(Utterance, error) bool
	going bool

	broken bool // what is given now was broken off
}

func (l *listening) run(ctx context.Context, src sound.Source) {
	buf := make([]int16, Chunk)
	for l.going {
		n, err := src.Read(ctx, buf)
		l.s.Feed(buf[:n], l.take)
		if !l.going {
			return // whoever broke off may not have kept the phrase: it is not done
		}
		if err == nil {
			l.progress(Progress{Done: l.done(), Speaking: l.s.Speaking()})
			l.decodeAhead()
			if !l.s.Speaking() {
				l.give(l.e.expired(l.s.At), nil)
			}
			continue
		}
		l.broken = !errors.Is(err, io.EOF) && l.s.Speaking() && !l.s.Silent(shortSilence)
		l.s.Flush(l.take) // what was said so far is kept
		l.give(l.e.release(), nil)
		l.broken = false
		if !l.going || errors.Is(err, io.EOF) {
			return
		}
		l.going = l.yield(Utterance{}, err) && errors.Is(err, sound.ErrDeviceLost)
	}
}

// give yields phrases, or an error that ends it all.
func (l *listening) give(phrases []Utterance, err error) {
	if err != nil && l.going {
		l.yield(Utterance{}, err)
		l.going = false
	}
	for _, u := range phrases {
		u.Broken = l.broken
		l.going = l.going && l.yield(u, nil)
	}
}

// done is the place before which everything was given: a phrase that may go on
// waits for the rest of it.
func (l *listening) done() time.Duration {
	at := l.s.Settled()
	if l.e.pending != nil {
		at = min(at, l.e.sound.Start)
	}
	return sound.SamplesLong(uint64(at), sound.Rate)
}

func (l *listening) progress(p Progress) {
	if l.cfg.Progress != nil {
		l.cfg.Progress(p)
	}
}

// take takes a stretch that has ended.
func (l *listening) take(seg segment.Segment) {
	if !l.going || !l.long(seg) {
		l.ahead.stop()
		return
	}
	l.progress(Progress{Done: min(l.done(), sound.SamplesLong(uint64(seg.Start), sound.Rate)), Decoding: true})
	h, err := l.ahead.finish(seg)
	if err != nil {
		l.give(nil, err)
		return
	}
	l.give(l.e.take(seg, h), nil)
}

func (l *listening) long(seg segment.Segment) bool {
	return len(seg.Samples) >= int(l.cfg.Shortest*sound.Rate/time.Second)
}

// shortSilence ends a phrase that could not go on.
const shortSilence = 300 * time.Millisecond

// decodeAhead decodes what was said before the silence has ended it, and ends
// it where nothing could follow.
func (l *listening) decodeAhead() {
	silent := l.s.Silent(l.cfg.Ahead)
	if l.cfg.Ahead == 0 || !silent && l.ahead.done == nil {
		return
	}
	seg := l.s.Pending()
	if !silent || !l.long(seg) {
		l.ahead.leave(seg)
		return
	}
	l.ahead.start(seg)
	if h, ok := l.ahead.ready(seg); ok && l.s.Silent(shortSilence) && l.e.ended(h) {
		l.s.End(l.take)
	}
}

// ahead decodes a stretch of speech while the silence after it goes on.
type ahead struct {
	ctx    context.Context
	e      *endpointer
	seg    segment.Segment
	run    context.Context // of the decode that was started
	cancel context.CancelFunc
	done   chan struct{} // nil: nothing was started
	h      hearing
	err    error
}

// start begins to decode a stretch, unless it has begun already or another is
// being decoded.
func (a *ahead) start(seg segment.Segment) {
	if a.begun(seg) {
		return
	}
	if a.done != nil {
		select {
		case <-a.done:
			a.cancel()
		default:
			return
		}
	}
	a.run, a.cancel = context.WithCancel(a.ctx)
	done := make(chan struct{})
	a.seg, a.done = seg, done
	run := a.run
	go func() {
		defer close(done)
		a.h, a.err = a.e.hear(run, seg)
	}()
}

// begun reports that a stretch is being decoded, or has been.
func (a *ahead) begun(seg segment.Segment) bool {
	return a.done != nil && a.run.Err() == nil && a.seg.Same(seg)
}

// ready returns what was heard in a stretch where that has been decoded.
func (a *ahead) ready(seg segment.Segment) (hearing, bool) {
	if !a.begun(seg) {
		return hearing{}, false
	}
	select {
	case <-a.done:
		return a.h, a.err == nil
	default:
		return hearing{}, false
	}
}

// leave gives up what was started when the speaker has gone on, and seg is the
// stretch now.
func (a *ahead) leave(seg segment.Segment) {
	if a.done != nil && !a.seg.Same(seg) {
		a.cancel()
	}
}

// finish returns what was heard in a stretch that has ended.
func (a *ahead) finish(seg segment.Segment) (hearing, error) {
	begun := a.begun(seg)
	a.leave(seg)
	a.stop()
	if !begun {
		return a.e.hear(a.ctx, seg)
	}
	if a.h.alone == nil {
		a.h.whole.Scores.SNR = seg.SNR
	}
	a.h.whole.Cut = seg.Cut
	return a.h, a.err
}

// stop gives up whatever was started.
func (a *ahead) stop() {
	a.wait()
	a.done = nil
}

func (a *ahead) wait() {
	if a.done != nil {
		<-a.done
		a.cancel()
	}
}

// recogniseSurely decodes a segment, and further where the result is doubtful;
// nil doubts nothing.
func (r *Recogniser) recogniseSurely(ctx context.Context, seg segment.Segment, doubt func(Utterance) bool) (Utterance, error) {
	u, err := r.RecogniseSegment(ctx, seg)
	if err != nil || doubt == nil || u.Text == "" || !doubt(u) {
		return u, err
	}
	evidence, err := r.Confirm(ctx, u)
	u.Evidence = &evidence
	return u, err
}

// RecogniseSegment decodes a segment with the noise before it turned down;
// places in the result count from the beginning of the sound, and the
// segment's noise is among the scores.
func (r *Recogniser) RecogniseSegment(ctx context.Context, seg segment.Segment) (Utterance, error) {
	first, second := heard(seg)
	beside := r.cfg.Second.listen(ctx, second, r.forSecond())
	rivals := r.cfg.Rivals
	if beside != nil {
		rivals = nil // those that the second listener finds are fewer, and more likely
	}
	u, err := r.recognise(ctx, first, rivals)
	if err != nil {
		return u, err
	}
	if err := r.witness(ctx, &u, beside); err != nil {
		return u, err
	}
	u.place(seg)
	return u, nil
}

// place puts what was decoded from a segment into the source.
func (u *Utterance) place(seg segment.Segment) {
	u.clean, u.from = u.Samples, seg
	if u.pace != 0 {
		for i, w := range u.Words {
			u.Words[i].Start, u.Words[i].End = atPace(w.Start, u.pace), atPace(w.End, u.pace)
		}
	}
	u.Samples, u.Scores.Clipped = seg.Samples, clipped(seg.Samples)
	u.Parts = scoresByStretch(seg, u.Words)
	u.Scores.SNR = seg.SNR
	u.Scores.Covered = covered(seg, u.Words)
	u.Start, u.End = samplesTime(seg.Start), samplesTime(end(seg))
	for i := range u.Words {
		u.Words[i].Start, u.Words[i].End = timeAt(seg, u.Words[i].Start), timeAt(seg, u.Words[i].End)
	}
	u.Cut = seg.Cut
}

// atPace is the time in a stretch of a time in it when it is played at another pace.
func atPace(t time.Duration, pace float64) time.Duration { return time.Duration(float64(t) * pace) }
