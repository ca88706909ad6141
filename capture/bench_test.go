//go:build unix

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

	"downlead/capture/segment"
	audio "downlead/capture/sound"
	"downlead/capture/soundtest"
	"downlead/capture/voice"
)

// Decoding against the recogniser's own batch program, on the same recordings
// and grammar in one run: the sub-benchmarks report seconds of decoding a
// second of sound. "plain" does what the batch program does, "full"
// also has the phone decode beside it.
func BenchmarkDecode(b *testing.B) {
	soundtest.NeedPublished(b)
	jsgf := readFile(b, soundtest.Published+"/cards/cards.gram")
	names := []string{"001", "002", "003", "004", "005"}
	var clips [][]int16
	seconds := 0.0
	for _, n := range names {
		clips = append(clips, readSound(b, filepath.Join(soundtest.Published, "cards", n+".wav")))
		seconds += float64(len(clips[len(clips)-1])) / audio.Rate
	}
	const repeat = 4 // of the clips, so that loading the model is a small part
	for name, decode := range map[string]func(*Recogniser, []int16) error{
		"full":  func(r *Recogniser, c []int16) error { _, err := r.Recognise(b.Context(), c); return err },
		"plain": func(r *Recogniser, c []int16) error { _, err := r.again.decode(r.current, c); return err },
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
		soundtest.Needs(b, "pocketsphinx_batch", "pocketsphinx")
		dir := b.TempDir()
		list := filepath.Join(dir, "list")
		if err := os.WriteFile(list, []byte(strings.Repeat(strings.Join(names, "\n")+"\n", repeat)), 0o600); err != nil {
			b.Fatal(err)
		}
		args := []string{
			"-adcin", "yes", "-cepdir", soundtest.Published + "/cards", "-cepext", ".wav", "-ctl", list, "-hyp", filepath.Join(dir, "hyp"),
			"-jsgf", soundtest.Published + "/cards/cards.gram", "-dict", DefaultModelDir + "/cmudict-en-us.dict", "-hmm", DefaultModelDir + "/en-us", "-logfn", filepath.Join(dir, "log"),
		}
		for k, v := range againOptions() {
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
	sound := append(append(make([]int16, audio.Rate/2), soundtest.Phrase(b, "ground block dish side pass minus forty one")...), make([]int16, audio.Rate)...)
	var segs []segment.Segment
	for s, err := range Segments(b.Context(), audio.FromSamples(sound), segment.Config{}) {
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
	b.ReportMetric(float64(len(segs[0].Samples))/audio.Rate, "s-sound")
}

func BenchmarkSegmenter(b *testing.B) {
	sound := soundtest.Bursts(1, 60, -55, -25, [2]float64{10, 12})
	s := segment.New(segment.Config{})
	for b.Loop() {
		s.Feed(sound, func(segment.Segment) {})
	}
	perSecond(b, 60)
}

func BenchmarkRender(b *testing.B) {
	soundtest.Needs(b, "flite", "flite")
	v, err := voice.New(voice.Config{Program: "flite"})
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
	b.ReportMetric(time.Since(start).Seconds()/(float64(n)/audio.Rate), "s/s-sound")
}
