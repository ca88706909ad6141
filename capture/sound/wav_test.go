package sound

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"downlead/capture/soundtest"

	"github.com/google/go-cmp/cmp"
)

// sine is a tone of that many samples at the rate, half scale.
func sine(n int, hz float64, rate int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = 0.5 * math.Sin(2*math.Pi*hz*float64(i)/float64(rate))
	}
	return out
}

func pcm16(v []float64) []int16 {
	out := make([]int16, len(v))
	for i := range v {
		out[i] = ToInt16(float32(v[i]))
	}
	return out
}

func TestWAVRoundTrip(t *testing.T) {
	want := pcm16(sine(12345, 440, Rate))
	f, err := NewWAV(bytes.NewReader(WAV(want)))
	if err != nil {
		t.Fatal(err)
	}
	got, err := ReadAll(t.Context(), f)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// The files are written by an independent program, sox.
func TestOpenFileKinds(t *testing.T) {
	soundtest.Needs(t, "sox", "sox")
	dir := t.TempDir()
	for _, c := range []struct {
		name string
		args []string // of sox, for the file
	}{
		{"u8.wav", []string{"-r", "16000", "-c", "1", "-b", "8", "-e", "unsigned-integer"}},
		{"s16.wav", []string{"-r", "16000", "-c", "1", "-b", "16"}},
		{"s24.wav", []string{"-r", "48000", "-c", "2", "-b", "24"}},
		{"s32.wav", []string{"-r", "44100", "-c", "2", "-b", "32"}},
		{"f32.wav", []string{"-r", "22050", "-c", "1", "-e", "floating-point", "-b", "32"}},
		{"f64.wav", []string{"-r", "96000", "-c", "1", "-e", "floating-point", "-b", "64"}},
		{"cd.wav", []string{"-r", "44100", "-c", "2", "-b", "16"}},
		{"phone.wav", []string{"-r", "8000", "-c", "1", "-b", "16"}},
		{"odd.wav", []string{"-r", "11027", "-c", "1", "-b", "16"}},
		{"six.wav", []string{"-r", "48000", "-c", "6", "-b", "16"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(dir, c.name)
			args := append(append([]string{"-n"}, c.args...), path, "synth", "2", "sine", "1000", "vol", "0.5")
			if out, err := exec.Command("sox", args...).CombinedOutput(); err != nil {
				t.Fatalf("%v: %s", err, out)
			}
			checkTone(t, path, 1000)
		})
	}
}

func TestOpenFileConverted(t *testing.T) {
	soundtest.Needs(t, "ffmpeg", "ffmpeg")
	dir := t.TempDir()
	wav := filepath.Join(dir, "a b:c.wav")
	if err := os.WriteFile(wav, WAV(pcm16(sine(2*Rate, 1000, Rate))), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"x.flac", "x.mp3", "x.ogg", "x.m4a", "x.opus", "-y:1.flac"} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(dir, name)
			out, err := exec.Command("ffmpeg", "-v", "error", "-i", "file:"+wav, "-ar", "48000", "file:"+path).CombinedOutput()
			if err != nil {
				t.Skipf("this ffmpeg cannot write %s: %s", name, out)
			}
			checkTone(t, path, 1000)
		})
	}
}

// checkTone checks length, level and frequency of a 2 s tone at half scale.
func checkTone(t *testing.T, path string, hz float64) {
	t.Helper()
	got := readSound(t, path)
	if math.Abs(float64(len(got))/Rate-2) > 0.1 {
		t.Errorf("%d samples, want 2 s", len(got))
	}
	level := 20 * math.Log10(soundtest.Loudness(got)/(0.5/math.Sqrt2))
	if math.Abs(level) > 0.6 { // lossy codings do not keep it exactly
		t.Errorf("level is off by %.2f dB", level)
	}
	crossings := 0
	middle := got[Rate/2 : 3*Rate/2]
	for i := 1; i < len(middle); i++ {
		if middle[i-1] < 0 && middle[i] >= 0 {
			crossings++
		}
	}
	if math.Abs(float64(crossings)-hz) > 2 {
		t.Errorf("%d Hz, want %.0f", crossings, hz)
	}
}

func TestOpenFileErrors(t *testing.T) {
	dir := t.TempDir()
	good := WAV(pcm16(sine(1000, 440, Rate)))
	with := func(at int, b ...byte) string {
		bad := bytes.Clone(good)
		copy(bad[at:], b)
		return string(bad)
	}
	for _, c := range []struct{ name, content, want string }{
		{"empty.wav", "", "empty"},
		{"short.wav", "RIFF", "sound"},
		{"text.wav", strings.Repeat("not a sound file at all\n", 9), "cannot read it as sound"},
		{"header.wav", string(good[:20]), "cut short"},
		{"nodata.wav", string(good[:36]), "cut short"},
		{"channels.wav", with(22, 0, 0), "0 channels"},
		{"rate.wav", with(24, 1, 0, 0, 0), "rate of 1 Hz"},
		{"coding.wav", with(20, 2, 0), "not PCM"},
		{"bits.wav", with(34, 13, 0), "not PCM"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(dir, c.name)
			if err := os.WriteFile(path, []byte(c.content), 0o600); err != nil {
				t.Fatal(err)
			}
			_, err := OpenFile(path)
			if err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), c.name) {
				t.Errorf("error %v, want one with %q and the file's name", err, c.want)
			}
		})
	}
	if _, err := OpenFile(filepath.Join(dir, "none.wav")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("error %v for a file that is not there", err)
	}
	if _, err := OpenFile(dir); err == nil || !strings.Contains(err.Error(), "folder") {
		t.Errorf("error %v for a folder", err)
	}
}

