package voice

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"time"

	"downlead/capture/sound"
)

// ErrNoVoice says that nothing is installed that can speak.
var ErrNoVoice = errors.New("no voice: apt-get install flite, or espeak-ng; answers are shown as text")

// Config is how answers are spoken; the zero value is good.
type Config struct {
	Program string  // "flite" or "espeak-ng"; "": whichever is installed, in that order
	Voice   string  // the program's own name of a voice; "": "slt" for flite, "en-us" for espeak-ng
	Volume  float64 // 0..1; 0 means 0.8
	Speed   float64 // times the usual speed, 0.5..2; 0 means 1
	Device  string  // part of the loudspeaker's name; "": the system's default

	// Deafen makes the microphone deaf until the function it returns is
	// called, as Microphone.Deafen does; nil: nothing is deafened.
	Deafen func() (hear func())
	// Tail is how long it stays deaf after the sound, for the room's echo; 0 means 200 ms.
	Tail time.Duration
}

// Voice speaks answers. Its methods may be called from several goroutines;
// sounds follow one another.
type Voice struct {
	cfg  Config
	play *sound.Player

	mu    sync.Mutex
	speed float64
}

// New finds the program that speaks. When there is none the error is
// ErrNoVoice, and the Voice that comes with it still plays tones.
func New(cfg Config) (*Voice, error) {
	if cfg.Volume == 0 {
		cfg.Volume = 0.8
	}
	if cfg.Tail == 0 {
		cfg.Tail = 200 * time.Millisecond
	}
	if cfg.Deafen == nil {
		cfg.Deafen = func() func() { return func() {} }
	}
	v := &Voice{cfg: cfg, play: sound.NewPlayer(cfg.Device, clamp(cfg.Volume, 0, 1))}
	v.SetSpeed(cfg.Speed)
	programs := []string{"flite", "espeak-ng"}
	if cfg.Program != "" {
		programs = []string{cfg.Program}
	}
	v.cfg.Program = ""
	for _, p := range programs {
		if _, err := exec.LookPath(p); err == nil {
			v.cfg.Program = p
			return v, nil
		}
	}
	return v, ErrNoVoice
}

func clamp(v, low, high float64) float64 { return max(low, min(high, v)) }

// Program is what speaks: "flite", "espeak-ng", or "" for nothing.
func (v *Voice) Program() string { return v.cfg.Program }

// SetVolume sets the loudness, 0..1, at once, also of what is being said.
func (v *Voice) SetVolume(volume float64) { v.play.SetVolume(clamp(volume, 0, 1)) }

// Volume is the loudness, 0..1.
func (v *Voice) Volume() float64 { return math.Float64frombits(v.play.Volume.Load()) }

// SetSpeed sets the speed of what is said next, times the usual; 0.5..2, 0 means 1.
func (v *Voice) SetSpeed(speed float64) {
	if speed == 0 {
		speed = 1
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	v.speed = clamp(speed, 0.5, 2)
}

// Speed is the speed, times the usual.
func (v *Voice) Speed() float64 {
	v.mu.Lock()
	defer v.mu.Unlock()
	return v.speed
}

// Say speaks text and returns when it has been heard and the microphone hears
// again. Errors: ErrNoVoice, ErrNoSpeaker, that of ctx.
func (v *Voice) Say(ctx context.Context, text string) error {
	samples, err := v.Render(ctx, text)
	if err != nil {
		return err
	}
	return v.sound(ctx, samples)
}

// Play plays a tone, likewise.
func (v *Voice) Play(ctx context.Context, t Tone) error { return v.sound(ctx, t.Samples()) }

// Tick plays a soft tick, shorter than what is taken for speech, while the
// microphone hears on.
func (v *Voice) Tick(ctx context.Context) error { return v.play.Play(ctx, tick()) }

func (v *Voice) sound(ctx context.Context, samples []int16) error {
	hear := v.cfg.Deafen()
	defer hear()
	if err := v.play.Play(ctx, samples); err != nil {
		return err
	}
	return sound.Sleep(ctx, v.cfg.Tail)
}

// Close closes the loudspeaker.
func (v *Voice) Close() error {
	v.play.Close()
	return nil
}

// Render speaks text into samples.
func (v *Voice) Render(ctx context.Context, text string) ([]int16, error) {
	text = strings.TrimSpace(strings.ReplaceAll(text, "\x00", " "))
	if text == "" {
		return nil, nil
	}
	var cmd *exec.Cmd
	speed, voice := v.Speed(), v.cfg.Voice
	switch v.cfg.Program {
	case "flite":
		if voice == "" {
			voice = "slt"
		}
		cmd = exec.CommandContext(ctx, "flite", "-voice", voice,
			"--setf", "duration_stretch="+strconv.FormatFloat(1/speed, 'f', 3, 64), "-t", text, "-o", "/dev/stdout")
	case "espeak-ng":
		if voice == "" {
			voice = "en-us"
		}
		const usual = 160 // words a minute
		cmd = exec.CommandContext(ctx, "espeak-ng", "-v", voice, "-s", strconv.Itoa(int(usual*speed)), "--stdout", "--", text)
	default:
		return nil, ErrNoVoice
	}
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	if err := cmd.Run(); err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, fmt.Errorf("speak with %s: %w: %s", v.cfg.Program, err, strings.TrimSpace(said.String()))
	}
	f, err := sound.NewWAV(&out)
	if err != nil {
		return nil, fmt.Errorf("speak with %s: %w", v.cfg.Program, err)
	}
	samples, err := sound.ReadAll(ctx, f)
	if err != nil && !errors.Is(err, sound.ErrTruncated) {
		return nil, fmt.Errorf("speak with %s: %w", v.cfg.Program, err)
	}
	return samples, nil
}
