package journal

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// sequence makes records of job "1", in order. A string is a note, "?…" a
// question, "!…" an unparsed phrase.
func sequence(entries ...any) []record.Record {
	var out []record.Record
	for i, e := range entries {
		r := record.Record{Seq: int64(i + 1), Draft: record.Draft{Job: "1"}}
		switch e := e.(type) {
		case string:
			switch {
			case strings.HasPrefix(e, "?"):
				r.Entry = entry.Question{Question: e[1:]}
			case strings.HasPrefix(e, "!"):
				r.Entry = entry.Unparsed{Text: e[1:]}
			default:
				r.Entry = entry.Note{Text: e}
			}
		case record.Draft:
			r.Draft = e
		case entry.Entry:
			r.Entry = e
		}
		out = append(out, r)
	}
	return out
}

func unconfirmed(e entry.Entry) record.Draft {
	return record.Draft{Job: "1", Unconfirmed: true, Entry: e}
}

func at(level int64) entry.Reading {
	return entry.Reading{
		Point:   entry.Point{Element: entry.GroundBlock, Side: entry.DishSide},
		Verdict: entry.Pass, Level: entry.NewDecimal(level, 0),
	}
}

func scratch(count int, seq int64) entry.Correction {
	return entry.Correction{Verb: "scratch", Count: count, Entry: seq}
}

// brief writes what counts in one line.
func brief(records []record.Record) string {
	var out []string
	for _, r := range records {
		s := string(r.Entry.Kind())
		switch e := r.Entry.(type) {
		case entry.Note:
			s = e.Text
		case entry.Job:
			s = e.Verb
		case entry.Reading:
			s = fmt.Sprintf("%s/%s %s %s", e.Point.Element, e.Point.Side, e.Verdict, e.Level)
			if e.NoSignal {
				s += "none"
			}
		case entry.Check:
			s = fmt.Sprintf("%s %s %s", e.Check, e.Verdict, e.Remark)
		}
		out = append(out, fmt.Sprintf("%d:%s", r.Seq, s))
	}
	return strings.Join(out, " · ")
}

