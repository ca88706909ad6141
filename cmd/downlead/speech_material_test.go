package main

import (
	"fmt"
	"hash/fnv"
	"io/fs"
	"math"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"downlead/capture"
)

// The material of the speech measurement: invented field phrases spoken by
// synthetic voices of Debian's packages flite and festival; numbers spliced
// from the human recordings of Debian's asterisk-core-sounds-en-g722, and its
// other prompts as speech that is no phrase. Noise is added digitally. All of
// it is made here, from fixed seeds.

// said is one recording and what is said in it.
type said struct {
	text    string // "" when it is no phrase
	voice   string
	noise   string // "quiet", or the kind with its level
	answer  bool   // heard while a question is open
	samples []int16
}

// chosen tells the half of the material by which thresholds may be chosen from
// the half that is only reported.
func (s said) chosen() bool {
	h := fnv.New32a()
	h.Write([]byte(s.text + s.voice + s.noise))
	return h.Sum32()%2 == 0
}

// fieldPhrases invents phrases as a technician says them.
func fieldPhrases(n int, seed uint64) []string {
	r := rand.New(rand.NewPCG(seed, 1))
	pick := func(list ...string) string { return list[r.IntN(len(list))] }
	out := make([]string, n)
	for i := range out {
		number := "minus " + numberWords(20+r.IntN(50))
		if r.IntN(4) == 0 {
			number += " point " + numberWords(1+r.IntN(9))
		}
		point := pick("ground block dish side", "ground block receiver side", "wall plate", "splitter dish side", "splitter output two",
			"behind receiver one", "behind receiver two", "kitchen wall plate", "barrel receiver side", "multi switch output three")
		switch r.IntN(10) {
		case 0:
			out[i] = pick("replaced ground block", "tightened fittings at ground block dish side", "removed splitter", "replaced jumper", "outlet pass",
				"mount fail loose foot", "grounding pass", "education done", "arrived", "on the road", "what next", "where is the fault", "used two fittings and a barrel")
		case 1:
			out[i] = fmt.Sprintf("%s %s strength %s", point, pick("pass", "fail"), numberWords(40+r.IntN(59)))
		case 2:
			out[i] = point + " no signal"
		default:
			out[i] = fmt.Sprintf("%s %s %s", point, pick("pass", "fail"), number)
		}
	}
	return out
}

// numberWords spells 1..99.
func numberWords(n int) string {
	small := strings.Fields("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen")
	if n < len(small) {
		return small[n]
	}
	tens := strings.Fields("- - twenty thirty forty fifty sixty seventy eighty ninety")[n/10]
	if n%10 == 0 {
		return tens
	}
	return tens + " " + small[n%10]
}

// voices speak a text into a WAV file.
func voices(stretch float64) map[string]func(text, wav string) *exec.Cmd {
	out := map[string]func(text, wav string) *exec.Cmd{}
	for _, v := range []string{"slt", "rms", "awb", "kal16"} {
		out["flite "+v] = func(text, wav string) *exec.Cmd {
			return exec.Command("flite", "-voice", v, "--setf", fmt.Sprintf("duration_stretch=%.2f", stretch), "-t", text, "-o", wav)
		}
	}
	return out
}

// render speaks a text.
func render(t testing.TB, speak func(text, wav string) *exec.Cmd, text string) []int16 {
	t.Helper()
	wav := filepath.Join(t.TempDir(), "said.wav")
	if b, err := speak(text, wav).CombinedOutput(); err != nil {
		t.Fatalf("speak %q: %v: %s", text, err, b)
	}
	return readSound(t, wav)
}

func readSound(t testing.TB, path string) []int16 {
	t.Helper()
	src, err := capture.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	samples, err := capture.ReadAll(t.Context(), src)
	if err != nil {
		t.Fatal(err)
	}
	return samples
}

// spokenPhrases are phrases in turn by every voice, at three speeds.
func spokenPhrases(t testing.TB, n int, seed uint64) []said {
	t.Helper()
	needs(t, "flite", "flite")
	names := []string{"flite slt", "flite rms", "flite awb", "flite kal16"}
	var out []said
	for i, text := range fieldPhrases(n, seed) {
		speed := []float64{1, 0.9, 1.15}[i/len(names)%3]
		voice := names[i%len(names)]
		out = append(out, said{text: text, voice: voice, noise: "quiet", samples: render(t, voices(speed)[voice], text)})
	}
	return out
}

const humanSounds = "/usr/share/asterisk/sounds/en_US_f_Allison"

