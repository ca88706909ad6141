package phone

import (
	"encoding/binary"
	"errors"
	"math"
	"slices"
	"testing"
	"time"

	"downlead/capture/sound"
)

// wire is a frame as the page sends it.
func wire(seq int64, at float64, flags byte, samples []int16) []byte {
	b := make([]byte, frameHead)
	b[0], b[1] = frameVersion, flags
	binary.LittleEndian.PutUint16(b[2:], uint16(len(samples)))
	binary.LittleEndian.PutUint32(b[4:], uint32(seq))
	binary.LittleEndian.PutUint64(b[8:], math.Float64bits(at))
	if flags&flagSilent == 0 {
		for _, v := range samples {
			b = binary.LittleEndian.AppendUint16(b, uint16(v))
		}
	}
	return b
}

// numbered is 40 ms of sound, each sample told from every other frame's.
func numbered(seq int64) []int16 {
	out := make([]int16, 640)
	for i := range out {
		out[i] = int16(seq + 1)
	}
	return out
}

func pushed(t *testing.T, s *Sound, seq int64, at float64, flags byte) bool {
	t.Helper()
	f, err := readFrame(wire(seq, at, flags, numbered(seq)))
	if err != nil {
		t.Fatal(err)
	}
	return s.push(f)
}

const began = 1_800_000_000_000.0 // ms

// drain reads what is there and names the frames in it, 0 for silence.
func drain(t *testing.T, s *Sound) []int16 {
	t.Helper()
	var frames []int16
	buf := make([]int16, 320)
	for s.waiting() > 0 {
		n, err := s.Read(t.Context(), buf)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range buf[:n] {
			if len(frames) == 0 || frames[len(frames)-1] != v {
				frames = append(frames, v)
			}
		}
	}
	return frames
}

// Frames that are sent twice, too early or in the wrong order are heard once,
// in order.
func TestFramesAreHeardOnceAndInOrder(t *testing.T) {
	s := newSound()
	s.attach("a", 0)
	took := 0
	for _, seq := range []int64{0, 1, 1, 0, 3, 2, 2, 3, 5, 4, 5} {
		if pushed(t, s, seq, began+40*float64(seq), 0) {
			took++
		}
	}
	if got := drain(t, s); took != 6 || !slices.Equal(got, []int16{1, 2, 3, 4, 5, 6}) {
		t.Errorf("took %d frames, heard %v", took, got)
	}
	next, safe, _ := s.acknowledged()
	if next != 6 || safe != 0 {
		t.Errorf("expects %d, safe %d; nothing was heard to its end yet", next, safe)
	}
	s.heard(100 * time.Millisecond) // two frames and a half
	if _, safe, limit := s.acknowledged(); safe != 2 || limit != 2+window {
		t.Errorf("safe %d, limit %d; want 2", safe, limit)
	}
}

// The same page comes back after a break: nothing is taken twice.
func TestAttachGoesOnWhereItWas(t *testing.T) {
	s := newSound()
	s.attach("a", 7)
	for seq := int64(7); seq < 17; seq++ {
		pushed(t, s, seq, began+40*float64(seq), 0)
	}
	if next, lost := s.attach("a", 7); next != 17 || lost != 0 {
		t.Errorf("goes on at %d, lost %d", next, lost)
	}
	if next, lost := s.attach("a", 20); next != 20 || lost != 3 {
		t.Errorf("goes on at %d, lost %d; the page no longer has three", next, lost)
	}
	// Another phone, and the first again: its sound is not taken twice.
	s.attach("b", 0)
	pushed(t, s, 0, began, 0)
	s.heard(time.Hour)
	if _, safe, _ := s.acknowledged(); safe != 1 {
		t.Errorf("safe %d of the second phone, want 1", safe)
	}
	if next, _ := s.attach("a", 7); next != 20 {
		t.Errorf("the first phone goes on at %d, want 20", next)
	}
}

