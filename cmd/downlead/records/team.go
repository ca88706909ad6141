package records

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"downlead/cmd/downlead/cli"
	"downlead/diagnose/fault"
	"downlead/export/closeout"
	"downlead/export/office"
	"downlead/export/pay"
	"downlead/export/quality"
	"downlead/journal"
)

// teamFlags say whose records figures are made from: those of the journal
// where neither is given.
type teamFlags struct{ from, journals string }

func (f *teamFlags) add(fl *pflag.FlagSet) {
	fl.StringVar(&f.from, "from", "", "read the team's jobs from the database at this `address` (postgres://user@host/name)")
	fl.StringVar(&f.journals, "journals", "", "read the team's jobs from the journals in this `folder`")
}

func (f teamFlags) given() bool { return f.from != "" || f.journals != "" }

// team is where the jobs of several technicians are read from.
type team interface {
	Heads(ctx context.Context) ([]closeout.ChainHead, []string, error)
	Visits(ctx context.Context, of office.Of) ([]quality.Visited, error)
	Work(ctx context.Context, of office.Of) ([]pay.Work, []string, error)
	Lessons(ctx context.Context, of office.Of) ([]fault.Lesson, error)
	Close(ctx context.Context) error
}

func (f teamFlags) open(ctx context.Context) (team, error) {
	switch {
	case f.from != "" && f.journals != "":
		return nil, cli.UsageError{Err: errors.New("--from and --journals are two places: give one of them")}
	case f.from != "":
		o, err := office.OpenToRead(ctx, f.from)
		if err != nil {
			return nil, err
		}
		return o, nil
	}
	a, err := office.OpenFolder(ctx, f.journals)
	if err != nil {
		return nil, err
	}
	return a, nil
}

// teamQuality computes a month from the visits of a team.
func teamQuality(ctx context.Context, e *cli.Env, g *cli.Global, f qualityFlags) (q quality.Quality, err error) {
	if f.days < 0 {
		return q, cli.UsageError{Err: fmt.Errorf("--days is %d: a fix must hold for 0 days or more", f.days)}
	}
	zone, err := time.LoadLocation(journal.LocalZone())
	if err != nil {
		return q, err
	}
	from, to, err := quality.MonthBounds(f.month, zone)
	if err != nil {
		return q, cli.UsageError{Err: err}
	}
	t, err := f.team.open(ctx)
	if err != nil {
		return q, err
	}
	defer func() { err = errors.Join(err, t.Close(context.WithoutCancel(ctx))) }()
	heads, names, err := t.Heads(ctx)
	if err != nil {
		return q, err
	}
	around := f.days + 1 // a day more, for what was told the day after
	visits, err := t.Visits(ctx, office.Of{From: from.AddDate(0, 0, -around), To: to.AddDate(0, 0, around)})
	if err != nil {
		return q, err
	}
	visits = quality.Team(visits)
	if len(heads) > 1 && g.Technician != "" { // judged among all, as a colleague's visit undoes a fix
		return q, cli.UsageError{Err: errors.New("--technician does not narrow quality: a fix is undone by any colleague's visit; the jobs file says whose each visit is")}
	}
	head, count := quality.TeamHead(heads)
	q, err = quality.NewQuality(quality.QualityInput{
		Visits: visits, Month: f.month, Zone: zone, FixDays: f.days, Lot: f.lot,
		Head: head, Count: count, Version: cli.Version(), AsOf: e.Now(),
	})
	q.Team = teamOf(heads, names)
	return q, err
}

func teamOf(heads []closeout.ChainHead, names []string) []quality.Member {
	out := make([]quality.Member, len(heads))
	for i, h := range heads {
		out[i] = quality.Member{Technician: names[i], Journal: h}
	}
	return out
}

