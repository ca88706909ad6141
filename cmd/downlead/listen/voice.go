package listen

import (
	"context"
	"errors"
	"fmt"

	"downlead/capture/sound"
	"downlead/capture/voice"
	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/dialogue"
)

// speaker answers by voice, or by tones where nothing is installed that speaks.
type speaker struct {
	e     *cli.Env
	voice *voice.Voice // nil: answers are printed alone
	mute  bool         // a failure was told already
}

// newSpeaker opens the voice. mic is made deaf while it speaks.
func newSpeaker(e *cli.Env, c voiceConfig, mic *sound.Microphone) *speaker {
	cfg := voice.Config{Program: c.Program, Voice: c.Name, Volume: c.Volume, Speed: c.Speed, Device: c.Device}
	if mic != nil {
		cfg.Deafen = mic.Deafen
	}
	v, err := voice.New(cfg)
	if err != nil {
		fmt.Fprintln(e.Err, "downlead:", err)
	}
	return &speaker{e: e, voice: v}
}

// Answer plays the outcome's tone and says the answer, cautions last.
func (s *speaker) Answer(ctx context.Context, ev dialogue.Event) error {
	if s.voice == nil {
		return nil
	}
	s.control(ev.Reply.Control)
	tone, ok := toneOf(ev)
	if !ok {
		return nil
	}
	if err := s.told(s.voice.Play(ctx, tone)); err != nil {
		return err
	}
	for _, text := range append([]string{ev.Reply.Text}, ev.Reply.Caution...) {
		if text == "" {
			continue
		}
		if err := s.told(s.voice.Say(ctx, text)); err != nil {
			return err
		}
	}
	return nil
}

// waiting ticks: a phrase has begun, and its rest is waited for. Nothing waits for
// the tick, and the microphone hears on.
func (s *speaker) waiting() {
	if s.voice != nil {
		go func() { _ = s.voice.Tick(context.Background()) }() // a lost tick is no news
	}
}

// told reports a voice that fails once, and goes on without it.
func (s *speaker) told(err error) error {
	switch {
	case err == nil, errors.Is(err, voice.ErrNoVoice):
		return nil
	case errors.Is(err, context.Canceled):
		return err
	case !s.mute:
		s.mute = true
		fmt.Fprintln(s.e.Err, "downlead: cannot speak, answers are printed:", err)
	}
	return nil
}

func toneOf(ev dialogue.Event) (voice.Tone, bool) {
	switch {
	case ev.Outcome == dialogue.Ignored:
		return 0, false
	case ev.Outcome == dialogue.Unparsed:
		return voice.ToneAgain, true
	case ev.Outcome == dialogue.Asked, len(ev.Reply.Caution) > 0, ev.Reply.Warning != "":
		return voice.ToneAttention, true
	}
	return voice.ToneTaken, true
}

// Steps of the spoken controls.
const (
	volumeStep = 0.2
	speedStep  = 1.2
)

func (s *speaker) control(verb string) {
	switch verb {
	case "louder":
		s.voice.SetVolume(s.voice.Volume() + volumeStep)
	case "softer":
		s.voice.SetVolume(s.voice.Volume() - volumeStep)
	case "faster":
		s.voice.SetSpeed(s.voice.Speed() * speedStep)
	case "slower":
		s.voice.SetSpeed(s.voice.Speed() / speedStep)
	}
}

func (s *speaker) close() {
	if s.voice != nil {
		_ = s.voice.Close() // nothing more is to be said
	}
}
