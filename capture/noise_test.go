package capture

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"downlead/capture/soundtest"
)

// TestNoiseAlone holds that the model of noise changes nothing else of the speech model,
// and no other speech model.
func TestNoiseAlone(t *testing.T) {
	files, ok := noiseFiles(DefaultModelDir)
	if !ok {
		t.Skip("the speech model is not the one that the noise was made for")
	}
	for i, p := range noiseParts[:2] {
		sizes, was, err := parameters([]byte(readFile(t, filepath.Join(DefaultModelDir, "en-us", p.file))))
		if err != nil {
			t.Fatal(err)
		}
		sizesNow, now, err := parameters(files[i])
		if err != nil || !bytes.Equal(sizes, sizesNow) || len(was) != len(now) {
			t.Fatalf("%s: error %v, or other sizes", p.file, err)
		}
		for at := range was {
			if noise := at/noiseNumbers == noisePlace.phone; !noise && was[at] != now[at] {
				t.Fatalf("%s: byte %d is no noise, and changed", p.file, at)
			}
		}
		for _, v := range floats(now[noisePlace.phone*noiseNumbers:][:noiseNumbers]) {
			if math.IsNaN(v) || math.Abs(v) > 1e3 || i == 1 && v <= 0 {
				t.Fatalf("%s: has %g", p.file, v)
			}
		}
	}
	was, states := weightsIn([]byte(readFile(t, filepath.Join(DefaultModelDir, "en-us", "sendump"))))
	now, _ := weightsIn(files[2])
	for at := range was {
		if s := at % states; (s < noisePlace.state || s >= noisePlace.state+noiseStates) && was[at] != now[at] {
			t.Fatalf("weight %d is not of noise, and changed", at)
		}
	}
	dir := modelCopy(t, "en-us/means", func(b []byte) []byte { b[len(b)-9] ^= 1; return b })
	if KnowsNoise(dir) {
		t.Error("another model was given this noise")
	}
	for _, b := range [][]byte{nil, noiseModel[1:]} {
		if _, err := noisePlace.put(files, b); err == nil {
			t.Errorf("a noise of %d bytes was taken", len(b))
		}
	}
}

func floats(b []byte) []float64 {
	out := make([]float64, len(b)/4)
	for i := range out {
		out[i] = float64(math.Float32frombits(binary.LittleEndian.Uint32(b[4*i:])))
	}
	return out
}

// TestHeardInBlows has sentences that people read (pocketsphinx-testdata, cards) heard
// among the blows of a drill with the model of noise and without.
func TestHeardInBlows(t *testing.T) {
	soundtest.NeedPublished(t)
	cfg := Config{JSGF: readFile(t, soundtest.Published+"/cards/cards.gram")}
	adapted := recogniser(t, cfg)
	if !KnowsNoise(DefaultModelDir) {
		t.Skip("the speech model is not the one that the noise was made for")
	}
	cfg.Options = map[string]string{}
	for _, p := range noiseParts {
		cfg.Options[p.option] = filepath.Join(DefaultModelDir, "en-us", p.file)
	}
	plain := recogniser(t, cfg)
	right := map[*Recogniser]int{}
	for name, text := range transcripts(t, soundtest.Published+"/cards/cards.transcription") {
		in := amongBlows(readSound(t, filepath.Join(soundtest.Published, "cards", name+".wav")), uint64(len(text)))
		for _, r := range []*Recogniser{adapted, plain} {
			u, err := r.Recognise(t.Context(), in)
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("%v: %q heard as %q", r == adapted, text, u.Text)
			if u.Text == text {
				right[r]++
			}
		}
	}
	if right[adapted] < right[plain] {
		t.Errorf("%d right with the model of noise, %d without", right[adapted], right[plain])
	}
}

// amongBlows puts 40 blows a second into a recording and for a second around it, 15 dB
// under it.
func amongBlows(samples []int16, seed uint64) []int16 {
	r := rand.New(rand.NewPCG(seed, 40))
	noise := make([]float64, len(samples)+32000)
	low, loud, loudNoise := 0.0, 0.0, 0.0
	for i := range noise {
		low += 0.35 * (r.NormFloat64() - low)
		noise[i] = low * math.Exp(-6*math.Mod(40*float64(i)/16000, 1))
		loudNoise += noise[i] * noise[i] / float64(len(noise))
	}
	for _, v := range samples {
		loud += float64(v) * float64(v) / float64(len(samples))
	}
	scale := math.Sqrt(loud / loudNoise / math.Pow(10, 1.5))
	out := make([]int16, len(noise))
	for i := range out {
		v := noise[i] * scale
		if k := i - 16000; k >= 0 && k < len(samples) {
			v += float64(samples[k])
		}
		out[i] = int16(max(-32767, min(32767, v)))
	}
	return out
}

