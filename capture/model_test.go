package capture

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"downlead/capture/sound"
	"downlead/capture/soundtest"
)

// modelCopy links the installed model into a folder of the test's own, with
// one file changed.
func modelCopy(t testing.TB, file string, change func([]byte) []byte) string {
	t.Helper()
	if _, err := os.Stat(DefaultModelDir); err != nil {
		t.Skip(ErrNoModel)
	}
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "en-us"), 0o700); err != nil {
		t.Fatal(err)
	}
	for _, f := range modelFiles() {
		from, to := filepath.Join(DefaultModelDir, f), filepath.Join(dir, f)
		if f != file {
			if err := os.Symlink(from, to); err != nil {
				t.Fatal(err)
			}
			continue
		}
		b := change([]byte(readFile(t, from)))
		if b == nil {
			continue
		}
		if err := os.WriteFile(to, b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func TestModelMissing(t *testing.T) {
	_, err := NewRecogniser(Config{ModelDir: t.TempDir()})
	if !errors.Is(err, ErrNoModel) || !strings.Contains(err.Error(), "pocketsphinx-en-us") {
		t.Errorf("error %v, want ErrNoModel that names the package", err)
	}
	for _, f := range modelFiles() {
		dir := modelCopy(t, f, func([]byte) []byte { return nil })
		if _, err := NewRecogniser(Config{ModelDir: dir}); !errors.Is(err, ErrNoModel) || !strings.Contains(err.Error(), filepath.Base(f)) {
			t.Errorf("without %s: error %v, want ErrNoModel that names it", f, err)
		}
	}
}

// damages are the ways a file is spoilt. A changed bit may go unnoticed; what
// is required is an error or a working recogniser, never a crash.
func damages() map[string]func([]byte) []byte {
	return map[string]func([]byte) []byte{
		"half":    func(b []byte) []byte { return b[:len(b)/2] },
		"garbage": func(b []byte) []byte { return []byte(strings.Repeat("\xff\x7f\x13\x00", len(b)/4+1)[:len(b)]) },
		"tail":    func(b []byte) []byte { return append(b[:len(b)*9/10:len(b)*9/10], make([]byte, len(b)/10)...) },
	}
}

// TestModelDamaged loads each damaged model in a process of its own: it must
// end by itself, say nothing on stderr, and give a Go error that names the
// model.
func TestModelDamaged(t *testing.T) {
	if dir := os.Getenv("CAPTURE_TEST_MODEL"); dir != "" {
		loadDamaged(dir)
	}
	t.Parallel()
	pointsRecogniser(t) // skips where there is none
	for _, file := range modelFiles() {
		for name, damage := range damages() {
			dir := modelCopy(t, file, damage)
			cmd := exec.Command(os.Args[0], "-test.run=^TestModelDamaged$")
			cmd.Env = append(os.Environ(), "CAPTURE_TEST_MODEL="+dir)
			out, err := cmd.CombinedOutput()
			if err != nil || !strings.HasPrefix(string(out), "result: ") || strings.Count(string(out), "\n") != 1 {
				if len(out) > 1500 {
					out = out[:1500]
				}
				t.Errorf("%s %s: %v\n%s", file, name, err, out)
				continue
			}
			t.Logf("%s %s: %s", file, name, out)
		}
	}
}

func loadDamaged(dir string) {
	r, err := NewRecogniser(Config{ModelDir: dir, JSGF: digitsGrammar})
	switch {
	case err == nil:
		_, err = r.Recognise(context.Background(), make([]int16, sound.Rate))
		r.Close()
		fmt.Println("result: loaded,", err)
	case !strings.Contains(err.Error(), dir) && !strings.Contains(err.Error(), "missing in the dictionary"):
		fmt.Println("an error that names neither the model nor the dictionary:", err)
	default:
		fmt.Println("result:", strings.ReplaceAll(err.Error(), "\n", " / "))
	}
	os.Exit(0)
}

func TestGrammarErrors(t *testing.T) {
	r := recogniser(t, Config{JSGF: digitsGrammar})
	before, err := r.Recognise(t.Context(), make([]int16, sound.Rate))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, jsgf, want string }{
		{"unknown word", "#JSGF V1.0;\ngrammar g;\npublic <g> = yes | zzyzxq;\n", "zzyzxq"},
		{"capital", "#JSGF V1.0;\ngrammar g;\npublic <g> = Yes;\n", "Yes"},
		{"digit", "#JSGF V1.0;\ngrammar g;\npublic <g> = 7;\n", "7"},
		{"no public rule", "#JSGF V1.0;\ngrammar g;\n<g> = yes;\n", "public"},
		{"rule not there", "#JSGF V1.0;\ngrammar g;\npublic <g> = <h>;\n", "h"},
		{"not a grammar", "yes or no\n", "grammar"},
		{"cut short", "#JSGF V1.0;\ngrammar g;\npublic <g> = yes |", "grammar"},
		{"empty", "", "grammar"},
	} {
		err := r.SetGrammar(c.jsgf)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", c.name, err, c.want)
		}
	}
	after, err := r.Recognise(t.Context(), make([]int16, sound.Rate))
	if err != nil || after.Text != before.Text {
		t.Errorf("after refused grammars: %q, %v; before %q", after.Text, err, before.Text)
	}
	for _, c := range []struct{ lines, want string }{
		{"snark", "snark"},
		{"snark S N QQ K", "snark"},
		{"snark S N AA R K\nsnark(2) S N AE R K\n\nboojum B UW JH AH M", ""},
	} {
		r, err := NewRecogniser(Config{JSGF: digitsGrammar, Pronunciations: c.lines})
		if err == nil {
			defer r.Close()
		}
		if (err == nil) != (c.want == "") || (err != nil && !strings.Contains(err.Error(), c.want)) {
			t.Errorf("pronunciations %q: error %v, want %q", c.lines, err, c.want)
		}
	}
}

// The states of plain phones are counted alike in a definition in text, as the library's own
// converter writes it.
func TestDefinitionInText(t *testing.T) {
	binary := filepath.Join(DefaultModelDir, "en-us/mdef")
	if _, err := os.Stat(binary); err != nil {
		t.Skip(err)
	}
	soundtest.Needs(t, "pocketsphinx_mdef_convert", "pocketsphinx")
	text := filepath.Join(t.TempDir(), "mdef.txt")
	if out, err := exec.Command("pocketsphinx_mdef_convert", "-text", binary, text).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	want, _, err := checkDefinition(binary)
	if err != nil || want == 0 {
		t.Fatal(want, err)
	}
	if got, all, err := checkDefinition(text); got != want || all != 0 || err != nil {
		t.Errorf("%d states of plain phones and %d in all, want %d and 0, %v", got, all, want, err)
	}
}
