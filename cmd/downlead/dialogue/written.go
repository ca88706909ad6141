package dialogue

import (
	"context"
	"encoding/json"
	"slices"
	"strings"

	"downlead/capture"
	"downlead/capture/confidence"
	"downlead/grammar"
	"downlead/grammar/entry"
)

// leastWritten is how many words a form that was written down must have to be taken,
// or mended: free text of fewer is too easily a sentence by chance. One of two words is
// asked about where it is at least as likely as twoWords, nats. Judgements: of 21
// stretches of other speech in which two words were written, none was a form.
const (
	leastWritten = 3
	twoWords     = -2.5
)

// written hears what the second listener wrote down, where the speech grammar has
// no such sentence but the parser takes all of it, forms that only typing had; or
// takes what sounds nearly like it.
func (l *Listener) written(ctx context.Context, j judged) (judged, error) {
	w := j.u.Second
	if w == nil || !l.Figure.decides() || j.decision == capture.Accept || j.decision == capture.Ask && w.FreeLogP < w.Own {
		return j, nil
	}
	p := l.Session.Parser
	text, rivals := Written(p, j.u)
	if text == "" {
		return j, nil
	}
	v, ok, err := l.Recogniser.Among(ctx, j.u, text, rivals)
	if err != nil {
		return j, err
	}
	if ok {
		if written := l.Figure.judgeWritten(v, text, p); written.decision != capture.Ignore {
			return written, nil
		}
		return j, nil
	}
	if text != w.Free {
		return j, nil
	}
	j.rival = j.u.Text
	j.u.Text, j.u.Words, j.u.Scores.Confidence = text, nil, 0
	j.decision, j.doubt = capture.Ask, "it was heard in free words"
	return j, nil
}

// judgeWritten decides about an utterance that both listeners heard among a sentence
// in own words and its rivals. It is taken where that was measured: each listener
// chooses the sentence as it was written down, and it tells of the work, in words that
// all mean something. Of words that are kept as they stand the listeners know no
// rival, and the figure says nothing. What only sounds like what was written is never
// taken.
func (f Figure) judgeWritten(v capture.Utterance, sentence string, p *grammar.Parser) judged {
	first := v.Text
	text, e, _ := v.Weigh(p.Means, false)
	posterior := f.Table.Posterior(e).Tuned(f.Tuning)
	v.Text, v.Scores.Confidence = text, posterior.Right
	j := judged{u: v, rival: rival(text, first, v.Second, p.Means), p: posterior}
	written, short := sentence == v.Second.Free, len(strings.Fields(sentence)) < leastWritten
	entries, err := p.Parse(text)
	loose := err != nil || slices.ContainsFunc(entries, keepsWords)
	if loose {
		j.u.Scores.Confidence = 0
	}
	decision := f.Costs.Decide(posterior)
	switch {
	case decision == confidence.Ignore || !written && !(e.Agree && posterior.Right > 0.5):
	case decision == confidence.Take && written && !short && e.Agree && !loose && text == sentence && !slices.ContainsFunc(entries, notOfTheWork):
		j.decision = capture.Accept
	default:
		j.decision, j.doubt = capture.Ask, "it was heard in free words"
	}
	return j
}

// notOfTheWork reports an entry that is asked about in own words, however sure the
// listeners are: what ends or moves a job, changes entries or counts as time may be
// somebody else's talk.
func notOfTheWork(e entry.Entry) bool {
	switch e.Kind() {
	case entry.KindReading, entry.KindAction, entry.KindMaterial, entry.KindCheck, entry.KindPath, entry.KindSighting, entry.KindSymptom, entry.KindPlace, entry.KindQuestion:
		return false
	}
	return true
}

// keepsWords reports that some words of an entry are kept as they stand.
func keepsWords(e entry.Entry) bool {
	var kept struct{ Text, Remark, Name string }
	b, err := entry.Encode(e)
	return err != nil || json.Unmarshal(b, &kept) != nil || kept.Text+kept.Remark+kept.Name != ""
}

// Written is what the second listener wrote down where the parser takes it, else what
// sounds nearest to it and the parser takes, "" where there is none; and what may have been
// said instead: what differs from it little, and what both heard by the speech grammar.
func Written(p *grammar.Parser, u capture.Utterance) (text string, rivals []string) {
	text = u.Second.Free
	words := len(strings.Fields(text))
	if words < leastWritten && !(words == 2 && u.Second.FreeLogP > twoWords) {
		return "", nil
	}
	alike := []string{}
	meaning := p.Means(text)
	if meaning == "" {
		if words >= leastWritten {
			alike = p.Sounding(text)
		}
		if len(alike) == 0 {
			return "", nil
		}
		text = alike[0]
		meaning = p.Means(text)
	}
	if _, err := p.Parse(text); err != nil || meaning == p.Means(u.Text) {
		return "", nil
	}
	rivals = p.OwnRivals(text)
	heard := append(alike, u.Text)
	for _, c := range u.Second.Sentences {
		heard = append(heard, c.Text)
	}
	for _, other := range heard {
		if m := p.Means(other); m != "" && m != meaning && !slices.Contains(rivals, other) {
			rivals = append(rivals, other)
		}
	}
	return text, rivals
}