// A gap in the phone's time ends a phrase; a break of the link does not.
func TestSilenceForSleepAndRelease(t *testing.T) {
	s := newSound()
	s.attach("a", 0)
	pushed(t, s, 0, began, 0)
	pushed(t, s, 1, began+40+150, 0) // the clock trembles
	if got := s.waiting(); got != 80*time.Millisecond {
		t.Errorf("%v of sound, want 80 ms", got)
	}
	pushed(t, s, 2, began+3.6e6, 0) // it slept for an hour
	if got := s.waiting(); got != 120*time.Millisecond+longestPause {
		t.Errorf("%v of sound after a sleep", got)
	}
	before := s.waiting()
	pushed(t, s, 3, began+3.6e6+40, flagEnd)
	if got := s.waiting() - before; got != 40*time.Millisecond+release {
		t.Errorf("%v for the end of a phrase", got)
	}
	if got := drain(t, s); !slices.Equal(got, []int16{1, 2, 0, 3, 4, 0}) {
		t.Errorf("heard %v", got)
	}
}

// Sound is dated by the phone's clock, put right by the machine's.
func TestPlacesAreDated(t *testing.T) {
	s := newSound()
	s.setOffset(-3 * 3.6e6) // the phone is three hours ahead
	s.attach("a", 0)
	pushed(t, s, 0, began, 0)
	pushed(t, s, 1, began+3.6e6, 0)
	want := time.UnixMilli(began).Add(-3 * time.Hour)
	if got := s.at(20 * time.Millisecond); !got.Equal(want.Add(20 * time.Millisecond)) {
		t.Errorf("%v, want %v", got, want)
	}
	if got := s.at(40*time.Millisecond + longestPause); !got.Equal(want.Add(time.Hour)) {
		t.Errorf("after the sleep: %v, want %v", got, want.Add(time.Hour))
	}
}

func TestGarbage(t *testing.T) {
	good := wire(5, began, 0, numbered(5))
	for name, b := range map[string][]byte{
		"nothing":          {},
		"a short head":     good[:10],
		"another version":  append([]byte{9}, good[1:]...),
		"a flag of nobody": append([]byte{1, 0x80}, good[2:]...),
		"half its sound":   good[:len(good)/2],
		"too much sound":   append(slices.Clone(good), 0, 0),
		"no time":          wire(5, math.NaN(), 0, numbered(5)),
		"a time too far":   wire(5, 1e15, 0, numbered(5)),
		"too long":         wire(5, began, 0, make([]int16, longestFrame+1)),
	} {
		if _, err := readFrame(b); !errors.Is(err, errGarbage) {
			t.Errorf("%s: error %v", name, err)
		}
	}
	f, err := readFrame(wire(5, began, flagSilent, numbered(5)))
	if err != nil || f.n != 640 || f.samples != nil {
		t.Errorf("a silent frame: %+v, %v", f, err)
	}
}

// Eight hours of sound leave no more in memory than is still wanted.
func TestEightHoursStayBounded(t *testing.T) {
	s := newSound()
	s.attach("a", 0)
	buf := make([]int16, sound.Rate/25)
	place := time.Duration(0)
	for seq := range int64(8 * 3600 * 25) {
		s.push(frame{seq: seq, at: began + 40*float64(seq), n: 640})
		n, err := s.Read(t.Context(), buf)
		if err != nil {
			t.Fatal(err)
		}
		place += samplesLong(int64(n))
		if seq%25 == 24 {
			s.heard(place)
		}
	}
	if n, most := len(s.marks), int(keptMarks/(40*time.Millisecond))+2+dropAtOnce; n > most || len(s.queue) > 1 {
		t.Errorf("%d marks and %d pieces are kept, at most %d and 1", n, len(s.queue), most)
	}
	if _, safe, _ := s.acknowledged(); safe != 8*3600*25 {
		t.Errorf("safe %d of %d", safe, 8*3600*25)
	}
}
