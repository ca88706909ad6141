package phone

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"time"

	"downlead/cmd/downlead/guard"
)

// PairingTime is how long a pairing secret is good for.
const PairingTime = 2 * time.Minute

// cookieTime is how long a phone stays paired.
const cookieTime = 30 * 24 * time.Hour

// Folder is where a machine keeps the phone's key and who is paired: files
// that only their owner can read. The listener and the review page, which are
// two processes, share it.
type Folder string

// trusted is what is kept of a secret: never the secret itself.
type trusted struct {
	SHA256  string    `json:"sha256"`
	Expires time.Time `json:"expires"`
}

func (t trusted) good(secret string, now time.Time) bool {
	return secret != "" && now.Before(t.Expires) && guard.Same(t.SHA256, digest(secret))
}

func digest(secret string) string {
	sum := sha256.Sum256([]byte(secret))
	return hex.EncodeToString(sum[:])
}

const (
	invitationFile = "pairing.json" // the secret in the QR code
	pairedFile     = "paired.json"  // the cookie of the one phone
	runningFile    = "running.json" // the listener that serves the page
)

// Invitation is what a phone needs to be paired.
type Invitation struct {
	Address     string    `json:"address"`     // "https://192.0.2.7:8077/"
	URL         string    `json:"url"`         // with the secret, behind a "#" that no server is sent
	Fingerprint string    `json:"fingerprint"` // of the certificate, SHA-256
	Expires     time.Time `json:"expires"`
}

// running is what a listener tells other processes of itself.
type running struct {
	Address     string `json:"address"`
	Fingerprint string `json:"fingerprint"`
	Process     int    `json:"process"`
}

// ErrNotRunning says that no listener serves the phone's page.
var ErrNotRunning = errors.New("no phone can be paired now: start downlead listen --phone first")

// Invite makes a pairing secret. The one before it is good no longer.
func (f Folder) Invite(now time.Time) (Invitation, error) {
	var r running
	if err := f.read(runningFile, &r); errors.Is(err, fs.ErrNotExist) || err == nil && !alive(r.Process) {
		return Invitation{}, ErrNotRunning
	} else if err != nil {
		return Invitation{}, err
	}
	secret := rand.Text()
	i := Invitation{Address: r.Address, URL: r.Address + "#" + secret, Fingerprint: r.Fingerprint, Expires: now.Add(PairingTime)}
	return i, f.write(invitationFile, trusted{digest(secret), i.Expires})
}

func (f Folder) path(name string) string { return filepath.Join(string(f), name) }

func (f Folder) read(name string, into any) error {
	b, err := os.ReadFile(f.path(name))
	if err != nil {
		return err
	}
	if err := json.Unmarshal(b, into); err != nil {
		return fmt.Errorf("%s: %w; delete it and pair the phone again", f.path(name), err)
	}
	return nil
}

// write replaces a file whole.
func (f Folder) write(name string, value any) error {
	b, err := json.Marshal(value)
	if err != nil {
		return err
	}
	return f.writeFile(name, b)
}

func (f Folder) writeFile(name string, b []byte) error {
	if err := os.MkdirAll(string(f), 0o700); err != nil {
		return fmt.Errorf("the phone's folder: %w", err)
	}
	t, err := os.CreateTemp(string(f), name+".*") // 0600
	if err != nil {
		return fmt.Errorf("the phone's folder: %w", err)
	}
	_, err = t.Write(b)
	err = errors.Join(err, t.Close())
	if err == nil {
		err = os.Rename(t.Name(), f.path(name))
	}
	if err != nil {
		os.Remove(t.Name())
		return fmt.Errorf("keep %s: %w", f.path(name), err)
	}
	return nil
}

// pairing knows the one phone that is paired.
type pairing struct {
	folder Folder
	now    func() time.Time

	mu     sync.Mutex
	phone  trusted
	tries  int // wrong secrets that may still be tried at once
	filled time.Time
}

func newPairing(folder Folder, now func() time.Time) (*pairing, error) {
	p := &pairing{folder: folder, now: now, tries: mostTries, filled: now()}
	if err := folder.read(pairedFile, &p.phone); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	return p, nil
}

// Wrong secrets that are answered at once, and how long it takes until one
// more is. The secret has 128 bits: this keeps a stranger from making noise.
const (
	mostTries = 5
	tryEvery  = 10 * time.Second
)

var (
	errTooMany = errors.New("too many wrong codes: wait a minute, then read a new QR code")
	errNoCode  = errors.New("this code is used up, or older than two minutes: press Enter where downlead runs, or open its review page, and read the new QR code")
)

// redeem trades the pairing secret for a cookie, once. The phone that was
// paired before is paired no longer.
func (p *pairing) redeem(secret string) (cookie string, err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	now := p.now()
	if more := int(now.Sub(p.filled) / tryEvery); more > 0 {
		p.tries, p.filled = min(mostTries, p.tries+more), now
	}
	if p.tries == 0 {
		return "", errTooMany
	}
	var open trusted
	if err := p.folder.read(invitationFile, &open); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", err
	}
	if !open.good(secret, now) {
		p.tries--
		return "", errNoCode
	}
	if err := os.Remove(p.folder.path(invitationFile)); err != nil {
		return "", errNoCode // another request was quicker
	}
	cookie = rand.Text()
	phone := trusted{digest(cookie), now.Add(cookieTime)}
	if err := p.folder.write(pairedFile, phone); err != nil {
		return "", err
	}
	p.phone = phone
	return cookie, nil
}

// known reports whether a cookie is that of the paired phone.
func (p *pairing) known(cookie string) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.phone.good(cookie, p.now())
}
