package phone

import (
	"context"
	"encoding/binary"
	"errors"
	"math"
	"time"

	"downlead/capture/voice"
	"downlead/cmd/downlead/dialogue"
	"downlead/diagnose/claim"
)

// say is one sound of an answer.
type say struct {
	samples []int16
	volume  float64
}

// Answer shows what became of a phrase, and speaks the answer: at once where
// it was just said, later and shorter where the phone was away.
func (s *Station) Answer(ctx context.Context, ev dialogue.Event) error {
	return s.answer(ctx, ev, s.late(ev.At))
}

func (s *Station) answer(ctx context.Context, ev dialogue.Event, late bool) error {
	s.mu.Lock()
	s.view.event(ev)
	if d := ev.Reply.Current; d != nil {
		s.view.Next = claim.Answer(*d)
	}
	late = ev.Outcome != dialogue.Ignored && (late || s.link == nil)
	if late {
		s.away.event(ev)
		s.asked = never
	}
	s.mu.Unlock()
	s.show()
	if late || ev.Outcome == dialogue.Ignored {
		return nil
	}
	err := s.speak(ctx, func() (voice.Tone, bool) { return s.cfg.Tone(ev) }, append([]string{ev.Reply.Text}, ev.Reply.Caution...))
	s.mu.Lock()
	if ev.Reply.Asked != "" {
		s.asked = s.cfg.Now()
	}
	s.mu.Unlock()
	return err
}

// never is later than any phrase: the question was not put yet.
var never = time.Unix(1<<40, 0)

// speak plays a tone and texts on the phone, and returns when they were heard.
func (s *Station) speak(ctx context.Context, tone func() (voice.Tone, bool), texts []string) error {
	if s.cfg.Voice == nil {
		return nil
	}
	s.speaking.Lock()
	defer s.speaking.Unlock()
	s.answering(true)
	defer s.answering(false)
	s.mu.Lock()
	s.spoken = nil
	s.mu.Unlock()
	var long time.Duration
	last := uint32(0)
	play := func(samples []int16) {
		if len(samples) > 0 {
			last = s.sound(say{samples, s.cfg.Voice.Volume()})
			long += samplesLong(int64(len(samples)))
		}
	}
	began := s.cfg.Now()
	if t, ok := tone(); ok {
		play(t.Samples())
	}
	for _, text := range texts {
		samples, err := s.cfg.Voice.Render(ctx, text)
		if errors.Is(err, voice.ErrNoVoice) {
			break // the page shows it
		}
		if err != nil {
			return err
		}
		play(samples)
	}
	return s.wait(ctx, last, long-s.cfg.Now().Sub(began))
}

// sound sends a sound and returns its number, 0 where nobody is there.
func (s *Station) sound(a say) uint32 {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.spoken = append(s.spoken, a)
	if s.link == nil {
		return 0
	}
	s.clips++
	b := make([]byte, 8, 8+2*len(a.samples))
	binary.LittleEndian.PutUint32(b, s.clips)
	binary.LittleEndian.PutUint32(b[4:], math.Float32bits(float32(a.volume)))
	for _, v := range a.samples {
		b = binary.LittleEndian.AppendUint16(b, uint16(v))
	}
	s.link.put(message{sound: b})
	return s.clips
}

// slack is how much later than its length a sound may be heard: the way there
// and back, and what the phone holds.
const slack = 2 * time.Second

// wait waits until the page has played a sound, or cannot have.
func (s *Station) wait(ctx context.Context, clip uint32, long time.Duration) error {
	s.mu.Lock()
	l := s.link
	s.mu.Unlock()
	if l == nil || clip == 0 {
		return nil
	}
	enough := time.NewTimer(long + slack)
	defer enough.Stop()
	for {
		select {
		case n := <-l.played:
			if n >= clip {
				return nil
			}
		case <-l.done:
			return nil
		case <-enough.C:
			return nil
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

func (s *Station) answering(on bool) {
	s.mu.Lock()
	s.view.answering = on
	s.mu.Unlock()
	s.show()
}

// sayAgain plays the last answer once more.
func (s *Station) sayAgain(ctx context.Context) {
	s.speaking.Lock()
	defer s.speaking.Unlock()
	s.mu.Lock()
	again := s.spoken
	s.spoken = nil
	s.mu.Unlock()
	s.answering(true)
	defer s.answering(false)
	var long time.Duration
	last := uint32(0)
	for _, a := range again {
		last = s.sound(a)
		long += samplesLong(int64(len(a.samples)))
	}
	_ = s.wait(ctx, last, long) // it was heard once already
}

// show sends the page what it shows.
func (s *Station) show() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.link == nil {
		return
	}
	v := s.view
	v.Type, v.State = "view", s.view.state()
	s.link.send(v)
}

// longestOutbox is how many typed phrases are remembered, so that one that is
// sent twice is kept once.
const longestOutbox = 100

// typedPhrase takes a phrase that was typed on the page, or a button.
func (s *Station) typedPhrase(ctx context.Context, l *link, id, text string) {
	s.mu.Lock()
	_, had := s.typed[id]
	if !had {
		s.typed[id] = struct{}{}
		if s.order = append(s.order, id); len(s.order) > longestOutbox {
			delete(s.typed, s.order[0])
			s.order = s.order[1:]
		}
	}
	s.mu.Unlock()
	if had {
		l.send(map[string]any{"type": "took", "id": id})
		return
	}
	ev, err := s.cfg.Hear(ctx, text)
	if err != nil {
		s.mu.Lock()
		delete(s.typed, id)
		s.mu.Unlock()
		l.send(map[string]any{"type": "took", "id": id, "error": "Not kept: " + err.Error() + "."})
		return
	}
	l.send(map[string]any{"type": "took", "id": id})
	go s.answerTyped(ctx, ev)
}

func (s *Station) answerTyped(ctx context.Context, ev dialogue.Event) {
	if err := s.answer(ctx, ev, false); err != nil {
		s.mu.Lock()
		s.view.Trouble = "The answer could not be spoken: " + err.Error()
		s.mu.Unlock()
		s.show()
	}
}
