package capture

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// needs skips the test when a program is absent, naming the package to install.
func needs(t testing.TB, program, pkg string) {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		t.Skipf("%s is not installed: apt-get install %s", program, pkg)
	}
}

// pulse starts a sound server of the test's own with one output that nobody
// hears, and makes it the one that is used. kill ends it at once.
func pulse(t testing.TB) (kill func()) {
	t.Helper()
	needs(t, "pulseaudio", "pulseaudio")
	needs(t, "pacat", "pulseaudio-utils")
	dir := t.TempDir()
	t.Setenv("XDG_RUNTIME_DIR", dir)
	t.Setenv("PULSE_RUNTIME_PATH", dir)
	t.Setenv("HOME", dir)
	t.Setenv("PULSE_SERVER", "unix:"+filepath.Join(dir, "socket"))
	return startPulse(t, dir)
}

func startPulse(t testing.TB, dir string) (kill func()) {
	t.Helper()
	socket := filepath.Join(dir, "socket")
	cmd := exec.Command("pulseaudio", "-n", "--daemonize=no", "--use-pid-file=no", "--exit-idle-time=-1",
		"-L", "module-native-protocol-unix socket="+socket+" auth-anonymous=1",
		"-L", "module-null-sink sink_name=lab rate=16000 channels=1 format=s16le")
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan struct{})
	go func() { _ = cmd.Wait(); close(ended) }()
	kill = func() {
		_ = cmd.Process.Kill()
		<-ended
		_ = os.Remove(socket)
	}
	t.Cleanup(kill)
	for range 100 {
		if exec.Command("pactl", "info").Run() == nil {
			keepAwake(t)
			return kill
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatal("the sound server did not start")
	return nil
}

// keepAwake plays silence for the length of the test: the recording side of an
// output that plays nothing gives nothing, where a microphone gives silence.
func keepAwake(t testing.TB) {
	t.Helper()
	cmd := exec.Command("pacat", "--latency-msec=40", "--device=lab", "--raw", "--rate=16000", "--channels=1", "--format=s16le", "/dev/zero")
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan struct{})
	go func() { _ = cmd.Wait(); close(ended) }()
	t.Cleanup(func() { _ = cmd.Process.Kill(); <-ended })
}

// phrase is spoken by a synthetic voice.
func phrase(t testing.TB, text string) []int16 {
	t.Helper()
	needs(t, "flite", "flite")
	v, err := NewVoice(VoiceConfig{Program: "flite"})
	if err != nil {
		t.Fatal(err)
	}
	samples, err := v.Render(t.Context(), text)
	if err != nil {
		t.Fatal(err)
	}
	return samples
}

// An answer is spoken through the sound server while the microphone hears the
// server's own output: the phrase goes the whole way through both devices.
func TestSpokenAnswerHeardBack(t *testing.T) {
	r := pointsRecogniser(t)
	pulse(t)
	needs(t, "flite", "flite")
	mic, err := OpenMicrophone(MicrophoneConfig{})
	if err != nil {
		t.Fatal(err)
	}
	defer mic.Close()
	v, err := NewVoice(VoiceConfig{})
	if err != nil {
		t.Fatal(err)
	}
	defer v.Close()
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	const said = "ground block dish side pass minus forty one"
	// A machine that is busy with other work tears holes into paced sound;
	// the phrase may be said again, as by a person.
	for try := 1; ; try++ {
		spoken := make(chan error, 1)
		go func() { spoken <- v.Say(ctx, said) }()
		u := firstHeard(t, ctx, mic, r)
		if err := <-spoken; err != nil {
			t.Fatal(err)
		}
		outcome := DefaultThresholds().Decide(u.Scores)
		if u.Text == said && outcome == Accept {
			return
		}
		t.Logf("try %d: %v %q %+v", try, outcome, u.Text, u.Scores)
		if outcome == Accept || try == 4 {
			t.Fatalf("heard %q, want %q", u.Text, said)
		}
	}
}

func firstHeard(t *testing.T, ctx context.Context, src Source, r *Recogniser) Utterance {
	t.Helper()
	for u, err := range Listen(ctx, src, r, ListenConfig{}) {
		if err != nil {
			t.Fatal(err)
		}
		return u
	}
	t.Fatal("nothing was heard")
	return Utterance{}
}

