package listen

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"time"

	"downlead/capture"
	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/dialogue"
	"downlead/cmd/downlead/field"
	"downlead/cmd/downlead/phone"
	"downlead/cmd/downlead/review"
	"downlead/grammar/entry"
)

// PhoneFolder is where the phone's key and pairing are kept.
func PhoneFolder(e *cli.Env) phone.Folder {
	return phone.Folder(filepath.Join(e.DataFolder(), "phone"))
}

// PairPhone makes a code for the review page to show.
func PairPhone(e *cli.Env) (review.Pairing, error) {
	i, err := PhoneFolder(e).Invite(e.Now())
	if err != nil {
		return review.Pairing{}, err
	}
	d, err := i.Draw()
	return review.Pairing{Address: i.Address, URL: i.URL, Fingerprint: i.Fingerprint, Size: d.Size, Path: d.Path}, err
}

// sameTime is how far the times of one phrase may differ that was heard
// twice: the phone's clock is measured anew with every link.
const sameTime = time.Second

// listenPhone listens to the technician's phone.
func listenPhone(ctx context.Context, e *cli.Env, g *cli.Global, f listenFlags, cfg Config) error {
	address, err := phone.ChooseAddress(f.address)
	if err != nil {
		return err
	}
	l, closeAll, err := openListener(ctx, e, g, cfg, true)
	if err != nil {
		return err
	}
	defer closeAll()
	out := &speaker{e: e, mute: f.mute}
	if !f.mute {
		out = newSpeaker(e, cfg.Voice, nil)
		defer out.close()
	}
	p := &phoneDesk{e: e, l: l, out: out, wait: cfg.wait()}
	p.station, err = phone.Open(phone.Config{
		Folder: PhoneFolder(e), Address: address, Port: f.port, Now: e.Now, Voice: out.voice, Tone: toneOf,
		Hear: p.hear, Attach: p.attach, Kept: p.kept, Doubtful: p.doubtful,
	})
	if err != nil {
		return err
	}
	l.Holds = true
	l.When, l.Before, l.Again = p.station.When, p.station.Before, p.station.Again
	if err := l.Refocus(ctx); err != nil {
		return err
	}
	return p.run(ctx, g)
}

// phoneDesk is between the phone and the conversation.
type phoneDesk struct {
	e       *cli.Env
	l       *dialogue.Listener
	out     *speaker
	wait    time.Duration // for a phrase that may go on
	station *phone.Station
}

func (p *phoneDesk) run(ctx context.Context, g *cli.Global) error {
	listening, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	serving, stop := context.WithCancel(context.WithoutCancel(ctx))
	served := make(chan error, 1)
	go func() {
		err := p.station.Serve(serving)
		if err != nil {
			cancel(err)
		}
		served <- err
	}()
	if err := p.invite(g); err != nil {
		stop()
		return errors.Join(err, <-served)
	}
	go p.inviteOnEnter(listening, g)
	how := capture.ListenConfig{
		Doubt: p.l.Doubt, Ahead: headStart, Endpoints: p.l.Endpoints(p.wait, func(capture.Utterance) {}),
		Progress: func(now capture.Progress) { p.station.Progress(listening, now) },
	}
	err := listenTo(listening, p.station, how, p.l, p, &listenWriter{e: p.e, g: g, counts: map[dialogue.Outcome]int{}})
	told := err
	if ctx.Err() != nil {
		told = nil
	}
	p.station.Stop(told)
	stop()
	return errors.Join(err, <-served)
}

// invite shows the address and a QR code that pairs a phone.
func (p *phoneDesk) invite(g *cli.Global) error {
	i, err := p.station.Invite()
	if err != nil {
		return err
	}
	if p.e.ErrTTY {
		if err := phone.PrintCode(p.e.Err, i); err != nil {
			return err
		}
	}
	fmt.Fprintf(p.e.Err, "the phone's page: %s\n", i.URL)
	if g.Quiet {
		return nil
	}
	fmt.Fprintf(p.e.Err, "Read the code with the phone's camera, within two minutes; Enter shows a new one.\n"+
		"The browser warns once, because this machine signs for itself: look at the certificate,\n"+
		"it must have the SHA-256 fingerprint\n  %s\n", i.Fingerprint)
	return nil
}

// inviteOnEnter shows a new code for every line of standard input.
func (p *phoneDesk) inviteOnEnter(ctx context.Context, g *cli.Global) {
	lines := bufio.NewScanner(p.e.In)
	for lines.Scan() && ctx.Err() == nil {
		if err := p.invite(g); err != nil {
			fmt.Fprintln(p.e.Err, "downlead:", err)
		}
	}
}

// Answer implements answerer.
func (p *phoneDesk) Answer(ctx context.Context, ev dialogue.Event) error {
	if p.out.voice != nil {
		p.out.control(ev.Reply.Control)
	}
	return p.out.told(p.station.Answer(ctx, ev))
}

func (p *phoneDesk) hear(ctx context.Context, text string) (dialogue.Event, error) {
	return p.l.Type(ctx, dialogue.Phrase{Text: text, At: p.e.Now()})
}

// kept reports that a phrase of a time is in the journal.
func (p *phoneDesk) kept(ctx context.Context, at time.Time) bool {
	taken, err := p.l.Taken(ctx, at, sameTime)
	return err == nil && taken // a journal that cannot be read fails the next phrase, with its reason
}

func (p *phoneDesk) doubtful(ctx context.Context) string {
	question, err := p.l.AskAgain(ctx)
	if err != nil {
		fmt.Fprintln(p.e.Err, "downlead: what was not confirmed could not be asked again:", err)
	}
	return question
}

// attach keeps a photograph of the page in the job.
func (p *phoneDesk) attach(ctx context.Context, photo phone.Photograph) (string, error) {
	kept := entry.Photo{Name: photo.Name, Remark: photo.Remark}
	if photo.At != "" {
		answer, err := p.l.Session.Parser.ParseAnswer(photo.At)
		if err != nil || answer.Point == nil {
			return "", fmt.Errorf("%q is not a point; say it as in \"ground block dish side\"", photo.At)
		}
		kept.At = answer.Point
	}
	picture := photo.Picture
	if !photo.KeepPosition {
		var err error
		if picture, err = field.WithoutPosition(picture); err != nil {
			return "", err
		}
	}
	sum, err := p.l.Session.Journal.PutPhoto(bytes.NewReader(picture))
	if err != nil {
		return "", err
	}
	kept.SHA256 = sum
	return p.l.Keep(ctx, dialogue.Phrase{At: p.e.Now()}, kept)
}
