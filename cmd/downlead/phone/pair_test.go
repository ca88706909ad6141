package phone

import (
	"bytes"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"image"
	"image/color"
	"image/png"
	"io"
	"net/http"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/coder/websocket"
)

// clock is a time that a test moves.
type clock struct{ ms atomic.Int64 }

func newClock() *clock {
	c := &clock{}
	c.ms.Store(began)
	return c
}

func (c *clock) now() time.Time          { return time.UnixMilli(c.ms.Load()) }
func (c *clock) advance(d time.Duration) { c.ms.Add(d.Milliseconds()) }

// served is a station that serves on loopback.
type served struct {
	*Station
	t      testing.TB
	clock  *clock
	client *http.Client
}

func serveStation(t testing.TB, cfg Config) *served {
	t.Helper()
	c := newClock()
	cfg.Folder, cfg.Address = Folder(filepath.Join(t.TempDir(), "phone")), netip.MustParseAddr("127.0.0.1")
	if cfg.Now == nil {
		cfg.Now = c.now
	}
	s, err := Open(cfg)
	if err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(t.Context()) }()
	t.Cleanup(func() {
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
	roots := x509.NewCertPool()
	roots.AddCert(s.cert.Leaf)
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: roots, Time: c.now}}}
	t.Cleanup(client.CloseIdleConnections)
	return &served{s, t, c, client}
}

func (s *served) ask(method, path string, body string, change func(*http.Request)) (int, string, http.Header) {
	s.t.Helper()
	r, err := http.NewRequestWithContext(s.t.Context(), method, s.origin+path, strings.NewReader(body))
	if err != nil {
		s.t.Fatal(err)
	}
	if change != nil {
		change(r)
	}
	a, err := s.client.Do(r)
	if err != nil {
		s.t.Fatal(err)
	}
	defer a.Body.Close()
	b, err := io.ReadAll(a.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	return a.StatusCode, string(b), a.Header
}

// secret makes a pairing code and returns its secret.
func (s *served) secret() string {
	s.t.Helper()
	i, err := s.Invite()
	if err != nil {
		s.t.Fatal(err)
	}
	_, secret, _ := strings.Cut(i.URL, "#")
	return secret
}

// paired pairs a phone and returns its cookie.
func (s *served) paired() string {
	s.t.Helper()
	status, text, head := s.ask("POST", "/pair", s.secret(), nil)
	if status != http.StatusNoContent {
		s.t.Fatalf("pairing: %d %s", status, text)
	}
	cookie, _, _ := strings.Cut(head.Get("Set-Cookie"), ";")
	return cookie
}

func with(cookie string) func(*http.Request) {
	return func(r *http.Request) { r.Header.Set("Cookie", cookie) }
}

// Strangers on the network get the pairing page and nothing else. Each request
// is wrong in one way alone.
func TestStrangers(t *testing.T) {
	s := serveStation(t, Config{})
	cookie := s.paired()
	name, _, _ := strings.Cut(cookie, "=")
	tests := []struct {
		name, method, path string
		change             func(*http.Request)
		want               int
	}{
		{"the paired phone", "GET", "/", with(cookie), 200},
		{"its script", "GET", "/static/phone.js", with(cookie), 200},
		{"no cookie", "GET", "/", nil, 403},
		{"no cookie, the page's script", "GET", "/static/phone.js", nil, 403},
		{"no cookie, the link", "GET", "/link", nil, 403},
		{"no cookie, a photograph", "POST", "/photographs", nil, 403},
		{"a guessed cookie", "GET", "/static/phone.js", with(name + "=AAAAAAAAAAAAAAAAAAAAAAAAAA"), 403},
		{"an empty cookie", "GET", "/static/phone.js", with(name + "="), 403},
		{"another host", "GET", "/", func(r *http.Request) { with(cookie)(r); r.Host = "evil.example" }, 421},
		{"another host pairs", "POST", "/pair", func(r *http.Request) { r.Host = "evil.example" }, 421},
		{"another site sends a photograph", "POST", "/photographs", func(r *http.Request) { with(cookie)(r); r.Header.Set("Sec-Fetch-Site", "cross-site") }, 403},
		{"another site pairs", "POST", "/pair", func(r *http.Request) { r.Header.Set("Origin", "https://evil.example") }, 403},
		{"another site links", "GET", "/link", func(r *http.Request) { with(cookie)(r); r.Header.Set("Origin", "https://evil.example") }, 403},
		{"no browser links", "GET", "/link", with(cookie), 403},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			status, text, head := s.ask(tt.method, tt.path, "", tt.change)
			if status != tt.want {
				t.Errorf("status %d, want %d: %s", status, tt.want, text)
			}
			if status == 403 && tt.path == "/" && strings.Contains(text, "phone.js") {
				t.Error("a stranger is shown more than the pairing page")
			}
			if csp := head.Get("Content-Security-Policy"); !strings.HasPrefix(csp, "default-src 'none';") || strings.Contains(csp, "unsafe") {
				t.Errorf("content security policy %q", csp)
			}
		})
	}
}

