package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"downlead/capture"
	"downlead/capture/confidence"
	audio "downlead/capture/sound"
	"downlead/cmd/downlead/dialogue"
	"downlead/cmd/downlead/listen"
	"downlead/grammar"
)

// ownSentences are the sentences of testdata/phrases that people wrote in their
// own words and the speech grammar has not, of a half.
func ownSentences(t *testing.T, p *grammar.Parser, half string) []string {
	t.Helper()
	var out []string
	for _, name := range []string{"own", "more"} {
		f, err := os.Open(filepath.Join("..", "..", "testdata", "phrases", name+".jsonl"))
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		for lines := bufio.NewScanner(f); lines.Scan(); {
			var c struct {
				Say   string `json:"say"`
				Given any    `json:"given"`
				Want  any    `json:"want"`
			}
			if err := json.Unmarshal(lines.Bytes(), &c); err != nil {
				t.Fatal(err)
			}
			_, list := c.Want.([]any)
			if !list || c.Given != nil || p.Voiced(c.Say) || (said{text: c.Say}).chosen() != (half == "fit") {
				continue
			}
			if _, err := p.Parse(c.Say); err == nil {
				out = append(out, c.Say)
			}
		}
	}
	r := rand.New(rand.NewPCG(17, 4))
	r.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

// ownMaterial are n of them, by the half's voices, each in quiet and in one noise
// at 20 and at 10 dB.
func ownMaterial(t *testing.T, p *grammar.Parser, half string, n int) []said {
	t.Helper()
	voices, babble := halfVoices(half), babbleOf(t, half)
	texts := ownSentences(t, p, half)
	var out []said
	for i, text := range texts[:min(n, len(texts))] {
		voice, kind := voiceFor(voices, text), everyNoise()[i%len(everyNoise())]
		clean := func(t testing.TB) []int16 { return voiced(t, voice, text, 1) }
		one := said{id: half, text: text, voice: voice, noise: "quiet", sound: func(t testing.TB) []int16 { return padded(clean(t)) }}
		out = append(out, one)
		for _, db := range []float64{20, 10} {
			one.noise = fmt.Sprintf("%s %.0f dB", kind, db)
			one.sound = func(t testing.TB) []int16 {
				clean := clean(t)
				r := rand.New(rand.NewPCG(uint64(i), uint64(db)))
				length := noiseBefore + len(clean) + noiseAfter
				sound := anyNoise(r, kind, length, babble)
				return mix(clean, sound, db)
			}
			out = append(out, one)
		}
	}
	return out
}

// wrote is one stretch in the log of TestSpeechOwn.
type wrote struct {
	Half, Text, Voice, Noise string
	Seconds                  float64 // of the recording, without the silence around it
	Heard, Free              string
	Net                      string // the sentence of the speech grammar, and what is decided about it
	NetDecision              confidence.Decision
	NetRight                 bool
	Own, FreeLogP            float64
	Before                   bool   // a form that was asked about before there was a figure
	Written, Chosen, Means   string // what was written down, what both choose, what that means
	Agree, Right, Vouched    bool
	P                        confidence.Posterior // of Chosen, by the table
	Lead, Margin             float64
	Evidence                 map[string]float64
}

// TestSpeechOwn writes what both listeners make of sentences in people's own words,
// and of other speech, to the file that DOWNLEAD_OWN names: an object a line.
// DOWNLEAD_CELL is how many sentences of each half, DOWNLEAD_HALF the half that is
// wanted, or "speech".
func TestSpeechOwn(t *testing.T) {
	path := os.Getenv("DOWNLEAD_OWN")
	if path == "" {
		t.Skip("DOWNLEAD_OWN names no file")
	}
	cell := 10
	_, _ = fmt.Sscan(os.Getenv("DOWNLEAD_CELL"), &cell)
	half := os.Getenv("DOWNLEAD_HALF")
	e := newEarBeside(t, secondOf(t))
	var err error
	if e.figure, err = listen.BuiltConfig().Figure(); err != nil {
		t.Fatal(err)
	}
	material := ownMaterial(t, e.parser, half, cell)
	if half == "speech" {
		material = otherSpeech(t, cell)
	}
	f, err := os.OpenFile(path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	out := json.NewEncoder(f)
	for _, s := range material {
		samples := s.sound(t)
		for u, err := range capture.Listen(t.Context(), audio.FromSamples(samples), e.phrase, capture.ListenConfig{}) {
			if err != nil {
				t.Fatal(err)
			}
			line := e.wrote(t, s, u)
			line.Seconds = float64(len(samples))/audio.Rate - 2
			if err := out.Encode(line); err != nil {
				t.Error(err)
			}
		}
	}
}

// otherSpeech is n recordings of each kind that is no phrase: prompts, descriptions, a
// story, chat and near misses.
func otherSpeech(t *testing.T, n int) []said {
	var out []said
	for _, list := range [][]said{humanPrompts(400), humanDescriptions(), humanStory(t), unphrases(t, "chat", 1), unphrases(t, "near", 1)} {
		r := rand.New(rand.NewPCG(31, 5))
		r.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
		out = append(out, list[:min(n, len(list))]...)
	}
	r := rand.New(rand.NewPCG(32, 5))
	r.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

// wrote is what both listeners make of an utterance by the speech grammar and among
// what the second one wrote.
func (e *ear) wrote(t *testing.T, s said, u capture.Utterance) wrote {
	t.Helper()
	line := wrote{Half: s.id, Text: s.text, Voice: s.voice, Noise: s.noise, Heard: u.Text}
	if u.Second == nil {
		return line
	}
	var ev confidence.Evidence
	same := func(text string) bool {
		return s.text != "" && text != "" && e.parser.Means(text) == e.parser.Means(s.text)
	}
	line.Net, ev, _ = u.Weigh(func(text string) string { return e.parser.Says(text, false) }, false)
	line.NetDecision, line.NetRight = e.figure.Costs.Decide(e.figure.Table.Posterior(ev)), same(line.Net)
	line.Free, line.FreeLogP, line.Own = u.Second.Free, u.Second.FreeLogP, max(u.Second.Own, -1e3)
	line.Before = e.parser.Meaning(line.Free) != line.Free && e.parser.Meaning(line.Free) != e.parser.Meaning(u.Text) && len(strings.Fields(line.Free)) > 2
	var rivals []string
	if line.Written, rivals = dialogue.Written(e.parser, u); line.Written == "" {
		return line
	}
	v, ok, err := e.phrase.Among(t.Context(), u, line.Written, rivals)
	if err != nil {
		t.Fatal(err)
	}
	if line.Vouched = ok; !ok {
		return line
	}
	line.Chosen, ev, _ = v.Weigh(e.parser.Means, false)
	line.Means, line.Right, line.Agree = e.parser.Means(line.Chosen), same(line.Chosen), ev.Agree
	line.P, line.Evidence = e.figure.Table.Posterior(ev), ev.Named()
	line.Lead, line.Margin = min(ev.Lead, 1e6), min(ev.Margin, 1e6)
	return line
}
