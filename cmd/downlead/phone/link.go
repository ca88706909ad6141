package phone

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"sync/atomic"
	"time"

	"github.com/coder/websocket"
)

const (
	// messageLimit is the largest message that a page sends, in bytes.
	messageLimit = 32 << 10
	// beat is how often the page is told how far the machine has come, and
	// that it is there.
	beat = time.Second
	// silent is how long a link may give no sign before it counts as broken.
	silent = 10 * time.Second
	// mostGarbage is how many messages that are no frames are let pass before
	// the link is closed.
	mostGarbage = 20
)

// link is one page that is connected.
type link struct {
	s      *Station
	c      *websocket.Conn
	out    chan message
	cancel context.CancelFunc
	done   chan struct{}
	played chan uint32  // clips that were heard
	newest atomic.Int64 // frame that the page has
}

// message is on its way to the page: text, or the sound of an answer.
type message struct {
	text  any
	sound []byte
	sent  chan struct{} // closed when it was written; nil: nobody waits
}

// up is a message of the page.
type up struct {
	Type   string  `json:"type"` // hello, time, say, played, again, skip, beat
	Stream string  `json:"stream"`
	Oldest int64   `json:"oldest"` // the first frame that it holds
	Newest int64   `json:"newest"` // the last
	Now    float64 `json:"now"`    // ms, the phone's clock
	Sent   float64 `json:"sent"`   // ms, the machine's clock, of the question
	ID     string  `json:"id"`
	Clip   uint32  `json:"clip"`
	Text   string  `json:"text"`
}

// connect links a page. Only the page itself may: the browser says where a
// WebSocket comes from, and a program that does not is not the page.
func (s *Station) connect(w http.ResponseWriter, r *http.Request) {
	if r.Header.Get("Origin") != s.origin {
		http.Error(w, "this link is for the page itself", http.StatusForbidden)
		return
	}
	stream := http.NewResponseController(w)
	_ = stream.SetReadDeadline(time.Time{}) // a link lives longer than a page takes
	_ = stream.SetWriteDeadline(time.Time{})
	c, err := websocket.Accept(w, r, nil)
	if err != nil {
		return // Accept has answered
	}
	defer c.CloseNow() //nolint:errcheck // closed already where all is well
	c.SetReadLimit(messageLimit)
	ctx, cancel := context.WithCancel(r.Context())
	defer cancel()
	l := &link{s: s, c: c, out: make(chan message, 64), cancel: cancel, done: make(chan struct{}), played: make(chan uint32, 16)}
	go l.write(ctx)
	err = l.greet(ctx)
	if err == nil && !s.known(r) { // another was paired while this one was greeted
		l.close(pairedAnother)
	} else if err == nil {
		_ = l.read(ctx) // whatever ended it, the page comes back
	}
	s.mu.Lock()
	if s.link == l {
		s.link = nil
	}
	s.mu.Unlock()
	cancel()
	<-l.done
	_ = c.Close(websocket.StatusNormalClosure, "")
}

// greet learns what the page holds and how its clock differs, and says what
// to send.
func (l *link) greet(ctx context.Context) error {
	hello, _, err := l.next(ctx)
	if err != nil || hello.Type != "hello" || hello.Stream == "" || hello.Oldest < 0 || hello.Newest < hello.Oldest-1 {
		l.send(map[string]any{"type": "bye", "text": "This page is of another version: load it again."})
		return errors.Join(errGarbage, err)
	}
	asked := l.s.cfg.Now()
	l.send(map[string]any{"type": "time", "sent": float64(asked.UnixMicro()) / 1000})
	answer, _, err := l.next(ctx)
	if err != nil || answer.Type != "time" {
		return errors.Join(errGarbage, err)
	}
	now := l.s.cfg.Now()
	trip := now.Sub(asked)
	middle := float64(now.Add(-trip/2).UnixMicro()) / 1000
	offset := middle - answer.Now
	l.s.setOffset(offset)
	next, lost := l.s.attach(hello.Stream, hello.Oldest)
	l.newest.Store(hello.Newest)
	l.s.relink(l, hello, offset, lost)
	_, safe, limit := l.s.acknowledged()
	l.send(map[string]any{"type": "have", "next": next, "safe": safe, "limit": limit, "process": l.s.process, "offset": offset})
	l.s.show()
	return nil
}

// relink makes a page the one that is heard.
func (s *Station) relink(l *link, hello up, offset float64, lost int64) {
	s.mu.Lock()
	before := s.link
	s.link = l
	if hello.Newest >= hello.Oldest && s.resumed.IsZero() {
		// What the page kept from before may have been heard already.
		s.resumed = s.cfg.Now()
	}
	s.view.Trouble = ""
	switch hours := time.Duration(offset * float64(time.Millisecond)).Round(time.Minute); {
	case lost > 0:
		s.view.Trouble = lostSound
	case hours > clockOff:
		s.view.Trouble = "This phone's clock is " + about(hours) + " behind the machine's. Entries get the machine's time."
	case -hours > clockOff:
		s.view.Trouble = "This phone's clock is " + about(-hours) + " ahead of the machine's. Entries get the machine's time."
	}
	s.mu.Unlock()
	if before != nil {
		before.close("This page was opened again elsewhere.")
	}
}

