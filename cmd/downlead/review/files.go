package review

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"net/http"
	"path"
	"strings"
	"time"

	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

func (c Config) putPhoto(picture []byte) (string, error) {
	return c.Journal.PutPhoto(bytes.NewReader(picture))
}

// uploaded reads the photograph of a form. Its name is kept without a folder,
// whatever system the browser is on, and never becomes a path here.
func uploaded(r *http.Request) (name string, picture []byte, err error) {
	const inMemory = 1 << 20 // bytes; what is beyond lies in a temporary file
	if err := r.ParseMultipartForm(inMemory); err != nil {
		var tooLarge *http.MaxBytesError
		if errors.As(err, &tooLarge) {
			return "", nil, err
		}
		return "", nil, problem("No photograph came with the form.")
	}
	defer r.MultipartForm.RemoveAll() //nolint:errcheck // temporary files
	file, head, err := r.FormFile("photo")
	if err != nil {
		return "", nil, problem("No photograph came with the form.")
	}
	defer file.Close()
	picture, err = io.ReadAll(file)
	if err != nil {
		return "", nil, err
	}
	if pictureType(picture) == "" {
		return "", nil, problem("That is neither a JPEG nor a PNG picture.")
	}
	return path.Base(strings.ReplaceAll(head.Filename, `\`, "/")), picture, nil
}

// pictureType is the media type of a picture that may be shown, "" for
// anything else.
func pictureType(b []byte) string {
	switch t := http.DetectContentType(b); t {
	case "image/jpeg", "image/png":
		return t
	}
	return ""
}

// clip gives the sound of a phrase of the job.
func (s *server) clip(w http.ResponseWriter, r *http.Request) error {
	sum := r.PathValue("sum")
	if err := s.names(r, func(rec record.Record) bool { return rec.Clip == sum }); err != nil {
		return err
	}
	sound, err := s.cfg.Journal.Clip(sum)
	if err != nil {
		return gone(err, "The sound is gone", "The sound of this phrase was deleted. Its words and its entry stay.")
	}
	w.Header().Set("Content-Type", "audio/wav")
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(sound))
	return nil
}

// photograph gives a picture of the job.
func (s *server) photograph(w http.ResponseWriter, r *http.Request) error {
	sum := r.PathValue("sum")
	if err := s.names(r, func(rec record.Record) bool {
		p, ok := rec.Entry.(entry.Photo)
		return ok && p.SHA256 == sum
	}); err != nil {
		return err
	}
	picture, err := s.cfg.Journal.Photo(sum)
	if err != nil {
		return gone(err, "The photograph is gone", "The file of this photograph is not beside the journal.")
	}
	kind := pictureType(picture)
	if kind == "" {
		return failure{status: http.StatusUnsupportedMediaType, title: "Not a picture", text: "The attached file is neither a JPEG nor a PNG picture."}
	}
	w.Header().Set("Content-Type", kind)
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(picture))
	return nil
}

// names checks that an entry of the job names the file: a sum alone opens
// nothing.
func (s *server) names(r *http.Request, named func(record.Record) bool) error {
	c, err := s.call(r.Context(), r.PathValue("job"))
	if err != nil {
		return err
	}
	for _, rec := range c.records {
		if named(rec) {
			return nil
		}
	}
	return failure{status: http.StatusNotFound, title: "Not there", text: "No entry of this job names that file."}
}

func gone(err error, title, text string) error {
	if errors.Is(err, journal.ErrGone) {
		return failure{status: http.StatusGone, title: title, text: text}
	}
	return fmt.Errorf("read the file: %w", err)
}
