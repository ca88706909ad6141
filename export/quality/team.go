package quality

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"slices"

	"downlead/export/closeout"
	"downlead/journal/record"
)

// Team readies the visits of several journals to be judged together: where
// there is more than one journal each visit is named by whose it is, as job
// numbers repeat from journal to journal.
func Team(visits []Visited) []Visited {
	names := map[string]string{} // by journal
	owners := map[string]int{}   // journals by name
	for _, v := range visits {
		id := v.Closeout.Journal.ID
		if _, ok := names[id]; !ok || names[id] == "" {
			names[id] = v.Closeout.Technician
		}
	}
	for _, name := range names {
		owners[name]++
	}
	if len(names) < 2 {
		return visits
	}
	out := slices.Clone(visits)
	for i, v := range out {
		id := v.Closeout.Journal.ID
		whose := names[id]
		if whose == "" || owners[whose] > 1 {
			whose += " " + id[:min(8, len(id))]
		}
		out[i].Whose = whose
	}
	return out
}

// TeamHead is the head that a team's sample is drawn from: of one journal its
// own; of several the SHA-256 of their identities and heads, as text, in order
// of the identities. The count is that of all records.
func TeamHead(heads []closeout.ChainHead) (record.Hash, int64) {
	var sum record.Hash
	if len(heads) == 1 {
		_, _ = hex.Decode(sum[:], []byte(heads[0].Head))
		return sum, heads[0].Count
	}
	sorted := slices.Clone(heads)
	slices.SortFunc(sorted, func(a, b closeout.ChainHead) int { return cmp.Compare(a.ID, b.ID) })
	h := sha256.New()
	var count int64
	for _, x := range sorted {
		h.Write([]byte(x.ID + x.Head))
		count += x.Count
	}
	h.Sum(sum[:0])
	return sum, count
}
