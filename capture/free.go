package capture

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"downlead/capture/sound"
)

// usualSettings are the recogniser's own beams and costs, for searches in
// which the wide beams of the grammar decode would cost much and bring nothing.
func usualSettings() map[string]float64 {
	return map[string]float64{"-beam": 1e-48, "-wbeam": 7e-29, "-pbeam": 1e-48, "-silprob": 0.005, "-fillprob": 1e-8, "-wip": 0.65}
}

// withUsualSettings runs load, which makes a search, under the usual settings.
func (r *Recogniser) withUsualSettings(load func() error) error {
	set := func(settings map[string]float64) error {
		for option, v := range settings {
			if err := r.again.setFloat(option, v); err != nil {
				return err
			}
		}
		return nil
	}
	if err := set(usualSettings()); err != nil {
		return err
	}
	err := load()
	return errors.Join(err, set(r.settings()))
}

// Free decodes a stretch against the general language model: the words of a
// note, roughly. Its scores cannot be compared with those of Recognise;
// Ratio and NumberMargin are not measured. The first call loads the model
// (27 MB); decoding takes about half as long as the sound.
func (r *Recogniser) Free(ctx context.Context, samples []int16) (Utterance, error) {
	if err := ctx.Err(); err != nil {
		return Utterance{}, err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.closed {
		return Utterance{}, errClosed
	}
	if !r.loaded[freeSearch] {
		model := filepath.Join(r.cfg.ModelDir, "en-us.lm.bin")
		if info, err := os.Stat(model); err != nil || info.Size() == 0 {
			return Utterance{}, fmt.Errorf("%w (%s)", ErrNoModel, model)
		}
		err := r.withUsualSettings(func() error { return r.again.setLanguage(freeSearch, model) })
		if err != nil {
			return Utterance{}, fmt.Errorf("load language model %s: %w", model, err)
		}
		r.loaded[freeSearch] = true
	}
	d, err := r.again.decode(freeSearch, samples)
	if err != nil {
		return Utterance{}, err
	}
	u := r.utterance(d, samples)
	u.Scores.Ratio = math.NaN()
	u.Scores.NumberMargin = math.NaN()
	return u, nil
}

// Spot looks for a phrase anywhere in a stretch: a wake phrase, or the word
// that begins a note. threshold is the recogniser's own, 1e-50 (hears it
// everywhere) to 1 (hardly ever); for "okay ladder" 1e-15 found 28 of 28 with
// no false alarm in 1.4 hours of other speech. at is the end of the first hit
// in the stretch.
func (r *Recogniser) Spot(ctx context.Context, samples []int16, phrase string, threshold float64) (at time.Duration, found bool, err error) {
	if err := ctx.Err(); err != nil {
		return 0, false, err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.closed {
		return 0, false, errClosed
	}
	for w := range strings.FieldsSeq(phrase) {
		if !r.words.hasWord(w) {
			return 0, false, fmt.Errorf("wake phrase %q: %q has no pronunciation", phrase, w)
		}
	}
	name := fmt.Sprintf("spot %g %s", threshold, phrase)
	if !r.loaded[name] {
		err := r.withUsualSettings(func() error { return r.again.setKeyphrase(name, phrase, threshold) })
		if err != nil {
			return 0, false, fmt.Errorf("wake phrase %q: %w", phrase, err)
		}
		r.loaded[name] = true
	}
	// The library tells of a phrase only some frames after its end.
	tail := samples[max(0, len(samples)-sound.Rate/10):]
	d, err := r.again.decode(name, slices.Concat(samples, tail, tail, tail))
	if err != nil || len(d.words) == 0 {
		return 0, false, err
	}
	first := d.words[0].last
	for _, w := range d.words {
		first = min(first, w.last)
	}
	return time.Duration(first+1) * frame, true, nil
}
