package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"

	"downlead/capture"
	"downlead/capture/confidence"
	"downlead/cmd/downlead/dialogue"
	"downlead/grammar"
)

// recording is the utterances of one recording of the log.
type recording []weighed

// weighed is an utterance with what speaks for the sentence chosen of it.
type weighed struct {
	line  testified
	text  string
	e     confidence.Evidence
	heard bool // by both listeners, and something that is not said all day to others
	asks  bool // the tool something, which is kept nowhere
	class confidence.Class
}

// readWitness reads the log of TestSpeechWitness.
func readWitness(t *testing.T, path string) []recording {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	p, err := grammar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	ear := &ear{parser: p}
	var out []recording
	in := bufio.NewScanner(f)
	in.Buffer(nil, 1<<20)
	for in.Scan() {
		w := weigh(t, ear, in.Bytes())
		if w.line.Part == 0 {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], w)
	}
	if err := in.Err(); err != nil {
		t.Fatal(err)
	}
	for _, r := range out {
		r.part()
	}
	return out
}

// part tells the stretch that was the phrase from those that were the noise
// around it: the phrase is the one that is right, or nearest to what was said.
func (r recording) part() {
	phrase, least := -1, math.Inf(1)
	for i, w := range r {
		far := w.far()
		if w.class == confidence.WasRight {
			far = -1
		}
		if far < least {
			phrase, least = i, far
		}
	}
	for i := range r {
		if i != phrase && r[i].class == confidence.WasMisheard {
			r[i].class = confidence.WasOther
		}
	}
}

// far is how many words what was heard is from what was said: the nearest of
// what either listener makes of it.
func (w weighed) far() float64 {
	least := math.Inf(1)
	for _, heard := range []string{w.text, w.line.Heard, freeOf(w.line.Second)} {
		least = min(least, wordsApart(w.line.Text, heard))
	}
	return least
}

func freeOf(w *capture.Witness) string {
	if w == nil {
		return ""
	}
	return w.Free
}

// wordsApart is how many words two texts differ by, as a share of the first's.
func wordsApart(text, other string) float64 {
	a, b := strings.Fields(text), strings.Fields(other)
	return float64(confidence.Distance(a, b)) / float64(max(len(a), 1))
}

func weigh(t *testing.T, ear *ear, b []byte) weighed {
	t.Helper()
	var w weighed
	var named struct{ Scores map[string]float64 }
	type bare testified
	line := struct {
		*bare
		Scores json.RawMessage
	}{bare: (*bare)(&w.line)}
	if err := json.Unmarshal(b, &line); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, &named); err != nil {
		t.Fatal(err)
	}
	score := func(name string, none float64) float64 {
		if v, ok := named.Scores[name]; ok {
			return v
		}
		return none
	}
	w.line.Scores = capture.Scores{
		Grammar: score("grammar", math.Inf(-1)), Ratio: score("ratio", math.Inf(-1)), WorstWord: score("worst_word", math.Inf(-1)),
		NumberMargin: score("margin", math.Inf(1)), SNR: score("snr_db", 0), Clipped: score("clipped", 0), Covered: score("covered", 0),
		Words: len(strings.Fields(w.line.Heard)),
	}
	u := capture.Utterance{Text: w.line.Heard, Rival: w.line.Rival, Scores: w.line.Scores, Second: w.line.Second}
	says := func(text string) string { return ear.parser.Says(text, w.line.Answer) }
	w.text, w.e, w.heard = u.Weigh(says, w.line.Answer)
	w.asks = !w.line.Answer && dialogue.AsksTool(ear.parser, w.text)
	w.heard = w.heard && (w.line.Answer || !ear.parser.SmallTalk(w.text))
	s := said{text: w.line.Text, answer: w.line.Answer}
	switch {
	case s.text == "":
		w.class = confidence.WasOther
	case w.text == "" || !ear.same(s, w.text):
		w.class = confidence.WasMisheard
		if w.e.Empty { // of which nothing can be asked
			w.class = confidence.WasOther
		}
	}
	return w
}

// became is what costs make of a recording; confident gives each utterance's
// posterior.
func (r recording) became(table confidence.Table, costs confidence.Costs) heardAs {
	taken, takenRight, asked, askedOK := 0, 0, 0, 0
	for _, w := range r {
		if !w.heard {
			continue
		}
		p := table.Posterior(w.e)
		decision := costs.Decide(p)
		if decision == confidence.Ask && w.asks && costs.Unstored().Decide(p) == confidence.Take {
			decision = confidence.Take
		}
		switch decision {
		case confidence.Take:
			taken++
			if w.class == confidence.WasRight {
				takenRight++
			}
		case confidence.Ask:
			asked++
			if w.class == confidence.WasRight {
				askedOK++
			}
		}
	}
	switch {
	case taken > takenRight:
		return wrong
	case taken > 0 && asked == 0:
		return exact
	case taken > 0 || askedOK > 0:
		return askedRight
	case asked > 0:
		return askedWrong
	}
	return ignoredIt
}

