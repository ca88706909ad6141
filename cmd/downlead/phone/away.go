package phone

import (
	"context"
	"fmt"
	"strings"
	"time"

	"downlead/capture"
	"downlead/capture/voice"
	"downlead/cmd/downlead/dialogue"
	"downlead/grammar/entry"
)

const (
	// lateAfter is how long ago a phrase was said for its answer to be of no
	// use any more. A judgement: the time in which one waits for an answer.
	lateAfter = 10 * time.Second
	// mostTold is how many readings are read back after a break; the page
	// shows the rest.
	mostTold = 3
)

// away is what was heard of the time when the phone was out of reach.
type away struct {
	readings []string
	other    int // entries that are no readings
	doubtful int // phrases whose question nobody could hear
	unparsed int
}

func (a *away) event(ev dialogue.Event) {
	switch ev.Outcome {
	case dialogue.Asked:
		a.doubtful++
		return
	case dialogue.Unparsed:
		a.unparsed++
		return
	}
	for _, r := range ev.Reply.Records {
		switch {
		case r.Entry.Kind() == entry.KindReading:
			a.readings = append(a.readings, entry.Say(r.Entry))
		case r.Entry.Kind() != entry.KindQuestion:
			a.other++
		}
	}
}

func (a away) empty() bool { return len(a.readings)+a.other+a.doubtful+a.unparsed == 0 }

// text says what was kept, the newest readings whole.
func (a away) text() string {
	var out []string
	if n := len(a.readings); n > 0 {
		told := a.readings[max(0, n-mostTold):]
		last := ""
		if n > mostTold {
			last = "; the last are"
		}
		out = append(out, fmt.Sprintf("While you were away I kept %s%s: %s.", count(n, "reading"), last, strings.Join(told, "; ")))
	} else if a.other > 0 {
		out = append(out, fmt.Sprintf("While you were away I kept %s.", count(a.other, "entry")))
	} else {
		out = append(out, "While you were away I kept nothing that counts.")
	}
	if len(a.readings) > 0 && a.other > 0 {
		out = append(out, "And "+count(a.other, "other entry")+".")
	}
	if a.doubtful > 0 {
		out = append(out, capital(count(a.doubtful, "phrase"))+" I am not sure of: kept, and counting for nothing until confirmed.")
	}
	if a.unparsed > 0 {
		out = append(out, capital(count(a.unparsed, "phrase"))+" I did not understand.")
	}
	return strings.Join(out, " ")
}

var numbers = [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"}

func count(n int, of string) string {
	number := fmt.Sprint(n)
	if n < len(numbers) {
		number = numbers[n]
	}
	if n != 1 {
		if cut, ok := strings.CutSuffix(of, "y"); ok {
			of = cut + "ies"
		} else {
			of += "s"
		}
	}
	return number + " " + of
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// late reports that a place in the sound is of a while ago.
func (s *Station) late(place time.Duration) bool {
	at := s.at(place)
	return !at.IsZero() && s.cfg.Now().Sub(at) > lateAfter+s.longestPhrase(place)
}

// longestPhrase is how much of what came is after a place: a long phrase is
// not late for its length.
func (s *Station) longestPhrase(place time.Duration) time.Duration {
	s.Sound.mu.Lock()
	defer s.Sound.mu.Unlock()
	const most = 20 * time.Second // of a phrase
	return min(most, max(0, samplesLong(s.given)-place))
}

// Late reports that an utterance is of a time when the phone was away.
func (s *Station) Late(u capture.Utterance) bool { return s.late(u.End) }

// catchUp tells what was kept while the phone was away, once all of it is
// heard.
func (s *Station) catchUp(ctx context.Context, done time.Duration) {
	s.mu.Lock()
	a := s.away
	ready := !a.empty() && s.link != nil && s.caughtUp()
	if ready {
		s.away = away{}
	}
	s.mu.Unlock()
	if !ready {
		return
	}
	text := a.text()
	question := ""
	if a.doubtful > 0 && s.cfg.Doubtful != nil {
		question = s.cfg.Doubtful(ctx)
	}
	s.mu.Lock()
	s.view.Away, s.view.Question = text, question
	s.mu.Unlock()
	s.show()
	go func() {
		attention := func() (voice.Tone, bool) { return voice.ToneAttention, true }
		_ = s.speak(context.WithoutCancel(ctx), attention, []string{text, question}) // the page shows it
		s.mu.Lock()
		s.asked = s.cfg.Now()
		s.mu.Unlock()
	}()
}

// caughtUp reports that nothing of before waits: all frames of the page have
// come, and were read.
func (s *Station) caughtUp() bool {
	const little = 2 * time.Second
	next, _, _ := s.acknowledged()
	const few = int64(little / (40 * time.Millisecond))
	return s.link.newest.Load() < next+few && s.waiting() < little
}
