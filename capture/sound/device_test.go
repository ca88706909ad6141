package sound

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"downlead/capture/soundtest"
)

func TestNoMicrophone(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("HOME", dir)
	t.Setenv("XDG_RUNTIME_DIR", dir)
	t.Setenv("PULSE_SERVER", "unix:"+filepath.Join(dir, "none"))
	conf := filepath.Join(dir, "alsa.conf")
	if err := os.WriteFile(conf, []byte("# nothing\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	t.Setenv("ALSA_CONFIG_PATH", conf)
	if _, err := OpenMicrophone(MicrophoneConfig{}); !errors.Is(err, ErrNoMicrophone) {
		t.Errorf("error %v, want ErrNoMicrophone", err)
	}
	if err := NewPlayer("", 1).Play(t.Context(), make([]int16, Rate/10)); !errors.Is(err, ErrNoSpeaker) {
		t.Errorf("error %v, want ErrNoSpeaker", err)
	}
}

func TestMicrophoneByName(t *testing.T) {
	soundtest.Pulse(t)
	_, err := OpenMicrophone(MicrophoneConfig{Device: "no such thing"})
	if err == nil || !strings.Contains(err.Error(), "there are") {
		t.Errorf("error %v, want one that lists the devices", err)
	}
	mic, err := OpenMicrophone(MicrophoneConfig{Device: "monitor"})
	if err != nil {
		t.Fatal(err)
	}
	mic.Close()
}

// The callbacks of both devices run on the sound system's threads.
func TestCallbacksAllocateNothing(t *testing.T) {
	r := newRing(Rate)
	b := make([]byte, 640)
	got := make([]int16, 320)
	if n := testing.AllocsPerRun(1000, func() { r.put(b); r.get(got) }); n != 0 {
		t.Errorf("recording allocates %v times a call", n)
	}
	if n := testing.AllocsPerRun(1000, func() { r.put(b) }); n != 0 { // full: it drops
		t.Errorf("dropping allocates %v times a call", n)
	}
	if r.dropped.Load() == 0 {
		t.Error("a full ring dropped nothing")
	}
	p := NewPlayer("", 0.5)
	c := &clip{samples: make([]int16, 320*2000), done: make(chan struct{})}
	p.now.Store(c)
	if n := testing.AllocsPerRun(1000, func() { p.fill(b) }); n != 0 {
		t.Errorf("playing allocates %v times a call", n)
	}
}

// What was dropped comes back as silence of the same length.
func TestDroppedSoundKeepsTime(t *testing.T) {
	m := &Microphone{cfg: MicrophoneConfig{Stall: 50 * time.Millisecond}, ring: newRing(1024)}
	m.device = &recording{stopped: make(chan struct{})}
	loud := make([]byte, 2*1000)
	for i := range loud {
		loud[i] = 1
	}
	for range 3 {
		m.ring.put(loud)
	}
	buf, heard, silent := make([]int16, 100), 0, 0
	take := func() {
		for m.ring.read.Load() != m.ring.write.Load() {
			n, err := m.Read(t.Context(), buf)
			if err != nil {
				t.Fatal(err)
			}
			for _, s := range buf[:n] {
				if s == 0 {
					silent++
				} else {
					heard++
				}
			}
		}
	}
	take()
	if heard != 1024 || silent != 0 {
		t.Errorf("%d samples heard and %d silent, want 1024 and none", heard, silent)
	}
	m.ring.put(loud[:20]) // fits only behind the gap
	take()
	m.ring.put(loud[:20])
	take()
	if heard+silent != 3020 || heard != 1034 {
		t.Errorf("%d samples heard and %d silent, want 1034 and %d", heard, silent, 3020-1034)
	}
	if m.Dropped() != 3020-1034 {
		t.Errorf("%d dropped, want %d", m.Dropped(), 3020-1034)
	}
}

// Sound of a file as a sound device of ALSA, sample for sample.
func TestALSASampleExact(t *testing.T) {
	if _, err := os.Stat("/usr/share/alsa/alsa.conf"); err != nil {
		t.Skip("ALSA is not installed: apt-get install libasound2-data libasound2")
	}
	want := soundtest.Bursts(10, 2, -50, -20, [2]float64{0.5, 1.5})
	dir := t.TempDir()
	raw := filepath.Join(dir, "in.raw")
	if err := os.WriteFile(raw, WAV(want)[44:], 0o600); err != nil {
		t.Fatal(err)
	}
	conf := filepath.Join(dir, "asound.conf")
	text := "</usr/share/alsa/alsa.conf>\npcm.!default {\n type file\n slave.pcm \"null\"\n file \"/dev/null\"\n infile \"" + raw + "\"\n format \"raw\"\n}\n"
	if err := os.WriteFile(conf, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	t.Setenv("HOME", dir)
	t.Setenv("XDG_RUNTIME_DIR", dir)
	t.Setenv("PULSE_SERVER", "unix:"+filepath.Join(dir, "none"))
	t.Setenv("ALSA_CONFIG_PATH", conf)
	// The device is not paced: all of the sound, and silence after it, comes
	// at once, and what does not fit in the ring is dropped.
	mic, err := OpenMicrophone(MicrophoneConfig{Buffer: 10 * time.Second})
	if err != nil {
		t.Fatal(err)
	}
	defer mic.Close()
	// The device begins with a period or two of silence.
	const lead = Rate / 10
	got := make([]int16, 0, lead+len(want))
	buf := make([]int16, Rate/50)
	for len(got) < lead+len(want) {
		n, err := mic.Read(t.Context(), buf)
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, buf[:n]...)
	}
	first := slices.IndexFunc(got, func(s int16) bool { return s != 0 })
	if first < 0 || first > lead {
		t.Fatalf("the sound begins at sample %d", first)
	}
	if d := cmp.Diff(want, got[first:first+len(want)]); d != "" {
		t.Error("the samples are not those of the file")
	}
}
