package phone

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"mime/multipart"
	"net/http"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/coder/websocket"

	"downlead/capture/sound"
	"downlead/cmd/downlead/dialogue"
)

// testPage speaks to the station as the page does.
type testPage struct {
	t testing.TB
	c *websocket.Conn
}

// page links a page that holds the frames of stream from oldest to newest.
func (s *served) page(cookie, stream string, hello map[string]any) *testPage {
	s.t.Helper()
	c, err := s.dial(cookie)
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { _ = c.CloseNow() })
	c.SetReadLimit(1 << 22)
	p := &testPage{s.t, c}
	all := map[string]any{"type": "hello", "stream": stream, "oldest": 0, "newest": -1}
	for k, v := range hello {
		all[k] = v
	}
	ahead, _ := all["ahead"].(float64)
	p.json(all)
	asked := p.until("time")
	p.json(map[string]any{"type": "time", "sent": asked["sent"], "now": float64(s.clock.now().UnixMilli()) + ahead})
	return p
}

func (p *testPage) json(m map[string]any) {
	p.t.Helper()
	b, err := json.Marshal(m)
	if err != nil {
		p.t.Fatal(err)
	}
	if err := p.c.Write(p.t.Context(), websocket.MessageText, b); err != nil {
		p.t.Fatal(err)
	}
}

func (p *testPage) frame(b []byte) {
	p.t.Helper()
	if err := p.c.Write(p.t.Context(), websocket.MessageBinary, b); err != nil {
		p.t.Fatal(err)
	}
}

// until reads messages until one of a type comes.
func (p *testPage) until(kind string) map[string]any {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.t.Context(), 20*time.Second)
	defer cancel()
	for {
		what, b, err := p.c.Read(ctx)
		if err != nil {
			p.t.Fatalf("no %s came: %v", kind, err)
		}
		if what != websocket.MessageText {
			continue
		}
		var m map[string]any
		if err := json.Unmarshal(b, &m); err != nil {
			p.t.Fatal(err)
		}
		if m["type"] == kind {
			return m
		}
	}
}

// expects waits until the station expects a frame.
func (s *served) expects(want int64) {
	s.t.Helper()
	var next int64
	for end := time.Now().Add(20 * time.Second); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if next, _, _ = s.acknowledged(); next == want {
			return
		}
	}
	s.t.Fatalf("expects frame %d, want %d", next, want)
}

// Garbage between frames, frames twice and out of order: what is missing is
// asked for, and all is heard once.
func TestGarbageAndDisorderOnTheLink(t *testing.T) {
	s := serveStation(t, Config{})
	p := s.page(s.paired(), "one", nil)
	p.until("have")
	send := func(seq int64) { p.frame(wire(seq, began+40*float64(seq), 0, numbered(seq))) }
	send(0)
	p.frame([]byte("garbage"))
	if m := p.until("bad"); m["seq"] != -1.0 {
		t.Errorf("told %v", m)
	}
	p.frame(wire(1, began+40, 0, numbered(1))[:100])
	if m := p.until("bad"); m["seq"] != 1.0 || !strings.Contains(m["text"].(string), "damaged") {
		t.Errorf("told %v", m)
	}
	p.json(map[string]any{"type": "nonsense", "oldest": -7})
	send(2)
	if m := p.until("have"); m["next"] != 1.0 {
		t.Errorf("asks for %v, want 1", m["next"])
	}
	send(1)
	send(1)
	send(0)
	send(2)
	send(3)
	s.expects(4)
	if got := drain(t, s.Sound); !slices.Equal(got, []int16{1, 2, 3, 4}) {
		t.Errorf("heard %v", got)
	}
	for range mostGarbage + 1 {
		if p.c.Write(t.Context(), websocket.MessageBinary, []byte{1}) != nil {
			break
		}
	}
	if m := p.until("bye"); !strings.Contains(m["text"].(string), "no sound") {
		t.Errorf("told %v", m)
	}
}

