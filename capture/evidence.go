package capture

import (
	"context"
	"fmt"

	"golang.org/x/sync/errgroup"

	"downlead/capture/sound"
)

// Evidence is what further decodes of one stretch say.
type Evidence struct {
	Decodes int      // how many there were
	Others  []string // the texts of those with another meaning; "" for one that heard nothing
}

// Agrees reports that every further decode gave the same meaning.
func (e Evidence) Agrees() bool { return len(e.Others) == 0 }

// confirmSpeeds are the speeds at which a stretch is played to the recogniser
// again. Words keep their sounds, but every frame and both pitch and formants
// move, so that an error seldom falls the same way twice.
var confirmSpeeds = [...]float64{0.92, 1.08}

// Confirm decodes an utterance twice more, played slower and faster, and tells
// which of the decodes give another meaning (Config.Meaning). A number that
// was heard wrong in noise rarely survives it: of 71 phrases in wind, pink
// noise and babble at 15 and 8 dB that the scores alone accepted, 13 were
// wrong; a margin of 150 let 6 of those through and kept 52 of the 58 right
// ones, with Confirm beside it 1 and 51. Decoding with other settings of noise
// removal or cepstral mean, and against sentences chosen by confusable words,
// were measured too and told less. It costs about the time of
// Recognise: ask Thresholds.Doubt first.
func (r *Recogniser) Confirm(ctx context.Context, u Utterance) (Evidence, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.closed {
		return Evidence{}, errClosed
	}
	if err := ctx.Err(); err != nil {
		return Evidence{}, err
	}
	var texts [len(confirmSpeeds)]string
	var work errgroup.Group
	slower, faster := sound.AtSpeed(u.clean, confirmSpeeds[0]), sound.AtSpeed(u.clean, confirmSpeeds[1])
	work.Go(func() error { // one decoder hears this; two share the slower one, which is longer
		d, err := r.again.decode(r.current, faster)
		texts[1] = d.text
		return err
	})
	work.Go(func() error {
		return r.scored(ctx, slower, func() error {
			d, err := r.words.decodeScores(r.current, r.scores)
			texts[0] = d.text
			return err
		})
	})
	if err := work.Wait(); err != nil {
		return Evidence{}, fmt.Errorf("confirm: %w", err)
	}
	e := Evidence{Decodes: len(texts)}
	meaning := r.cfg.Meaning(u.Text)
	for _, text := range texts {
		if text == "" || r.cfg.Meaning(text) != meaning {
			e.Others = append(e.Others, text)
		}
	}
	return e, nil
}
