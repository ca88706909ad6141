package dialogue

import (
	"strings"

	"downlead/capture"
)

// leastWritten is how many words a form that was written down must have: free
// text of fewer is too easily a sentence by chance. A judgement.
const leastWritten = 3

// written asks about what the second listener wrote down, where the speech
// grammar has no such sentence but the parser takes all of it: forms that only
// typing had.
func (l *Listener) written(j judged) judged {
	w := j.u.Second
	if w == nil || !l.Figure.decides() || j.decision == capture.Accept || len(strings.Fields(w.Free)) < leastWritten {
		return j
	}
	p := l.Session.Parser
	meaning := p.Meaning(w.Free)
	if meaning == w.Free || meaning == p.Meaning(j.u.Text) || j.decision == capture.Ask && w.FreeLogP < w.Own {
		return j
	}
	if _, err := p.Parse(w.Free); err != nil {
		return j
	}
	j.rival = j.u.Text
	j.u.Text, j.u.Words, j.u.Scores.Confidence = w.Free, nil, 0
	j.decision, j.doubt = capture.Ask, "it was heard in free words"
	return j
}