// The rules are the project's own: what a correction does to what was said.
func TestCurrent(t *testing.T) {
	level := func(l int64, seq int64) entry.Correction {
		return entry.Correction{Verb: "change", Entry: seq, Level: entry.NewDecimal(l, 0)}
	}
	verdict := func(v entry.Verdict) entry.Correction { return entry.Correction{Verb: "change", Verdict: v} }
	moved := func(p entry.Point) entry.Correction { return entry.Correction{Verb: "change", Point: &p} }
	instead := func(seq int64, e ...entry.Entry) entry.Correction {
		return entry.Correction{Verb: "change", Entry: seq, Replace: e}
	}
	outlet := entry.Check{Check: "outlet", Verdict: entry.Pass}
	startJob, closeJob := entry.Job{Verb: "start", Number: "1"}, entry.Job{Verb: "close"}
	elsewhere := func(c entry.Correction) record.Draft { return record.Draft{Job: "2", Entry: c} }
	for _, c := range []struct {
		name    string
		records []record.Record
		want    string
	}{
		{"nothing", nil, ""},
		{"scratch the last", sequence("a", "b", scratch(1, 0)), "1:a"},
		{"a scratch without a count is of one", sequence("a", "b", scratch(0, 0)), "1:a"},
		{"scratch two", sequence("a", "b", "c", scratch(2, 0)), "1:a"},
		{"scratch again reaches further back", sequence("a", "b", "c", scratch(1, 0), scratch(1, 0)), "1:a"},
		{"scratch more than there are", sequence("a", scratch(5, 0), "b"), "3:b"},
		{"questions, unparsed and unconfirmed are passed over", sequence("a", "b", "?next", "!mumble", unconfirmed(at(-40)), scratch(1, 0)), "1:a"},
		{"a start is not scratched", sequence(startJob, scratch(1, 0), "a"), "1:start · 3:a"},
		{"a close is not scratched by number", sequence(startJob, "a", closeJob, scratch(0, 3)), "1:start · 2:a · 3:close"},
		{"scratch by number", sequence("a", "b", "c", scratch(0, 2)), "1:a · 3:c"},
		{"scratch of a scratch restores", sequence("a", "b", scratch(1, 0), "c", scratch(0, 3)), "1:a · 2:b · 4:c"},
		{"scratch of a scratch of a scratch", sequence("a", scratch(0, 1), scratch(0, 2), scratch(0, 3)), ""},
		{"scratch of a change restores", sequence(at(-41), level(-43, 0), scratch(0, 2)), "1:ground_block/dish pass -41"},
		{"another job's correction does nothing", sequence("a", "b", elsewhere(scratch(2, 0)), elsewhere(scratch(0, 1))), "1:a · 2:b"},
		{"another job's scratch does not undo", sequence("a", scratch(1, 0), elsewhere(scratch(0, 2))), ""},
		{"change the level", sequence(at(-41), level(-43, 0)), "1:ground_block/dish pass -43"},
		{"change the last reading, over a note", sequence(at(-41), "a", level(-43, 0)), "1:ground_block/dish pass -43 · 2:a"},
		{"change by number", sequence(at(-41), at(-44), level(-43, 1)), "1:ground_block/dish pass -43 · 2:ground_block/dish pass -44"},
		{"change what is not scratched", sequence(at(-41), at(-44), scratch(1, 0), level(-43, 0)), "1:ground_block/dish pass -43"},
		{"a verdict fits a check", sequence(at(-41), outlet, verdict(entry.Fail)), "1:ground_block/dish pass -41 · 2:outlet fail "},
		{"a level does not", sequence(at(-41), outlet, level(-43, 0)), "1:ground_block/dish pass -43 · 2:outlet pass "},
		{"not applicable is for checks", sequence(outlet, at(-41), verdict(entry.NotApplicable)), "1:outlet na  · 2:ground_block/dish pass -41"},
		{"a remark is for checks", sequence(outlet, at(-41), entry.Correction{Verb: "change", Remark: "loose"}), "1:outlet pass loose · 2:ground_block/dish pass -41"},
		{"no signal takes the figures away", sequence(at(-41), entry.Correction{Verb: "change", NoSignal: true}), "1:ground_block/dish pass none"},
		{"another element brings its side", sequence(at(-41), moved(entry.Point{Element: entry.WallPlate})), "1:wall_plate/receiver pass -41"},
		{"or keeps the old one", sequence(at(-41), moved(entry.Point{Element: entry.Splitter})), "1:splitter/dish pass -41"},
		{"a side alone", sequence(at(-41), moved(entry.Point{Side: entry.ReceiverSide})), "1:ground_block/receiver pass -41"},
		{"changes add up", sequence(at(-41), level(-53, 0), verdict(entry.Fail)), "1:ground_block/dish fail -53"},
		{"an unconfirmed seq counts for nothing", sequence("a", unconfirmed(at(-40))), "1:a"},
		{"until confirmed", sequence("a", unconfirmed(at(-40)), "b", entry.Correction{Verb: "confirm", Entry: 2}), "1:a · 2:ground_block/dish pass -40 · 3:b"},
		{"the last one when none is named", sequence(unconfirmed(at(-40)), unconfirmed(at(-42)), entry.Correction{Verb: "confirm"}), "2:ground_block/dish pass -42"},
		{"an unconfirmed correction does nothing", sequence("a", unconfirmed(scratch(1, 0))), "1:a"},
		{"until confirmed too", sequence("a", unconfirmed(scratch(1, 0)), entry.Correction{Verb: "confirm"}), ""},
		{"replace one by two, in its place", sequence("a", "!x", "b", instead(2, at(-41), at(-44))), "1:a · 2:ground_block/dish pass -41 · 2:ground_block/dish pass -44 · 3:b"},
		{"replace again", sequence("a", "!x", "b", instead(2, at(-41), at(-44)), instead(2, at(-45))), "1:a · 2:ground_block/dish pass -45 · 3:b"},
		{"replace, then change", sequence("a", "!x", instead(2, at(-41)), level(-43, 2)), "1:a · 2:ground_block/dish pass -43"},
		{"replace, then scratch the last", sequence("a", "b", instead(2, at(-41)), scratch(1, 0)), "1:a"},
		{"undo a replacement", sequence("a", "b", instead(2, at(-41)), scratch(0, 3)), "1:a · 2:b"},
		{"a correction that names the future", sequence("a", scratch(0, 3), "b"), "1:a · 3:b"},
		{"a correction that names itself", sequence("a", scratch(0, 2)), "1:a"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := brief(record.Current(c.records)); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
			kept := map[int64]bool{}
			for _, v := range record.View(c.records) {
				kept[v.Seq] = true
			}
			if len(kept) != len(c.records) {
				t.Errorf("the view holds %d of %d records", len(kept), len(c.records))
			}
		})
	}
}

func TestViewSaysWhatSupersededWhat(t *testing.T) {
	records := sequence(at(-41), "b",
		entry.Correction{Verb: "change", Entry: 1, Level: entry.NewDecimal(-43, 0)},
		entry.Correction{Verb: "change", Entry: 1, Replace: []entry.Entry{at(-44), at(-45)}},
		scratch(1, 0))
	var got []string
	for _, v := range record.View(records) {
		got = append(got, fmt.Sprintf("%s superseded by %d corrected by %v", brief([]record.Record{v.Record}), v.SupersededBy, v.CorrectedBy))
	}
	want := []string{
		"1:ground_block/dish pass -43 superseded by 4 corrected by [3]",
		"1:ground_block/dish pass -44 superseded by 0 corrected by [3 4]",
		"1:ground_block/dish pass -45 superseded by 0 corrected by [3 4]",
		"2:b superseded by 5 corrected by []",
		"3:correction superseded by 0 corrected by []",
		"4:correction superseded by 0 corrected by []",
		"5:correction superseded by 0 corrected by []",
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("view (-want +got):\n%s", d)
	}
	if brief(records[:1]) != "1:ground_block/dish pass -41" {
		t.Error("the records handed in were changed")
	}
}

