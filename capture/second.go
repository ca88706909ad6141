package capture

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"downlead/capture/hear"
	"downlead/capture/hear/phoneme"
	"downlead/capture/segment"
	"downlead/capture/sound"
)

// Second is the second listener, which hears the same stretches beside a
// Recogniser. It loads in the background: what is said before is heard by the
// first alone. A nil Second hears nothing. It may serve several Recognisers.
type Second struct {
	ready  chan struct{}
	n      *hear.Neural
	err    error
	closed sync.Once
}

// OpenSecond begins to load the second listener from a folder (hear.Folder).
func OpenSecond(dir string) *Second {
	s := &Second{ready: make(chan struct{})}
	go func() {
		defer close(s.ready)
		s.n, s.err = hear.Open(dir)
	}()
	return s
}

// Wait waits until it is loaded, and says why it could not be: hear.ErrMissing
// where set-up did not fetch it.
func (s *Second) Wait() error {
	<-s.ready
	return s.err
}

// Close frees the model.
func (s *Second) Close() {
	if s == nil {
		return
	}
	s.closed.Do(func() {
		if s.Wait() == nil {
			s.n.Close()
		}
	})
}

// loaded is the model; nil while it loads, and where there is none.
func (s *Second) loaded() *hear.Neural {
	if s == nil {
		return nil
	}
	select {
	case <-s.ready:
		return s.n
	default:
		return nil
	}
}

// Witness is what the second listener makes of an Utterance. Log-probabilities
// are natural, of a sentence given the sound.
type Witness struct {
	Free      string           // the words that it writes down by itself
	FreeLogP  float64          // of them as written
	Sentences []hear.Candidate // of the grammar in use, the best Score first
	Own       float64          // of the utterance's text; -Inf: hopeless
	// Fit is how much better the utterance's text fits than Sentences[0] for the
	// first listener, 0.1024 nat in all; 0 where they are the same.
	Fit float64
	// Spoken is the sentence of the grammar whose phonemes fit the sound best, "" where
	// none does. Phonemes are sentences by how well theirs fit, the likeliest first:
	// all of the above, and what they may be mistaken for. LogP is set against the
	// likeliest phonemes whatever they say, nats.
	Spoken   string
	Phonemes []hear.Candidate

	sound    *hear.Sound // as the model has it, for more sentences
	phonemes phoneme.Posteriors
}

// beam is how many beginnings of a sentence the second listener follows.
const beam = 6

// testimony is a hearing by the second listener that goes on beside the first.
type testimony struct {
	done  chan struct{}
	n     *hear.Neural
	sound *hear.Sound
	w     Witness
	err   error
}

// listen begins to hear a stretch against a grammar; nil where it cannot, also
// for sound that is too long for the model.
func (s *Second) listen(ctx context.Context, samples []int16, g grammars) *testimony {
	n := s.loaded()
	if n == nil || g.graph == nil || !hear.Hears(len(samples)) {
		return nil
	}
	t := &testimony{done: make(chan struct{}), n: n}
	go func() {
		defer close(t.done)
		if t.sound, t.err = n.Encode(segment.WithoutHum(samples)); t.err != nil {
			return
		}
		t.w.sound = t.sound
		var heard sync.WaitGroup
		heard.Go(func() {
			t.w.phonemes = phoneme.Of(t.sound.Hidden())
			t.w.Spoken, _, _ = t.w.phonemes.Likeliest(g.net)
		})
		defer heard.Wait()
		var written hear.Candidate
		t.w.Sentences, written, t.err = t.sound.Hear(ctx, g.graph, beam)
		t.w.Free, t.w.FreeLogP = hear.Words(written.Text), written.LogP
	}()
	return t
}

// witness waits for what the second listener heard, and holds the two
// listeners' best sentences against each other.
func (r *Recogniser) witness(ctx context.Context, u *Utterance, t *testimony) error {
	if t == nil {
		return nil
	}
	<-t.done
	if t.err != nil {
		return t.err
	}
	u.Second = &t.w
	if err := r.gather(ctx, u.Second, u.Text); err != nil || len(t.w.Sentences) == 0 || u.Text == "" {
		return err
	}
	if err := r.contest(ctx, u); err != nil {
		return err
	}
	return r.lower(ctx, u)
}

