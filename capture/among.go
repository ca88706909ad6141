package capture

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"downlead/capture/hear"
)

// Among hears an utterance once more, where it can only be text or one of its
// rivals, each of another meaning: both listeners choose, each by itself. So a
// sentence that the grammar in use has not gets a figure from the same kind of
// evidence as those that it has. ok is false where no second listener heard the
// utterance, or the first does not know how a word of the text is said.
func (r *Recogniser) Among(ctx context.Context, u Utterance, text string, rivals []string) (v Utterance, ok bool, err error) {
	if u.Second == nil || u.Second.sound == nil || len(u.clean) == 0 {
		return u, false, ctx.Err()
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	switch {
	case r.closed:
		return u, false, errClosed
	case ctx.Err() != nil:
		return u, false, ctx.Err()
	case !r.speaks(text):
		return u, false, nil
	}
	rivals = slices.DeleteFunc(slices.Clone(rivals), func(s string) bool { return s == text || !r.speaks(s) })
	v, err = r.firstAmong(ctx, u, append(rivals, text))
	if err == nil {
		err = r.secondAmong(ctx, &v, u.Second, append(rivals, text))
	}
	if err != nil {
		return u, false, fmt.Errorf("hear among sentences: %w", err)
	}
	v.Samples, v.pace = u.clean, u.pace
	v.place(u.from)
	return v, true, nil
}

// speaks reports that every word of a sentence has a pronunciation.
func (r *Recogniser) speaks(sentence string) bool {
	words := strings.Fields(sentence)
	return len(words) > 0 && !slices.ContainsFunc(words, func(w string) bool {
		return strings.Trim(w, "abcdefghijklmnopqrstuvwxyz'") != "" || !r.words.hasWord(w)
	})
}

// firstAmong is what the first listener hears where it can only be one of some sentences,
// and how far that is ahead of all others.
func (r *Recogniser) firstAmong(ctx context.Context, u Utterance, sentences []string) (Utterance, error) {
	d, err := r.among(ctx, u.clean, sentences)
	if err != nil {
		return u, err
	}
	v := r.beside(d, u.phones, u.clean)
	others := slices.DeleteFunc(slices.Clone(sentences), func(s string) bool { return s == v.Text })
	if v.Text == "" {
		return v, nil
	}
	return v, r.compare(ctx, &v, others)
}

// secondAmong is what the second listener makes of them.
func (r *Recogniser) secondAmong(ctx context.Context, v *Utterance, before *Witness, sentences []string) error {
	w := *before
	w.Fit = 0
	var err error
	if w.Sentences, err = w.sound.Search(ctx, hear.Sentences(sentences), beam); err != nil {
		return err
	}
	// Whose phonemes fit best is one of these where it fits better than all of the grammar.
	best := before.phonemeLogP(before.Spoken)
	if w.Phonemes = r.sounded(w.phonemes, sentences); len(w.Phonemes) > 0 && w.Phonemes[0].LogP >= best {
		w.Spoken = w.Phonemes[0].Text
	}
	v.Second = &w
	w.Own = w.logP(v.Text)
	if v.Text == "" || len(w.Sentences) == 0 || w.Sentences[0].Text == v.Text {
		return nil
	}
	w.Fit, err = r.fits(ctx, v, w.Sentences[0].Text)
	return err
}
