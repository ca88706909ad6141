// Package listen has the commands that hear: a microphone, a phone, a sound file;
// import reads notes as well.
package listen

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/sync/errgroup"

	"downlead/capture"
	"downlead/capture/sound"
	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/dialogue"
	"downlead/cmd/downlead/field"
	"downlead/cmd/downlead/language"
	"downlead/cmd/downlead/phone"
	"downlead/export/shown"
	"downlead/grammar"
	"downlead/grammar/speech"
	"downlead/journal"
	"downlead/journal/record"
)

// listenFlags are the options of listen.
type listenFlags struct {
	file   string
	text   bool
	mute   bool
	device string

	phone   bool
	address string
	port    int
}

func New(e *cli.Env, g *cli.Global) *cobra.Command {
	f := listenFlags{}
	c := &cobra.Command{
		Use:   "listen",
		Short: "Hands-free: hear phrases, keep them, answer by voice",
		Long: `Listen hears phrases through the microphone, without a network, keeps what was
said once it is sure, asks when it is not, and answers by voice. Talk that is no
phrase is ignored. It is deaf while it speaks.

Say "pause" and "resume", "repeat", "louder", "softer", "slower", "faster", and
"stop" to end. Sound is kept only after "recording is fine" was said for the job;
the microphone may take in other people, and the law on consent differs by place.

--file hears a sound file in place of the microphone (WAV; other formats where
they can be converted); --text takes typed lines. --phone makes the technician's
phone the microphone, ear and screen: its camera reads the QR code that is shown
(or that of downlead review), and its browser opens the page.

With --json every phrase is one object a line, and the last line is a summary.`,
		Example: `  downlead listen
  downlead listen --file call.wav --mute
  downlead listen --phone
  downlead listen --text --json < call.txt`,
		Args: cli.Args(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error { return runListen(cmd.Context(), e, g, f) },
	}
	fl := c.Flags()
	fl.StringVar(&f.file, "file", "", "hear this sound `file` in place of the microphone")
	fl.BoolVar(&f.text, "text", false, "take typed lines in place of sound")
	fl.BoolVar(&f.mute, "mute", false, "print the answers, do not speak them")
	fl.StringVar(&f.device, "device", "", "part of the microphone's `name` (default: the system's)")
	fl.BoolVar(&f.phone, "phone", false, "hear the technician's phone, over the local network")
	fl.StringVar(&f.address, "address", "", "with --phone: this machine's `address` to serve on (default: the likeliest)")
	fl.IntVar(&f.port, "port", phone.Port, "with --phone: the port")
	c.MarkFlagsMutuallyExclusive("file", "text", "phone")
	c.MarkFlagsMutuallyExclusive("device", "phone")
	return c
}

func runListen(ctx context.Context, e *cli.Env, g *cli.Global, f listenFlags) error {
	if f.text {
		return listenText(ctx, e, g)
	}
	cfg, err := ReadConfig(e)
	if err != nil {
		return err
	}
	if f.phone {
		return listenPhone(ctx, e, g, f, cfg)
	}
	if f.device != "" {
		cfg.Device = f.device
	}
	src, mic, err := openSource(f.file, cfg.Device)
	if err != nil {
		return err
	}
	defer src.Close()
	l, closeAll, err := openListener(ctx, e, g, cfg, mic != nil)
	if err != nil {
		return err
	}
	defer closeAll()
	l.When = timesOf(e, mic != nil)
	if err := l.Refocus(ctx); err != nil {
		return err
	}
	out := &speaker{e: e}
	if mic != nil && !f.mute {
		out = newSpeaker(e, cfg.Voice, mic)
		defer out.close()
	}
	if mic != nil && !g.Quiet {
		fmt.Fprintln(e.Err, "listening; say \"stop\" to end")
	}
	how := capture.ListenConfig{Doubt: l.Doubt, Endpoints: l.Endpoints(cfg.wait(), func(capture.Utterance) { out.waiting() })}
	if mic != nil {
		how.Ahead = headStart
	}
	return listenTo(ctx, src, how, l, out, &listenWriter{e: e, g: g, counts: map[dialogue.Outcome]int{}})
}

// openListener opens a session with both listeners; live ones do not wait for
// the second. closeAll closes what was opened.
func openListener(ctx context.Context, e *cli.Env, g *cli.Global, cfg Config, live bool) (l *dialogue.Listener, closeAll func(), err error) {
	s, err := field.Session(ctx, e, g, "start job 0")
	if err != nil {
		return nil, nil, err
	}
	figure, err := cfg.Figure()
	if err != nil {
		s.Journal.Close()
		return nil, nil, err
	}
	second := OpenSecond(e, live)
	r, err := NewRecogniser(s.Parser, second)
	if err != nil {
		second.Close()
		s.Journal.Close()
		return nil, nil, err
	}
	l = &dialogue.Listener{
		Session: s, Recogniser: r, Thresholds: cfg.Thresholds, Figure: figure, Origin: record.Voice, Zone: journal.LocalZone(),
		Encode: sound.WAV, Wake: cfg.Wake,
	}
	return l, func() {
		r.Close()
		second.Close()
		s.Journal.Close()
	}, nil
}

// answerer is where answers go.
type answerer interface {
	Answer(ctx context.Context, ev dialogue.Event) error
}

// timesOf tells when an utterance was: now, where it comes from a microphone,
// whose own clock may run fast or slow, and counted from the beginning where it
// comes from a file.
func timesOf(e *cli.Env, live bool) func(capture.Utterance) (time.Time, record.TimeSource) {
	began := e.Now()
	return func(u capture.Utterance) (time.Time, record.TimeSource) {
		if live {
			return e.Now(), record.FromClock
		}
		return began.Add(u.Start), record.FromRecording
	}
}

// headStart is the silence after which a phrase from the microphone is decoded:
// longer than the stops within words, and than what is kept after the last word
// (segment.Edge). Where the speaker goes on, the decode is given up. A judgement.
const headStart = 140 * time.Millisecond

// listenTo hears a source to its end, to "stop", or to an interrupt; what was
// being said then is still kept.
func listenTo(ctx context.Context, src sound.Source, how capture.ListenConfig, l *dialogue.Listener, out answerer, w *listenWriter) error {
	for u, err := range capture.Listen(ctx, src, l.Recogniser, how) {
		if errors.Is(err, sound.ErrDeviceLost) {
			fmt.Fprintln(w.e.Err, "downlead:", err)
			continue
		}
		if err != nil {
			return errors.Join(err, w.summary(l.Session))
		}
		ev, err := l.Take(context.WithoutCancel(ctx), u)
		if err != nil {
			return errors.Join(err, w.summary(l.Session))
		}
		if err := w.event(ev); err != nil {
			return err
		}
		var next errgroup.Group
		next.Go(func() error { return out.Answer(ctx, ev) })
		next.Go(func() error { return l.Refocus(context.WithoutCancel(ctx)) })
		if err := next.Wait(); err != nil {
			return errors.Join(err, w.summary(l.Session))
		}
		if ev.Reply.Control == "stop" {
			if how.Progress != nil {
				how.Progress(capture.Progress{Done: u.End}) // it must not stop the next run, too
			}
			break
		}
	}
	return w.summary(l.Session)
}

// openSource opens the sound file, or the microphone; mic is nil for a file.
func openSource(file, device string) (sound.Source, *sound.Microphone, error) {
	if file != "" {
		src, err := sound.OpenFile(file)
		return src, nil, err
	}
	mic, err := sound.OpenMicrophone(sound.MicrophoneConfig{Device: device})
	if err != nil {
		return nil, nil, cli.Hinted(err, "without one: downlead listen --file call.wav, or downlead say …")
	}
	return mic, mic, nil
}

// NewRecogniser loads the recogniser with everything that can be said.
func NewRecogniser(p *grammar.Parser, second *capture.Second) (*capture.Recogniser, error) {
	return capture.NewRecogniser(capture.Config{
		JSGF: p.JSGF(speech.Focus{}), Pronunciations: p.Pronunciations(nil), Meaning: p.Meaning, Rivals: p.Rivals, Second: second,
		Completeness: func(words string) (bool, bool) { return p.Completeness(words, false) },
	})
}

// listenText takes typed lines as listen takes phrases.
func listenText(ctx context.Context, e *cli.Env, g *cli.Global) error {
	e, err := language.Prompted(e, g)
	if err != nil {
		return err
	}
	if h, err := field.Home(ctx, e, g); err == nil && e.InTTY && !g.JSON && !g.Quiet {
		fmt.Fprintf(e.Err, "Job %s. %s\n", h.Number, shown.Of(h.Answer))
	}
	w := &listenWriter{e: e, g: g, counts: map[dialogue.Outcome]int{}}
	s, err := field.Typed(ctx, e, g, []string{"-"}, language.EncodingUTF8, func(p dialogue.Phrase, r dialogue.Reply) error {
		return w.event(dialogue.Event{Heard: p.Text, Outcome: r.Outcome, Reply: r})
	})
	if s != nil {
		defer s.Journal.Close()
	}
	return errors.Join(err, w.summary(s))
}

// listenWriter prints what was heard and counts the outcomes.
type listenWriter struct {
	e      *cli.Env
	g      *cli.Global
	counts map[dialogue.Outcome]int
}

// eventJSON is the machine form of one phrase heard.
type eventJSON struct {
	At      float64            `json:"at_s"`
	Heard   string             `json:"heard"`
	Outcome dialogue.Outcome   `json:"outcome"`
	Asked   string             `json:"asked,omitempty"`
	Answer  string             `json:"answer,omitempty"`
	Caution []string           `json:"cautions,omitempty"`
	Entries []cli.Stored       `json:"entries"`
	Scores  map[string]float64 `json:"scores,omitempty"`
	SNR     *float64           `json:"snr_db,omitempty"`
}

func (w *listenWriter) event(ev dialogue.Event) error {
	w.counts[ev.Outcome]++
	if w.g.JSON {
		return cli.PrintJSON(w.e.Out, machineEvent(ev))
	}
	if ev.Outcome == dialogue.Ignored {
		if w.g.Verbose {
			fmt.Fprintf(w.e.Err, "%7.1f s  ignored: %q\n", ev.At.Seconds(), ev.Heard)
		}
		return nil
	}
	fmt.Fprintf(w.e.Out, "%7.1f s  %q\n", ev.At.Seconds(), ev.Heard)
	if ev.Reply.Text != "" {
		fmt.Fprintf(w.e.Out, "           %s\n", cli.Indented(ev.Reply.Text))
	}
	for _, c := range ev.Reply.Caution {
		fmt.Fprintf(w.e.Out, "           Caution: %s\n", c)
	}
	if ev.Reply.Warning != "" {
		fmt.Fprintln(w.e.Err, "downlead:", shown.Of(ev.Reply.Warning))
	}
	return nil
}

func machineEvent(ev dialogue.Event) eventJSON {
	out := eventJSON{At: ev.At.Seconds(), Heard: ev.Heard, Outcome: ev.Outcome, Asked: ev.Reply.Asked, Answer: ev.Reply.Text, Caution: ev.Reply.Caution, Entries: []cli.Stored{}}
	for _, r := range ev.Reply.Records {
		out.Entries = append(out.Entries, cli.Stored{Record: r})
	}
	if ev.Scores != (capture.Scores{}) {
		out.Scores = finite(map[string]float64{
			"gpf": ev.Scores.Grammar, "llr": ev.Scores.Ratio, "worst_word": ev.Scores.WorstWord, "number_margin": ev.Scores.NumberMargin,
		})
		if ev.Scores.Confidence > 0 {
			out.Scores["confidence"] = math.Floor(1e4*ev.Scores.Confidence) / 1e4
		}
		snr := ev.Scores.SNR
		out.SNR = &snr
	}
	return out
}

// finite leaves out what JSON has no number for: a margin without a rival.
func finite(m map[string]float64) map[string]float64 {
	for k, v := range m {
		if v-v != 0 {
			delete(m, k)
		}
	}
	return m
}

// summary ends the conversation: an open question leaves its entry unconfirmed.
func (w *listenWriter) summary(s *dialogue.Session) error {
	open := ""
	if s != nil {
		open, _ = s.Open()
	}
	if w.g.JSON {
		return cli.PrintJSON(w.e.Out, map[string]any{"summary": map[string]any{
			"taken": w.counts[dialogue.Taken], "asked": w.counts[dialogue.Asked], "ignored": w.counts[dialogue.Ignored],
			"unparsed": w.counts[dialogue.Unparsed], "open_question": open,
		}})
	}
	if open != "" {
		fmt.Fprintln(w.e.Err, "downlead: kept unconfirmed, it counts for nothing until answered:", open)
	}
	fmt.Fprintf(w.e.Err, "%d taken, %d asked, %d ignored, %d not understood\n",
		w.counts[dialogue.Taken], w.counts[dialogue.Asked], w.counts[dialogue.Ignored], w.counts[dialogue.Unparsed])
	return nil
}
