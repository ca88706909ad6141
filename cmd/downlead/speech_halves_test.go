package main

import (
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	audio "downlead/capture/sound"
)

// The two halves of the confidence measurement share no speaker, no noise and
// no sentence.
func halfVoices(half string) []string {
	if half == "fit" {
		return []string{
			"flite slt", "flite kal16", "flite rms", "flite awb", "festival ked_diphone", "festival cmu_us_slt_arctic_hts", "piper joe",
			"kokoro af_bella", "kokoro am_fenrir", "kokoro bm_george", "kokoro af_sarah", "kokoro am_puck", "kokoro bf_isabella",
		}
	}
	return []string{"kokoro af_heart", "kokoro am_michael", "kokoro bf_emma", "kokoro af_kore", "kokoro am_eric", "kokoro bm_lewis"}
}

// accented are voices of the unseen half that are no English speakers', a condition
// of its own.
func accented() []string {
	return []string{"kokoro jf_alpha", "kokoro jf_gongitsune", "kokoro jf_nezumi", "kokoro jf_tebukuro", "kokoro jm_kumo"}
}

// halfTexts are the sentences of a half, n of them: a third are of fieldPhrases,
// a third of the rest of a call, a third are short and come again.
func halfTexts(half string, n int, seed uint64) []string {
	var out []string
	known := map[string]bool{}
	r := rand.New(rand.NewPCG(seed, 2))
	for _, text := range fieldPhrases(16*n, seed) {
		short := false
		switch r.IntN(3) {
		case 0:
			text = callPhrase(r)
		case 1:
			text, short = shortPhrase(r), true
		}
		s := said{text: text}
		if s.chosen() == (half == "fit") && (short || !known[text]) && len(out) < n {
			known[text] = true
			out = append(out, text)
		}
	}
	return out
}

// shortPhrase is what is said in one to three words.
func shortPhrase(r *rand.Rand) string {
	list := []string{
		"arrived", "leaving", "on the road", "lunch", "back from lunch", "customer not home", "pause", "resume", "repeat", "louder", "softer", "slower", "faster",
		"what next", "read back", "read that back", "what is missing", "where is the fault", "how was the day", "what can I say", "stop listening", "close job", "reopen job",
		"scratch that", "scratch the last two", "make that pass", "make that fail", "recording is fine", "no recording", "stop recording", "raining",
		"education done", "education not applicable", "pass", "fail", "wall plate", "dish side", "receiver side", "behind receiver one",
		"replaced splitter", "replaced barrel", "removed jumper", "re aimed dish", "used one jumper", "used two barrels", "tightened fittings", "drove nine miles", "drove thirty miles",
		"floor minus fifty", "threshold eighty", "work code five", "splitter no signal", "ground block pass", "wall plate fail", "input test pass",
	}
	for _, point := range []string{"dish", "mount", "cabling", "components", "grounding", "outlet"} {
		list = append(list, point+" pass", point+" fail")
	}
	return list[r.IntN(len(list))]
}

// halfAnswers are n answers of a half.
func halfAnswers(half string, n int) []string {
	list := answerPhrases()
	for n := 20; n <= 70; n++ {
		list = append(list, "minus "+numberWords(n), numberWords(n), "no minus "+numberWords(n))
	}
	list = slices.DeleteFunc(list, func(text string) bool { return said{text: text}.chosen() != (half == "fit") })
	r := rand.New(rand.NewPCG(uint64(n), 3))
	r.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	return list[:min(n, len(list))]
}

// callPhrase invents what is said on a call besides readings of one figure.
func callPhrase(r *rand.Rand) string {
	pick := func(list ...string) string { return list[r.IntN(len(list))] }
	number := func(from, to int) string { return numberWords(from + r.IntN(to-from+1)) }
	digits := func() string {
		return strings.Join([]string{numberWords(1 + r.IntN(9)), number(1, 9), number(1, 9), number(1, 9)}, " ")
	}
	point := pick("behind receiver one", "behind receiver two", "wall plate receiver side", "ground block receiver side", "splitter output one", "tap dish side", "bedroom wall plate")
	part := pick("ground block", "splitter", "jumper", "wall plate", "barrel", "diplexer", "receiver two", "fitting at the wall plate", "tap")
	switch r.IntN(9) {
	case 0:
		return pick("dish", "mount", "cabling", "components", "grounding", "outlet", "input test", "education") + " " + pick("pass", "fail", "done", "good", "not applicable")
	case 1:
		return pick("replaced", "removed", "tightened", "re terminated", "added") + " " + part
	case 2:
		return "used " + pick("one", "two", "three", "four") + " " + pick("fittings", "barrels", "jumpers", "splitters")
	case 3:
		return pick("drove "+number(2, 60)+" miles", "start job "+digits(), "work code "+number(1, 40), "threshold "+number(50, 90), "input test "+pick("pass", "fail")+" receiver "+pick("one", "two", "three"))
	case 4:
		return pick("arrived", "leaving", "on the road", "lunch", "what next", "where is the fault", "what is missing", "read back", "scratch that", "close job", "resume", "pause")
	case 5:
		return fmt.Sprintf("%s %s minus %s strength %s", point, pick("pass", "fail"), number(20, 70), number(5, 99))
	case 6:
		return fmt.Sprintf("path dish %s feet ground block %s feet %s wall plate receiver one", numberWords(10*(1+r.IntN(9))), numberWords(10*(1+r.IntN(9))), pick("two way splitter", "barrel", "tap", "diplexer"))
	case 7:
		return pick("correct that minus "+number(20, 70), "make that "+pick("pass", "fail"), "receiver two on splitter output "+pick("two", "three")+" "+pick("bedroom", "kitchen", "office")+" "+numberWords(10*(1+r.IntN(9)))+" feet")
	}
	return pick("complaint no picture in the "+pick("bedroom", "kitchen", "living room", "office"), point, point+" "+pick("good", "bad", "no signal", "weak"))
}

