package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"html"
	"io"
	"net/http"
	"net/http/cookiejar"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/txtar"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/clitest"
	"downlead/cmd/downlead/review"
	"downlead/diagnose/claim"
	"downlead/diagnose/next"
	"downlead/diagnose/path"
)

// outputs is what the program prints of one job: as text, page, document and
// machine form.
type outputs struct {
	d       claim.Diagnosis // read back from the machine form
	show    string          // job NUMBER
	told    string          // what next
	summary string          // closeout
	record  struct {
		Outcome, Claims json.RawMessage
		Brackets        []string `json:"brackets"`
		Causes          []struct {
			Claim string   `json:"claim"`
			Gain  *float64 `json:"gain_db"`
		} `json:"causes"`
	}
	document string // the text of the PDF
	page     string // the review page, unescaped
}

// callScripts returns the phrases of every written call, by file.
func callScripts(t *testing.T) map[string][]string {
	t.Helper()
	files, err := filepath.Glob("testdata/script/*.txtar")
	if err != nil || len(files) == 0 {
		t.Fatal("no scripts:", err)
	}
	out := map[string][]string{}
	for _, file := range files {
		a, err := txtar.ParseFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range a.Files {
			if lines := strings.Split(strings.TrimSpace(string(f.Data)), "\n"); f.Name == "call.txt" && strings.HasPrefix(lines[0], "start job ") {
				out[strings.TrimSuffix(filepath.Base(file), ".txtar")] = lines
			}
		}
	}
	return out
}

// ran runs a command on a journal and returns what it prints.
func ran(t *testing.T, path, stdin string, args ...string) string {
	t.Helper()
	e, out, errs := clitest.Env(t, stdin)
	code := run(context.Background(), e, append([]string{"--journal", path}, args...))
	if code != cli.ExitDone && !(code == cli.ExitNotUnderstood && args[0] == "say") { // a call may have a phrase that is asked about
		t.Fatalf("%v: exit code %d: %s", args, code, errs)
	}
	return out.String()
}

func outputsOf(t *testing.T, path, number string) outputs {
	t.Helper()
	o := outputs{show: flat(ran(t, path, "", "job", number)), told: ran(t, path, "", "say", "--job", number, "what next"), summary: ran(t, path, "", "closeout", "--job", number)}
	document := filepath.Join(t.TempDir(), "closeout.pdf")
	if err := json.Unmarshal([]byte(ran(t, path, "", "--json", "diagnose", "--job", number)), &o.d); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(ran(t, path, "", "--json", "closeout", "--job", number, "--pdf", document)), &o.record); err != nil {
		t.Fatal(err)
	}
	text, err := exec.Command("pdftotext", "-layout", document, "-").Output()
	if err != nil {
		t.Fatal("pdftotext (package poppler-utils): ", err)
	}
	o.document = flat(string(text))
	o.page = pageOf(t, path, number)
	return o
}

// pageOf opens the review page of a job as a browser does.
func pageOf(t *testing.T, path, number string) string {
	t.Helper()
	e, _, _ := clitest.Env(t, "")
	g := &cli.Global{Journal: path}
	j, err := e.OpenJournal(context.Background(), g, false)
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	p, err := e.Parser()
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	urls, ended := make(chan string, 1), make(chan error, 1)
	go func() {
		ended <- review.Serve(ctx, review.Config{Journal: j, Parser: p, Now: e.Now}, func(url string) { urls <- url })
	}()
	url := <-urls
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	browser := http.Client{Jar: jar}
	var body []byte
	root, _, _ := strings.Cut(url, "/start")
	for u := url; ; u = root + "/job/" + number { // the first lets the browser in
		r, err := browser.Get(u)
		if err != nil {
			t.Fatal(err)
		}
		body, err = io.ReadAll(r.Body)
		r.Body.Close()
		if err != nil || r.StatusCode != http.StatusOK {
			t.Fatal(u, r.Status, err)
		}
		if u != url {
			if !bytes.Contains(body, []byte(`class="jobhead" data-late`)) {
				break
			}
			time.Sleep(20 * time.Millisecond) // it is being worked out: looking takes of the time for it
		}
	}
	stop()
	if err := <-ended; err != nil {
		t.Fatal(err)
	}
	return html.UnescapeString(string(body))
}