func TestCorrectedReadingSaysWhatIsStillAssumed(t *testing.T) {
	r := at(-41)
	r.Assumed = []string{"sign", "element"}
	c := entry.Correction{Verb: "change", Level: entry.NewDecimal(-43, 0), Assumed: []string{"sound"}}
	got := record.Current(sequence(r, c))[0].Entry.(entry.Reading).Assumed
	if d := cmp.Diff([]string{"element", "sound"}, got); d != "" {
		t.Errorf("assumed (-want +got):\n%s", d)
	}
	if r.Assumed[0] != "sign" {
		t.Error("the seq handed in was changed")
	}
}

// Whatever was said before, undoing a correction brings back what counted
// before it.
func TestUndoingACorrectionRestores(t *testing.T) {
	for seed := range uint64(pick(2000, 100_000)) {
		random := rand.New(rand.NewPCG(seed, 1))
		var records []record.Record
		for range 1 + random.IntN(12) {
			records = append(records, randomRecord(random, int64(len(records)+1)))
		}
		before := record.Current(records)
		c := randomRecord(random, int64(len(records)+1))
		for c.Entry.Kind() != entry.KindCorrection {
			c = randomRecord(random, c.Seq)
		}
		undo := record.Record{Seq: c.Seq + 1, Draft: record.Draft{Job: "1", Entry: scratch(0, c.Seq)}}
		after := record.Current(append(records, c, undo))
		if d := cmp.Diff(before, after, decimals); d != "" {
			t.Fatalf("seed %d: %s\n%+v and its undoing (-before +after):\n%s", seed, brief(records), c.Entry, d)
		}
	}
}

func randomRecord(random *rand.Rand, seq int64) record.Record {
	some := func() int64 { return random.Int64N(seq + 1) } // 0 names none, seq itself
	var e entry.Entry
	switch random.IntN(12) {
	case 0, 1:
		e = at(-40 - random.Int64N(20))
	case 2:
		e = entry.Check{Check: "outlet", Verdict: entry.Pass}
	case 3:
		e = entry.Note{Text: fmt.Sprint(seq)}
	case 4:
		e = entry.Unparsed{Text: "x"}
	case 5:
		e = entry.Job{Verb: "close"}
	case 6:
		e = scratch(1+random.IntN(3), 0)
	case 7:
		e = scratch(0, max(some(), 1))
	case 8:
		e = entry.Correction{Verb: "change", Entry: some(), Level: entry.NewDecimal(-40-random.Int64N(20), 0)}
	case 9:
		e = entry.Correction{Verb: "change", Entry: some(), Verdict: entry.Fail}
	case 10:
		e = entry.Correction{Verb: "confirm", Entry: some()}
	case 11:
		e = entry.Correction{Verb: "change", Entry: some(), Replace: []entry.Entry{at(-1), entry.Note{Text: "new"}}}
	}
	return record.Record{Seq: seq, Draft: record.Draft{Job: "1", Entry: e, Unconfirmed: random.IntN(4) == 0}}
}

// What a correction without a number reaches is what counts: neither a reading
// whose question is open, nor a question, nor what was not understood.
func TestACorrectionReachesWhatCounts(t *testing.T) {
	doubtful := unconfirmed(at(-70))
	for _, c := range []struct {
		name    string
		correct entry.Correction
	}{
		{"change", entry.Correction{Verb: "change", Verdict: entry.Fail}},
		{"scratch", scratch(1, 0)},
	} {
		view := record.View(sequence(at(-40), doubtful, "?is that right", "!words", c.correct))
		first, second := view[0], view[1]
		if c.name == "scratch" && (first.SupersededBy != 5 || second.SupersededBy != 0) {
			t.Errorf("scratched: the first by %d, the doubtful one by %d", first.SupersededBy, second.SupersededBy)
		}
		if c.name == "change" {
			if r := first.Entry.(entry.Reading); r.Verdict != entry.Fail || len(first.CorrectedBy) != 1 {
				t.Errorf("the reading that counts was not changed: %+v", first)
			}
			if r := second.Entry.(entry.Reading); r.Verdict != entry.Pass || len(second.CorrectedBy) != 0 {
				t.Errorf("the doubtful one was changed: %+v", second)
			}
		}
		for _, v := range view[2:4] {
			if v.SupersededBy != 0 {
				t.Errorf("%s: a %s was scratched", c.name, v.Entry.Kind())
			}
		}
	}
	// By its number it is reached all the same.
	view := record.View(sequence(at(-40), doubtful, entry.Correction{Verb: "change", Entry: 2, Verdict: entry.Fail}))
	if r := view[1].Entry.(entry.Reading); r.Verdict != entry.Fail {
		t.Errorf("by its number: %+v", view[1])
	}
}