// confidenceMaterial is the recordings of both halves, so many phrases a cell,
// in an order that mixes everything: whoever stops early has some of all.
func confidenceMaterial(t *testing.T, cell int) []said {
	t.Helper()
	var out []said
	for seed, half := range []string{"fit", "report"} {
		voices := halfVoices(half)
		r := rand.New(rand.NewPCG(uint64(seed), 78))
		babble := babbleOf(t, half)
		say := func(text, noise, how string, db float64, answer bool) {
			voice, stretch := voiceFor(voices, text), 1.0
			switch how {
			case "accent":
				voice = voiceFor(accented(), text)
			case "faster":
				stretch = 0.8
			case "slower":
				stretch = 1.25
			case "higher":
				stretch = math.Pow(2, 3.0/12)
			}
			row := noise
			if db > 0 {
				row = fmt.Sprintf("%s %.0f dB", noise, db)
			}
			salt := r.Uint64()
			clean := func(t testing.TB) []int16 { return changed(voiced(t, voice, text, stretch), how) }
			out = append(out, said{
				key: fmt.Sprintf("%s|%s|%.2f|%s|%x", half, voice, stretch, row, salt), id: half, text: text, voice: voice, noise: row, answer: answer, clean: clean,
				sound: func(t testing.TB) []int16 {
					clean := clean(t)
					if db == 0 {
						return padded(clean)
					}
					rr := rand.New(rand.NewPCG(salt, uint64(10+seed)))
					n := noiseBefore + len(clean) + noiseAfter
					sound := anyNoise(rr, noise, n, babble)
					return mix(clean, sound, db)
				},
			})
		}
		texts := halfTexts(half, halfSentences*cell, uint64(2130+seed))
		next := func() string {
			text := texts[0]
			texts = append(texts[1:], text)
			return text
		}
		for range 8 * cell {
			say(next(), "quiet", "", 0, false)
		}
		for _, noise := range everyNoise() {
			for _, db := range []float64{20, 15, 10} {
				for range cell {
					say(next(), noise, "", db, false)
				}
			}
		}
		hows := otherwise()
		if half != "fit" {
			hows = append(hows, "accent")
		}
		for _, how := range hows {
			for range cell {
				say(next(), how, how, 0, false)
			}
		}
		for _, text := range halfAnswers(half, 2*cell) {
			say(text, "quiet", "", 0, true)
		}
		out = append(out, halfSpeech(t, half, cell)...)
	}
	r := rand.New(rand.NewPCG(9, 9))
	r.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

// halfSentences is how many sentences a half has for a cell's every recording: one comes
// again under some three other conditions, as a neural voice takes a second and
// more for a second of speech.
const halfSentences = 12

// voiceFor is the voice that says a sentence.
func voiceFor(voices []string, text string) string {
	h := fnv.New32a()
	h.Write([]byte(text))
	return voices[int(h.Sum32()>>4)%len(voices)]
}

// halfSpeech is speech that is no phrase: prompts by a person and what the figures of a game call out, or
// descriptions by several people and a story by actors; chat and near misses by the half's voices.
func halfSpeech(t *testing.T, half string, cell int) []said {
	var out []said
	keep := func(list []said, n int) {
		for _, s := range list {
			if s.chosen() == (half == "fit") && n > 0 {
				n--
				s.key, s.id, s.noise = half+"|"+s.id, half, "speech"
				out = append(out, s)
			}
		}
	}
	if half == "fit" {
		keep(humanPrompts(400), 16*cell)
		keep(humanExclamations(), 16*cell)
	} else {
		keep(humanDescriptions(), 16*cell)
		if _, err := os.Stat(storyFile); err == nil {
			keep(humanStory(t), 30*cell)
		}
	}
	voices := halfVoices(half)[:2]
	for _, file := range []string{"chat", "near"} {
		var own []said
		for i, s := range unphrases(t, file, 1) {
			text := strings.TrimPrefix(s.id, voiceOf(s.id))
			voice := voices[i%2]
			own = append(own, said{id: text, voice: file, sound: func(t testing.TB) []int16 { return padded(voiced(t, voice, text, 1)) }})
		}
		keep(own, 4*cell)
	}
	return out
}

// voiceOf is the voice that an id of unphrases begins with.
func voiceOf(id string) string {
	for _, voice := range voiceNames() {
		if strings.HasPrefix(id, voice) {
			return voice
		}
	}
	return ""
}

// babbleOf is the voices of a half behind the speaker: one person's prompts, or
// several people's descriptions.
func babbleOf(t *testing.T, half string) []int16 {
	list := humanPrompts(24)
	if half != "fit" {
		list = humanDescriptions()
		list = list[:min(len(list), 24)]
	}
	var out []int16
	for _, s := range list {
		sound := s.sound(t)
		out = append(out, sound[audio.Rate:len(sound)-audio.Rate]...)
	}
	return out
}

// TestSpeechHalves holds the halves apart.
func TestSpeechHalves(t *testing.T) {
	for _, text := range halfTexts("fit", 200, 2130) {
		if slices.Contains(halfTexts("report", 200, 2131), text) {
			t.Errorf("%q is in both halves", text)
		}
	}
	for _, voice := range halfVoices("fit") {
		if slices.Contains(halfVoices("report"), voice) {
			t.Errorf("%q speaks in both halves", voice)
		}
	}
}