// gather finds what the second listener makes of the sentences that matter: its own,
// the first listener's and the one whose phonemes fit best.
func (r *Recogniser) gather(ctx context.Context, w *Witness, first string) error {
	w.Sentences = slices.DeleteFunc(w.Sentences, func(c hear.Candidate) bool { return c.Text != first && !r.cfg.sayable(c.Text) })
	if !r.cfg.sayable(w.Spoken) {
		w.Spoken = ""
	}
	// The search may have lost a sentence early on: it is found again by itself, the
	// first listener's among those that it may be mistaken for.
	var lost []string
	if !w.knows(first) {
		lost = append(r.cfg.rivalsOf(first), first)
	}
	if !w.knows(w.Spoken) {
		lost = append(lost, w.Spoken)
	}
	if err := w.among(ctx, lost); err != nil {
		return err
	}
	w.Own = w.logP(first)
	return r.soundOut(w, first)
}

// lowered is the pace at which a stretch is heard again. The acoustic model was made from
// grown people, most of them men: a higher voice is nearer to it when played slower, which brings its pitch and
// the resonances of its mouth down (the simplest of the ways to make up for the
// length of a vocal tract; E. Eide and H. Gish, "A parametric approach to vocal tract length
// normalization", ICASSP 1996).
const lowered = 0.88

// suits is by how much a stretch must fit better so, 0.1024 nat a frame: else the voice is not a high
// one. Of 29 phrases, of the half for fitting, in which the first listener came round to the second one, all 16 that fit better
// by as much were right, and 3 of the 13 others wrong. None of the 16 had fit better than by poor before: what
// fits well is no high voice, and its answer does not wait for another hearing.
const (
	suits = 2.0
	poor  = -35.0
)

// lower has the first listener hear an utterance once more, as if in a lower voice, where
// the two listeners disagree. What it hears counts where the voice suits it better so and it is what
// the second one heard.
func (r *Recogniser) lower(ctx context.Context, u *Utterance) error {
	w := *u.Second
	best := w.Sentences[0]
	if u.Scores.Grammar > poor || r.cfg.Meaning(best.Text) == r.cfg.Meaning(u.Text) {
		return nil
	}
	v, err := r.recognise(ctx, sound.AtSpeed(u.clean, lowered), nil)
	if err != nil || v.Text == "" || v.Scores.Grammar < u.Scores.Grammar+suits || r.cfg.Meaning(v.Text) != r.cfg.Meaning(best.Text) {
		return err
	}
	i := slices.IndexFunc(w.Sentences, func(c hear.Candidate) bool { return c.Text == v.Text })
	if i < 0 {
		return nil // in other words, which the second has lost
	}
	w.Own, w.Fit = w.Sentences[i].LogP, 0
	v.Second, v.pace = &w, lowered
	if err := r.contest(ctx, &v); err != nil {
		return err
	}
	*u = v
	return nil
}

// knows reports that a sentence is among those of the witness; "" is no sentence.
func (w *Witness) knows(text string) bool {
	return text == "" || slices.ContainsFunc(w.Sentences, func(c hear.Candidate) bool { return c.Text == text })
}

// logP is how likely a sentence is, -Inf where it was not found.
func (w *Witness) logP(text string) float64 { return logPOf(w.Sentences, text) }

// logPOf is the log-probability of a sentence among some, -Inf where it is none of them.
func logPOf(list []hear.Candidate, text string) float64 {
	for _, c := range list {
		if c.Text == text {
			return c.LogP
		}
	}
	return math.Inf(-1)
}