func about(d time.Duration) string {
	return fmt.Sprintf("%d h %d min", int(d.Hours()), int(d.Minutes())%60)
}

const lostSound = "Some sound could not be kept on this phone and is missing."

const pairedAnother = "Another phone was paired: this one is heard no longer. What it still holds is kept here; pair it again to hand it over."

// clockOff is the difference between the clocks that is worth a word.
const clockOff = 2 * time.Minute

// unlink ends the link of the phone that was paired before.
func (s *Station) unlink(why string) {
	s.mu.Lock()
	l := s.link
	s.link = nil
	s.mu.Unlock()
	if l != nil {
		l.close(why)
	}
}

// close says why, and ends the link.
func (l *link) close(why string) {
	l.send(map[string]any{"type": "bye", "text": why})
	l.flush()
	l.cancel()
}

// send puts a message on its way. A page that takes nothing is given up.
func (l *link) send(text any) { l.put(message{text: text}) }

func (l *link) put(m message) bool {
	select {
	case l.out <- m:
		return true
	default:
		l.cancel()
		return false
	}
}

// flush waits until all that was sent is on its way, or a moment.
func (l *link) flush() {
	sent := make(chan struct{})
	if !l.put(message{sent: sent}) {
		return
	}
	select {
	case <-sent:
	case <-l.done:
	case <-time.After(time.Second):
	}
}

// write is the one goroutine that writes.
func (l *link) write(ctx context.Context) {
	defer close(l.done)
	defer l.cancel()
	tick := time.NewTicker(beat)
	defer tick.Stop()
	for {
		var m message
		select {
		case <-ctx.Done():
			return
		case m = <-l.out:
		case <-tick.C:
			next, safe, limit := l.s.acknowledged()
			m.text = map[string]any{"type": "ack", "next": next, "safe": safe, "limit": limit}
		}
		if err := l.writeOne(ctx, m); err != nil {
			return
		}
	}
}

func (l *link) writeOne(ctx context.Context, m message) error {
	ctx, cancel := context.WithTimeout(ctx, silent)
	defer cancel()
	if m.sent != nil {
		defer close(m.sent)
	}
	if m.sound != nil {
		return l.c.Write(ctx, websocket.MessageBinary, m.sound)
	}
	if m.text == nil {
		return nil
	}
	b, err := json.Marshal(m.text)
	if err != nil {
		return err
	}
	return l.c.Write(ctx, websocket.MessageText, b)
}

// next reads one message: a frame's bytes, or what the page says.
func (l *link) next(ctx context.Context) (up, []byte, error) {
	ctx, cancel := context.WithTimeout(ctx, silent)
	defer cancel()
	kind, b, err := l.c.Read(ctx)
	if err != nil || kind == websocket.MessageBinary {
		return up{}, b, err
	}
	var u up
	if json.Unmarshal(b, &u) != nil {
		return up{Type: "garbage"}, nil, nil
	}
	return u, nil, nil
}

// read takes what the page sends until the link breaks.
func (l *link) read(ctx context.Context) error {
	garbage := 0
	var asked int64 = -1 // the frame that was asked for again
	for {
		u, sound, err := l.next(ctx)
		if err != nil {
			return err
		}
		if sound == nil {
			if u.Type == "garbage" {
				garbage++
			} else {
				l.take(ctx, u)
			}
		} else if f, err := readFrame(sound); err != nil {
			garbage++
			l.send(map[string]any{"type": "bad", "seq": f.seq, "text": "A piece of sound was damaged on its way."})
		} else {
			l.frame(f, &asked)
		}
		if garbage > mostGarbage {
			l.close("What this page sends is no sound. Load it again.")
			return errGarbage
		}
	}
}

// frame takes a frame; one that came too early says what is missing, once.
func (l *link) frame(f frame, asked *int64) {
	l.newest.Store(max(l.newest.Load(), f.seq))
	if l.s.push(f) {
		*asked = -1
		return
	}
	next, safe, limit := l.s.acknowledged()
	if f.seq > next && *asked != next {
		*asked = next
		l.send(map[string]any{"type": "have", "next": next, "safe": safe, "limit": limit, "process": l.s.process})
	}
}

// skip goes on behind frames that the page has lost.
func (l *link) skip(u up) {
	if _, lost := l.s.attach(u.Stream, u.Oldest); lost > 0 {
		l.s.mu.Lock()
		l.s.view.Trouble = lostSound
		l.s.mu.Unlock()
		l.s.show()
	}
}

// take does what the page says.
func (l *link) take(ctx context.Context, u up) {
	switch u.Type {
	case "beat":
		l.newest.Store(max(l.newest.Load(), u.Newest))
	case "skip":
		l.skip(u)
	case "played":
		select {
		case l.played <- u.Clip:
		default:
		}
	case "again":
		go l.s.sayAgain(context.WithoutCancel(ctx))
	case "say":
		go l.s.typedPhrase(context.WithoutCancel(ctx), l, u.ID, u.Text)
	}
}
