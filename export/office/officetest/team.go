package officetest

import (
	"context"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// From is the day of the first job of an invented team.
var From = time.Date(2026, 9, 1, 0, 0, 0, 0, time.UTC)

// Names are invented technicians.
func Names(n int) []string {
	first := []string{"Ana", "Ben", "Cy", "Dee", "Eli", "Fay", "Gus", "Hal", "Ida", "Jo"}
	out := make([]string, n)
	for i := range out {
		out[i] = fmt.Sprintf("%s Example-%d", first[i%len(first)], i+1)
	}
	return out
}

// Write makes the journal of one invented technician in a folder: so many jobs,
// four a day, and returns its path. The addresses are those of a small town, so
// that colleagues come to the same ones; job numbers begin at 1 in every journal.
func Write(t testing.TB, dir, technician string, jobs int, seed uint64) string {
	t.Helper()
	path := filepath.Join(dir, fmt.Sprintf("journal-%03d.db", seed))
	j, err := journal.Open(context.Background(), path, journal.Options{Create: true, Technician: technician})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	zone, err := time.LoadLocation("America/Denver")
	if err != nil {
		t.Fatal(err)
	}
	w := writer{rand: rand.New(rand.NewPCG(seed, 7)), zone: zone, jobs: jobs}
	var drafts []record.Draft
	for n := 1; n <= jobs; n++ {
		drafts = append(drafts, w.job(n)...)
		if len(drafts) > 4000 || n == jobs {
			if _, err := j.Append(context.Background(), drafts...); err != nil {
				t.Fatal(err)
			}
			drafts = drafts[:0]
		}
	}
	return path
}

type writer struct {
	rand *rand.Rand
	zone *time.Location
	jobs int
	out  []record.Draft
	at   time.Time
	name string
}

func (w *writer) chance(share float64) bool { return w.rand.Float64() < share }

func (w *writer) say(e entry.Entry) {
	w.out = append(w.out, record.Draft{Job: w.name, At: w.at, Zone: w.zone.String(), Origin: record.Typed, Phrase: "as typed", Entry: e})
	w.at = w.at.Add(time.Duration(1+w.rand.IntN(4)) * time.Minute)
}

func dec(n int64) entry.Decimal { return entry.NewDecimal(n/10, n%10) }

func behind(n int) entry.Point {
	return entry.Point{Element: entry.Receiver, Number: n, Side: entry.DishSide}
}

// job is one job of four in a day; one in twelve is gone to again.
func (w *writer) job(n int) []record.Draft {
	w.out, w.name = nil, fmt.Sprint(n)
	day := From.AddDate(0, 0, (n-1)/4)
	w.at = time.Date(day.Year(), day.Month(), day.Day(), 7+3*((n-1)%4), w.rand.IntN(60), 0, 0, w.zone)
	w.say(entry.Job{Verb: "start", Number: w.name})
	if !w.chance(.03) {
		w.say(entry.Site{Text: fmt.Sprintf("%d Invented %s", 1+w.rand.IntN(40), []string{"Road", "Rd", "Lane", "St"}[w.rand.IntN(4)]), Reported: "06:10"})
	}
	w.say(entry.Job{Verb: "complaint", Text: "picture breaks up"})
	w.say(entry.Time{Mark: "en_route"})
	w.at = w.at.Add(15 * time.Minute)
	if w.chance(.04) {
		w.say(entry.Time{Mark: "no_access"})
		w.say(entry.Time{Mark: "departed"})
		w.say(entry.Job{Verb: "close", Text: "nobody home"})
		return w.out
	}
	w.visit(w.chance(.85))
	if w.chance(.08) {
		w.at = w.at.AddDate(0, 0, 1+w.rand.IntN(20))
		w.say(entry.Job{Verb: "reopen", Text: "called again"})
		w.visit(true)
	}
	return w.out
}

func (w *writer) visit(mended bool) {
	parts := []entry.Element{entry.GroundBlock, entry.Splitter, entry.Fitting, entry.Cable, entry.LNB, entry.WallPlate}
	part := parts[w.rand.IntN(len(parts))]
	w.say(entry.Time{Mark: "arrived"})
	w.say(entry.Setting{Name: "weather", Text: []string{"dry", "rain"}[w.rand.IntN(2)]})
	w.say(entry.Path{Elements: []entry.PathElement{
		{Element: entry.Dish},
		{Element: entry.LNB},
		{Element: entry.Cable, LengthFt: dec(600)},
		{Element: entry.GroundBlock},
		{Element: entry.Splitter, Ways: 2},
		{Element: entry.WallPlate},
		{Element: entry.Receiver, Number: 1},
	}})
	low := int64(-550 - w.rand.IntN(150))
	if w.chance(.05) {
		low = -450
	}
	verdict := func(dbm int64) entry.Verdict {
		if dbm < -500 {
			return entry.Fail
		}
		return entry.Pass
	}
	read := func(p entry.Point, dbm int64) {
		w.say(entry.Reading{Point: p, Verdict: verdict(dbm), Level: dec(dbm)})
	}
	read(behind(1), low)
	read(entry.Point{Element: entry.GroundBlock, Side: entry.ReceiverSide}, low+30)
	if w.chance(.1) {
		w.say(entry.Reading{Point: behind(1), Verdict: entry.Fail, Level: dec(-999)})
		w.say(entry.Correction{Verb: "scratch", Count: 1})
	}
	read(entry.Point{Element: entry.GroundBlock, Side: entry.DishSide}, -380)
	if w.chance(.2) {
		w.say(entry.Time{Mark: "break_start"})
		w.at = w.at.Add(time.Duration(10+w.rand.IntN(40)) * time.Minute)
		w.say(entry.Time{Mark: "break_end"})
	}
	if low < -500 {
		w.say(entry.Action{Action: "replaced", Element: part, Number: 1})
		w.say(entry.Material{Item: string(part), Quantity: 1})
		w.say(entry.Material{Item: "fitting", Quantity: 2})
		if mended {
			read(behind(1), -420-int64(w.rand.IntN(70)))
		} else {
			read(behind(1), low+10)
		}
	}
	for _, k := range []string{"outlet", "input_test", "dish", "mount", "cabling", "components", "grounding", "education"} {
		if w.chance(.97) {
			w.say(entry.Check{Check: k, Verdict: entry.Pass})
		}
	}
	w.say(entry.Code{Code: fmt.Sprint(1 + w.rand.IntN(9))})
	w.say(entry.Miles{Value: dec(int64(30 + w.rand.IntN(200)))})
	if w.chance(.3) {
		w.say(entry.Note{Text: "the dog is called Rex, gate code 1234"})
	}
	w.say(entry.Time{Mark: "departed"})
	if w.chance(.98) {
		w.say(entry.Job{Verb: "close"})
	}
}
