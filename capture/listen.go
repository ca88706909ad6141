package capture

import (
	"context"
	"errors"
	"io"
	"iter"
	"time"
)

// ListenConfig is how Listen listens; the zero value is good.
type ListenConfig struct {
	Segmenter SegmenterConfig
	// Shortest is the least speech that is worth decoding; 0 means 150 ms.
	Shortest time.Duration
	// Ahead, where not 0, decodes what was said as soon as the speaker has been
	// silent for so long, rather than when the silence has ended the stretch:
	// the answer comes sooner. Whoever goes on speaking is decoded again. Good
	// for a microphone, a waste for a file.
	Ahead time.Duration
	// Doubt says which utterances are decoded further at once
	// (Utterance.Evidence); nil: none.
	Doubt func(Utterance) bool
}

// chunk is how much is read from a source at a time.
const chunk = Rate / 50

// Segments yields the stretches of speech of a source, without decoding them.
// Its errors are as those of Listen.
func Segments(ctx context.Context, src Source, cfg SegmenterConfig) iter.Seq2[Segment, error] {
	return stretches(ctx, src, NewSegmenter(cfg), func() {})
}

// stretches calls heard after every chunk that was read.
func stretches(ctx context.Context, src Source, s *Segmenter, heard func()) iter.Seq2[Segment, error] {
	return func(yield func(Segment, error) bool) {
		buf := make([]int16, chunk)
		going := true
		give := func(seg Segment) { going = going && yield(seg, nil) }
		for going {
			n, err := src.Read(ctx, buf)
			s.Feed(buf[:n], give)
			if err == nil {
				heard()
				continue
			}
			s.Flush(give) // what was said so far is kept
			if !going || errors.Is(err, io.EOF) {
				return
			}
			going = yield(Segment{}, err) && errors.Is(err, ErrDeviceLost)
		}
	}
}

// Listen yields what is said in a source: an Utterance for every stretch of
// speech, also for those in which nothing was recognised. It ends with the
// source; an error ends it too, except ErrDeviceLost, after which it waits
// for the microphone to come back. When ctx ends, the stretch that was open
// is decoded and given, then the error of ctx.
func Listen(ctx context.Context, src Source, r *Recogniser, cfg ListenConfig) iter.Seq2[Utterance, error] {
	if cfg.Shortest == 0 {
		cfg.Shortest = 150 * time.Millisecond
	}
	return func(yield func(Utterance, error) bool) {
		a := &ahead{r: r, doubt: cfg.Doubt, ctx: context.WithoutCancel(ctx)}
		defer a.wait()
		s := NewSegmenter(cfg.Segmenter)
		long := func(seg Segment) bool { return len(seg.Samples) >= int(cfg.Shortest*Rate/time.Second) }
		heard := func() {
			silent := s.Silent(cfg.Ahead)
			if cfg.Ahead == 0 || !silent && a.done == nil {
				return
			}
			if seg := s.Pending(); silent && long(seg) {
				a.start(seg)
			} else {
				a.leave(seg)
			}
		}
		for seg, err := range stretches(ctx, src, s, heard) {
			if err != nil {
				if !yield(Utterance{}, err) {
					return
				}
				continue
			}
			if !long(seg) {
				continue
			}
			u, err := a.finish(seg)
			if !yield(u, err) || err != nil {
				return
			}
		}
	}
}

// ahead decodes a stretch of speech while the silence after it goes on.
type ahead struct {
	ctx    context.Context
	r      *Recogniser
	doubt  func(Utterance) bool
	seg    Segment
	run    context.Context // of the decode that was started
	cancel context.CancelFunc
	done   chan struct{} // nil: nothing was started
	u      Utterance
	err    error
}

// start begins to decode a stretch, unless it has begun already or another is
// being decoded.
func (a *ahead) start(seg Segment) {
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
		a.u, a.err = a.decode(run, seg)
	}()
}

// begun reports that a stretch is being decoded, or has been.
func (a *ahead) begun(seg Segment) bool {
	return a.done != nil && a.run.Err() == nil && a.seg.same(seg)
}

// leave gives up what was started when the speaker has gone on, and seg is the
// stretch now. A decode that runs comes to its end, but no further one begins.
func (a *ahead) leave(seg Segment) {
	if a.done != nil && !a.seg.same(seg) {
		a.cancel()
	}
}

// finish returns what was heard in a stretch that has ended.
func (a *ahead) finish(seg Segment) (Utterance, error) {
	begun := a.begun(seg)
	a.leave(seg)
	a.wait()
	a.done = nil
	if !begun {
		return a.decode(a.ctx, seg)
	}
	a.u.Scores.SNR, a.u.Cut = seg.SNR, seg.Cut
	return a.u, a.err
}

func (a *ahead) wait() {
	if a.done != nil {
		<-a.done
		a.cancel()
	}
}

func (a *ahead) decode(ctx context.Context, seg Segment) (Utterance, error) {
	return a.r.recogniseSurely(ctx, seg, a.doubt)
}

// recogniseSurely decodes a segment, and further where the result is doubtful;
// nil doubts nothing.
func (r *Recogniser) recogniseSurely(ctx context.Context, seg Segment, doubt func(Utterance) bool) (Utterance, error) {
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
func (r *Recogniser) RecogniseSegment(ctx context.Context, seg Segment) (Utterance, error) {
	u, err := r.Recognise(ctx, cleaned(seg.Samples, seg.background))
	if err != nil {
		return u, err
	}
	u.clean, u.background = u.Samples, seg.background
	u.Samples, u.Scores.Clipped = seg.Samples, clipped(seg.Samples)
	start := time.Duration(float64(seg.Start) / Rate * float64(time.Second))
	u.Start += start
	u.End += start
	for i := range u.Words {
		u.Words[i].Start += start
		u.Words[i].End += start
	}
	u.Scores.SNR = seg.SNR
	u.Scores.Covered = covered(u.Words, len(seg.Samples))
	u.Cut = seg.Cut
	return u, nil
}