// flat is a text on one line.
func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

func all(pattern, text string) []string {
	var out []string
	for _, m := range regexp.MustCompile(pattern).FindAllStringSubmatch(text, -1) {
		out = append(out, m[1])
	}
	return out
}

// TestOneFigureEverywhere holds that all that the program prints of one job
// says the same: of every written call, where its fault is first asked for and
// before it is closed.
func TestOneFigureEverywhere(t *testing.T) {
	var moments, odds, levels atomic.Int64
	t.Cleanup(func() {
		t.Logf("%d moments, %d odds, %d levels", moments.Load(), odds.Load(), levels.Load())
		if odds.Load() == 0 || levels.Load() == 0 {
			t.Error("nothing was compared")
		}
	})
	for name, phrases := range callScripts(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			path, from := filepath.Join(t.TempDir(), "call.db"), 0
			number := strings.ReplaceAll(strings.TrimPrefix(phrases[0], "start job "), " ", "")
			end := len(phrases)
			if i := slices.IndexFunc(phrases, func(p string) bool { return strings.HasPrefix(p, "close job") }); i > 0 {
				end = i
			}
			for _, to := range []int{1 + slices.Index(phrases, "where is the fault"), end} {
				if to <= from {
					continue
				}
				ran(t, path, strings.Join(phrases[from:to], "\n")+"\n", "say", "-")
				from = to
				o := outputsOf(t, path, number)
				moments.Add(1)
				odds.Add(int64(o.oddsAgree(t)))
				levels.Add(int64(o.levelsAgree(t)))
				o.sentencesAgree(t)
			}
		})
	}
}

// oddsAgree holds that what is said of each suspect is one figure.
func (o outputs) oddsAgree(t *testing.T) int {
	t.Helper()
	said := map[string]string{}
	var want []string
	for _, c := range o.d.Claims {
		if c.Code != claim.Suspected {
			continue
		}
		p := next.Percent(c.Figures["p"])
		what, figure, _ := strings.Cut(strings.TrimSuffix(c.Text, ")."), ": ")
		if !strings.HasSuffix(figure, "("+p) {
			t.Errorf("claim %q of p %v", c.Text, c.Figures["p"])
		}
		said[strings.ToLower(what)] = p
		want = append(want, p)
	}
	if got := all(`<b>([^<]* %)</b>`, o.page); !slices.Equal(got, want) {
		t.Errorf("the page lists %q, the claims say %q", got, want)
	}
	slices.Sort(want)
	for where, mark := range map[string][]string{"page's": all(`class="suspect"[^>]*>suspect, ([^:<]*)`, o.page), "document's": all(`suspect, ((?:over |under )?[0-9]+ %)`, o.document)} {
		if slices.Sort(mark); !slices.Equal(mark, want) {
			t.Errorf("the %s path is marked %q, the claims say %q", where, mark, want)
		}
	}
	listed := 0
	for _, m := range regexp.MustCompile(`([^:;(]*?)(: | is at fault, )[a-z ]+ \(([^)]* %)\)`).FindAllStringSubmatch(o.show+" "+o.told, -1) {
		what := strings.ToLower(strings.TrimSpace(m[1]))
		found := strings.HasSuffix(what, " or a fitting of it")
		for name, p := range said {
			found = found || p == m[3] && strings.HasSuffix(what, name)
		}
		if !found && !strings.Contains(m[0], "at once, ") && !strings.Contains(m[0], "more than three faults") {
			t.Errorf("%q is said, and the claims say %v", m[0], said)
		}
		if m[2] == ": " {
			listed++
		}
	}
	if listed < min(len(said), 3) {
		t.Errorf("the screen lists %d suspects, the claims say %v", listed, said)
	}
	return len(want)
}

