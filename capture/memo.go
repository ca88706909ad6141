package capture

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
	"time"

	"downlead/capture/segment"
	"downlead/capture/sound"
)

// Heard is one phrase of a recording.
type Heard struct {
	Index int // of the last stretch of speech taken by then, from 0; the same every time
	Utterance
}

// ImportConfig is how Import reads a recording; the zero value is good.
type ImportConfig struct {
	Segmenter segment.Config
	Skip      int // how many stretches were taken before, by an import that was interrupted
	// Doubt and Endpoints are as those of ListenConfig; they are called from
	// several goroutines.
	Doubt     func(Utterance) bool
	Endpoints Endpoints
}

// Import yields what is said in a recording, in order, decoding as many
// stretches at once as there are recognisers (one a core is best). Whoever
// keeps the index of the last stretch taken can go on from there with Skip:
// the stretches of a recording are always the same. Times count from the
// beginning of the recording. The errors are those of the source and of the
// recogniser, and end it; no more than a few stretches are held in memory.
func Import(ctx context.Context, src sound.Source, recognisers []*Recogniser, cfg ImportConfig) iter.Seq2[Heard, error] {
	return func(yield func(Heard, error) bool) {
		if len(recognisers) == 0 {
			yield(Heard{}, errors.New("import: no recogniser"))
			return
		}
		ctx, stop := context.WithCancel(ctx)
		defer stop()
		e := newEndpointer(recognisers[0], cfg.Endpoints, cfg.Doubt)
		last := 0
		give := func(phrases []Utterance) bool {
			for _, u := range phrases {
				if !yield(Heard{last, u}, nil) {
					return false
				}
			}
			return true
		}
		for answer := range decodeAhead(ctx, src, recognisers, cfg) {
			r := <-answer
			if r.err == nil && r.index < cfg.Skip {
				continue
			}
			if r.err == nil && !give(e.expired(r.seg.Start)) {
				return
			}
			last = r.index
			h, err := hearing{whole: r.u}, r.err
			if err == nil && e.pending != nil {
				h, err = e.hear(ctx, r.seg)
			}
			if err != nil {
				yield(Heard{}, err)
				return
			}
			if !give(e.take(r.seg, h)) {
				return
			}
		}
		give(e.release())
	}
}

// result is a stretch of speech, what was heard in it by itself, and the
// stretch's number.
type result struct {
	index int
	seg   segment.Segment
	u     Utterance
	err   error
}

// decodeAhead gives a channel of answers in the order of the sound, each ready
// when its stretch is decoded. The channel's length bounds what is in memory.
func decodeAhead(ctx context.Context, src sound.Source, recognisers []*Recogniser, cfg ImportConfig) <-chan chan result {
	free := make(chan *Recogniser, len(recognisers))
	for _, r := range recognisers {
		free <- r
	}
	answers := make(chan chan result, 2*len(recognisers))
	go func() {
		defer close(answers)
		index := 0
		for seg, err := range Segments(ctx, src, cfg.Segmenter) {
			answer := make(chan result, 1)
			select {
			case answers <- answer:
			case <-ctx.Done():
				return
			}
			if err != nil {
				answer <- result{err: err}
				return
			}
			i := index
			index++
			if i < cfg.Skip {
				answer <- result{index: i}
				continue
			}
			r := <-free
			go func() {
				u, err := r.recogniseSurely(ctx, seg, cfg.Doubt)
				free <- r
				answer <- result{i, seg, u, err}
			}()
		}
	}()
	return answers
}

// FileHash is the SHA-256 of a file in hexadecimal: the same recording twice
// has the same.
func FileHash(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", fmt.Errorf("hash sound: %w", err)
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", fmt.Errorf("hash sound %s: %w", path, err)
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// RecordedAt is when a recording of that length began, as far as its file
// tells: the time of its last change less its length.
func RecordedAt(path string, length time.Duration) (time.Time, error) {
	info, err := os.Stat(path)
	if err != nil {
		return time.Time{}, fmt.Errorf("time of recording: %w", err)
	}
	return info.ModTime().Add(-length), nil
}
