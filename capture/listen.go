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
}

// chunk is how much is read from a source at a time.
const chunk = Rate / 50

// Segments yields the stretches of speech of a source, without decoding them.
// Its errors are as those of Listen.
func Segments(ctx context.Context, src Source, cfg SegmenterConfig) iter.Seq2[Segment, error] {
	return func(yield func(Segment, error) bool) {
		s := NewSegmenter(cfg)
		buf := make([]int16, chunk)
		going := true
		give := func(seg Segment) { going = going && yield(seg, nil) }
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
		for seg, err := range Segments(ctx, src, cfg.Segmenter) {
			if err != nil {
				if !yield(Utterance{}, err) {
					return
				}
				continue
			}
			if len(seg.Samples) < int(cfg.Shortest*Rate/time.Second) {
				continue
			}
			u, err := r.RecogniseSegment(context.WithoutCancel(ctx), seg)
			if !yield(u, err) || err != nil {
				return
			}
		}
	}
}

// RecogniseSegment decodes a segment; places in the result count from the
// beginning of the sound, and the segment's noise is among the scores.
func (r *Recogniser) RecogniseSegment(ctx context.Context, seg Segment) (Utterance, error) {
	u, err := r.Recognise(ctx, seg.Samples)
	if err != nil {
		return u, err
	}
	start := time.Duration(float64(seg.Start) / Rate * float64(time.Second))
	u.Start += start
	u.End += start
	for i := range u.Words {
		u.Words[i].Start += start
		u.Words[i].End += start
	}
	u.Scores.SNR = seg.SNR
	u.Cut = seg.Cut
	return u, nil
}
