package review

import (
	"testing"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// A phrase typed again that names no element goes on from the reading before
// it, never from one that was taken later.
func TestPointBeforeAnEntry(t *testing.T) {
	at := func(seq int64, e entry.Element) record.Record {
		return record.Record{Seq: seq, Draft: record.Draft{Entry: entry.Reading{Point: entry.Point{Element: e, Side: entry.DishSide}}}}
	}
	c := &jobCall{facts: &facts{current: []record.Record{at(3, entry.GroundBlock), {Seq: 4, Draft: record.Draft{Entry: entry.Note{Text: "dog"}}}, at(5, entry.WallPlate), at(8, entry.Splitter)}}}
	for seq, want := range map[int64]entry.Element{2: "", 3: "", 4: entry.GroundBlock, 5: entry.GroundBlock, 6: entry.WallPlate, 8: entry.WallPlate, 9: entry.Splitter} {
		got := entry.Element("")
		if p := c.pointBefore(seq); p != nil {
			got = p.Element
		}
		if got != want {
			t.Errorf("before entry %d: %q, want %q", seq, got, want)
		}
	}
}
