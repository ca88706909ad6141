package capture

import (
	"context"
	"fmt"
	"math"
	"strings"
)

const rivalSearch = "rivals"

// Compare decodes a stretch against a list of sentences that it might have
// been instead, and returns the one that fits best and how far it lies below
// the utterance, in 0.1024 nat of acoustic score; +Inf when none fits at all.
// The list of other hypotheses behind Scores.NumberMargin has only what the
// first decode did not give up early; this asks about the sentences by name.
// Every word of a rival must be in the dictionary.
func (r *Recogniser) Compare(ctx context.Context, u Utterance, rivals []string) (best string, margin float64, err error) {
	if err := ctx.Err(); err != nil {
		return "", 0, err
	}
	if u.Text == "" || len(rivals) == 0 {
		return "", math.Inf(1), nil
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.closed {
		return "", 0, errClosed
	}
	jsgf := "#JSGF V1.0;\ngrammar rivals;\npublic <rival> = " + strings.Join(rivals, " | ") + " ;\n"
	if err := r.words.setGrammar(rivalSearch, jsgf); err != nil {
		return "", 0, fmt.Errorf("compare with rivals: %w", err)
	}
	d, err := r.words.decode(rivalSearch, u.Samples, 0)
	if err != nil {
		return "", 0, err
	}
	if d.text == "" {
		return "", math.Inf(1), nil
	}
	return d.text, u.Acoustic - float64(d.acoustic()), nil
}

// acoustic is the score of the whole path, silences with it.
func (d decoded) acoustic() int {
	sum := 0
	for _, w := range d.words {
		sum += w.acoustic
	}
	return sum
}
