package sound

import (
	"context"
	"errors"
	"sync/atomic"
	"time"
)

// ErrNoMicrophone is wrapped by the error of OpenMicrophone when there is
// nothing to record from.
var ErrNoMicrophone = errors.New("no microphone: plug one in and see that the system lists it (arecord -l, pactl list short sources), or use a sound file or typed phrases")

// ErrLeftOut is the error for every sound device in a build with -tags novoice.
var ErrLeftOut = errors.New("this build leaves sound out: type to it, or use one with voice")

// ErrDeviceLost is returned once by Microphone.Read when the device went away
// in mid-sound. Reading on waits until it, or another, is there.
var ErrDeviceLost = errors.New("the microphone went away; waiting for it to come back")

// MicrophoneConfig chooses a microphone.
type MicrophoneConfig struct {
	Device string        // part of its name; "": the system's default
	Buffer time.Duration // how much sound is kept while nobody reads; 0 means 60 s
	Stall  time.Duration // a device that gives nothing for so long is lost; 0 means 3 s
}

// Microphone is a Source over a sound device.
type Microphone struct {
	cfg     MicrophoneConfig
	ring    *ring
	device  *recording
	owed    uint64    // samples of silence to give, for the time that the device was away
	heardAt time.Time // when the last sound came
	back    bool      // the device was opened again and has given nothing yet
}

// OpenMicrophone starts recording at 16 kHz mono. The error names what to do
// when there is no microphone, or which there are when none has the name.
func OpenMicrophone(cfg MicrophoneConfig) (*Microphone, error) {
	if cfg.Buffer == 0 {
		cfg.Buffer = time.Minute
	}
	if cfg.Stall == 0 {
		cfg.Stall = 3 * time.Second
	}
	m := &Microphone{cfg: cfg, ring: newRing(int(cfg.Buffer.Seconds() * Rate)), heardAt: time.Now()}
	var err error
	m.device, err = openRecording(cfg.Device, m.ring)
	if err != nil {
		return nil, err
	}
	return m, nil
}

// Read implements Source. For sound that was dropped, and for the time that
// the device was away, it gives digital silence.
func (m *Microphone) Read(ctx context.Context, p []int16) (int, error) {
	if len(p) == 0 {
		return 0, nil
	}
	if m.device == nil {
		if err := m.reopen(ctx); err != nil {
			return 0, err
		}
	}
	stall := time.NewTimer(m.cfg.Stall)
	defer stall.Stop()
	for {
		if m.back && m.ring.waiting() > 0 {
			away := time.Since(m.heardAt).Seconds()*Rate - float64(m.ring.waiting())
			m.owed, m.back = uint64(max(0, away)), false
		}
		if n := m.silence(p); n > 0 {
			return n, nil
		}
		if n := m.ring.get(p); n > 0 {
			m.heardAt = time.Now()
			return n, nil
		}
		select {
		case <-ctx.Done():
			return 0, ctx.Err()
		case <-m.ring.ready:
		case <-m.device.stopped:
			return 0, m.lose()
		case <-stall.C:
			return 0, m.lose()
		}
	}
}

// silence gives what is owed for the time that the device was away.
func (m *Microphone) silence(p []int16) int {
	n := min(uint64(len(p)), m.owed)
	clear(p[:n])
	m.owed -= n
	return int(n)
}

func (m *Microphone) lose() error {
	m.device.close()
	m.device = nil
	return ErrDeviceLost
}

// reopen waits for the microphone to come back.
func (m *Microphone) reopen(ctx context.Context) error {
	wait := 100 * time.Millisecond
	for {
		device, err := openRecording(m.cfg.Device, m.ring)
		if err == nil {
			m.device, m.back = device, true
			return nil
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(wait):
		}
		wait = min(2*wait, 2*time.Second)
	}
}

// Deafen makes the microphone give silence until the function that it returns
// is called. Calls nest.
func (m *Microphone) Deafen() (hear func()) {
	m.ring.deaf.Add(1)
	var once atomic.Bool
	return func() {
		if once.CompareAndSwap(false, true) {
			m.ring.deaf.Add(-1)
		}
	}
}

// Dropped is how many samples did not fit, in all, because nobody read.
func (m *Microphone) Dropped() uint64 { return m.ring.dropped.Load() }

// Close stops recording.
func (m *Microphone) Close() error {
	if m.device != nil {
		m.device.close()
		m.device = nil
	}
	return nil
}
