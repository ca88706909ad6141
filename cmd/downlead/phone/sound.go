package phone

import (
	"context"
	"io"
	"sync"
	"time"

	"downlead/capture/sound"
)

const (
	// window is how many frames the page may send beyond those that are safe:
	// two minutes of 40 ms, 4 MB.
	window = 3000
	// pause is the least gap in the phone's time that is put in as silence: the
	// phone slept, or was muted. Less is the trembling of its clock.
	pause = 200 * time.Millisecond
	// longestPause is the most silence that is put in for a gap: enough to end
	// a phrase, whatever the gap.
	longestPause = time.Second
	// release ends a phrase when the speaker let go of the button: more than
	// the silence that ends a stretch of speech.
	release = 700 * time.Millisecond
	// keptMarks is how much of what was heard can still be dated.
	keptMarks = 30 * time.Second
	// dropAtOnce is how many dates are dropped at a time.
	dropAtOnce = 256
)

// Sound is the phone's sound in order, whole, and each frame once: a
// capture.Source. Its methods may be called from several goroutines.
type Sound struct {
	mu     sync.Mutex
	more   chan struct{} // one token: there is something new
	closed bool

	stream string // the page's store that the sound comes from
	place
	past   map[string]place // of other phones
	offset float64          // ms to add to the phone's clock for the machine's
	ends   float64          // ms, the phone's clock at the end of the last frame

	queue [][]int16
	put   int64 // samples in, since the beginning
	given int64 // samples out
	marks []mark
}

// place is how far a stream has come.
type place struct {
	next int64 // the frame that is expected
	safe int64 // frames before this one are not needed again
}

// mark dates a place in the sound.
type mark struct {
	from int64 // samples
	seq  int64 // the frame that begins there; -1: another phone's
	at   time.Time
}

func newSound() *Sound { return &Sound{more: make(chan struct{}, 1)} }

// attach begins or goes on with a stream: oldest is the first frame that the
// page still holds. Lost is how many frames the page no longer has.
func (s *Sound) attach(stream string, oldest int64) (next, lost int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.stream != stream {
		s.change(stream, oldest)
	}
	return s.skip(oldest)
}

// change turns to another phone's sound. What came from the one before is still
// heard.
func (s *Sound) change(stream string, oldest int64) {
	if s.past == nil {
		s.past = map[string]place{}
	}
	s.past[s.stream] = s.place
	before, known := s.past[stream]
	if !known {
		before = place{next: oldest, safe: oldest}
	}
	s.stream, s.place, s.ends = stream, before, 0
	for i := range s.marks {
		s.marks[i].seq = -1
	}
}

// skip goes on at a frame, where those before it are no longer to be had.
func (s *Sound) skip(oldest int64) (next, lost int64) {
	if oldest > s.next {
		lost = oldest - s.next
		s.next = oldest
	}
	return s.next, lost
}

// setOffset says what the phone's clock lacks to the machine's, in ms.
func (s *Sound) setOffset(ms float64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.offset = ms
}

// push takes a frame, and reports whether it was the one expected: one that
// came before is dropped, one that is too early will come again.
func (s *Sound) push(f frame) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if f.seq != s.next {
		return false
	}
	s.next++
	if gap := time.Duration((f.at - s.ends) * float64(time.Millisecond)); s.ends > 0 && gap > pause {
		s.silence(min(gap, longestPause))
	}
	s.ends = f.at + float64(f.long())/float64(time.Millisecond)
	s.marks = append(s.marks, mark{s.put, f.seq, time.UnixMilli(int64(f.at + s.offset))})
	samples := f.samples
	if samples == nil {
		samples = make([]int16, f.n)
	}
	s.append(samples)
	if f.end {
		s.silence(release)
	}
	select {
	case s.more <- struct{}{}:
	default:
	}
	return true
}

func (s *Sound) silence(d time.Duration) {
	s.append(make([]int16, int(d*sound.Rate/time.Second)))
}

func (s *Sound) append(samples []int16) {
	if len(samples) > 0 {
		s.queue = append(s.queue, samples)
		s.put += int64(len(samples))
	}
}

// Read implements capture.Source. It waits while the phone is away.
func (s *Sound) Read(ctx context.Context, p []int16) (int, error) {
	for len(p) > 0 {
		n, ended := s.take(p)
		if n > 0 {
			return n, nil
		}
		if ended {
			return 0, io.EOF
		}
		select {
		case <-ctx.Done():
			return 0, ctx.Err()
		case <-s.more:
		}
	}
	return 0, nil
}

func (s *Sound) take(p []int16) (n int, ended bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for n < len(p) && len(s.queue) > 0 {
		k := copy(p[n:], s.queue[0])
		n += k
		if s.queue[0] = s.queue[0][k:]; len(s.queue[0]) == 0 {
			s.queue[0] = nil
			s.queue = s.queue[1:]
		}
	}
	s.given += int64(n)
	return n, s.closed
}

// Close implements capture.Source: the sound ends with what is there.
func (s *Sound) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.closed = true
	select {
	case s.more <- struct{}{}:
	default:
	}
	return nil
}

// heard says that everything before a place was heard, and that what was said
// in it is in the journal.
func (s *Sound) heard(place time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	done := int64(place * sound.Rate / time.Second)
	old := done - int64(keptMarks*sound.Rate/time.Second)
	drop := 0
	for i, m := range s.marks {
		end := s.put
		if i+1 < len(s.marks) {
			end = s.marks[i+1].from
		}
		if end > done {
			break
		}
		s.safe = max(s.safe, m.seq+1)
		if end <= old {
			drop = i + 1
		}
	}
	if drop > dropAtOnce {
		s.marks = append(s.marks[:0:0], s.marks[drop:]...)
	}
}

// at dates a place in the sound by the machine's clock.
func (s *Sound) at(place time.Duration) time.Time {
	s.mu.Lock()
	defer s.mu.Unlock()
	n := int64(place * sound.Rate / time.Second)
	best := mark{}
	for _, m := range s.marks {
		if m.from > n && !best.at.IsZero() {
			break
		}
		best = m
	}
	if best.at.IsZero() {
		return best.at
	}
	return best.at.Add(samplesLong(n - best.from))
}

// acknowledged is what the page is told: the frame that is expected, the first
// one it must still keep, and the first one it may not send yet.
func (s *Sound) acknowledged() (next, safe, limit int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.next, s.safe, s.safe + window
}

// waiting is how much sound has come and was not read.
func (s *Sound) waiting() time.Duration {
	s.mu.Lock()
	defer s.mu.Unlock()
	return samplesLong(s.put - s.given)
}
