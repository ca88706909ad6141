package segment

import (
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"downlead/capture/sound"
	"downlead/capture/soundtest"
)

// Values of table 5.1 of Abramowitz and Stegun's Handbook of Mathematical
// Functions, which gives E1(x) + ln x up to 0.5, and x*exp(x)*E1(x) from 2.
func TestExponentialIntegral(t *testing.T) {
	for x, want := range map[float64]float64{0.01: 4.0379296, 0.1: 1.8229240, 0.5: 0.5597736, 1: 0.2193839, 2: 0.0489005, 5: 0.0011483} {
		if got := expint(x); math.Abs(got-want) > 1e-4*want {
			t.Errorf("E1(%g) = %.7f, want %.7f", x, got, want)
		}
	}
}

// The gain of the paper, where it can be told otherwise: much speech is left
// alone, and where the expected speech is as strong as the noise the Wiener
// filter's half comes with the integral's share.
func TestGain(t *testing.T) {
	for _, c := range []struct{ speech, heard, want float64 }{
		{1000, 1000, 0.999},
		{1, 4, 0.5 * math.Exp(0.0489005/2)}, // E1(2) of the same table
		{1, 0.02, 1},                        // never more than there was
	} {
		if got := gain(c.speech, c.heard); math.Abs(got-c.want) > 1e-4 {
			t.Errorf("gain(%g, %g) = %.5f, want %.5f", c.speech, c.heard, got, c.want)
		}
	}
}

// whiteNoise is steady noise of a root mean square.
func whiteNoise(n int, rms float64) []int16 {
	r := rand.New(rand.NewPCG(3, 3))
	out := make([]int16, n)
	for i := range out {
		out[i] = int16(math.Round(rms * r.NormFloat64()))
	}
	return out
}

// errorIn is the power of what differs from the pure sound, in dB under it.
func errorIn(pure, got []int16) float64 {
	var signal, off float64
	for i := range pure {
		signal += float64(pure[i]) * float64(pure[i])
		d := float64(got[i]) - float64(pure[i])
		off += d * d
	}
	return 10 * math.Log10(signal/off)
}

// Noise is turned down in real speech by several dB, at least as much as
// ffmpeg's filter afftdn does that is given the same noise to learn from; and
// sound with next to no noise stays as it is.
func TestNoiseIsTurnedDown(t *testing.T) {
	soundtest.NeedPublished(t)
	pure := soundtest.ReadRaw(t, soundtest.Published+"/goforward.raw")
	loud := soundtest.RMS(pure)
	for _, c := range []struct{ snr, gain float64 }{{15, 3}, {10, 4}, {5, 5}} {
		noise := whiteNoise(2*sound.Rate+len(pure), loud/math.Pow(10, c.snr/20))
		b := newBackground()
		for at := 0; at < 2*sound.Rate; at += levelFrame {
			b.learn(noise[at : at+levelFrame])
		}
		mixed := soundtest.Mixed(pure, noise[2*sound.Rate:])
		before, after := errorIn(pure, mixed), errorIn(pure, Cleaned(mixed, b.spectrum()))
		filtered, other := throughFilter(t, append(noise[:2*sound.Rate:2*sound.Rate], mixed...)), math.Inf(-1)
		for late := range 1024 { // the filter gives its sound a little late
			other = max(other, errorIn(pure[:len(pure)-1024], filtered[2*sound.Rate+late:]))
		}
		t.Logf("%2.0f dB: %.1f before, %.1f after, %.1f by the other filter", c.snr, before, after, other)
		if after < before+c.gain || after < other {
			t.Errorf("at %.0f dB: error %.1f dB under the speech before, %.1f after, %.1f by the other filter", c.snr, before, after, other)
		}
	}
	b := newBackground()
	for range 2 * sound.Rate / levelFrame {
		b.learn(whiteNoise(levelFrame, 1))
	}
	if got := errorIn(pure, Cleaned(pure, b.spectrum())); got < 30 {
		t.Errorf("clean speech changed by its %.1f dB", got)
	}
}

// throughFilter has ffmpeg's afftdn learn the noise of the first two seconds.
func throughFilter(t *testing.T, samples []int16) []int16 {
	t.Helper()
	ffmpeg, err := exec.LookPath("ffmpeg")
	if err != nil {
		t.Skip("apt-get install ffmpeg")
	}
	dir := t.TempDir()
	in, out := filepath.Join(dir, "in.wav"), filepath.Join(dir, "out.wav")
	if err := os.WriteFile(in, sound.WAV(samples), 0o600); err != nil {
		t.Fatal(err)
	}
	filter := "asendcmd=c='0.0 afftdn sn start; 1.9 afftdn sn stop',afftdn"
	if b, err := exec.Command(ffmpeg, "-loglevel", "error", "-i", in, "-af", filter, out).CombinedOutput(); err != nil {
		t.Fatalf("ffmpeg: %v: %s", err, b)
	}
	got := readSound(t, out)
	return append(got, make([]int16, max(0, len(samples)-len(got)))...)
}

// Digital silence, and less noise than can be judged, teach nothing.
func TestNoBackground(t *testing.T) {
	b := newBackground()
	for range 100 {
		b.learn(make([]int16, levelFrame))
	}
	if b.spectrum() != nil {
		t.Error("a spectrum of digital silence")
	}
	sound := whiteNoise(5000, 100)
	if got := Cleaned(sound, nil); &got[0] != &sound[0] {
		t.Error("sound changed without any known noise")
	}
}

func BenchmarkCleaned(b *testing.B) {
	bg := newBackground()
	for range 100 {
		bg.learn(whiteNoise(levelFrame, 50))
	}
	sound, noise := whiteNoise(3*sound.Rate, 500), bg.spectrum()
	b.ReportAllocs()
	for b.Loop() {
		Cleaned(sound, noise)
	}
	b.ReportMetric(3, "s-sound")
}

func BenchmarkBackground(b *testing.B) {
	bg := newBackground()
	frame := whiteNoise(levelFrame, 50)
	b.ReportAllocs()
	for b.Loop() {
		bg.learn(frame)
	}
}

// Noise alone is turned down by so much, as when the share was chosen: with more
// of it taken for noise weak consonants go too.
func TestHowMuchIsTakenForNoise(t *testing.T) {
	noise := whiteNoise(4*sound.Rate, 300)
	b := newBackground()
	for at := 0; at < 2*sound.Rate; at += levelFrame {
		b.learn(noise[at : at+levelFrame])
	}
	rest := noise[2*sound.Rate:]
	left := 20 * math.Log10(soundtest.RMS(Cleaned(rest, b.spectrum()))/soundtest.RMS(rest))
	if math.Abs(left+13.34) > 0.3 {
		t.Errorf("noise alone is turned down by %.2f dB", -left)
	}
}

// readSound reads a whole file.
func readSound(t testing.TB, path string) []int16 {
	t.Helper()
	f, err := sound.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, err := sound.ReadAll(t.Context(), f)
	if err != nil {
		t.Fatal(err)
	}
	return s
}