// TestNoiseMade makes noise.bin from what TestSpeechAdapt wrote to the folder that
// DOWNLEAD_ADAPT names, by Debian's sphinxtrain: two passes of Baum-Welch over the whole
// phrases, in which silence is adapted, and of which only that is kept.
func TestNoiseMade(t *testing.T) {
	dir := os.Getenv("DOWNLEAD_ADAPT")
	if dir == "" {
		t.Skip("DOWNLEAD_ADAPT names no folder")
	}
	in := func(name string) string { return filepath.Join(dir, name) }
	model := func(name string) string { return filepath.Join(DefaultModelDir, "en-us", name) }
	run := func(program string, args ...string) {
		t.Helper()
		if out, err := exec.Command(program, args...).CombinedOutput(); err != nil {
			t.Fatalf("%s: %v: %s", program, err, out[max(0, len(out)-800):])
		}
	}
	write := func(name string, b []byte) {
		t.Helper()
		if err := os.WriteFile(in(name), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, sub := range []string{"mfc", "counts"} {
		if err := os.MkdirAll(in(sub), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	run("sphinx_fe", "-argfile", model("feat.params"), "-samprate", "16000", "-remove_noise", "yes", "-remove_silence", "no",
		"-c", in("list"), "-di", in("raw"), "-ei", "raw", "-do", in("mfc"), "-eo", "mfc", "-raw", "yes")
	run("pocketsphinx_mdef_convert", "-text", model("mdef"), in("mdef"))
	write("dictionary", []byte(readFile(t, filepath.Join(DefaultModelDir, "cmudict-en-us.dict"))+readFile(t, in("words"))))
	var files [][]byte
	for _, p := range noiseParts {
		files = append(files, []byte(readFile(t, model(p.file))))
	}
	var noise []byte
	for range 2 {
		write("means", files[0])
		write("variances", files[1])
		write("weights", mixtureWeights(files[2]))
		run("/usr/lib/sphinxtrain/bw", "-moddeffn", in("mdef"), "-ts2cbfn", ".ptm.", "-feat", "1s_c_d_dd", "-svspec", "0-12/13-25/26-38",
			"-cmn", "batch", "-agc", "none", "-meanfn", in("means"), "-varfn", in("variances"), "-mixwfn", in("weights"), "-tmatfn", model("transition_matrices"),
			"-dictfn", in("dictionary"), "-fdictfn", model("noisedict"), "-ctlfn", in("list"), "-lsnfn", in("said"),
			"-cepdir", in("mfc"), "-accumdir", in("counts"), "-topn", "128", "-timing", "no")
		run("/usr/lib/sphinxtrain/norm", "-accumdir", in("counts"), "-meanfn", in("new-means"), "-varfn", in("new-variances"), "-mixwfn", in("new-weights"))
		noise = noiseOf(t, files, readFile(t, in("new-means")), readFile(t, in("new-variances")), readFile(t, in("new-weights")))
		var err error
		if files, err = silencePlace.put(files, noise); err != nil {
			t.Fatal(err)
		}
	}
	if os.Getenv("UPDATE") != "" {
		if err := os.WriteFile("noise.bin", noise, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// leastVariance is the least that a variance of the noise may have of what it had.
const leastVariance = 0.02

// silencePlace is where silence lies in the speech model.
var silencePlace = place{phone: 32, state: 96}

// noiseOf is the noise of newly estimated numbers. A density that nothing was
// near to stays as it was.
func noiseOf(t *testing.T, files [][]byte, means, variances, weights string) []byte {
	t.Helper()
	at := func(file []byte) []float64 {
		_, numbers, err := parameters(file)
		if err != nil {
			t.Fatal(err)
		}
		return floats(numbers[silencePlace.phone*noiseNumbers:][:noiseNumbers])
	}
	wasMeans, was, newMeans, now := at(files[0]), at(files[1]), at([]byte(means)), at([]byte(variances))
	for i := range now {
		if now[i] < 1e-5 {
			newMeans[i], now[i] = wasMeans[i], was[i]
		}
		now[i] = max(now[i], leastVariance*was[i])
	}
	var out []byte
	for _, v := range slices.Concat(newMeans, now) {
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(v)))
	}
	_, body, _ := strings.Cut(weights, "endhdr\n")
	rows := floats([]byte(body[20+4*silencePlace.state*streams*densities:][:4*noiseWeights]))
	for row := range slices.Chunk(rows, densities) {
		sum := 0.0
		for _, v := range row {
			sum += v
		}
		for _, v := range row {
			out = append(out, byte(min(mostCost, math.Round(-math.Log(max(v/sum, 1e-7))/weightStep))))
		}
	}
	return out
}

// A weight is stored as its negative logarithm in steps of 1024 times that of 1.0001.
const mostCost = 159

var weightStep = 1024 * math.Log(1.0001)

// mixtureWeights are a model's weights as sphinxtrain reads them.
func mixtureWeights(file []byte) []byte {
	weights, states := weightsIn(file)
	out := []byte("s3\nversion 1.0\nendhdr\n")
	for _, n := range []int{0x11223344, states, streams, densities, len(weights)} {
		out = binary.LittleEndian.AppendUint32(out, uint32(n))
	}
	for s := range states {
		for row := range streams * densities {
			out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(math.Exp(-weightStep*float64(weights[row*states+s])))))
		}
	}
	return out
}
