package capture

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
)

func labNoise(kind string, n int, seed uint64, human [][]int16) []float64 {
	r := rand.New(rand.NewPCG(seed, 9))
	out := make([]float64, n)
	switch kind {
	case "wind":
		b, g := 0.0, 1.0
		for i := range out {
			b = 0.999*b + r.NormFloat64()
			if i%1600 == 0 {
				g = 0.3 + r.ExpFloat64()
			}
			out[i] = b * g
		}
	case "pink":
		var b0, b1, b2 float64
		for i := range out {
			w := r.NormFloat64()
			b0 = 0.99765*b0 + w*0.0990460
			b1 = 0.96300*b1 + w*0.2965164
			b2 = 0.57000*b2 + w*1.0526913
			out[i] = b0 + b1 + b2 + w*0.1848
		}
	case "babble":
		for range 6 {
			at := r.IntN(n)
			h := human[r.IntN(len(human))]
			j := r.IntN(len(h))
			for i := range out {
				out[(at+i)%n] += float64(h[j])
				if j++; j == len(h) {
					h = human[r.IntN(len(human))]
					j = 0
				}
			}
		}
	}
	return out
}

func rms(v []float64) float64 { s := 0.0; for _, x := range v { s += x * x }; return math.Sqrt(s / float64(len(v))) }

func labMix(s []int16, noise []float64, snr float64) []int16 {
	f := make([]float64, len(s))
	var act []float64
	for i, v := range s { f[i] = float64(v) }
	// speech level over active frames
	peak := 0.0
	for i := 0; i+320 <= len(f); i += 320 { peak = max(peak, rms(f[i:i+320])) }
	for i := 0; i+320 <= len(f); i += 320 { if rms(f[i:i+320]) > peak/30 { act = append(act, f[i:i+320]...) } }
	g := rms(act) / rms(noise) / math.Pow(10, snr/20)
	sc := 3000 / rms(act)
	pad := Rate
	out := make([]int16, len(s)+2*pad)
	for i := range out {
		x := g * noise[i%len(noise)]
		if i >= pad && i < pad+len(f) { x += f[i-pad] }
		out[i] = toInt16(float32(x * sc / 32768))
	}
	return out
}

func labSpeed(s []int16, k float64) []int16 {
	r := newResampler(int(Rate*k), Rate)
	in := make([]float32, len(s))
	for i, v := range s { in[i] = float32(v) / 32768 }
	o := r.finish(r.process(nil, in))
	out := make([]int16, len(o))
	for i, v := range o { out[i] = toInt16(v) }
	return out
}

var labDigit = strings.Fields("one two three four five six seven eight nine")
var labTens = strings.Fields("twenty thirty forty fifty sixty seventy eighty ninety")
var labTeen = strings.Fields("ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen")

func labRivals(text string) []string {
	w := strings.Fields(text)
	var out []string
	for i := range w {
		for _, class := range [][]string{labDigit, labTens, append(append([]string{}, labTeen...), labTens...), {"pass", "fail"}, {"dish", "receiver"}} {
			in := false
			for _, c := range class { if c == w[i] { in = true } }
			if !in { continue }
			for _, c := range class {
				if c == w[i] { continue }
				v := append([]string{}, w...)
				v[i] = c
				out = append(out, strings.Join(v, " "))
			}
		}
		if i == len(w)-1 {
			isT := false
			for _, c := range labTens { if c == w[i] { isT = true } }
			if isT { for _, c := range labDigit { out = append(out, text+" "+c) } }
			isD := false
			for _, c := range labDigit { if c == w[i] { isD = true } }
			if isD && i > 0 { for _, c := range labTens { if c == w[i-1] { out = append(out, strings.Join(w[:i], " ")) } } }
		}
	}
	return out
}

func TestLabNoise(t *testing.T) {
	g, _ := os.ReadFile("testdata/points.gram")
	numbers := regexp.MustCompile(`^(minus|point|pass|fail|dish|receiver|one|two|three|four|five|six|seven|eight|nine|.*teen|ten|eleven|twelve|.*ty)$`)
	cfg := Config{JSGF: string(g), Meaning: Words(numbers.MatchString)}
	hum, _ := filepath.Glob("/tmp/capture/human/*.wav")
	var human [][]int16
	for _, f := range hum { if s := labRead(f); len(s) > Rate { human = append(human, s) } }
	type row struct {
		Noise string; SNR float64; Voice, Want, Got string
		G, R, W, M, S float64
		Alt map[string]string
		RM float64; RB string
		MR float64
		Alts []string; Margins []float64
	}
	var mu sync.Mutex
	var rows []row
	out, _ := os.Create("/tmp/capture/noise.jsonl")
	b, _ := os.ReadFile("/tmp/capture/tts/list.txt")
	lines := strings.Split(strings.TrimSpace(string(b)), "\n")
	var wg sync.WaitGroup
	for k := range 2 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			mk := func(o map[string]string) *Recogniser { c := cfg; c.Options = o; r, err := NewRecogniser(c); if err != nil { panic(err) }; return r }
			base := mk(nil)
			vars := map[string]*Recogniser{"nonoise": mk(map[string]string{"-remove_noise": "no"}), "live": mk(map[string]string{"-cmn": "live"})}
			ctx := context.Background()
			for i, l := range lines {
				if i%9 != 0 || (i/9)%2 != k { continue }
				_ = i
				p := strings.Split(l, "\t")
				s := labRead(p[0])
				for _, nz := range []string{"wind", "pink", "babble"} {
					for _, snr := range []float64{15, 8} {
						mixed := labMix(s, labNoise(nz, len(s)+2*Rate, uint64(i)*10+uint64(snr), human), snr)
						seg := mixed[Rate*3/4 : len(mixed)-Rate/2]
						u, err := base.Recognise(ctx, seg)
						if err != nil { panic(err) }
						x := row{Noise: nz, SNR: snr, Voice: p[1], Want: p[2], Got: u.Text, G: u.Scores.Grammar, R: u.Scores.Ratio, W: u.Scores.WorstWord, M: min(9999, u.Scores.NumberMargin), Alt: map[string]string{}}
						x.Alts, x.Margins = u.Alternates, u.Margins
						if u.Text == "" { x.G, x.R, x.W = -999, -999, -999 } else {
							for n, v := range vars { if a, err := v.words.decode(v.current, seg, 0); err == nil { x.Alt[n] = a.text } }
							for _, kf := range []float64{0.92, 1.08} {
								if a, err := base.words.decode(base.current, labSpeed(seg, kf), 0); err == nil { x.Alt[fmt.Sprint("speed", kf)] = a.text } }
							rb, rm, err := base.Compare(ctx, u, labRivals(u.Text))
							if err != nil { panic(err) }
							x.RB, x.RM = rb, min(9999, rm)
						}
						mu.Lock(); rows = append(rows, x); jb, _ := json.Marshal(x); out.Write(append(jb, 10)); mu.Unlock()
					}
				}
			}
		}()
	}
	wg.Wait()
	out.Close()
}