func TestPairingSecret(t *testing.T) {
	s := serveStation(t, Config{})
	secret := s.secret()
	if status, _, _ := s.ask("POST", "/pair", "AAAAAAAAAAAAAAAAAAAAAAAAAA", nil); status != 403 {
		t.Errorf("a guessed secret: %d", status)
	}
	status, _, head := s.ask("POST", "/pair", secret, nil)
	if cookie := head.Get("Set-Cookie"); status != 204 || !strings.Contains(cookie, "HttpOnly") || !strings.Contains(cookie, "Secure") || !strings.Contains(cookie, "SameSite=Strict") {
		t.Errorf("pairing: %d, cookie %q", status, cookie)
	}
	if status, text, _ := s.ask("POST", "/pair", secret, nil); status != 403 || !strings.Contains(text, "used up") {
		t.Errorf("the same secret again: %d %s", status, text)
	}
	old := s.secret()
	s.clock.advance(PairingTime)
	if status, text, _ := s.ask("POST", "/pair", old, nil); status != 403 || !strings.Contains(text, "two minutes") {
		t.Errorf("a secret of two minutes ago: %d %s", status, text)
	}
	first := s.secret()
	second := s.secret()
	if status, _, _ := s.ask("POST", "/pair", first, nil); status != 403 {
		t.Errorf("a secret that a newer one replaced: %d", status)
	}
	if status, _, _ := s.ask("POST", "/pair", second, nil); status != 204 {
		t.Errorf("the newest secret: %d", status)
	}
	if status, _, _ := s.ask("POST", "/pair", strings.Repeat("A", 1000), nil); status != 413 {
		t.Errorf("a secret of 1000 letters: %d", status)
	}
}

// Whoever guesses is made to wait, and the right secret with them.
func TestPairingIsRateLimited(t *testing.T) {
	s := serveStation(t, Config{})
	secret := s.secret()
	limited := 0
	for range 20 {
		if status, _, _ := s.ask("POST", "/pair", "GUESS", nil); status == 429 {
			limited++
		}
	}
	if limited != 20-mostTries {
		t.Errorf("%d of 20 guesses were refused unread, want %d", limited, 20-mostTries)
	}
	if status, _, _ := s.ask("POST", "/pair", secret, nil); status != 429 {
		t.Errorf("the right secret at once: %d", status)
	}
	s.clock.advance(tryEvery)
	if status, _, _ := s.ask("POST", "/pair", secret, nil); status != 204 {
		t.Errorf("the right secret later: %d", status)
	}
	// Who waits an hour has no more guesses at once than in the beginning.
	s.clock.advance(time.Hour)
	limited = 0
	for range 20 {
		if status, _, _ := s.ask("POST", "/pair", "GUESS", nil); status == 429 {
			limited++
		}
	}
	if limited != 20-mostTries {
		t.Errorf("after an hour %d of 20 guesses were refused unread, want %d", limited, 20-mostTries)
	}
}

// dial links a page, as the page does.
func (s *served) dial(cookie string) (*websocket.Conn, error) {
	c, _, err := websocket.Dial(s.t.Context(), s.origin+"/link", &websocket.DialOptions{
		HTTPClient: s.client, HTTPHeader: http.Header{"Cookie": {cookie}, "Origin": {s.origin}},
	})
	return c, err
}

// The newest pairing wins: the phone before it is told, and gets no more.
func TestSecondPhone(t *testing.T) {
	s := serveStation(t, Config{})
	first := s.paired()
	a := s.page(first, "one", nil)
	second := s.paired()
	if text := a.until("bye")["text"]; !strings.Contains(text.(string), "Another phone was paired") {
		t.Errorf("the first phone is told %q", text)
	}
	if _, err := s.dial(first); err == nil {
		t.Error("the first phone can link again")
	}
	if status, _, _ := s.ask("GET", "/static/phone.js", "", with(first)); status != 403 {
		t.Errorf("the first phone's cookie: %d", status)
	}
	b := s.page(second, "two", nil)
	b.until("view")
}