// among adds the likeliest of some sentences.
func (w *Witness) among(ctx context.Context, sentences []string) error {
	if len(sentences) == 0 {
		return nil
	}
	found, err := w.sound.Search(ctx, hear.Sentences(sentences), beam)
	if err != nil {
		return err
	}
	for _, c := range found {
		if !w.knows(c.Text) {
			w.Sentences = append(w.Sentences, c)
		}
	}
	slices.SortStableFunc(w.Sentences, func(a, b hear.Candidate) int { return cmp.Compare(b.Score(), a.Score()) })
	return nil
}

// rivalsOf are the sentences that a text may be mistaken for.
func (c Config) rivalsOf(text string) []string {
	if c.Rivals == nil {
		return nil
	}
	return c.Rivals(text)
}

// sayable reports that a sentence of the grammar's words says something, or may
// go on to: "strength two twelve" is no figure of anything, and no rival.
func (c Config) sayable(text string) bool {
	if c.Completeness == nil || c.Meaning(text) != text {
		return true
	}
	complete, mayGoOn := c.Completeness(text)
	return complete || mayGoOn
}

// mostRivals is how many of the second listener's sentences the first one
// holds its own against.
const mostRivals = 4

// contest holds the first listener's sentence against what the second heard.
func (r *Recogniser) contest(ctx context.Context, u *Utterance) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	switch {
	case r.closed:
		return errClosed
	case ctx.Err() != nil:
		return ctx.Err()
	}
	own := r.cfg.Meaning(u.Text)
	var rivals []string
	for _, c := range u.Second.Sentences {
		if r.cfg.Meaning(c.Text) != own && len(rivals) < mostRivals {
			rivals = append(rivals, c.Text)
		}
	}
	if s := u.Second.Spoken; s != "" && r.cfg.Meaning(s) != own && !slices.Contains(rivals, s) {
		rivals = append(rivals, s)
	}
	if err := r.compare(ctx, u, rivals); err != nil || len(rivals) == 0 {
		return err
	}
	if u.Rival == "" { // all were lost on the way; the likeliest alone has less to lose against
		if err := r.compare(ctx, u, rivals[:1]); err != nil {
			return err
		}
	}
	if rivals[0] != u.Second.Sentences[0].Text {
		return nil
	}
	if u.Rival == rivals[0] {
		u.Second.Fit = u.Scores.NumberMargin
		return nil
	}
	var err error
	u.Second.Fit, err = r.fits(ctx, u, rivals[0])
	return err
}

// fits is how much better an utterance's text fits than a sentence for the first
// listener, 0.1024 nat in all.
func (r *Recogniser) fits(ctx context.Context, u *Utterance, sentence string) (float64, error) {
	d, err := r.among(ctx, u.clean, []string{sentence})
	switch {
	case err != nil:
		return 0, fmt.Errorf("compare the listeners: %w", err)
	case d.text == "":
		return math.MaxInt16, nil
	}
	return float64(u.acoustic - d.acoustic()), nil
}

// graph is a network as the second listener takes it.
func (n network) graph() *hear.Graph {
	// Its states begin with 0, so the start and 0 change places.
	place := func(s int) int {
		switch s {
		case n.start:
			return 0
		case 0:
			return n.start
		}
		return s
	}
	var arcs []hear.Arc
	ends := []int{place(n.final)}
	for _, a := range n.arcs {
		if a.word == noWord {
			ends = append(ends, place(a.from))
			continue
		}
		arcs = append(arcs, hear.Arc{From: place(a.from), To: place(a.to), Word: n.words[a.word]})
	}
	return hear.NewGraph(arcs, ends)
}

// Write is what the second listener writes down of an utterance's sound by
// itself; ok is false where there is none, or the sound is too short or long.
func (r *Recogniser) Write(ctx context.Context, u Utterance) (text string, ok bool, err error) {
	n := r.cfg.Second.loaded()
	if n == nil || !hear.Hears(len(u.Samples)) {
		return "", false, ctx.Err()
	}
	sound, err := n.Encode(segment.WithoutHum(u.From(0).Undisturbed()))
	if err != nil {
		return "", false, err
	}
	text, _, err = sound.Free(ctx)
	return strings.TrimRight(strings.ToLower(text), ". "), err == nil, err
}
