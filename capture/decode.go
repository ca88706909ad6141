package capture

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"golang.org/x/sync/errgroup"
)

// scored scores the sounds of a stretch, and beside it runs what reads the scores
// as they come. Those of the stretch before are gone then; where these very samples
// were the last they are not scored again. It gives up soon after ctx ends.
func (r *Recogniser) scored(ctx context.Context, samples []int16, read ...func() error) error {
	var work errgroup.Group
	if !r.scores.has(samples) {
		if err := r.scores.begin(); err != nil {
			return fmt.Errorf("recognise: %w", err)
		}
		work.Go(func() error {
			defer r.scores.end()
			return r.sounds.score(soundSearch, samples, r.scores)
		})
	}
	stopped := make(chan struct{})
	leave := context.AfterFunc(ctx, func() {
		defer close(stopped)
		r.scores.stop()
	})
	for _, f := range read {
		work.Go(f)
	}
	err := work.Wait()
	if !leave() {
		<-stopped // not the next stretch
		r.scores.of(nil)
		return errors.Join(ctx.Err(), err)
	}
	if err == nil {
		r.scores.of(samples)
	}
	return err
}

// hearAnything gives a decoder that only scores sounds something to search for.
func (e *engine) hearAnything(from *engine) error {
	const word = "a"
	if err := e.learn([]string{word}, from); err != nil {
		return fmt.Errorf("score sounds: %w", err)
	}
	return e.setNetwork(soundSearch, network{states: 2, final: 1, arcs: []arc{{0, 1, 0}}, words: []string{word}, costs: []float64{0}})
}

// decode decodes a stretch against the grammar in use and against plain phones,
// with scores against the phones alone.
func (r *Recogniser) decode(ctx context.Context, samples []int16) (words, phones decoded, err error) {
	if len(samples) == 0 {
		return words, phones, nil
	}
	err = r.scored(ctx, samples,
		func() (err error) { words, err = r.words.decodeScores(r.current, r.scores); return err },
		func() (err error) { phones, err = r.phones.decodeScores(phoneSearch, r.scores); return err },
	)
	if err != nil {
		return words, phones, err
	}
	behind, err := r.scores.behind(r.phoneStates)
	for i, w := range phones.words {
		for at := w.first; at <= min(w.last, len(behind)-1); at++ {
			phones.words[i].acoustic += behind[at]
		}
	}
	return words, phones, err
}

const rivalSearch = "rivals"

// compare holds a stretch against what it may have been instead.
func (r *Recogniser) compare(ctx context.Context, u *Utterance, rivals []string) error {
	if len(rivals) == 0 {
		return nil
	}
	d, err := r.among(ctx, u.clean, rivals)
	if err != nil {
		return fmt.Errorf("compare with rivals: %w", err)
	}
	if d.text != "" {
		u.Scores.NumberMargin = float64(u.acoustic - d.acoustic())
		u.Rival = d.text
	}
	return nil
}

// among decodes a stretch against some sentences alone.
func (r *Recogniser) among(ctx context.Context, samples []int16, sentences []string) (d decoded, err error) {
	if err := r.judge.learn(strings.Fields(strings.Join(sentences, " ")), r.words); err != nil {
		return d, err
	}
	n, err := r.judge.network("#JSGF V1.0;\ngrammar rivals;\npublic <rival> = "+strings.Join(sentences, " | ")+" ;\n", nil)
	if err == nil {
		err = r.judge.setNetwork(rivalSearch, n)
	}
	if err != nil {
		return d, err
	}
	err = r.scored(ctx, samples, func() (err error) { d, err = r.judge.decodeScores(rivalSearch, r.scores); return err })
	return d, err
}