// The link breaks between any two frames; the page sends again what it was not
// told of, and nothing is lost or doubled.
func TestBrokenLink(t *testing.T) {
	s := serveStation(t, Config{})
	cookie := s.paired()
	const all = 500
	sent := int64(0)
	for round := 0; sent < all; round++ {
		p := s.page(cookie, "one", map[string]any{"newest": all - 1})
		next := int64(p.until("have")["next"].(float64))
		if next > sent {
			t.Fatalf("expects frame %d, and only %d were sent", next, sent)
		}
		for seq := max(0, next-int64(round%3)); seq < min(all, next+37); seq++ { // some again
			p.frame(wire(seq, began+40*float64(seq), 0, numbered(seq)))
			sent = max(sent, seq+1)
		}
		if round%2 == 0 {
			s.expects(sent)
		}
		_ = p.c.CloseNow()
	}
	p := s.page(cookie, "one", map[string]any{"newest": all - 1})
	for seq := int64(p.until("have")["next"].(float64)); seq < all; seq++ {
		p.frame(wire(seq, began+40*float64(seq), 0, numbered(seq)))
	}
	s.expects(all)
	got := drain(t, s.Sound)
	for i, v := range got {
		if int(v) != i+1 {
			t.Fatalf("the %d. frame heard is %d", i, v-1)
		}
	}
	if len(got) != all {
		t.Errorf("heard %d frames, want %d", len(got), all)
	}
}

// An hour waits on the phone: it comes no faster than it is heard, and no more
// than two minutes lie here.
func TestHourOfBacklog(t *testing.T) {
	s := serveStation(t, Config{})
	const all = 3600 * 25
	p := s.page(s.paired(), "one", map[string]any{"newest": all - 1})
	m := p.until("have")
	limit := int64(m["limit"].(float64))
	if limit != window {
		t.Fatalf("may send %d frames, want %d", limit, window)
	}
	silence := make([]int16, 640)
	buf := make([]int16, sound.Rate)
	place, most := time.Duration(0), time.Duration(0)
	for seq := int64(0); seq < all; {
		for ; seq < min(limit, all); seq++ {
			p.frame(wire(seq, began+40*float64(seq), flagSilent, silence))
		}
		s.expects(seq)
		most = max(most, s.waiting())
		for s.waiting() > 0 {
			n, err := s.Read(t.Context(), buf)
			if err != nil {
				t.Fatal(err)
			}
			place += samplesLong(int64(n))
		}
		s.heard(place)
		_, _, limit = s.acknowledged()
	}
	if most > window*40*time.Millisecond {
		t.Errorf("%v lay here at once", most)
	}
	if place != time.Hour {
		t.Errorf("heard %v of an hour", place)
	}
}

// A clock that is hours off is put right, and the page says so.
func TestClockHoursOff(t *testing.T) {
	s := serveStation(t, Config{})
	ahead := float64(3 * time.Hour / time.Millisecond)
	p := s.page(s.paired(), "one", map[string]any{"ahead": ahead})
	p.until("have")
	if m := p.until("view"); !strings.Contains(m["trouble"].(string), "3 h 0 min ahead") {
		t.Errorf("told %q", m["trouble"])
	}
	p.frame(wire(0, began+ahead, 0, numbered(0)))
	s.expects(1)
	if got := s.at(0); got.Sub(s.clock.now()).Abs() > time.Second {
		t.Errorf("dated %v, want %v", got, s.clock.now())
	}
}

