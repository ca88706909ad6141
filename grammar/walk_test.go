package grammar

import (
	"bufio"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"downlead/grammar/speech"
)

// compiled is the recogniser's own network of a speech grammar.
type compiled struct {
	start, final int
	arcs         map[int][]compiledArc
	all          int
}

type compiledArc struct {
	to   int
	word string // "" for none
}

// compile gives a speech grammar to the recogniser's compiler and reads the
// network it writes.
func compile(t *testing.T, jsgf string) compiled {
	t.Helper()
	tool, err := exec.LookPath("sphinx_jsgf2fsg")
	if err != nil {
		t.Skip("sphinx_jsgf2fsg is not installed (Debian: sphinxbase-utils): the recogniser's own network is not walked")
	}
	in, out := filepath.Join(t.TempDir(), "a.gram"), filepath.Join(t.TempDir(), "a.fsg")
	if err := os.WriteFile(in, []byte(jsgf), 0o600); err != nil {
		t.Fatal(err)
	}
	if msg, err := exec.Command(tool, "-jsgf", in, "-fsg", out).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, msg)
	}
	b, err := os.Open(out)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	c := compiled{arcs: map[int][]compiledArc{}}
	for s := bufio.NewScanner(b); s.Scan(); {
		f := strings.Fields(s.Text())
		switch {
		case len(f) < 2:
		case f[0] == "START_STATE":
			c.start, _ = strconv.Atoi(f[1])
		case f[0] == "FINAL_STATE":
			c.final, _ = strconv.Atoi(f[1])
		case f[0] == "TRANSITION":
			from, _ := strconv.Atoi(f[1])
			to, _ := strconv.Atoi(f[2])
			word := ""
			if len(f) > 4 {
				word = f[4]
			}
			c.arcs[from] = append(c.arcs[from], compiledArc{to, word})
			c.all++
		}
	}
	return c
}

// walk goes from start to end at random.
func (c compiled) walk(r *rand.Rand) string {
	var words []string
	for at := c.start; at != c.final; {
		arcs := c.arcs[at]
		a := arcs[r.IntN(len(arcs))]
		if a.word != "" {
			words = append(words, a.word)
		}
		at = a.to
	}
	return strings.Join(words, " ")
}

// TestWalks: what the recogniser can hear, by its own compiler's network,
// parses: 20,000 random walks, and 5,000 of the grammar for answers.
func TestWalks(t *testing.T) {
	p := newParser(t)
	r := rand.New(rand.NewPCG(4, 4))
	everything := compile(t, p.JSGF(speech.Focus{}))
	failed := 0
	for range 20000 {
		said := everything.walk(r)
		if _, err := p.Parse(said); err != nil {
			t.Errorf("%q: %v", said, err)
			if failed++; failed > 10 {
				t.FailNow()
			}
		}
	}
	answers := compile(t, p.JSGF(speech.Focus{Answers: true}))
	for range 5000 {
		said := answers.walk(r)
		_, aerr := p.ParseAnswer(said)
		_, err := p.Parse(said)
		if aerr != nil && err != nil {
			t.Errorf("%q: %v; %v", said, aerr, err)
			if failed++; failed > 10 {
				t.FailNow()
			}
		}
	}
	t.Logf("everything: %d states, %d arcs; answers: %d states, %d arcs", len(everything.arcs), everything.all, len(answers.arcs), answers.all)
}

// TestDictionary: every word of the speech grammar has a pronunciation, in the
// recogniser's dictionary or from us, and none is given twice.
func TestDictionary(t *testing.T) {
	const dictionary = "/usr/share/pocketsphinx/model/en-us/cmudict-en-us.dict"
	b, err := os.ReadFile(dictionary)
	if err != nil {
		t.Skip("the recogniser's dictionary is not installed (Debian: pocketsphinx-en-us): words are not looked up")
	}
	base := map[string]bool{}
	for line := range strings.Lines(string(b)) {
		w, _, _ := strings.Cut(line, " ")
		base[w] = true
	}
	p := newParser(t)
	ours := map[string]bool{}
	for line := range strings.Lines(p.Pronunciations(func(w string) bool { return base[w] })) {
		w, sounds, _ := strings.Cut(line, " ")
		if base[w] || ours[w] {
			t.Errorf("%q is pronounced twice", w)
		}
		if speech.KnownSounds()[w] == "" {
			t.Errorf("%q is only guessed: %s", w, sounds)
		}
		ours[w] = true
	}
	for line := range strings.Lines(p.Pronunciations(nil)) {
		if w, _, _ := strings.Cut(line, " "); !ours[w] {
			t.Errorf("%q needs no pronunciation of ours", w)
		}
	}
	body := strings.SplitN(p.JSGF(speech.Focus{}), "\n\n", 2)[1]
	count := 0
	for w := range strings.FieldsFuncSeq(body, func(r rune) bool { return strings.ContainsRune("[]()|=; \n", r) }) {
		if strings.HasPrefix(w, "<") || w == "public" {
			continue
		}
		count++
		if !base[w] && !ours[w] {
			t.Errorf("%q has no pronunciation", w)
		}
	}
	if count < 300 {
		t.Errorf("only %d words in the speech grammar", count)
	}
}
