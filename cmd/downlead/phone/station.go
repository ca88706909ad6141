package phone

import (
	"context"
	"crypto/tls"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"os"
	"sync"
	"time"

	"downlead/capture"
	"downlead/capture/voice"
	"downlead/cmd/downlead/dialogue"
	"downlead/cmd/downlead/guard"
	"downlead/journal/record"
)

// Config is what the phone's page needs of the rest of the program.
type Config struct {
	Folder  Folder
	Address netip.Addr // of this machine, to listen on alone
	Port    int        // 0 means any free one
	Now     func() time.Time

	Voice *voice.Voice // renders the answers; nil: they are shown alone

	Tone func(dialogue.Event) (voice.Tone, bool)

	// Hear takes a typed phrase, as the listener takes a spoken one.
	Hear func(ctx context.Context, text string) (dialogue.Event, error)
	// Attach keeps a photograph in the job, and says what was kept.
	Attach func(ctx context.Context, p Photograph) (string, error)
	// Kept reports that a phrase said at a time is in the journal already: it
	// was heard before this process began. Nil: none is.
	Kept func(ctx context.Context, at time.Time) bool
	// Doubtful asks again about what was said last and is not confirmed, and
	// returns the question, "" where there is none. Nil: nothing is asked again.
	Doubtful func(ctx context.Context) string
}

// Photograph is a picture that came from the page.
type Photograph struct {
	Name         string
	Picture      []byte
	At           string // the point, as it is said; "" for none
	Remark       string
	KeepPosition bool // what tells where it was taken is kept on purpose
}

// Station serves the phone's page: a microphone, an ear and a screen.
type Station struct {
	*Sound
	cfg     Config
	cert    tls.Certificate
	socket  net.Listener
	pair    *pairing
	pages   *pages
	origin  string // "https://192.0.2.7:8077"
	process string // of this run: the page tells by it whether the machine was started anew

	speaking sync.Mutex // held while an answer is spoken

	mu      sync.Mutex
	link    *link // nil: no phone is there
	view    view
	away    away
	asked   time.Time // when the open question could be heard
	resumed time.Time // what was said before may have been heard by a process before this one
	spoken  []say     // the last answer, for "say again"
	clips   uint32    // number of the last clip
	typed   map[string]struct{}
	order   []string // of typed, the oldest first
}

// Open prepares the page: key, certificate and port. Errors name the address
// and say what else to try.
func Open(cfg Config) (*Station, error) {
	if cfg.Now == nil {
		cfg.Now = time.Now
	}
	cert, err := cfg.Folder.Certificate(cfg.Address, cfg.Now())
	if err != nil {
		return nil, err
	}
	pair, err := newPairing(cfg.Folder, cfg.Now)
	if err != nil {
		return nil, err
	}
	pages, err := loadPages()
	if err != nil {
		return nil, err
	}
	at := netip.AddrPortFrom(cfg.Address, uint16(cfg.Port))
	socket, err := net.Listen("tcp", at.String())
	if err != nil {
		return nil, fmt.Errorf("serve the phone's page on %s: %w; is downlead listen --phone running already? Another port: --port", at, err)
	}
	port := socket.Addr().(*net.TCPAddr).Port
	s := &Station{
		Sound: newSound(), cfg: cfg, cert: cert, socket: socket, pair: pair, pages: pages,
		origin:  "https://" + netip.AddrPortFrom(cfg.Address, uint16(port)).String(),
		process: fmt.Sprintf("%d-%d", os.Getpid(), cfg.Now().UnixNano()),
		typed:   map[string]struct{}{},
	}
	return s, cfg.Folder.write(runningFile, running{s.origin + "/", Fingerprint(cert), os.Getpid()})
}

// Address is where the page is, Fingerprint that of its certificate.
func (s *Station) Address() string     { return s.origin + "/" }
func (s *Station) Fingerprint() string { return Fingerprint(s.cert) }

// Invite makes a pairing code.
func (s *Station) Invite() (Invitation, error) { return s.cfg.Folder.Invite(s.cfg.Now()) }

// Serve serves the page until ctx is done.
func (s *Station) Serve(ctx context.Context) error {
	defer os.Remove(s.cfg.Folder.path(runningFile))
	secure := tls.NewListener(s.socket, &tls.Config{
		Certificates: []tls.Certificate{s.cert}, MinVersion: tls.VersionTLS12, NextProtos: []string{"http/1.1"},
	})
	return guard.Serve(ctx, secure, s.guarded(), guard.UsualLimits())
}

// Progress takes how far the listener has come.
func (s *Station) Progress(ctx context.Context, p capture.Progress) {
	s.heard(p.Done)
	s.mu.Lock()
	changed := s.view.doing(p)
	s.mu.Unlock()
	if changed {
		s.show()
	}
	if !p.Speaking && !p.Decoding {
		s.catchUp(ctx, p.Done)
	}
}

// When dates an utterance by the machine's clock: when it was said, not when
// it came here.
func (s *Station) When(u capture.Utterance) (time.Time, record.TimeSource) {
	if at := s.at(u.Start); !at.IsZero() {
		return at, record.FromClock
	}
	return s.cfg.Now(), record.FromClock
}

// Before reports that an utterance was said before the open question could be
// heard: it is no answer to it.
func (s *Station) Before(u capture.Utterance) bool {
	s.mu.Lock()
	asked := s.asked
	s.mu.Unlock()
	return s.at(u.Start).Before(asked)
}

// Again reports that an utterance was heard and kept before this process
// began, and was sent again because the phone could not be told.
func (s *Station) Again(ctx context.Context, u capture.Utterance) bool {
	at := s.at(u.Start)
	s.mu.Lock()
	resumed := s.resumed
	s.mu.Unlock()
	return s.cfg.Kept != nil && at.Before(resumed) && s.cfg.Kept(ctx, at)
}

// Stop tells the phone that the listener has ended, and why; nil is no fault.
func (s *Station) Stop(why error) {
	s.mu.Lock()
	s.view.Stopped = "The listener was stopped. What is said from now on is kept on this phone."
	if why != nil {
		s.view.Stopped = "The machine has stopped listening: " + why.Error() + ". What was not kept there is still on this phone: put that right and start it again."
	}
	l := s.link
	s.mu.Unlock()
	s.show()
	if l != nil {
		l.flush()
	}
}

func (s *Station) guarded() http.Handler {
	host := s.origin[len("https://"):]
	g := guard.Guard{
		Policy: "default-src 'none'; style-src 'self'; script-src 'self'; worker-src 'self'; img-src 'self' blob:; " +
			"connect-src 'self' wss://" + host + "; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
		Hosts:   map[string]bool{host: true},
		Wrong:   "this page answers to its own address alone",
		Open:    s.open,
		Known:   s.known,
		Strange: s.stranger,
	}
	return g.Wrap(s.routes())
}