// TestConfidenceFit fits the table to one half of the log that DOWNLEAD_WITNESS
// names, reports on the other, and with UPDATE=1 writes the table;
// DOWNLEAD_MADE is its date.
func TestConfidenceFit(t *testing.T) {
	path := os.Getenv("DOWNLEAD_WITNESS")
	if path == "" {
		t.Skip("DOWNLEAD_WITNESS names no file")
	}
	var fit []confidence.Example
	var report []recording
	voices := map[string]bool{}
	for _, r := range readWitness(t, path) {
		if r[0].line.Half == "report" {
			report = append(report, r)
			continue
		}
		if r[0].line.Text != "" {
			voices[r[0].line.Voice] = true
		}
		for _, w := range r {
			if w.heard {
				fit = append(fit, confidence.Example{Evidence: w.e, Class: w.class})
			}
		}
	}
	table, err := confidence.Fit(fit, confidence.OnCall())
	if err != nil {
		t.Fatal(err)
	}
	table.Made = os.Getenv("DOWNLEAD_MADE")
	table.Material = "the half for fitting of the speech material: " + strings.Join(slices.Sorted(maps.Keys(voices)), ", ") + "; " +
		"quiet, eight noises at 20, 15 and 10 dB, telephone band, softer, clipped, faster, slower, higher; prompts, exclamations, chat, near misses"
	reportReliability(t, table, report)
	reportRows(t, table, report)
	if os.Getenv("UPDATE") == "" {
		return
	}
	var b strings.Builder
	b.WriteString("# Made by `make confidence`; not by hand.\n\n")
	if err := toml.NewEncoder(&b).Encode(table); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join("..", "..", "capture", "confidence", "table.toml"), []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestConfidenceReport holds the table of the product to the unseen half of the
// log that DOWNLEAD_WITNESS names.
func TestConfidenceReport(t *testing.T) {
	path := os.Getenv("DOWNLEAD_WITNESS")
	if path == "" {
		t.Skip("DOWNLEAD_WITNESS names no file")
	}
	table, err := confidence.Built()
	if err != nil {
		t.Fatal(err)
	}
	report := slices.DeleteFunc(readWitness(t, path), func(r recording) bool { return r[0].line.Half != "report" })
	reportReliability(t, table, report)
	reportRows(t, table, report)
}

// reportReliability prints how often what was given a figure was right, in ten
// bins, and the Brier score.
func reportReliability(t *testing.T, table confidence.Table, report []recording) {
	t.Helper()
	var n, right [10]int
	var sum [10]float64
	brier, all := 0.0, 0
	for _, r := range report {
		for _, w := range r {
			if !w.heard {
				continue
			}
			p := table.Posterior(w.e).Right
			bin := min(int(10*p), 9)
			n[bin]++
			sum[bin] += p
			d := p
			if w.class == confidence.WasRight {
				right[bin]++
				d--
			}
			brier += d * d
			all++
		}
	}
	t.Logf("unseen half: %d utterances, Brier score %.4f", all, brier/float64(max(all, 1)))
	for bin := range n {
		if n[bin] > 0 {
			t.Logf("%.1f to %.1f: said %.3f, was right %s of %d", float64(bin)/10, float64(bin+1)/10, sum[bin]/float64(n[bin]), share(right[bin], n[bin]), n[bin])
		}
	}
}

// reportRows prints the table of goals.
func reportRows(t *testing.T, table confidence.Table, report []recording) {
	t.Helper()
	counts := map[string]tally{}
	costs := confidence.DefaultCosts()
	for _, r := range report {
		line := r[0].line
		name := line.Noise
		if line.Answer {
			name = "answers"
		}
		got := r.became(table, costs)
		names := []string{name}
		if _, level, noisy := strings.Cut(name, " "); noisy {
			names = append(names, "all noises "+level)
		}
		for _, name := range names {
			c := counts[name]
			c[got]++
			counts[name] = c
		}
		if got == wrong || line.Noise == "speech" && got != ignoredIt || got == askedWrong || got == ignoredIt && line.Text != "" {
			for _, w := range r {
				t.Logf("%v: %s, %s, said %q, heard %q and %v, chosen %q: %.4f", got, line.Noise, line.Voice, line.Text, w.line.Heard, bestOf(w.line.Second), w.text, table.Posterior(w.e))
			}
		}
	}
	t.Logf("%-20s %4s  %-22s %-22s %5s %5s  %s", "unseen half", "n", "taken right", "or right after yes", "asked", "ign.", "wrong unasked")
	for _, name := range slices.Sorted(maps.Keys(counts)) {
		g := counts[name]
		n := g.n()
		t.Logf("%-20s %4d  %-22s %-22s %5d %5d  %s", name, n, share(g[exact], n), share(g[exact]+g[askedRight], n), g[askedRight]+g[askedWrong], g[ignoredIt], share(g[wrong], n))
	}
}

func bestOf(w *capture.Witness) string {
	if w == nil || len(w.Sentences) == 0 {
		return ""
	}
	return fmt.Sprintf("%s (%.1f; free %q %.1f)", w.Sentences[0].Text, w.Sentences[0].LogP, w.Free, w.FreeLogP)
}
