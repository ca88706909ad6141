package capture

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// Decoding against the recogniser's own batch program, on the same recordings
// and grammar in one run: the sub-benchmarks report seconds of decoding a
// second of sound. "plain" does what the batch program does, "full"
// also has the phone decode beside it.
func BenchmarkDecode(b *testing.B) {
	needPublished(b)
	jsgf := readFile(b, published+"/cards/cards.gram")
	names := []string{"001", "002", "003", "004", "005"}
	var clips [][]int16
	seconds := 0.0
	for _, n := range names {
		clips = append(clips, readSound(b, filepath.Join(published, "cards", n+".wav")))
		seconds += float64(len(clips[len(clips)-1])) / Rate
	}
	const repeat = 4 // of the clips, so that loading the model is a small part
	for name, decode := range map[string]func(*Recogniser, []int16) error{
		"full":  func(r *Recogniser, c []int16) error { _, err := r.Recognise(b.Context(), c); return err },
		"plain": func(r *Recogniser, c []int16) error { _, err := r.words.decode(r.current, c); return err },
	} {
		b.Run("decoder="+name, func(b *testing.B) {
			r := recogniser(b, Config{JSGF: jsgf})
			start := cpu(b)
			for b.Loop() {
				for range repeat {
					for _, c := range clips {
						if err := decode(r, c); err != nil {
							b.Fatal(err)
						}
					}
				}
			}
			perSecond(b, seconds*repeat)
			b.ReportMetric((cpu(b)-start).Seconds()/float64(b.N)/(seconds*repeat), "cpu-s/s-sound")
		})
	}
	b.Run("decoder=batch", func(b *testing.B) {
		needs(b, "pocketsphinx_batch", "pocketsphinx")
		dir := b.TempDir()
		list := filepath.Join(dir, "list")
		if err := os.WriteFile(list, []byte(strings.Repeat(strings.Join(names, "\n")+"\n", repeat)), 0o600); err != nil {
			b.Fatal(err)
		}
		args := []string{
			"-adcin", "yes", "-cepdir", published + "/cards", "-cepext", ".wav", "-ctl", list, "-hyp", filepath.Join(dir, "hyp"),
			"-jsgf", published + "/cards/cards.gram", "-dict", DefaultModelDir + "/cmudict-en-us.dict", "-hmm", DefaultModelDir + "/en-us", "-logfn", filepath.Join(dir, "log"),
		}
		for k, v := range wordOptions() {
			args = append(args, k, v)
		}
		start := cpu(b)
		for b.Loop() {
			if out, err := exec.Command("pocketsphinx_batch", args...).CombinedOutput(); err != nil {
				b.Fatalf("%v: %s", err, out)
			}
		}
		perSecond(b, seconds*repeat)
		b.ReportMetric((cpu(b)-start).Seconds()/float64(b.N)/(seconds*repeat), "cpu-s/s-sound")
	})
}

func perSecond(b *testing.B, seconds float64) {
	b.ReportMetric(b.Elapsed().Seconds()/float64(b.N)/seconds, "s/s-sound")
}

// cpu is the processor time of this process and of the programs it ran: on a
// machine with other work it says more than the clock.
func cpu(b *testing.B) time.Duration {
	b.Helper()
	var sum time.Duration
	for _, who := range []int{syscall.RUSAGE_SELF, syscall.RUSAGE_CHILDREN} {
		var u syscall.Rusage
		if err := syscall.Getrusage(who, &u); err != nil {
			b.Fatal(err)
		}
		sum += time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	return sum
}

// From the end of the silence that ends a phrase to its text.
func BenchmarkLatency(b *testing.B) {
	r := pointsRecogniser(b)
	sound := append(append(make([]int16, Rate/2), phrase(b, "ground block dish side pass minus forty one")...), make([]int16, Rate)...)
	var segs []Segment
	for s, err := range Segments(b.Context(), FromSamples(sound), SegmenterConfig{}) {
		if err != nil {
			b.Fatal(err)
		}
		segs = append(segs, s)
	}
	for b.Loop() {
		if u, err := r.RecogniseSegment(b.Context(), segs[0]); err != nil || u.Text == "" {
			b.Fatal(u.Text, err)
		}
	}
	b.ReportMetric(float64(len(segs[0].Samples))/Rate, "s-sound")
}

func BenchmarkSegmenter(b *testing.B) {
	sound := bursts(1, 60, -55, -25, [2]float64{10, 12})
	s := NewSegmenter(SegmenterConfig{})
	for b.Loop() {
		s.Feed(sound, func(Segment) {})
	}
	perSecond(b, 60)
}

func BenchmarkResample(b *testing.B) {
	in := make([]float32, 44100)
	r := newResampler(44100, Rate)
	var out []float32
	for b.Loop() {
		out = r.process(out[:0], in)
	}
	perSecond(b, 1)
}

func BenchmarkRender(b *testing.B) {
	needs(b, "flite", "flite")
	v, err := NewVoice(VoiceConfig{Program: "flite"})
	if err != nil {
		b.Fatal(err)
	}
	start := time.Now()
	n := 0
	for b.Loop() {
		s, err := v.Render(context.Background(), "ground block, dish side, pass, minus forty one")
		if err != nil {
			b.Fatal(err)
		}
		n += len(s)
	}
	b.ReportMetric(time.Since(start).Seconds()/(float64(n)/Rate), "s/s-sound")
}