// While an answer is spoken the microphone is deaf; what is said after it is heard.
func TestHalfDuplex(t *testing.T) {
	pulse(t)
	mic, err := OpenMicrophone(MicrophoneConfig{})
	if err != nil {
		t.Fatal(err)
	}
	defer mic.Close()
	v, err := NewVoice(VoiceConfig{Deafen: mic.Deafen})
	if err != nil && !errors.Is(err, ErrNoVoice) {
		t.Fatal(err)
	}
	defer v.Close()
	loudest := func() int {
		buf, peak := make([]int16, chunk), 0
		for mic.ring.write.Load() != mic.ring.read.Load() {
			n, err := mic.Read(t.Context(), buf)
			if err != nil {
				t.Fatal(err)
			}
			for _, s := range buf[:n] {
				peak = max(peak, int(s))
			}
		}
		return peak
	}
	if err := v.Play(t.Context(), ToneAttention); err != nil {
		t.Fatal(err)
	}
	if p := loudest(); p != 0 {
		t.Errorf("heard its own tone with a peak of %d", p)
	}
	v.cfg.Deafen = func() func() { return func() {} }
	if err := v.Play(t.Context(), ToneAttention); err != nil {
		t.Fatal(err)
	}
	if p := loudest(); p < 5000 {
		t.Errorf("peak of %d with the microphone open, want the tone", p)
	}
	v.SetVolume(0.05)
	if err := v.Play(t.Context(), ToneAttention); err != nil {
		t.Fatal(err)
	}
	if p := loudest(); p < 300 || p > 1500 {
		t.Errorf("peak of %d at a twentieth of the volume", p)
	}
}

// The sound server is killed in the middle of a phrase and started again: the
// phrase so far is given, the loss is told once, and listening goes on in time.
func TestDeviceLostInPhrase(t *testing.T) {
	needs(t, "paplay", "pulseaudio-utils")
	kill := pulse(t)
	dir := os.Getenv("XDG_RUNTIME_DIR")
	long := filepath.Join(dir, "long.wav")
	if err := os.WriteFile(long, WAV(bursts(9, 30, -55, -20, [2]float64{1, 30})), 0o600); err != nil {
		t.Fatal(err)
	}
	mic, err := OpenMicrophone(MicrophoneConfig{Stall: 2 * time.Second})
	if err != nil {
		t.Fatal(err)
	}
	defer mic.Close()
	play := func() {
		cmd := exec.Command("paplay", "--latency-msec=40", "--device=lab", long)
		if err := cmd.Start(); err != nil {
			t.Error(err)
			return
		}
		go func() { _ = cmd.Wait() }()
		t.Cleanup(func() { _ = cmd.Process.Kill() })
	}
	// The server's recording begins late; from then on it keeps pace.
	if _, err := mic.Read(t.Context(), make([]int16, 1)); err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	play()
	time.AfterFunc(3*time.Second, kill)
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	var before, after Segment
	lost := 0
	for seg, err := range Segments(ctx, mic, SegmenterConfig{Longest: 4 * time.Second}) {
		t.Logf("%v: %d samples from %v, %v", time.Since(began).Round(time.Millisecond), len(seg.Samples), time.Duration(seg.Start)*time.Second/Rate, err)
		switch {
		case errors.Is(err, ErrDeviceLost):
			lost++
			startPulse(t, dir)
			play()
		case err != nil:
			t.Fatal(err)
		case lost == 0:
			before = seg
		default:
			after = seg
		}
		if after.Samples != nil {
			break
		}
	}
	if lost != 1 {
		t.Errorf("the loss was told %d times, want once", lost)
	}
	if got := len(before.Samples); got < Rate/2 {
		t.Errorf("%d samples of the phrase before the loss", got)
	}
	place := time.Duration(after.Start) * time.Second / Rate
	if wall := time.Since(began); place > wall || wall-place > 6*time.Second {
		t.Errorf("speech after the loss is placed at %v, it is %v now", place, wall)
	}
}

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
	v, err := NewVoice(VoiceConfig{})
	if err != nil && !errors.Is(err, ErrNoVoice) {
		t.Fatal(err)
	}
	if err := v.Play(t.Context(), ToneTaken); !errors.Is(err, ErrNoSpeaker) {
		t.Errorf("error %v, want ErrNoSpeaker", err)
	}
}

func TestMicrophoneByName(t *testing.T) {
	pulse(t)
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
	p := newPlayer("", 0.5)
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
	want := bursts(10, 2, -50, -20, [2]float64{0.5, 1.5})
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
	buf := make([]int16, chunk)
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