// humanNumbers are "minus N", spliced from human recordings, as the answer to
// a question.
func humanNumbers(t testing.TB, step int) []said {
	t.Helper()
	needs(t, "ffmpeg", "ffmpeg")
	read := func(name string) []int16 { return readSound(t, filepath.Join(humanSounds, "digits", name+".g722")) }
	if _, err := filepath.Glob(humanSounds); err != nil {
		t.Skip(err)
	}
	var out []said
	for n := 20; n <= 79; n += step {
		sound := append([]int16{}, read("minus")...)
		sound = append(sound, read(fmt.Sprint(n/10*10))...)
		if n%10 != 0 {
			sound = append(sound, read(fmt.Sprint(n%10))...)
		}
		out = append(out, said{text: "minus " + numberWords(n), voice: "human", noise: "quiet", answer: true, samples: sound})
	}
	return out
}

// otherSpeech is human speech that is no phrase, and chat by synthetic voices.
func otherSpeech(t testing.TB, most int) []said {
	t.Helper()
	var out []said
	_ = filepath.WalkDir(humanSounds, func(path string, d fs.DirEntry, err error) error {
		if err != nil || len(out) >= most || filepath.Ext(path) != ".g722" || strings.Contains(path, "digits") || strings.Contains(path, "letters") || strings.Contains(path, "phonetic") {
			return nil
		}
		out = append(out, said{voice: "human prompts", noise: "quiet", samples: readSound(t, path)})
		return nil
	})
	chat := []string{
		"did you have any trouble finding the house", "the picture went out last night during the storm", "my husband put that splitter in himself",
		"can I get you a glass of water", "is the television in the kitchen going to work too", "we have had three of you out here this year",
		"that dish has been up there for ten years", "the dog will not bite", "how long is this going to take", "mind the flowers please",
		"forty one years we have lived here", "it passes right behind the block on the ground", "I failed to see any side of it",
		"minus the tip that is sixty two dollars", "the receiver is behind the sofa on this side", "turn left at the ground floor",
	}
	for i, text := range chat {
		if i < most {
			out = append(out, said{voice: "chat", noise: "quiet", samples: render(t, voices(1)["flite rms"], text)})
		}
	}
	return out
}

// noises make a second of noise from a seed, of unit power.
func noises(r *rand.Rand, babble []int16) map[string]func(n int) []float64 {
	return map[string]func(int) []float64{
		"wind": func(n int) []float64 { // brown noise, gusting
			out, v := make([]float64, n), 0.0
			for i := range out {
				v = 0.999*v + r.NormFloat64()
				out[i] = v * (1 + 0.8*math.Sin(2*math.Pi*float64(i)/capture.Rate/1.7))
			}
			return out
		},
		"pink": func(n int) []float64 { // P. Kellet's filter of white noise, as widely published
			out := make([]float64, n)
			var b0, b1, b2 float64
			for i := range out {
				w := r.NormFloat64()
				b0, b1, b2 = 0.99765*b0+w*0.0990460, 0.96300*b1+w*0.2965164, 0.57000*b2+w*1.0526913
				out[i] = b0 + b1 + b2 + w*0.1848
			}
			return out
		},
		"babble": func(n int) []float64 { // six voices at random places
			out := make([]float64, n)
			for range 6 {
				at := r.IntN(len(babble))
				for i := range out {
					out[i] += float64(babble[(at+i)%len(babble)])
				}
			}
			return out
		},
	}
}

// noisy mixes noise into a recording at a signal-to-noise ratio in dB, with
// half a second of the noise before and after.
func noisy(s said, kind string, db float64, noise func(n int) []float64) said {
	const pad = capture.Rate / 2
	n := noise(len(s.samples) + 2*pad)
	power := func(at func(int) float64, count int) float64 {
		sum := 0.0
		for i := range count {
			sum += at(i) * at(i)
		}
		return sum / float64(count)
	}
	signal := power(func(i int) float64 { return float64(s.samples[i]) }, len(s.samples))
	scale := math.Sqrt(signal / math.Pow(10, db/10) / power(func(i int) float64 { return n[i] }, len(n)))
	out := make([]int16, len(n))
	for i := range out {
		v := n[i] * scale
		if k := i - pad; k >= 0 && k < len(s.samples) {
			v += float64(s.samples[k])
		}
		out[i] = int16(max(-32767, min(32767, v)))
	}
	s.noise, s.samples = fmt.Sprintf("%s %.0f dB", kind, db), out
	return s
}