// A machine that is started again knows its phone and keeps its certificate.
func TestKeyAndPairingAreKept(t *testing.T) {
	folder := Folder(filepath.Join(t.TempDir(), "phone"))
	here, now := netip.MustParseAddr("127.0.0.1"), time.UnixMilli(began)
	one, err := folder.Certificate(here, now)
	if err != nil {
		t.Fatal(err)
	}
	again, err := folder.Certificate(here, now.Add(24*time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	if Fingerprint(one) != Fingerprint(again) {
		t.Error("the certificate changed overnight: the phone would warn again")
	}
	moved, err := folder.Certificate(netip.MustParseAddr("192.0.2.7"), now)
	if err != nil {
		t.Fatal(err)
	}
	if moved.Leaf.VerifyHostname("192.0.2.7") != nil || Fingerprint(moved) == Fingerprint(one) {
		t.Error("another address needs another certificate")
	}
	late, err := folder.Certificate(netip.MustParseAddr("192.0.2.7"), now.Add(380*24*time.Hour))
	if err != nil || !late.Leaf.NotAfter.After(now.Add(400*24*time.Hour)) {
		t.Errorf("near its end it is not made anew: %v", err)
	}
	// A phone whose clock is a day behind still takes it.
	if _, err := late.Leaf.Verify(x509.VerifyOptions{CurrentTime: now.Add(379 * 24 * time.Hour), Roots: pool(late)}); err != nil {
		t.Error(err)
	}
	for _, name := range []string{keyFile, certificateFile} {
		info, err := os.Stat(folder.path(name))
		if err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v, %v", name, info.Mode(), err)
		}
	}
	if err := os.WriteFile(folder.path(keyFile), []byte("junk"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := folder.Certificate(here, now); err == nil || !strings.Contains(err.Error(), "delete it") {
		t.Errorf("a damaged key: %v", err)
	}
}

func pool(c tls.Certificate) *x509.CertPool {
	p := x509.NewCertPool()
	p.AddCert(c.Leaf)
	return p
}

func TestInviteNeedsAListener(t *testing.T) {
	if _, err := Folder(t.TempDir()).Invite(time.Now()); !errors.Is(err, ErrNotRunning) {
		t.Errorf("error %v", err)
	}
}

// The QR code is read by zbar, a reader of other people's.
func TestCodeIsRead(t *testing.T) {
	reader, err := exec.LookPath("zbarimg")
	if err != nil {
		t.Skip("zbarimg is not installed: the QR code is not read (apt-get install zbar-tools)")
	}
	const want = "https://192.168.43.117:8077/#ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	c, err := newCode(want)
	if err != nil {
		t.Fatal(err)
	}
	const module = 4
	pic := image.NewGray(image.Rect(0, 0, module*len(c.dark), module*len(c.dark)))
	for y := range pic.Rect.Dy() {
		for x := range pic.Rect.Dx() {
			pic.SetGray(x, y, color.Gray{Y: 255})
			if c.dark[y/module][x/module] {
				pic.SetGray(x, y, color.Gray{})
			}
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, pic); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "code.png")
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	got, err := exec.Command(reader, "--quiet", "--raw", file).Output()
	if strings.TrimSpace(string(got)) != want {
		t.Errorf("read %q, want %q (%v)", got, want, err)
	}
	var terminal bytes.Buffer
	if err := PrintCode(&terminal, Invitation{URL: want}); err != nil {
		t.Fatal(err)
	}
	if lines := strings.Count(terminal.String(), "\n"); lines != (len(c.dark)+1)/2 {
		t.Errorf("%d lines for %d modules", lines, len(c.dark))
	}
}

func TestChooseAddress(t *testing.T) {
	for _, wrong := range []string{"0.0.0.0", "::", "192.0.2.1", "van"} {
		if a, err := ChooseAddress(wrong); err == nil {
			t.Errorf("%s: serves on %s", wrong, a)
		}
	}
	if a, err := ChooseAddress("127.0.0.1"); err != nil || !a.IsLoopback() {
		t.Errorf("%v, %v", a, err)
	}
}
