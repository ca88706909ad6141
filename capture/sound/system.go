//go:build !novoice

package sound

import (
	"fmt"
	"strings"
	"sync/atomic"
	"time"

	"github.com/gen2brain/malgo"
)

// recording is an open device.
type recording struct {
	ctx     *malgo.AllocatedContext
	dev     *malgo.Device
	stopped chan struct{} // closed when the device stops by itself
	gone    atomic.Bool   // given up: what it still records is not wanted
}

// backends are the sound systems that are tried, in order: all that the
// library knows but its null device, which would record silence for ever.
func backends() []malgo.Backend {
	return []malgo.Backend{
		malgo.BackendWasapi, malgo.BackendDsound, malgo.BackendWinmm, malgo.BackendCoreaudio,
		malgo.BackendSndio, malgo.BackendAudio4, malgo.BackendPulseaudio, malgo.BackendAlsa,
		malgo.BackendOss, malgo.BackendJack, malgo.BackendAaudio, malgo.BackendOpensl,
	}
}

func openRecording(name string, r *ring) (*recording, error) {
	quietALSA()
	ctx, err := malgo.InitContext(backends(), malgo.ContextConfig{}, nil)
	if err != nil {
		return nil, fmt.Errorf("%w (%v)", ErrNoMicrophone, err)
	}
	rec := &recording{ctx: ctx, stopped: make(chan struct{})}
	cfg := malgo.DefaultDeviceConfig(malgo.Capture)
	cfg.SampleRate = Rate
	cfg.Capture.Format = malgo.FormatS16
	cfg.Capture.Channels = 1
	cfg.PeriodSizeInMilliseconds = 20
	id, err := deviceID(ctx, malgo.Capture, name)
	if err != nil {
		rec.close()
		return nil, err
	}
	if id != nil {
		cfg.Capture.DeviceID = id.Pointer()
	}
	var once atomic.Bool
	rec.dev, err = malgo.InitDevice(ctx.Context, cfg, malgo.DeviceCallbacks{
		Data: func(_, in []byte, _ uint32) {
			if !rec.gone.Load() {
				r.put(in)
			}
		},
		Stop: func() {
			if once.CompareAndSwap(false, true) {
				close(rec.stopped)
			}
		},
	})
	if err == nil {
		err = rec.dev.Start()
	}
	if err != nil {
		rec.close()
		return nil, fmt.Errorf("%w (%v)", ErrNoMicrophone, err)
	}
	return rec, nil
}

// deviceID finds the device whose name has name in it; nil for the default.
func deviceID(ctx *malgo.AllocatedContext, kind malgo.DeviceType, name string) (*malgo.DeviceID, error) {
	if name == "" {
		return nil, nil
	}
	list, err := ctx.Devices(kind)
	if err != nil {
		return nil, fmt.Errorf("list sound devices: %w", err)
	}
	var names []string
	for i := range list {
		if strings.Contains(strings.ToLower(list[i].Name()), strings.ToLower(name)) {
			return &list[i].ID, nil
		}
		names = append(names, fmt.Sprintf("%q", list[i].Name()))
	}
	return nil, fmt.Errorf("no sound device named %q; there are: %s", name, strings.Join(names, ", "))
}

func (r *recording) close() {
	r.gone.Store(true)
	closeDevice(r.dev, r.ctx)
}

// closeDevice closes a device and its context, and waits for that only a
// moment: closing one whose sound server has died can hang for ever, and is
// then left behind.
func closeDevice(dev *malgo.Device, ctx *malgo.AllocatedContext) {
	closed := make(chan struct{})
	go func() {
		defer close(closed)
		if dev != nil {
			dev.Uninit()
		}
		if ctx != nil {
			_ = ctx.Uninit() // nothing can be done about it
			ctx.Free()
		}
	}()
	select {
	case <-closed:
	case <-time.After(time.Second):
	}
}

// playback is an open output device.
type playback struct {
	ctx     *malgo.AllocatedContext
	dev     *malgo.Device
	stopped chan struct{}
}

func openPlayback(name string, fill func([]byte)) (*playback, error) {
	quietALSA()
	ctx, err := malgo.InitContext(backends(), malgo.ContextConfig{}, nil)
	if err != nil {
		return nil, fmt.Errorf("%w (%v)", ErrNoSpeaker, err)
	}
	out := &playback{ctx: ctx, stopped: make(chan struct{})}
	cfg := malgo.DefaultDeviceConfig(malgo.Playback)
	cfg.SampleRate = Rate
	cfg.Playback.Format = malgo.FormatS16
	cfg.Playback.Channels = 1
	cfg.PeriodSizeInMilliseconds = 20
	id, err := deviceID(ctx, malgo.Playback, name)
	if err != nil {
		out.close()
		return nil, err
	}
	if id != nil {
		cfg.Playback.DeviceID = id.Pointer()
	}
	var once atomic.Bool
	out.dev, err = malgo.InitDevice(ctx.Context, cfg, malgo.DeviceCallbacks{
		Data: func(b, _ []byte, _ uint32) { fill(b) },
		Stop: func() {
			if once.CompareAndSwap(false, true) {
				close(out.stopped)
			}
		},
	})
	if err == nil {
		err = out.dev.Start()
	}
	if err != nil {
		out.close()
		return nil, fmt.Errorf("%w (%v)", ErrNoSpeaker, err)
	}
	return out, nil
}

func (o *playback) close() { closeDevice(o.dev, o.ctx) }
