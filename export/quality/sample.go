package quality

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"time"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// SamplePlan is a plan of MIL-STD-105E: inspect N of the lot, and accept it
// with at most Accept nonconforming.
type SamplePlan struct {
	LotTo  int `json:"lot_to"` // largest lot; 0: any
	N      int `json:"n"`
	Accept int `json:"accept"`
}

// samplePlans are MIL-STD-105E, tables I and II-A: general inspection level
// II, AQL 2.5, normal inspection, single sampling.
func samplePlans() []SamplePlan {
	return []SamplePlan{
		{50, 5, 0},
		{150, 20, 1},
		{280, 32, 2},
		{500, 50, 3},
		{1200, 80, 5},
		{3200, 125, 7},
		{10000, 200, 10},
		{35000, 315, 14},
		{0, 500, 21},
	}
}

// PlanFor returns the plan for a lot of so many. Where the plan asks for as
// many as there are, or more, all are inspected.
func PlanFor(lot int) SamplePlan {
	for _, p := range samplePlans() {
		if p.LotTo == 0 || lot <= p.LotTo {
			p.N = min(p.N, lot)
			return p
		}
	}
	panic("the last plan is for any lot")
}

// Sample is a drawn sample of a lot.
type Sample struct {
	Lot        string   `json:"lot"`
	Size       int      `json:"size"` // visits in the lot
	Plan       string   `json:"plan"`
	N          int      `json:"n"`
	Accept     int      `json:"accept"`
	Head       string   `json:"head"`  // the journal's head that it was drawn from, hex
	Count      int64    `json:"count"` // records up to that head
	Seed       string   `json:"seed"`  // hex
	Definition string   `json:"definition"`
	Jobs       []string `json:"jobs"`
	Kept       bool     `json:"kept"`  // the draw stands in the journal
	After      []string `json:"after"` // visits closed since the draw, which are not in the lot
}

// KeptSample is a sample as it was drawn and kept.
func KeptSample(e entry.Sample) (Sample, error) {
	head, err := record.ParseHash(e.Head)
	if err != nil {
		return Sample{}, fmt.Errorf("the kept sample of lot %s: %w", e.Lot, err)
	}
	s := newSample(e.Lot, head, e.Count, e.Size)
	s.Jobs, s.Kept = e.Visits, true
	return s, nil
}

// Entry is what the journal keeps of a sample.
func (s Sample) Entry(month string) entry.Sample {
	return entry.Sample{Month: month, Lot: s.Lot, Head: s.Head, Count: s.Count, Size: s.Size, Visits: s.Jobs}
}

// Lot names the closed visits of a month: what a sample is drawn from.
func Lot(visits []Visited, from, to time.Time) []string {
	var out []string
	for _, v := range visits {
		if !v.Open && !v.Began.Before(from) && v.Began.Before(to) {
			out = append(out, v.Label())
		}
	}
	slices.Sort(out)
	return out
}

const sampleDefinition = "seed = SHA-256(lot id, then the 32 bytes of the journal's head); each visit's key = SHA-256(seed, then the job's number, from a job's second visit on followed by \" visit 2\" and so on); the n smallest keys are the sample"

// Draw draws a sample that anyone can repeat and nobody can steer: it follows
// from the lot's id, the head of the journal's chain and what is in the lot alone.
func Draw(lot string, head [32]byte, count int64, jobs []string) Sample {
	s := newSample(lot, head, count, len(jobs))
	seed, _ := hex.DecodeString(s.Seed)
	type keyed struct {
		job string
		key [32]byte
	}
	all := make([]keyed, len(jobs))
	for i, j := range jobs {
		all[i] = keyed{j, sha256.Sum256(append(seed[:len(seed):len(seed)], j...))}
	}
	slices.SortFunc(all, func(a, b keyed) int { return cmp.Or(bytes.Compare(a.key[:], b.key[:]), cmp.Compare(a.job, b.job)) })
	for _, k := range all[:s.N] {
		s.Jobs = append(s.Jobs, k.job)
	}
	return s
}

// newSample is a sample of a lot of so many, with nothing drawn yet.
func newSample(lot string, head [32]byte, count int64, size int) Sample {
	plan := PlanFor(size)
	seed := sha256.Sum256(append([]byte(lot), head[:]...))
	return Sample{
		Lot: lot, Size: size, Plan: "MIL-STD-105E, level II, AQL 2.5, normal, single", N: plan.N, Accept: plan.Accept,
		Head: hex.EncodeToString(head[:]), Count: count, Seed: hex.EncodeToString(seed[:]), Definition: sampleDefinition, Jobs: []string{}, After: []string{},
	}
}
