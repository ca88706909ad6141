package dialogue

import (
	"context"
	"strings"
	"time"

	"downlead/capture"
	"downlead/capture/confidence"
)

// opensDictation reports that a phrase is a keyword whose words come next:
// no grammar lists what a note may say.
func opensDictation(text string) bool { return text == "note" || text == "complaint" }

// dictated takes an utterance as the free words after a keyword, heard with
// the general model and marked rough.
func (l *Listener) dictated(ctx context.Context, u capture.Utterance, keyword string) (Event, error) {
	l.dictate = ""
	free, err := l.freeWords(ctx, u)
	if err != nil {
		return ignored(u), err
	}
	if free.Text == "" {
		l.dictate = keyword
		ev := ignored(u)
		ev.Outcome, ev.Reply.Text = Asked, "Nothing was understood. Say the words."
		return ev, nil
	}
	free.Start, free.End, free.Scores.SNR = u.Start, u.End, u.Scores.SNR
	return l.hear(ctx, free, Phrase{Text: keyword + " " + free.Text, Rough: true})
}

// freeWords are the words of an utterance, whatever they are: the second
// listener's where it heard it, else the first one's against a general model,
// which are poorer.
func (l *Listener) freeWords(ctx context.Context, u capture.Utterance) (capture.Utterance, error) {
	if text, ok, err := l.Recogniser.Write(ctx, u); err != nil || ok {
		free := u
		free.Text, free.Words = text, nil
		return free, err
	}
	return l.Recogniser.Free(ctx, u.Samples)
}

// A note in one breath begins with its keyword: how early that must end, and
// the recogniser's threshold for it. On synthetic phrases 1e-3 found every
// keyword, and none in "not a good day"; a false alarm costs a rough note.
const (
	noteWithin    = 900 * time.Millisecond
	noteThreshold = 1e-3
)

// noteInOneBreath takes what is no phrase of the grammar as a note where it
// begins with the word, for both listeners where two heard it; all else is ignored.
func (l *Listener) noteInOneBreath(ctx context.Context, u capture.Utterance) (Event, error) {
	if l.paused || l.Session.Job == "" || u.End-u.Start < noteWithin || u.Second != nil && !beginsNote(u.Second.Free) {
		return ignored(u), nil
	}
	at, found, err := l.Recogniser.Spot(ctx, u.Samples, "note", noteThreshold)
	if err != nil || !found || at > noteWithin {
		return ignored(u), err
	}
	said := u
	said.Samples = u.From(at).Samples
	return l.dictated(ctx, said, "note")
}

// beginsNote reports that free text begins with the keyword, or with a word that is a
// letter from it: "no fault found" was heard as a note by the first listener alone.
func beginsNote(free string) bool {
	first, _, _ := strings.Cut(strings.ToLower(free), " ")
	return confidence.Distance([]rune(strings.Trim(first, ".,;:!")), []rune("note")) <= 1
}
