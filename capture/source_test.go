package capture

import (
	"context"
	"math"
	"runtime"
	"testing"
	"time"

	"downlead/capture/segment"
	audio "downlead/capture/sound"
	"downlead/capture/soundtest"
)

func TestHourOfSilence(t *testing.T) {
	t.Parallel()
	for name, sound := range map[string][]int16{"digital": make([]int16, audio.Rate), "hiss": soundtest.Hiss(3, 7*audio.Rate+13, -60)} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			src := &soundtest.Endless{Left: 3600 * audio.Rate, Sound: sound}
			for seg, err := range Segments(t.Context(), src, segment.Config{}) {
				t.Errorf("a stretch at %d, error %v", seg.Start, err)
			}
		})
	}
}

// Eight hours of sound with a phrase each minute, at full speed: memory is flat.
func TestLongSoundMemory(t *testing.T) {
	soundtest.TakesLong(t)
	const hours = 8
	minute := soundtest.Bursts(4, 60, -55, -25, [2]float64{10, 12})
	src := &soundtest.Endless{Left: hours * 3600 * audio.Rate, Sound: minute}
	var before, after runtime.MemStats
	n := 0
	for range Segments(t.Context(), src, segment.Config{}) {
		if n++; n == 5 {
			runtime.GC()
			runtime.ReadMemStats(&before)
		}
	}
	runtime.GC()
	runtime.ReadMemStats(&after)
	if n != hours*60 {
		t.Errorf("%d stretches, want %d", n, hours*60)
	}
	if grown := int64(after.HeapAlloc) - int64(before.HeapAlloc); grown > 1<<20 {
		t.Errorf("memory grew by %d bytes", grown)
	}
}

func TestListenEndsWithContext(t *testing.T) {
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	src := &soundtest.Endless{Left: math.MaxInt, Sound: soundtest.Hiss(5, audio.Rate, -60)}
	var last error
	for _, err := range Segments(ctx, ctxSource{src}, segment.Config{}) {
		last = err
	}
	if last != context.DeadlineExceeded {
		t.Errorf("error %v, want that of the context", last)
	}
}

func TestCheckSound(t *testing.T) {
	loud := soundtest.Bursts(6, 4, -60, -3, [2]float64{1, 3})
	for i := range loud {
		loud[i] = int16(max(-32768, min(32767, 3*int(loud[i]))))
	}
	for _, c := range []struct {
		name  string
		sound []int16
		want  Fault
	}{
		{"good", soundtest.Bursts(6, 4, -60, -25, [2]float64{1, 3}), SoundGood},
		{"muted", make([]int16, 4*audio.Rate), SoundDead},
		{"nobody speaks", soundtest.Hiss(6, 4*audio.Rate, -60), SoundNoWord},
		{"full scale", loud, SoundClips},
		{"noise", soundtest.Bursts(6, 4, -33, -25, [2]float64{1, 3}), SoundNoisy},
		{"far", soundtest.Bursts(6, 4, -75, -52, [2]float64{1, 3}), SoundFar},
	} {
		got, err := CheckSound(t.Context(), audio.FromSamples(c.sound), 10*time.Second)
		if err != nil {
			t.Fatal(err)
		}
		if got.Fault != c.want {
			t.Errorf("%s: %q, want %q: %+v", c.name, got.Fault, c.want, got)
		}
		if got.Fault.Advice() == "" {
			t.Errorf("%s: no advice", c.name)
		}
	}
}

type ctxSource struct{ audio.Source }

func (c ctxSource) Read(ctx context.Context, p []int16) (int, error) {
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	return c.Source.Read(ctx, p)
}
