package capture

import "strings"

// partial lets a network end where a person may stop in the middle, so that
// nothing is supplied to half a phrase: where the words that lead to a state
// are no statement, but may become one. A state is judged by its shortest words;
// after all others that lead there the same may follow.
func (n network) partial(completeness func(words string) (complete, mayGoOn bool)) network {
	if completeness == nil {
		return n
	}
	out := make([][]arc, n.states)
	ends := make([]bool, n.states)
	for _, a := range n.arcs {
		out[a.from] = append(out[a.from], a)
		ends[a.from] = ends[a.from] || a.word == noWord && a.to == n.final
	}
	text := make([]string, n.states)
	reached := make([]bool, n.states)
	reached[n.start] = true
	for queue := []int{n.start}; len(queue) > 0; queue = queue[1:] {
		state := queue[0]
		if text[state] != "" && !ends[state] && state != n.final {
			if complete, mayGoOn := completeness(text[state]); !complete && mayGoOn {
				n.arcs = append(n.arcs, arc{state, n.final, noWord})
			}
		}
		for _, a := range out[state] {
			if reached[a.to] {
				continue
			}
			reached[a.to] = true
			text[a.to] = text[state]
			if a.word != noWord {
				text[a.to] = strings.TrimSpace(text[state] + " " + spelling(n.words[a.word]))
			}
			queue = append(queue, a.to)
		}
	}
	return n
}