// levelsAgree holds that every level and margin of the machine form is printed
// alike in the page, on the screen and in the record, and no other one.
func (o outputs) levelsAgree(t *testing.T) int {
	t.Helper()
	shown := func(v float64) string {
		return strings.TrimSuffix(strings.TrimSuffix(fmt.Sprintf("%.2f", v), "0"), ".0")
	}
	page := strings.ReplaceAll(o.page, "−", "-")
	figure := page[strings.Index(page, `class="pathfig"`):]
	figure = figure[:strings.Index(figure, "</svg>")]
	var levels, margins []string
	for _, p := range o.d.Points {
		if !slices.ContainsFunc(o.d.Path, func(e path.PathElement) bool { return e.ID == p.ID }) {
			continue // read at a part that was taken out: no line leads there now
		}
		if p.Level != nil {
			levels = append(levels, strings.TrimSuffix(shown(*p.Level), ".0"))
			for name, text := range map[string]string{"document": o.document, "summary": o.summary} {
				if !strings.Contains(text, levels[len(levels)-1]+" dBm") {
					t.Errorf("the %s has no %s dBm, of %v", name, levels[len(levels)-1], p.Point)
				}
			}
		}
		if p.Margin != nil {
			margins = append(margins, strings.TrimSuffix(shown(*p.Margin), ".0"))
		}
	}
	gotLevels, gotMargins := all(`class="figures"[^>]*>(-?[0-9.]+) dBm`, figure), all(`class="figures"[^<]*margin \+?(-?[0-9.]+)`, figure)
	for _, x := range []*[]string{&levels, &margins, &gotLevels, &gotMargins} {
		slices.Sort(*x)
	}
	if !slices.Equal(gotLevels, levels) {
		t.Errorf("the page's path has levels %v, the machine form %v", gotLevels, levels)
	}
	if !slices.Equal(gotMargins, margins) {
		t.Errorf("the page's path has margins %v, the machine form %v", gotMargins, margins)
	}
	for _, c := range o.record.Causes {
		if m := all(`([0-9.]+) dB gained`, c.Claim); len(m) == 1 && c.Gain != nil && m[0] != fmt.Sprintf("%.1f", *c.Gain) {
			t.Errorf("%q, and gain_db is %v", c.Claim, *c.Gain)
		}
	}
	return len(levels)
}

// sentencesAgree holds that where the fault is, how the call ended, and what
// is next read the same wherever they stand.
func (o outputs) sentencesAgree(t *testing.T) {
	t.Helper()
	page := flat(o.page)
	where := o.d.Where()
	if !slices.Equal(where, o.record.Brackets) {
		t.Errorf("diagnose says %q, the record %q", where, o.record.Brackets)
	}
	for _, w := range where {
		for name, text := range map[string]string{"screen": o.show, "summary": flat(o.summary), "document": o.document, "page": page} {
			if !strings.Contains(text, flat(w)) {
				t.Errorf("the %s does not say %q", name, w)
			}
		}
	}
	for _, c := range o.d.Claims {
		if !strings.Contains(page, flat(c.Text)) {
			t.Errorf("the page does not say %q", c.Text)
		}
	}
	for _, k := range o.record.Causes {
		if !strings.Contains(o.document, flat(k.Claim)) || !strings.Contains(flat(o.summary), flat(k.Claim)) {
			t.Errorf("the record does not say %q", k.Claim)
		}
	}
	if n := o.d.Next; n != nil && n.Text != "" {
		if !strings.HasPrefix(flat(o.told), flat(n.Text)) {
			t.Errorf("next is %q, said is %q", n.Text, o.told)
		}
		if n.Minutes > 0 && strings.Contains(o.show, "Next: ") {
			minutes := all(`about ([0-9]+) min\)`, o.show)
			if len(minutes) > 0 && !strings.Contains(page, "about "+minutes[0]+" min") {
				t.Errorf("the screen says about %s min, the page does not", minutes[0])
			}
		}
	}
}