// A typed phrase that is sent again after a break is kept once; one that could
// not be kept may be sent again.
func TestTypedPhraseIsTakenOnce(t *testing.T) {
	var heard atomic.Int32
	full := errors.New("the disk is full")
	s := serveStation(t, Config{Hear: func(_ context.Context, text string) (dialogue.Event, error) {
		if text == "too much" {
			return dialogue.Event{}, full
		}
		heard.Add(1)
		return dialogue.Event{Heard: text, Outcome: dialogue.Taken}, nil
	}})
	cookie := s.paired()
	p := s.page(cookie, "one", nil)
	p.json(map[string]any{"type": "say", "id": "1", "text": "on the road"})
	p.until("took")
	_ = p.c.CloseNow()
	p = s.page(cookie, "one", nil)
	p.json(map[string]any{"type": "say", "id": "1", "text": "on the road"})
	p.until("took")
	p.json(map[string]any{"type": "say", "id": "2", "text": "too much"})
	if m := p.until("took"); !strings.Contains(fmt.Sprint(m["error"]), "the disk is full") {
		t.Errorf("told %v", m)
	}
	if n := heard.Load(); n != 1 {
		t.Errorf("kept %d times", n)
	}
}

// What ended the listener is told, and that nothing was lost by it.
func TestStopIsTold(t *testing.T) {
	s := serveStation(t, Config{})
	p := s.page(s.paired(), "one", nil)
	p.until("view")
	s.Stop(errors.New("no space left on device"))
	m := p.until("view")
	if text := m["stopped"].(string); !strings.Contains(text, "no space left") || !strings.Contains(text, "still on this phone") {
		t.Errorf("told %q", text)
	}
}

func TestPhotographs(t *testing.T) {
	var got Photograph
	s := serveStation(t, Config{Attach: func(_ context.Context, p Photograph) (string, error) {
		got = p
		if p.At == "nowhere" {
			return "", errors.New(`"nowhere" is not a point`)
		}
		return "Photograph clamp.png.", nil
	}})
	cookie := s.paired()
	send := func(name string, picture []byte, at string) (int, string) {
		var b bytes.Buffer
		w := multipart.NewWriter(&b)
		part, _ := w.CreateFormFile("photo", name)
		_, _ = part.Write(picture)
		_ = w.WriteField("at", at)
		_ = w.Close()
		status, text, _ := s.ask("POST", "/photographs", b.String(), func(r *http.Request) {
			with(cookie)(r)
			r.Header.Set("Content-Type", w.FormDataContentType())
			r.Header.Set("Sec-Fetch-Site", "same-origin")
		})
		return status, text
	}
	png := append([]byte("\x89PNG\r\n\x1a\n"), make([]byte, 600)...)
	if status, text := send(`C:\pictures\clamp.png`, png, "ground block dish side"); status != 200 || !strings.Contains(text, "Photograph clamp.png") {
		t.Errorf("%d %s", status, text)
	}
	if got.Name != "clamp.png" || got.At != "ground block dish side" || got.KeepPosition || !bytes.Equal(got.Picture, png) {
		t.Errorf("attached %+v", got.Name)
	}
	if status, text := send("clamp.png", png, "nowhere"); status != 422 || !strings.Contains(text, "not a point") {
		t.Errorf("%d %s", status, text)
	}
	if status, text := send("clamp.exe", []byte("MZ"), ""); status != 415 || !strings.Contains(text, "neither") {
		t.Errorf("%d %s", status, text)
	}
	if status, _ := send("huge.png", append(png, make([]byte, 25<<20)...), ""); status != 413 {
		t.Errorf("25 MB: %d", status)
	}
}

// What was said while the phone was away is told once, when all of it is heard.
func TestWhileYouWereAway(t *testing.T) {
	for _, tt := range []struct {
		away away
		want string
	}{
		{away{readings: []string{"a", "b", "c"}}, "While you were away I kept three readings: a; b; c."},
		{away{readings: []string{"a", "b", "c", "d"}, other: 1}, "While you were away I kept four readings; the last are: b; c; d. And one other entry."},
		{away{other: 2}, "While you were away I kept two entries."},
		{away{doubtful: 1}, "While you were away I kept nothing that counts. One phrase I am not sure of: kept, and counting for nothing until confirmed."},
	} {
		if got := tt.away.text(); got != tt.want {
			t.Errorf("%q, want %q", got, tt.want)
		}
	}
}
