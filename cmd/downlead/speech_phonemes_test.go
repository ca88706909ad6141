package main

import (
	"bufio"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"downlead/capture/hear"
	"downlead/capture/hear/phoneme"
	segments "downlead/capture/segment"
	audio "downlead/capture/sound"
	"downlead/grammar"
)

// phonemeVoices are the voices by which the phoneme layer is trained: English speakers', and others' that
// speak English sounds. Neither half of the confidence measurement has any of them.
func phonemeVoices() []string {
	return strings.Fields("af_alloy af_aoede af_jessica af_nicole af_nova af_river af_sky am_adam am_echo am_liam am_onyx am_santa " +
		"bf_alice bf_lily bm_daniel bm_fable ef_dora em_alex ff_siwis hf_alpha hf_beta hm_omega hm_psi if_sara im_nicola pf_dora pm_alex zf_xiaobei zm_yunjian")
}

// sounded is one stretch of the training: how many frames of the encoder it has in the file
// beside it, and its phonemes.
type sounded struct {
	Frames   int   `json:"frames"`
	Phonemes []int `json:"phonemes"`
}

// phonemeTexts are the sentences that it is trained on: n of the half for fitting, then people's own words of
// testdata/phrases, as far as they fall into that half and the dictionary has them, and
// rows of digits, so that sounds come that sentences of a call hardly have.
func phonemeTexts(t *testing.T, n int, dictionary map[string][]phoneme.Class) []string {
	t.Helper()
	out := halfTexts("fit", n, 9001)
	files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "phrases", "*.jsonl"))
	if err != nil || len(files) == 0 {
		t.Fatal("no phrases: ", err)
	}
	const longest = 14 // words
	for _, file := range files {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(string(b)) {
			var phrase struct {
				Say string `json:"say"`
			}
			if err := json.Unmarshal([]byte(line), &phrase); err != nil {
				t.Fatal(err)
			}
			text := hear.Words(phrase.Say)
			words := strings.Fields(text)
			if (said{text: phrase.Say}).chosen() && len(words) > 0 && len(words) <= longest && !slices.Contains(out, text) &&
				!slices.ContainsFunc(words, func(word string) bool { return len(dictionary[word]) == 0 }) {
				out = append(out, text)
			}
		}
	}
	r := rand.New(rand.NewPCG(9001, 2))
	digits := strings.Fields("zero oh one two three four five six seven eight nine")
	for range n / 8 {
		var row []string
		for range 1 + r.IntN(5) {
			row = append(row, digits[r.IntN(len(digits))])
		}
		out = append(out, strings.Join(row, " "))
	}
	return out
}

// TestSpeechPhonemes writes what the encoder makes of invented phrases, and their phonemes, to the
// folder that DOWNLEAD_PHONEMES names, for train.py of capture/hear/phoneme: DOWNLEAD_PHRASES is
// how many of the half for fitting. Each is heard in quiet and in six noises at 4 to 24 dB, by voices lower and higher
// than they are.
func TestSpeechPhonemes(t *testing.T) {
	dir, phrases := os.Getenv("DOWNLEAD_PHONEMES"), 900
	if dir == "" {
		t.Skip("DOWNLEAD_PHONEMES names no folder")
	}
	_, _ = fmt.Sscan(os.Getenv("DOWNLEAD_PHRASES"), &phrases)
	n, err := hear.Open(hear.Folder())
	if err != nil {
		t.Skip(err)
	}
	defer n.Close()
	dictionary := pronunciations(t)
	hidden, list := created(t, filepath.Join(dir, "hidden")), created(t, filepath.Join(dir, "list.jsonl"))
	r := rand.New(rand.NewPCG(9001, 1))
	babble := babbleOf(t, "fit")
	put := func(text string, sound []int16, before, length int) {
		stretch, whole := stretchWith(t, sound, before, length, segments.Segment.Undisturbed)
		if !whole {
			return
		}
		encoded, err := n.Encode(segments.WithoutHum(stretch))
		if err != nil {
			return // too short to be heard
		}
		line := sounded{Frames: len(encoded.Hidden()) / phoneme.Width}
		for word := range strings.FieldsSeq(strings.ToLower(text)) {
			for _, c := range dictionary[word] {
				line.Phonemes = append(line.Phonemes, int(c))
			}
		}
		if err := binary.Write(hidden, binary.LittleEndian, encoded.Hidden()); err != nil {
			t.Fatal(err)
		}
		if err := json.NewEncoder(list).Encode(line); err != nil {
			t.Fatal(err)
		}
	}
	for _, text := range phonemeTexts(t, phrases, dictionary) {
		voice, stretch := phonemeVoices()[r.IntN(len(phonemeVoices()))], []float64{0.85, 1, 1, 1.1, 1.2}[r.IntN(5)]
		kinds := everyNoise()
		r.Shuffle(len(kinds), func(a, b int) { kinds[a], kinds[b] = kinds[b], kinds[a] })
		for i := range 7 {
			clean := voiced(t, "kokoro "+voice, text, stretch)
			if r.IntN(3) > 0 {
				clean = audio.AtSpeed(clean, 0.87+0.3*r.Float64())
			}
			if i == 0 {
				clean = changed(clean, []string{"", "", "softer", "telephone", "clipped"}[r.IntN(5)])
				put(text, padded(clean), audio.Rate, len(clean))
				continue
			}
			long, db := noiseBefore+len(clean)+noiseAfter, 4+20*r.Float64()
			noise := anyNoise(r, kinds[i], long, babble)
			put(text, mix(clean, noise, db), noiseBefore, len(clean))
		}
	}
}

// created is a file of a folder, written when the test ends.
func created(t *testing.T, path string) *bufio.Writer {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	w := bufio.NewWriter(f)
	t.Cleanup(func() {
		if err := w.Flush(); err != nil {
			t.Error(err)
		}
		f.Close()
	})
	return w
}

// pronunciations are the first ways to say words, of the speech model's dictionary and of
// the language.
func pronunciations(t *testing.T) map[string][]phoneme.Class {
	t.Helper()
	p, err := grammar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile("/usr/share/pocketsphinx/model/en-us/cmudict-en-us.dict")
	if err != nil {
		t.Skip(err)
	}
	out := map[string][]phoneme.Class{}
	for line := range strings.Lines(string(slices.Concat(b, []byte(p.Pronunciations(nil))))) {
		word, sounds, _ := strings.Cut(strings.TrimSpace(line), " ")
		if out[word], err = phoneme.Parse(sounds); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// TestPhonemeVoices holds the voices of the training apart from those of both halves.
func TestPhonemeVoices(t *testing.T) {
	for _, voice := range phonemeVoices() {
		if slices.Contains(slices.Concat(halfVoices("fit"), halfVoices("report"), accented()), "kokoro "+voice) {
			t.Errorf("%s takes part in the measurement", voice)
		}
	}
}
