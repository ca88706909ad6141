//go:build !novoice && linux

package capture

// #include <stdlib.h>
// #include "engine.h"
import "C"

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"unsafe"

	"golang.org/x/sys/unix"
)

// scoreLog is where a decoder writes down how well each moment of a stretch fits each
// state of the acoustic model. Half of a decode is to find that out: it is done
// once, and others read it, while it is written. It is kept in memory alone; the
// library wants a file named by the number of the utterance, so that a link with
// that name leads there, in a folder that is there only until the library has opened it.
type scoreLog struct {
	dir    string
	scores *C.cap_scores_t
	number int // of the utterance

	samples []int16 // whose scores are kept; nil: nobody's
}

func newScoreLog() (*scoreLog, error) {
	l := &scoreLog{number: -1, scores: (*C.cap_scores_t)(C.malloc(C.sizeof_cap_scores_t))}
	if C.cap_open_scores(l.scores) < 0 {
		l.close()
		return nil, errors.New("the system has no files in memory (memfd_create): the recogniser needs Linux 3.17 or newer")
	}
	var err error
	if l.dir, err = os.MkdirTemp("", "downlead-scores-"); err == nil {
		err = os.Remove(l.dir) // the name is what is wanted
	}
	if err != nil {
		l.close()
		return nil, err
	}
	return l, nil
}

// options tell the library to write there.
func (l *scoreLog) options() map[string]string { return map[string]string{"-senlogdir": l.dir} }

// begin makes ready for the next utterance, and forgets the one before.
func (l *scoreLog) begin() error {
	l.samples = nil
	l.number++
	if C.cap_begin_scores(l.scores) < 0 {
		return errors.New("acoustic scores: the memory for them cannot be emptied")
	}
	_ = os.RemoveAll(l.dir) // of an utterance that did not begin
	if err := os.Mkdir(l.dir, 0o700); err != nil {
		return err
	}
	return os.Symlink(fmt.Sprintf("/proc/self/fd/%d", l.scores.memory), l.link())
}

// link is what the library takes for a file.
func (l *scoreLog) link() string { return filepath.Join(l.dir, fmt.Sprintf("%09d.sen", l.number)) }

// end says that all was written.
func (l *scoreLog) end() { C.cap_end_scores(l.scores) }

// stop ends the decodes that read it.
func (l *scoreLog) stop() { C.cap_stop_scores(l.scores) }

// of says whose scores were written.
func (l *scoreLog) of(samples []int16) { l.samples = samples }

// has reports that the scores of these very samples are kept, not of such as are alike.
func (l *scoreLog) has(samples []int16) bool {
	return len(samples) > 0 && len(samples) == len(l.samples) && &samples[0] == &l.samples[0]
}

// behind is how far, in each frame, the likeliest of the first so many states of
// the model is behind the likeliest of all, in 0.1024 nat.
func (l *scoreLog) behind(states int) ([]int, error) {
	memory := int(l.scores.memory)
	size, err := unix.Seek(memory, 0, io.SeekEnd)
	if err != nil {
		return nil, err
	}
	b := make([]byte, size)
	if _, err := unix.Pread(memory, b, 0); err != nil {
		return nil, err
	}
	_, b, ok := bytes.Cut(b, []byte("endhdr\n"))
	r := reader{b: b}
	r.skip(4) // the order of bytes
	var out []int
	for r.left() > 0 {
		all := r.uint16()
		scores := reader{b: r.bytes(2 * all)}
		best := math.MaxInt16
		for range min(states, all) {
			best = min(best, int(int16(scores.uint16())))
		}
		out = append(out, best)
	}
	if !ok || r.short || states < 1 {
		return nil, fmt.Errorf("acoustic scores: %w", errCutShort)
	}
	return out, nil
}

func (l *scoreLog) close() {
	if l.scores.memory >= 0 {
		_ = unix.Close(int(l.scores.memory))
	}
	C.free(unsafe.Pointer(l.scores))
	if l.dir != "" {
		_ = os.RemoveAll(l.dir)
	}
}
