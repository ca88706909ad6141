package fault

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"downlead/diagnose/level"
	"downlead/diagnose/trace"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// Lesson is what one closed job teaches about how often parts fail: what was
// on its path, and what was proved to be at fault. It says nothing of where or
// whose the job was, so the lessons of a team can be put together.
type Lesson struct {
	Parts map[entry.Element]int `json:"parts"` // elements on the path by kind, receivers left out
	Found []FoundFault          `json:"found"` // in order of the path; empty when nothing was proved
}

// FoundFault is a part whose repair was proved.
type FoundFault struct {
	Element entry.Element `json:"element"`
	Signal  bool          `json:"signal"` // some signal had arrived before
}

// LessonOf returns what the records of one job teach; an open job teaches nothing.
func LessonOf(records []record.Record) Lesson {
	l := Lesson{Parts: map[entry.Element]int{}, Found: []FoundFault{}}
	c := trace.Replay(records)
	if !closed(c) {
		return l
	}
	found := confirmed(c)
	for _, i := range slices.Sorted(maps.Keys(found)) {
		l.Found = append(l.Found, FoundFault{c.Path.Elements[i].Element, found[i]})
	}
	for _, e := range c.Path.Elements {
		if e.Element != entry.Receiver {
			l.Parts[e.Element]++
		}
	}
	return l
}

// lessons are those of the jobs among the records.
func lessons(records []record.Record) []Lesson {
	byJob := map[string][]record.Record{}
	for _, r := range records {
		byJob[r.Job] = append(byJob[r.Job], r)
	}
	out := make([]Lesson, 0, len(byJob))
	for _, job := range slices.Sorted(maps.Keys(byJob)) {
		out = append(out, LessonOf(byJob[job]))
	}
	return out
}

// OddsTOML returns the tables' fault priors as a table file for ReadTables,
// and how many jobs they weigh as much as, so that what a technician learns
// later shifts them as little as it should.
func OddsTOML(t *level.Tables) string {
	t = level.TablesOr(t)
	var b strings.Builder
	fmt.Fprintf(&b, "# How often a part is at fault, learned from %d closed jobs. For tables.toml.\n\n", t.LearnedJobs)
	fmt.Fprintf(&b, "[learning]\nweight_jobs = %.1f\n", t.Learning.WeightJobs+float64(t.LearnedJobs))
	for _, kind := range slices.Sorted(maps.Keys(t.Prior)) {
		fmt.Fprintf(&b, "\n[prior.%s]\n", kind)
		for _, mode := range slices.Sorted(maps.Keys(t.Prior[kind])) {
			fmt.Fprintf(&b, "%s = %.8f\n", mode, t.Prior[kind][mode])
		}
	}
	return b.String()
}
