package phone

import (
	"bytes"
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"io"
	"net/http"
	"path"
	"strings"

	"downlead/cmd/downlead/guard"
)

//go:embed templates/*.html
var templateFiles embed.FS

//go:embed static
var staticFiles embed.FS

type pages = template.Template

func loadPages() (*pages, error) {
	p, err := template.ParseFS(templateFiles, "templates/*.html")
	if err != nil {
		return nil, fmt.Errorf("read the phone's page: %w", err)
	}
	return p, nil
}

// cookieName has the port in it: cookies are shared by all ports of a host.
func (s *Station) cookieName() string {
	return "downlead-phone-" + s.origin[strings.LastIndex(s.origin, ":")+1:]
}

func (s *Station) known(r *http.Request) bool {
	c, err := r.Cookie(s.cookieName())
	return err == nil && s.pair.known(c.Value)
}

// forAll are the files that the pairing page needs: they tell nothing.
var forAll = map[string]bool{"/static/phone.css": true, "/static/pair.js": true, "/static/icon.svg": true}

// open answers what a phone without a cookie may ask for.
func (s *Station) open(w http.ResponseWriter, r *http.Request) bool {
	switch {
	case r.URL.Path == "/pair" && r.Method == http.MethodPost:
		http.NewCrossOriginProtection().Handler(http.HandlerFunc(s.pairPhone)).ServeHTTP(w, r)
	case r.Method == http.MethodGet && forAll[r.URL.Path]:
		http.ServeFileFS(w, r, staticFiles, r.URL.Path[1:])
	default:
		return false
	}
	return true
}

// stranger is shown how to pair a phone, and nothing else.
func (s *Station) stranger(w http.ResponseWriter, r *http.Request) {
	if r.Method == http.MethodGet && r.URL.Path == "/" {
		s.render(w, http.StatusForbidden, "pair.html")
		return
	}
	http.Error(w, "this phone is not paired: read the QR code that downlead shows", http.StatusForbidden)
}

// pairPhone trades the secret of the QR code for a cookie.
func (s *Station) pairPhone(w http.ResponseWriter, r *http.Request) {
	const most = 256 // bytes: a secret has 26
	secret, err := io.ReadAll(http.MaxBytesReader(w, r.Body, most))
	if err != nil {
		http.Error(w, "that is too long for a code", http.StatusRequestEntityTooLarge)
		return
	}
	cookie, err := s.pair.redeem(strings.TrimSpace(string(secret)))
	switch {
	case errors.Is(err, errTooMany):
		http.Error(w, err.Error(), http.StatusTooManyRequests)
		return
	case errors.Is(err, errNoCode):
		http.Error(w, err.Error(), http.StatusForbidden)
		return
	case err != nil:
		http.Error(w, "the machine cannot keep the pairing: "+err.Error(), http.StatusInternalServerError)
		return
	}
	http.SetCookie(w, &http.Cookie{
		Name: s.cookieName(), Value: cookie, Path: "/", MaxAge: int(cookieTime.Seconds()),
		HttpOnly: true, Secure: true, SameSite: http.SameSiteStrictMode,
	})
	s.unlink(pairedAnother)
	w.WriteHeader(http.StatusNoContent)
}

func (s *Station) routes() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, _ *http.Request) { s.render(w, http.StatusOK, "phone.html") })
	mux.HandleFunc("GET /link", s.connect)
	mux.HandleFunc("POST /photographs", s.photograph)
	mux.Handle("GET /static/", http.FileServerFS(staticFiles))
	return mux
}

func (s *Station) render(w http.ResponseWriter, status int, name string) {
	var b bytes.Buffer
	err := s.pages.ExecuteTemplate(&b, name, map[string]string{"Fingerprint": s.Fingerprint(), "Address": s.Address()})
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write(b.Bytes()) // a phone that is gone needs nothing
}

// photograph takes a picture for the job.
func (s *Station) photograph(w http.ResponseWriter, r *http.Request) {
	p, status, err := uploaded(r)
	var told string
	if err == nil {
		status = http.StatusUnprocessableEntity
		told, err = s.cfg.Attach(r.Context(), p)
	}
	if err != nil {
		w.WriteHeader(status)
		told = "Not kept: " + err.Error() + "."
	}
	_ = json.NewEncoder(w).Encode(map[string]string{"told": told})
}

// uploaded reads the photograph of a form. Its name is kept without a folder.
func uploaded(r *http.Request) (Photograph, int, error) {
	const inMemory = 1 << 20 // bytes; what is beyond lies in a temporary file
	if err := r.ParseMultipartForm(inMemory); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return Photograph{}, http.StatusRequestEntityTooLarge, fmt.Errorf("a photograph may have %d MB", guard.PhotoLimit>>20)
		}
		return Photograph{}, http.StatusBadRequest, errors.New("no photograph came with the form")
	}
	defer r.MultipartForm.RemoveAll() //nolint:errcheck // temporary files
	file, head, err := r.FormFile("photo")
	if err != nil {
		return Photograph{}, http.StatusBadRequest, errors.New("no photograph came with the form")
	}
	defer file.Close()
	b, err := io.ReadAll(file)
	if err != nil {
		return Photograph{}, http.StatusBadRequest, err
	}
	if t := http.DetectContentType(b); t != "image/jpeg" && t != "image/png" {
		return Photograph{}, http.StatusUnsupportedMediaType, errors.New("that is neither a JPEG nor a PNG picture")
	}
	return Photograph{
		Name: path.Base(strings.ReplaceAll(head.Filename, `\`, "/")), Picture: b,
		At: strings.TrimSpace(r.PostFormValue("at")), Remark: strings.TrimSpace(r.PostFormValue("remark")),
		KeepPosition: r.PostFormValue("position") == "keep",
	}, http.StatusOK, nil
}
