// Package soundtest makes and finds sound for tests: a synthetic voice, noise,
// published recordings, a sound server that nobody hears.
package soundtest

import (
	"context"
	"encoding/binary"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// Rate is the sample rate of what it makes, in samples a second, mono.
const Rate = 16000

// Published holds recordings with their transcripts, of Debian's package
// pocketsphinx-testdata (the regression tests of PocketSphinx 5prealpha).
const Published = "/usr/share/pocketsphinx/test/data"

// Needs skips the test when a program is absent, naming the package to install.
func Needs(t testing.TB, program, pkg string) {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		t.Skipf("%s is not installed: apt-get install %s", program, pkg)
	}
}

// Pulse starts a sound server of the test's own with one output that nobody
// hears, and makes it the one that is used. kill ends it at once.
func Pulse(t testing.TB) (kill func()) {
	t.Helper()
	Needs(t, "pulseaudio", "pulseaudio")
	Needs(t, "pacat", "pulseaudio-utils")
	dir := t.TempDir()
	t.Setenv("XDG_RUNTIME_DIR", dir)
	t.Setenv("PULSE_RUNTIME_PATH", dir)
	t.Setenv("HOME", dir)
	t.Setenv("PULSE_SERVER", "unix:"+filepath.Join(dir, "socket"))
	return StartPulse(t, dir)
}

func StartPulse(t testing.TB, dir string) (kill func()) {
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

func NeedPublished(t testing.TB) {
	t.Helper()
	if _, err := os.Stat(Published); err != nil {
		t.Skip("recordings are not installed: apt-get install pocketsphinx-testdata")
	}
}

// ReadRaw reads headerless 16 kHz sound.
func ReadRaw(t testing.TB, path string) []int16 {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	s := make([]int16, len(b)/2)
	for i := range s {
		s[i] = int16(binary.LittleEndian.Uint16(b[2*i:]))
	}
	return s
}

// TakesLong skips what `make speech` runs.
func TakesLong(t *testing.T) {
	t.Helper()
	if os.Getenv("DOWNLEAD_LONG") == "" {
		t.Skip("takes long: make speech")
	}
}

// Loudness is the root mean square of the middle of the samples.
func Loudness(s []int16) float64 {
	s = s[len(s)/4 : len(s)*3/4]
	sum := 0.0
	for _, v := range s {
		sum += float64(v) / (1 << 15) * float64(v) / (1 << 15)
	}
	return math.Sqrt(sum / float64(len(s)))
}

// Hiss is noise of that level, dB of full scale.
func Hiss(seed uint64, n int, db float64) []int16 {
	r := rand.New(rand.NewPCG(seed, 1))
	out := make([]int16, n)
	gain := math.Pow(10, db/20)
	for i := range out {
		out[i] = toInt16(float32(r.NormFloat64() * gain))
	}
	return out
}

// Blows is noise of so many blows a second, each a rush that dies away in some
// milliseconds, of a root mean square in units of a sample.
func Blows(seed uint64, n, second int, rms float64) []int16 {
	r := rand.New(rand.NewPCG(seed, 7))
	blows, power := make([]float64, n), 0.0
	for range n * second / Rate {
		at, loud := r.IntN(n), 0.5+r.Float64()
		for i := 0; i < 400 && at+i < n; i++ {
			blows[at+i] += loud * math.Exp(-float64(i)/60) * r.NormFloat64()
		}
	}
	for _, v := range blows {
		power += v * v / float64(n)
	}
	out := make([]int16, n)
	for i, v := range blows {
		out[i] = toInt16(float32(rms * v / math.Sqrt(power) / (1 << 15)))
	}
	return out
}

// Mixed is a sound with as much of another beside it.
func Mixed(sound, beside []int16) []int16 {
	out := make([]int16, len(sound))
	for i := range out {
		out[i] = toInt16((float32(sound[i]) + float32(beside[i])) / (1 << 15))
	}
	return out
}

// RMS is the root mean square of samples, in units of a sample.
func RMS(s []int16) float64 {
	sum := 0.0
	for _, v := range s {
		sum += float64(v) * float64(v)
	}
	return math.Sqrt(sum / float64(len(s)))
}

// Bursts makes sound with syllables of a tone, 200 ms on and 50 ms off, at the
// given places, in seconds, over hiss.
func Bursts(seed uint64, seconds float64, noise, level float64, places ...[2]float64) []int16 {
	out := Hiss(seed, int(seconds*Rate), noise)
	gain := math.Pow(10, level/20) * math.Sqrt2
	for _, p := range places {
		for i := int(p[0] * Rate); i < int(p[1]*Rate); i++ {
			if (i-int(p[0]*Rate))%(Rate/4) > Rate/5 {
				continue
			}
			out[i] = toInt16(float32(out[i])/(1<<15) + float32(gain*math.Sin(2*math.Pi*700*float64(i)/Rate)))
		}
	}
	return out
}

// A source that makes up sound at full speed.
type Endless struct {
	Left  int
	Sound []int16
	at    int
}

func (e *Endless) Read(_ context.Context, p []int16) (int, error) {
	if e.Left <= 0 {
		return 0, io.EOF
	}
	n := copy(p[:min(len(p), e.Left)], e.Sound[e.at:])
	e.at = (e.at + n) % len(e.Sound)
	e.Left -= n
	return n, nil
}

func (*Endless) Close() error { return nil }

// Phrase is spoken by a synthetic voice of 16 kHz.
func Phrase(t testing.TB, text string) []int16 {
	t.Helper()
	Needs(t, "flite", "flite")
	path := filepath.Join(t.TempDir(), "phrase.wav")
	if out, err := exec.Command("flite", "-voice", "slt", "-t", text, "-o", path).CombinedOutput(); err != nil {
		t.Fatalf("flite: %v: %s", err, out)
	}
	return ReadRaw(t, path)[wavHeader/2:]
}

// wavHeader is the length of the header that flite writes, bytes.
const wavHeader = 44

func toInt16(v float32) int16 {
	return int16(max(math.MinInt16, min(math.MaxInt16, math.RoundToEven(float64(v)*(1<<15)))))
}
