package capture

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strings"

	"golang.org/x/sync/errgroup"

	"downlead/capture/hear"
)

// keptGrammars is how many compiled grammars a Recogniser keeps, so that a
// dialogue can go back and forth at no cost.
const keptGrammars = 3

// graph is the grammar in use for the second listener; nil where there is none.
func (r *Recogniser) graph() *hear.Graph {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.graphs[r.current]
}

// SetGrammar changes what can be heard from the next stretch on; the unlikely
// words are heard only where nothing else fits nearly as well. Compiling a large
// grammar takes a fifth of a second; the grammars used last are kept compiled.
// On an error the grammar before stays in use.
func (r *Recogniser) SetGrammar(jsgf string, unlikely ...string) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.closed {
		return errClosed
	}
	sum := sha256.Sum256([]byte(jsgf + strings.Join(unlikely, " ")))
	name := hex.EncodeToString(sum[:8])
	if i := slices.Index(r.names, name); i >= 0 {
		r.names = append(slices.Delete(r.names, i, i+1), name)
		r.current = name
		return nil
	}
	n, err := r.words.network(jsgf, unlikely)
	if err != nil {
		return fmt.Errorf("speech grammar: %w", err)
	}
	n = n.partial(r.cfg.Completeness)
	var set errgroup.Group
	for _, e := range []*engine{r.words, r.again} {
		set.Go(func() error { return e.setNetwork(name, n) })
	}
	if err := set.Wait(); err != nil {
		return fmt.Errorf("speech grammar: %w", err)
	}
	r.names = append(r.names, name)
	r.current = name
	if r.cfg.Second != nil {
		r.graphs[name] = n.graph()
	}
	if len(r.names) > keptGrammars {
		if err := errors.Join(r.words.unset(r.names[0]), r.again.unset(r.names[0])); err != nil {
			return fmt.Errorf("speech grammar: %w", err)
		}
		delete(r.graphs, r.names[0])
		r.names = r.names[1:]
	}
	return nil
}
