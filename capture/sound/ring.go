package sound

import (
	"sync/atomic"
	"unsafe"
)

// ring hands samples from the microphone's callback to one reader. The
// callback never waits and never allocates: what does not fit is counted, and
// silence of the same length takes its place as soon as there is room, so
// that time is kept.
type ring struct {
	buf     []int16 // length a power of two
	write   atomic.Uint64
	read    atomic.Uint64
	dropped atomic.Uint64 // samples, in all
	gap     atomic.Uint64 // samples of silence still to be put in
	deaf    atomic.Int32
	ready   chan struct{} // one token: there is something new
}

func newRing(size int) *ring {
	n := 1
	for n < size {
		n *= 2
	}
	return &ring{buf: make([]int16, n), ready: make(chan struct{}, 1)}
}

// put copies samples in; it is the whole of the callback.
func (r *ring) put(b []byte) {
	n := len(b) / 2
	if n == 0 {
		return
	}
	in := unsafe.Slice((*int16)(unsafe.Pointer(unsafe.SliceData(b))), n) // the device writes aligned 16-bit samples
	w := r.write.Load()
	free := len(r.buf) - int(w-r.read.Load())
	if gap := r.gap.Load(); gap > 0 {
		silent := min(int(gap), free)
		r.store(w, silent, nil)
		w += uint64(silent)
		free -= silent
		r.gap.Store(gap - uint64(silent))
	}
	fits := min(n, free)
	if fits < n {
		r.dropped.Add(uint64(n - fits))
		r.gap.Add(uint64(n - fits))
	}
	if r.deaf.Load() > 0 {
		in = nil
	}
	r.store(w, fits, in)
	r.write.Store(w + uint64(fits))
	select {
	case r.ready <- struct{}{}:
	default:
	}
}

// store writes n samples, or silence, at the place.
func (r *ring) store(place uint64, n int, in []int16) {
	at := int(place) & (len(r.buf) - 1)
	first := min(n, len(r.buf)-at)
	if in == nil {
		clear(r.buf[at : at+first])
		clear(r.buf[:n-first])
		return
	}
	copy(r.buf[at:at+first], in)
	copy(r.buf[:n-first], in[first:])
}

// waiting is how many samples are there to be read.
func (r *ring) waiting() int { return int(r.write.Load() - r.read.Load()) }

// get copies samples out and returns how many.
func (r *ring) get(p []int16) int {
	rd := r.read.Load()
	n := min(len(p), int(r.write.Load()-rd))
	at := int(rd) & (len(r.buf) - 1)
	first := copy(p[:n], r.buf[at:])
	copy(p[first:n], r.buf)
	r.read.Store(rd + uint64(n))
	return n
}
