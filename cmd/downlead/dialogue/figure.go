package dialogue

import (
	"context"
	"fmt"
	"math"

	"downlead/capture"
	"downlead/capture/confidence"
	"downlead/grammar"
	"downlead/grammar/entry"
)

// Figure decides about utterances that two listeners heard, by one figure of
// confidence and by what mistakes cost. The zero value decides nothing.
type Figure struct {
	Table  confidence.Table
	Costs  confidence.Costs
	Tuning confidence.Tuning
}

// decides reports that there is a table to decide by.
func (f Figure) decides() bool { return f.Table.Utterances > 0 }

// judged is an utterance with the sentence that was chosen, and what is to be
// done with it.
type judged struct {
	u        capture.Utterance
	decision capture.Outcome
	doubt    string // why it is asked about, "" when it is not
	rival    string // the likeliest sentence of another meaning, "" when there is none
	p        confidence.Posterior
}

// judge decides about an utterance: by the figure where two listeners heard it,
// else by the thresholds.
func (l *Listener) judge(ctx context.Context, u capture.Utterance) (judged, error) {
	return l.judgeAs(ctx, u, len(l.Session.asked) > 0)
}

// judgeAs decides about an utterance as an answer, or as a phrase of its own.
func (l *Listener) judgeAs(ctx context.Context, u capture.Utterance, answering bool) (judged, error) {
	j, err := l.weighed(ctx, u, answering)
	if err != nil || answering || j.decision == capture.Ignore || !l.Session.Parser.SmallTalk(j.u.Text) {
		return j, err
	}
	at, _ := l.When(u)
	belongs, err := l.Session.belongs(ctx, j.u.Text, at)
	if err == nil && !belongs {
		j.decision, j.doubt = capture.Ignore, ""
	}
	return j, err
}

// weighed decides by what the listeners make of an utterance alone.
func (l *Listener) weighed(ctx context.Context, u capture.Utterance, answering bool) (judged, error) {
	says := func(text string) string { return l.Session.Parser.Says(text, answering) }
	if j, ok := l.Figure.judge(u, says, answering); ok {
		if j.decision == capture.Ask && AsksTool(l.Session.Parser, j.u.Text) && l.Figure.Costs.Unstored().Decide(j.p) == confidence.Take {
			j.decision, j.doubt = capture.Accept, ""
		}
		return j, nil
	}
	decision, doubt, err := Judge(ctx, l.Recogniser, Limits(l.Thresholds, l.Session.Parser, u.Text, answering), u)
	return judged{u: u, decision: decision, doubt: doubt, rival: u.Rival}, err
}

// broken asks about what was taken where the speaker had not come to an end:
// "minus sixty" may have become "minus sixty eight".
func (j judged) broken() judged {
	if j.decision == capture.Accept {
		j.decision, j.doubt = capture.Ask, "listening ended before the phrase did"
	}
	return j
}

// AsksTool reports a question to the tool: it is kept nowhere, and is taken where the answer to a
// misheard one costs less than asking about each.
func AsksTool(p *grammar.Parser, text string) bool {
	entries, err := p.Parse(text)
	return err == nil && len(entries) == 1 && entries[0].Kind() == entry.KindQuestion
}

// judge decides by the figure; ok is false where one listener heard alone. says
// maps a text to a key of what it says, "" for nothing.
func (f Figure) judge(u capture.Utterance, says func(string) string, answering bool) (j judged, ok bool) {
	text, e, ok := u.Weigh(says, answering)
	if !ok || !f.decides() {
		return judged{}, false
	}
	p := f.Table.Posterior(e).Tuned(f.Tuning)
	first := u.Text
	u.Text, u.Scores.Confidence = text, p.Right
	j = judged{u: u, rival: rival(text, first, u.Second, says), p: p}
	switch f.Costs.Decide(p) {
	case confidence.Take:
		j.decision = capture.Accept
	case confidence.Ask:
		j.decision, j.doubt = capture.Ask, fmt.Sprintf("sure to %.0f %% only", math.Floor(100*p.Right))
	}
	return j, true
}

// rival is what was most likely said if the sentence was not: what the first
// listener heard, where it is another, else the sentence whose phonemes fit best, else the next of the second
// that says something.
func rival(text, first string, w *capture.Witness, says func(string) string) string {
	other := func(t string) bool { key := says(t); return key != "" && key != says(text) }
	for _, t := range []string{first, w.Spoken} {
		if other(t) {
			return t
		}
	}
	for _, c := range w.Sentences {
		if other(c.Text) {
			return c.Text
		}
	}
	return ""
}
