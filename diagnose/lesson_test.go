package diagnose

import (
	"encoding/json"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"downlead/diagnose/fault"
	"downlead/diagnose/level"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// What was learned from lessons that were kept and read back, and from a
// tables file, is what is learned from the records themselves.
func TestLessonsComeBack(t *testing.T) {
	all := append(jobs(30, entry.WallPlate, true), jobs(20, entry.GroundBlock, true)...)
	want := fault.LearnPriors(nil, all)
	if want.LearnedJobs == 0 {
		t.Fatal("nothing was learned")
	}
	byJob := map[string][]record.Record{}
	for _, r := range all {
		byJob[r.Job] = append(byJob[r.Job], r)
	}
	var lessons []fault.Lesson
	for _, job := range slices.Sorted(maps.Keys(byJob)) {
		lessons = append(lessons, fault.LessonOf(byJob[job]))
	}
	raw, err := json.Marshal(lessons)
	if err != nil {
		t.Fatal(err)
	}
	var kept []fault.Lesson
	if err := json.Unmarshal(raw, &kept); err != nil {
		t.Fatal(err)
	}
	got := fault.LearnLessons(nil, kept)
	close := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-12 }) // sums in another order
	if d := cmp.Diff(want.Prior, got.Prior, close); d != "" || got.LearnedJobs != want.LearnedJobs {
		t.Errorf("%d jobs, want %d: %s", got.LearnedJobs, want.LearnedJobs, d)
	}
	file, err := level.ReadTables(strings.NewReader(fault.OddsTOML(got)))
	if err != nil {
		t.Fatal(err)
	}
	for kind, modes := range want.Prior {
		for mode, p := range modes {
			if d := file.Prior[kind][mode] - p; d > 1e-8 || d < -1e-8 {
				t.Errorf("%s %s: %g in the file, %g learned", kind, mode, file.Prior[kind][mode], p)
			}
		}
	}
	if w := file.Learning.WeightJobs; w != level.BuiltinTables().Learning.WeightJobs+float64(want.LearnedJobs) {
		t.Errorf("weighs %g jobs", w)
	}
}
