package review

import (
	"net/http"

	"downlead/export/shown"
)

// Pairing is a code that lets a phone in, to be shown once.
type Pairing struct {
	Address     string // what the phone opens
	URL         string // with the secret
	Fingerprint string // of the certificate that it warns of
	Size        int    // of the QR code, in modules
	Path        string // of the QR code, as the path of an SVG
}

// phonePage shows how to pair a phone; a code is made only when asked for,
// because it replaces the one before it.
func (s *server) phonePage(w http.ResponseWriter, _ *http.Request) error {
	return s.showPhone(w, http.StatusOK, nil, "")
}

// invitePhone shows a new code.
func (s *server) invitePhone(w http.ResponseWriter, _ *http.Request) error {
	p, err := s.cfg.Pair()
	if err != nil {
		return s.showPhone(w, http.StatusConflict, nil, shown.Capital(err.Error())+".")
	}
	return s.showPhone(w, http.StatusOK, &p, "")
}

func (s *server) showPhone(w http.ResponseWriter, status int, p *Pairing, problem string) error {
	return s.render(w, status, "phone", struct {
		head
		Pairing *Pairing
		Problem string
		Flash   string
	}{s.head("The phone", "phone"), p, problem, ""})
}
