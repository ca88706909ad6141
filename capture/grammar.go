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
	"downlead/capture/hear/phoneme"
)

// keptGrammars is how many compiled grammars a Recogniser keeps, so that a
// dialogue can go back and forth at no cost.
const keptGrammars = 3

// grammars is a speech grammar for the second listener: by its letters, and by its phones.
type grammars struct {
	graph *hear.Graph
	net   *phoneme.Net
}

// forSecond is the grammar in use for the second listener, nothing where there is none.
func (r *Recogniser) forSecond() grammars {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.seconds[r.current]
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
		r.seconds[name] = grammars{n.graph(), r.net(n)}
	}
	if len(r.names) > keptGrammars {
		if err := errors.Join(r.words.unset(r.names[0]), r.again.unset(r.names[0])); err != nil {
			return fmt.Errorf("speech grammar: %w", err)
		}
		delete(r.seconds, r.names[0])
		r.names = r.names[1:]
	}
	return nil
}
