package fault

import (
	"maps"
	"slices"

	"downlead/diagnose/level"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// LearnPriors returns the tables with fault priors learned from the records of
// closed jobs. A nil t means the built-in tables.
//
// A closed job exists only because something failed, so the share of jobs with
// a fault of some kind is not how often that kind fails: the shares give the
// ratios, and how often two kinds failed together gives the scale. Both are
// Dirichlet means, the built-in priors counting as so many jobs as the tables
// say. Only confirmed causes count, against the elements that were on the path.
func LearnPriors(t *level.Tables, records []record.Record) *level.Tables {
	return LearnLessons(t, lessons(records))
}

// tally counts what closed jobs had and what was wrong there.
type tally struct {
	jobs, doubles float64
	exposure      map[entry.Element]float64            // elements on the path, over all jobs
	causes        map[entry.Element]map[string]float64 // confirmed, by mode
	faulty        map[entry.Element]float64            // jobs with a confirmed cause of the kind
}

// LearnLessons is LearnPriors from lessons, wherever they were kept.
func LearnLessons(t *level.Tables, all []Lesson) *level.Tables {
	t = level.TablesOr(t)
	tl := countAll(t, all)
	if tl.jobs == 0 {
		return t
	}
	out := *t
	out.LearnedJobs = int(tl.jobs)
	out.Prior = map[string]level.PriorTable{}
	for kind, modes := range t.Prior {
		out.Prior[kind] = maps.Clone(modes)
	}
	kinds, w := slices.Sorted(maps.Keys(tl.exposure)), t.Learning.WeightJobs
	// What the priors expect of such jobs: the chance of each kind, of any, of two.
	prior := make([]float64, len(kinds))
	none, pairs := 1.0, 0.0
	for i, k := range kinds {
		prior[i] = min(Total(t.Prior[string(k)])*tl.exposure[k]/tl.jobs, 0.9)
		none *= 1 - prior[i]
		for _, q := range prior[:i] {
			pairs += prior[i] * q
		}
	}
	share := make([]float64, len(kinds))
	for i, k := range kinds {
		share[i] = (tl.faulty[k] + w*prior[i]/(1-none)) / (tl.jobs + w)
	}
	double := (tl.doubles + w*pairs/(1-none)) / (tl.jobs + w)
	for i, p := range RatesFromShares(share, double) {
		k := kinds[i]
		total := Total(t.Prior[string(k)])
		if total == 0 || prior[i] == 0 {
			continue
		}
		each := min(p*tl.jobs/tl.exposure[k], maxLearned)
		seen := 0.0
		for _, n := range tl.causes[k] {
			seen += n
		}
		weight := w * prior[i] / (1 - none)
		for mode, q := range t.Prior[string(k)] {
			out.Prior[string(k)][mode] = each * (tl.causes[k][mode] + weight*q/total) / (seen + weight)
		}
	}
	return &out
}

// maxLearned bounds the prior of one element: nothing on a path is expected
// to be broken.
const maxLearned = 0.3

// RatesFromShares turns the shares of closed jobs in which each kind was at
// fault, and the share in which two were, into how often each kind is at
// fault: with independent faults seen only where there is one, share_i =
// p_i/Q and double = sum of p_i p_j / Q, so Q = double / sum of share_i share_j.
func RatesFromShares(share []float64, double float64) []float64 {
	pairs := 0.0
	for i, r := range share {
		for _, q := range share[:i] {
			pairs += r * q
		}
	}
	any := 1.0
	if pairs > 0 {
		any = min(double/pairs, 1)
	}
	out := make([]float64, len(share))
	for i, r := range share {
		out[i] = r * any
	}
	return out
}

func Total(p level.PriorTable) float64 {
	sum := 0.0
	for _, q := range p {
		sum += q
	}
	return sum
}

// countAll adds up lessons.
func countAll(t *level.Tables, all []Lesson) tally {
	tl := tally{
		exposure: map[entry.Element]float64{}, causes: map[entry.Element]map[string]float64{},
		faulty: map[entry.Element]float64{},
	}
	for _, l := range all {
		count(t, &tl, l)
	}
	return tl
}

// count adds one closed job that had a confirmed cause.
func count(t *level.Tables, tl *tally, l Lesson) {
	if len(l.Found) == 0 {
		return
	}
	kinds := map[entry.Element]bool{}
	for _, f := range l.Found {
		kinds[f.Element] = true
		if tl.causes[f.Element] == nil {
			tl.causes[f.Element] = map[string]float64{}
		}
		credit(t, tl.causes[f.Element], f.Element, f.Signal)
	}
	tl.jobs++
	if len(kinds) > 1 {
		tl.doubles++
	}
	for k := range kinds {
		tl.faulty[k]++
	}
	for k, n := range l.Parts {
		tl.exposure[k] += float64(n)
	}
}

// credit shares one confirmed cause among the modes that it may have had: open
// where nothing arrived, else the others, as likely as the priors make them.
func credit(t *level.Tables, to map[string]float64, kind entry.Element, signal bool) {
	total := 0.0
	fits := func(mode string) bool {
		return signal != (mode == level.ModeOpen || mode == level.ModeDropout || mode == level.ModePolarity)
	}
	for mode, q := range t.Prior[string(kind)] {
		if fits(mode) {
			total += q
		}
	}
	for mode, q := range t.Prior[string(kind)] {
		if fits(mode) && total > 0 {
			to[mode] += q / total
		}
	}
}

// closed reports that the job was closed and not opened again.
func closed(c trace.Call) bool {
	closed := false
	for _, r := range c.Records {
		if j, ok := r.Entry.(entry.Job); ok && (j.Verb == "close" || j.Verb == "reopen") {
			closed = j.Verb == "close"
		}
	}
	return closed
}

// provedDB is how far a level must rise for the repair before it to count as
// one of a fault: three spreads of the difference of two readings of a 1 dB meter.
const provedDB = 4.2

// confirmed returns the elements whose repair was proved: the only one worked
// on between two readings behind a receiver, of which the second passes where
// the first failed, or stands much higher. The value says whether any signal
// had arrived before.
func confirmed(c trace.Call) map[int]bool {
	out := map[int]bool{}
	before := map[int]trace.Observation{}
	for _, o := range c.Observations {
		if c.Path.Elements[o.Element].Element != entry.Receiver || !trace.Judges(o.Reading) {
			continue
		}
		first, ok := before[o.Element]
		before[o.Element] = o
		if !ok || !better(first.Reading, o.Reading, c.Settings) {
			continue
		}
		element, repairs := -1, 0
		for _, r := range c.Repairs {
			if r.Seq > first.Seq && r.Seq < o.Seq && len(r.Elements) > 0 && c.Path.Above(r.Elements[0], o.Element) {
				element = r.Elements[0]
				repairs++
			}
		}
		if repairs == 1 {
			out[element] = !first.Reading.NoSignal
		}
	}
	return out
}

// better reports that a second reading proves a repair against the first.
func better(first, second entry.Reading, s trace.Settings) bool {
	switch {
	case trace.Counts(first, s) != entry.Fail:
		return false
	case trace.Counts(second, s) == entry.Pass:
		return true
	case first.NoSignal:
		return second.Level.Said() && !second.NoSignal
	}
	return first.Level.Said() && second.Level.Said() && second.Level.Float()-first.Level.Float() > provedDB
}
