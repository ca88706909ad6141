package office

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"downlead/diagnose/fault"
	"downlead/export/closeout"
	"downlead/export/pay"
	"downlead/export/quality"
	"downlead/journal"
	"downlead/journal/record"
)

// Journals are the journals of a team as files. They give what an Office gives.
type Journals struct {
	list []*journal.Journal
	ids  []string
}

// OpenFolder opens every journal (*.db) in a folder, to read.
func OpenFolder(ctx context.Context, dir string) (*Journals, error) {
	paths, err := filepath.Glob(filepath.Join(strings.NewReplacer(`\`, `\\`, "*", `\*`, "?", `\?`, "[", `\[`).Replace(dir), "*.db"))
	if err != nil {
		return nil, fmt.Errorf("journals in %s: %w", dir, err)
	}
	if len(paths) == 0 {
		return nil, fmt.Errorf("journals in %s: there is no *.db file: name the folder that the journals were copied to", dir)
	}
	all := &Journals{}
	for _, p := range paths {
		j, err := journal.Open(ctx, p, journal.Options{ReadOnly: true})
		if err != nil {
			return nil, errors.Join(err, all.Close(ctx))
		}
		if err := all.Add(ctx, j); err != nil {
			return nil, errors.Join(fmt.Errorf("%s: %w", p, err), j.Close(), all.Close(ctx))
		}
	}
	return all, nil
}

// Add takes a journal in. Two copies of one journal would count its jobs twice.
func (a *Journals) Add(ctx context.Context, j *journal.Journal) error {
	id, err := j.Identity(ctx)
	if err != nil {
		return err
	}
	if id == "" {
		return errors.New("the journal has no identity yet: open it once to write, with any entry")
	}
	if slices.Contains(a.ids, id) {
		return fmt.Errorf("it is a copy of another journal there (%s): take one of them away", id)
	}
	a.list, a.ids = append(a.list, j), append(a.ids, id)
	return nil
}

// Close closes all journals.
func (a *Journals) Close(context.Context) error {
	var errs []error
	for _, j := range a.list {
		errs = append(errs, j.Close())
	}
	return errors.Join(errs...)
}

// Each calls f with every journal, until one fails.
func (a *Journals) Each(f func(id string, j *journal.Journal) error) error {
	for i, j := range a.list {
		if err := f(a.ids[i], j); err != nil {
			return err
		}
	}
	return nil
}

// Heads returns how far each journal goes, in order of their identities, with
// whose it is.
func (a *Journals) Heads(ctx context.Context) ([]closeout.ChainHead, []string, error) {
	var heads []closeout.ChainHead
	names := map[string]string{}
	err := a.Each(func(id string, j *journal.Journal) error {
		head, count, err := j.Head(ctx)
		if err != nil {
			return err
		}
		heads = append(heads, closeout.ChainHead{ID: id, Head: head.String(), Count: count})
		names[id], err = j.LastTechnician(ctx)
		return err
	})
	slices.SortFunc(heads, func(a, b closeout.ChainHead) int { return strings.Compare(a.ID, b.ID) })
	owners := make([]string, len(heads))
	for i, h := range heads {
		owners[i] = names[h.ID]
	}
	return heads, owners, err
}

// Visits returns the visits of the jobs that lie in a time, as quality judges them.
func (a *Journals) Visits(ctx context.Context, of Of) ([]quality.Visited, error) {
	jobs, err := a.jobs(ctx, of, Job.withVisits)
	var out []quality.Visited
	for _, j := range jobs {
		out = append(out, j.Visits...)
	}
	return out, err
}

// Work returns what pay reads of the jobs that lie in a time, with the
// technician of each.
func (a *Journals) Work(ctx context.Context, of Of) ([]pay.Work, []string, error) {
	jobs, err := a.jobs(ctx, of, Job.withWork)
	var out []pay.Work
	var names []string
	for _, j := range jobs {
		out, names = append(out, j.Work), append(names, j.Technician)
	}
	return out, names, err
}

// Lessons returns what all jobs teach about how often parts fail.
func (a *Journals) Lessons(ctx context.Context, of Of) ([]fault.Lesson, error) {
	jobs, err := a.jobs(ctx, of, Job.withLesson)
	var out []fault.Lesson
	for _, j := range jobs {
		if j.Number != "" {
			out = append(out, j.Lesson)
		}
	}
	return out, err
}

// jobs reads the jobs of all journals in the order in which a database gives
// them, each with what one of the makers adds.
func (a *Journals) jobs(ctx context.Context, of Of, with func(Job, []record.Record) (Job, error)) ([]Job, error) {
	order := slices.Clone(a.ids)
	slices.Sort(order)
	var out []Job
	for _, id := range order {
		j := a.list[slices.Index(a.ids, id)]
		owner, err := j.LastTechnician(ctx)
		if err != nil {
			return nil, err
		}
		jobs, err := journal.Fold(ctx, j, of.From, of.To, func(_ string, records []record.Record) (Job, error) {
			return with(plainJob(id, records), records)
		})
		if err != nil {
			return nil, err
		}
		for _, job := range jobs {
			if job = job.owned(owner); of.Technician == "" || job.Technician == of.Technician {
				out = append(out, job)
			}
		}
	}
	return out, nil
}
