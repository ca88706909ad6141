package trace

import "slices"

// hittingSets returns the minimal sets that share a member with every one of
// the conflicts (Reiter, "A theory of diagnosis from first principles",
// Artificial Intelligence 32, 1987: these are the minimal diagnoses), the
// smallest first, none larger than most. No conflict gives the one empty set.
func hittingSets(conflicts [][]int, most int) [][]int {
	var found [][]int
	level := [][]int{{}}
	for size := 0; size <= most && len(level) > 0; size++ {
		var next [][]int
		for _, set := range level {
			if contains(found, set) {
				continue
			}
			open := slices.IndexFunc(conflicts, func(c []int) bool { return !meets(set, c) })
			if open < 0 {
				found = append(found, set)
				continue
			}
			for _, e := range conflicts[open] {
				larger := append(slices.Clone(set), e)
				slices.Sort(larger)
				if !slices.ContainsFunc(next, func(s []int) bool { return slices.Equal(s, larger) }) {
					next = append(next, larger)
				}
			}
		}
		level = next
	}
	return found
}

// contains reports whether one of the sets is a subset of s.
func contains(sets [][]int, s []int) bool {
	return slices.ContainsFunc(sets, func(f []int) bool {
		return !slices.ContainsFunc(f, func(e int) bool { return !slices.Contains(s, e) })
	})
}

func meets(set, conflict []int) bool {
	return slices.ContainsFunc(conflict, func(e int) bool { return slices.Contains(set, e) })
}

// MostFaults bounds the faults that the plain logic looks for at once.
const MostFaults = 3

// Shared is what several failing branches have in common, and the branches.
type Shared struct {
	Span
	branches []Span
}

// FewestFaults returns the smallest sets of elements that explain every
// failing branch.
func FewestFaults(spans []Span) [][]int {
	conflicts := make([][]int, len(spans))
	for i, s := range spans {
		conflicts[i] = s.Elements
	}
	sets := hittingSets(conflicts, MostFaults)
	for i, s := range sets {
		if len(s) > len(sets[0]) {
			return sets[:i]
		}
	}
	return sets
}

// SharedSpans returns the stretches where one fault explains several failing
// branches, in an explanation with the fewest faults.
func (c Call) SharedSpans(spans []Span) []Shared {
	var out []Shared
	for _, set := range FewestFaults(spans) {
		for _, e := range set {
			var hit []Span
			for _, s := range spans {
				if slices.Contains(s.Elements, e) {
					hit = append(hit, s)
				}
			}
			if len(hit) < 2 {
				continue
			}
			i := slices.IndexFunc(out, func(g Shared) bool { return sameSpans(g.branches, hit) })
			if i < 0 {
				out = append(out, Shared{Span: hit[0], branches: hit})
				i = len(out) - 1
				out[i].Elements = nil
			}
			if !slices.Contains(out[i].Elements, e) {
				out[i].Elements = append(out[i].Elements, e)
				slices.Sort(out[i].Elements)
			}
		}
	}
	return out
}

func sameSpans(a, b []Span) bool {
	return slices.EqualFunc(a, b, func(x, y Span) bool { return x.Fail.JointKey == y.Fail.JointKey })
}
