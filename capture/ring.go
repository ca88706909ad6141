package capture

import (
	"sync/atomic"
	"unsafe"
)

// ring hands samples from the microphone's callback to one reader. The
// callback never waits and never allocates: what does not fit is counted and
// later given as silence, so that time is kept.
type ring struct {
	buf     []int16 // length a power of two
	write   atomic.Uint64
	read    atomic.Uint64
	dropped atomic.Uint64
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
	if n > free {
		r.dropped.Add(uint64(n - free))
		n = free
		in = in[:n]
	}
	at := int(w) & (len(r.buf) - 1)
	if r.deaf.Load() > 0 {
		first := min(n, len(r.buf)-at)
		clear(r.buf[at : at+first])
		clear(r.buf[:n-first])
	} else {
		first := copy(r.buf[at:], in)
		copy(r.buf, in[first:])
	}
	r.write.Store(w + uint64(n))
	select {
	case r.ready <- struct{}{}:
	default:
	}
}

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