// teamPay adds up a week for each technician of a team; a workweek is one
// person's.
func teamPay(ctx context.Context, e *cli.Env, g *cli.Global, f payFlags) (pays []pay.Pay, err error) {
	t, err := f.team.open(ctx)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, t.Close(context.WithoutCancel(ctx))) }()
	heads, names, err := t.Heads(ctx)
	if err != nil {
		return nil, err
	}
	who := slices.Compact(slices.Sorted(slices.Values(names)))
	if g.Technician != "" {
		who = []string{g.Technician}
	}
	var out []pay.Pay
	for _, name := range who {
		p, err := memberPay(ctx, e, t, heads, name, f)
		if errors.Is(err, pay.ErrNoJobs) && len(who) > 1 {
			continue
		}
		if err != nil {
			return nil, fmt.Errorf("technician %s: %w", cmp.Or(name, "without a name"), err)
		}
		out = append(out, p)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("pay: week %s: %w", f.week, pay.ErrNoJobs)
	}
	return out, nil
}

func memberPay(ctx context.Context, e *cli.Env, t team, heads []closeout.ChainHead, name string, f payFlags) (pay.Pay, error) {
	rates, err := readRates(e, ratesOf(f.rates, name))
	if err != nil {
		return pay.Pay{}, err
	}
	from, to, err := rates.WeekBounds(f.week)
	if err != nil {
		return pay.Pay{}, cli.UsageError{Err: err}
	}
	works, names, err := t.Work(ctx, office.Of{Technician: name, From: from.Add(-payMargin), To: to.Add(payMargin)})
	if err != nil {
		return pay.Pay{}, err
	}
	var own []pay.Work
	for i, w := range works {
		if names[i] != name {
			continue // of nobody, where nobody's are asked for
		}
		for _, h := range heads {
			if h.ID == w.Journal.ID {
				w.Journal = h
			}
		}
		own = append(own, w)
	}
	p, err := pay.NewPay(pay.PayInput{Works: own, Rates: rates, Week: f.week, Version: cli.Version(), AsOf: e.Now()})
	p.Technician = name
	return p, err
}

// ratesOf is a technician's rates file: in a folder the one of that name.
func ratesOf(path, technician string) string {
	if info, err := os.Stat(path); err != nil || !info.IsDir() {
		return path
	}
	return filepath.Join(path, strings.NewReplacer("/", "_", string(filepath.Separator), "_").Replace(technician)+".toml")
}

// writePays prints the weeks of a team, or writes one file a technician where
// there are several: NAME goes before the file's ending.
func writePays(ctx context.Context, e *cli.Env, g *cli.Global, pays []pay.Pay, f payFlags) error {
	var files []cli.OutFile
	taken := map[string]bool{}
	for _, p := range pays {
		for name, write := range map[string]func(io.Writer) error{f.csv: p.CSV, f.xlsx: p.XLSX} {
			if name == "" {
				continue
			}
			if len(pays) > 1 {
				ext := filepath.Ext(name)
				name = strings.TrimSuffix(name, ext) + "-" + strings.ReplaceAll(cmp.Or(p.Technician, "without-a-name"), "/", "_") + ext
			}
			if taken[name] {
				return fmt.Errorf("two technicians would have the file %s: name one by --technician", name)
			}
			taken[name] = true
			files = append(files, cli.OutFile{Name: name, Write: write})
		}
	}
	slices.SortFunc(files, func(a, b cli.OutFile) int { return strings.Compare(a.Name, b.Name) })
	wrote, err := e.WriteFiles(ctx, g, f.force, files)
	if err != nil || len(wrote) > 0 && !g.JSON {
		return err
	}
	for i, p := range pays {
		switch {
		case g.JSON:
			err = p.JSON(e.Out)
		default:
			if i > 0 {
				fmt.Fprintln(e.Out)
			}
			fmt.Fprintln(e.Out, "Technician:", cmp.Or(p.Technician, "without a name"))
			err = p.Text(e.Out)
		}
		if err != nil {
			return err
		}
	}
	return nil
}
