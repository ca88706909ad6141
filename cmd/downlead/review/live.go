package review

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"downlead/journal/record"
)

const (
	// liveEvery is how often the journal is looked at for new entries: soon
	// enough to follow a call, seldom enough to cost nothing.
	liveEvery = time.Second
	// liveBeat keeps a quiet stream open, and finds out that nobody listens.
	liveBeat = 20 * time.Second
	// liveWrite is how long one event may take to be taken.
	liveWrite = 10 * time.Second
)

// live tells the browser of new entries of the job as server-sent events
// (HTML Living Standard, section 9.2). It says that there are some and what
// they mean; the page is fetched again for the rest.
func (s *server) live(w http.ResponseWriter, r *http.Request) error {
	c, err := s.call(r.Context(), r.PathValue("job"))
	if err != nil {
		return err
	}
	seen := c.last
	for _, at := range []string{r.Header.Get("Last-Event-ID"), r.FormValue("seen")} {
		if n, err := strconv.ParseInt(at, 10, 64); err == nil {
			seen = n
			break
		}
	}
	stream := http.NewResponseController(w)
	// The limits of a whole request are not those of a stream: it lives on.
	if err := stream.SetReadDeadline(time.Time{}); err != nil {
		return fmt.Errorf("keep the stream open: %w", err)
	}
	write := func(format string, args ...any) bool {
		if err := stream.SetWriteDeadline(time.Now().Add(liveWrite)); err != nil {
			return false
		}
		if _, err := fmt.Fprintf(w, format, args...); err != nil {
			return false
		}
		return stream.Flush() == nil
	}
	w.Header().Set("Content-Type", "text/event-stream")
	if !write(": here\n\n") {
		return nil
	}
	news := make(chan record.Record)
	go s.follow(r, c.number, seen, news)
	beat := time.NewTicker(liveBeat)
	defer beat.Stop()
	for {
		select {
		case rec, ok := <-news:
			if !ok {
				return nil
			}
			text, err := json.Marshal(map[string]any{"last": rec.Seq, "text": "New entry: " + meaning(rec.Entry)})
			if err != nil || !write("event: entries\nid: %d\ndata: %s\n\n", rec.Seq, text) {
				return nil
			}
		case <-beat.C:
			if !write(": still here\n\n") {
				return nil
			}
		}
	}
}

// follow sends the new records of a job until the browser leaves.
func (s *server) follow(r *http.Request, job string, seen int64, news chan<- record.Record) {
	defer close(news)
	for rec, err := range s.cfg.Journal.Watch(r.Context(), seen, liveEvery) {
		if err != nil || rec.Job != job {
			continue // a busy journal is asked again
		}
		select {
		case news <- rec:
		case <-r.Context().Done():
			return
		}
	}
}
