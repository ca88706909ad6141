package sound

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sync"
	"sync/atomic"
	"time"
	"unsafe"
)

// ErrNoSpeaker is wrapped by the error for a missing sound output.
var ErrNoSpeaker = errors.New("no loudspeaker: plug one in and see that the system lists it (aplay -l, pactl list short sinks); answers are shown as text")

// clip is sound on its way to the loudspeaker.
type clip struct {
	samples []int16
	at      int // only the callback moves it
	done    chan struct{}
}

// Player plays one clip at a time. The device stays open between clips, so
// that an answer begins at once; it is opened by the first clip, and again
// after it was lost.
type Player struct {
	device string
	Volume atomic.Uint64 // float64 bits, 0..1
	now    atomic.Pointer[clip]

	mu  sync.Mutex // held while a clip plays
	out *playback
}

func NewPlayer(device string, volume float64) *Player {
	p := &Player{device: device}
	p.SetVolume(volume)
	return p
}

func (p *Player) SetVolume(v float64) { p.Volume.Store(math.Float64bits(v)) }

// fill is the device's callback: it allocates nothing and waits for nothing.
func (p *Player) fill(b []byte) {
	n := len(b) / 2
	if n == 0 {
		return
	}
	out := unsafe.Slice((*int16)(unsafe.Pointer(unsafe.SliceData(b))), n)
	played := 0
	if c := p.now.Load(); c != nil {
		volume := math.Float64frombits(p.Volume.Load())
		played = min(n, len(c.samples)-c.at)
		for i, s := range c.samples[c.at : c.at+played] {
			out[i] = int16(float64(s) * volume)
		}
		c.at += played
		if c.at == len(c.samples) && p.now.CompareAndSwap(c, nil) {
			close(c.done)
		}
	}
	clear(out[played:])
}

// playLatency is what the device holds after the callback gave the last sample.
const playLatency = 120 * time.Millisecond

// Play returns when the sound has been heard, or with ctx.
func (p *Player) Play(ctx context.Context, samples []int16) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if err := ctx.Err(); err != nil || len(samples) == 0 {
		return err
	}
	if p.out == nil {
		out, err := openPlayback(p.device, p.fill)
		if err != nil {
			return err
		}
		p.out = out
	}
	c := &clip{samples: samples, done: make(chan struct{})}
	p.now.Store(c)
	length := time.Duration(len(samples)) * time.Second / Rate
	stall := time.NewTimer(length + 3*time.Second)
	defer stall.Stop()
	select {
	case <-c.done:
		return Sleep(ctx, playLatency)
	case <-ctx.Done():
		p.now.Store(nil)
		return ctx.Err()
	case <-p.out.stopped:
	case <-stall.C:
	}
	p.now.Store(nil)
	p.out.close()
	p.out = nil
	return fmt.Errorf("%w (it went away)", ErrNoSpeaker)
}

func (p *Player) Close() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.out != nil {
		p.out.close()
		p.out = nil
	}
}