// A recorder that was cut off: what is there is given, then the error.
func TestWAVTruncated(t *testing.T) {
	want := pcm16(sine(5000, 440, Rate))
	b := WAV(want)
	f, err := NewWAV(bytes.NewReader(b[:len(b)-2000]))
	if err != nil {
		t.Fatal(err)
	}
	got, err := ReadAll(t.Context(), f)
	if !errors.Is(err, ErrTruncated) {
		t.Errorf("error %v, want ErrTruncated", err)
	}
	if d := cmp.Diff(want[:4000], got); d != "" {
		t.Error(d)
	}
	binary.LittleEndian.PutUint32(b[40:], math.MaxUint32) // length never written
	f, err = NewWAV(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	if got, err = ReadAll(t.Context(), f); err != nil || len(got) != len(want) {
		t.Errorf("%d samples and error %v, want %d and none", len(got), err, len(want))
	}
}

// Frequencies above half the lower rate must vanish, those below must stay:
// the design of the filter says -80 dB (Kaiser window, beta 8).
func TestResamplerRejectsAliases(t *testing.T) {
	for _, c := range []struct {
		rate    int
		hz, max float64 // dB of the input
		min     float64
	}{
		{44100, 1000, 0.05, -0.05},
		{44100, 6000, 0.05, -0.05},
		{44100, 9000, -75, -200},
		{48000, 12000, -75, -200},
		{96000, 30000, -75, -200},
		{8000, 3000, 0.05, -0.05},
		{11027, 3000, 0.05, -0.05},
	} {
		r := newResampler(c.rate, Rate)
		in := make([]float32, c.rate)
		for i, v := range sine(c.rate, c.hz, c.rate) {
			in[i] = float32(v)
		}
		var out []float32
		for len(in) > 0 { // in uneven portions
			n := min(len(in), 777)
			out = r.process(out, in[:n])
			in = in[n:]
		}
		out = r.finish(out)
		if len(out) != Rate {
			t.Errorf("%d Hz: %d samples of one second, want %d", c.rate, len(out), Rate)
		}
		sum := 0.0
		for _, v := range out[Rate/4 : 3*Rate/4] {
			sum += float64(v) * float64(v)
		}
		level := 20 * math.Log10(math.Sqrt(sum/(Rate/2))/(0.5/math.Sqrt2)+1e-12)
		if level > c.max || level < c.min {
			t.Errorf("%.0f Hz at %d: %.2f dB, want %.2f to %.2f", c.hz, c.rate, level, c.min, c.max)
		}
	}
}

func FuzzWAV(f *testing.F) {
	good := WAV(pcm16(sine(300, 440, Rate)))
	f.Add(good)
	f.Add(good[:60])
	f.Add([]byte("RIFF\x00\x00\x00\x00WAVEdata"))
	f.Add([]byte{})
	stereo := bytes.Clone(good)
	copy(stereo[22:], []byte{2, 0, 0x44, 0xac})
	f.Add(stereo)
	f.Fuzz(func(t *testing.T, b []byte) {
		w, err := NewWAV(bytes.NewReader(b))
		if err != nil {
			if strings.TrimSpace(err.Error()) == "" {
				t.Error("an error without words")
			}
			return
		}
		buf := make([]int16, 1024)
		total := 0
		for {
			n, err := w.Read(t.Context(), buf)
			total += n
			if err != nil {
				if n > 0 {
					t.Error("samples together with an error")
				}
				if !errors.Is(err, io.EOF) && !errors.Is(err, ErrTruncated) {
					t.Errorf("error %v", err)
				}
				break
			}
			if n == 0 {
				t.Fatal("neither samples nor an error")
			}
		}
		// Lowest rate to ours is times 8; one byte is at least one sample.
		if total > 8*(len(b)+1) {
			t.Errorf("%d samples from %d bytes", total, len(b))
		}
	})
}

// readSound reads a whole file.
func readSound(t testing.TB, path string) []int16 {
	t.Helper()
	f, err := OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, err := ReadAll(t.Context(), f)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func BenchmarkResample(b *testing.B) {
	in := make([]float32, 44100)
	r := newResampler(44100, Rate)
	var out []float32
	for b.Loop() {
		out = r.process(out[:0], in)
	}
	b.ReportMetric(b.Elapsed().Seconds()/float64(b.N), "s/s-sound")
}
