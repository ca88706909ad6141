package review

import (
	"encoding/json"
	"errors"
	"net/http"
	"strings"

	"downlead/cmd/downlead/dialogue"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// checkPhrase says what a phrase would mean. It stores nothing.
func (s *server) checkPhrase(w http.ResponseWriter, r *http.Request) error {
	var answer struct {
		Means []string `json:"means,omitempty"`
		Error string   `json:"error,omitempty"`
	}
	entries, err := s.parse(r.FormValue("phrase"))
	var why problem
	switch {
	case errors.As(err, &why):
		answer.Error = string(why)
		if a, err := s.cfg.Parser.ParseAnswer(r.FormValue("phrase")); err == nil && answers(a) {
			answer.Error, answer.Means = "", []string{meaning(a)}
		}
	case err != nil:
		return err
	}
	for _, e := range entries {
		answer.Means = append(answer.Means, meaning(e))
	}
	w.Header().Set("Content-Type", "application/json")
	return json.NewEncoder(w).Encode(answer)
}

// answers reports that a short answer can correct a reading.
func answers(a entry.Answer) bool { return a.Verdict != "" || a.Point != nil || a.Value.Said() }

// say takes a phrase as if it had been said to the tool, with its answer or
// its question. What was not understood is not kept: it is still in the box.
func (s *server) say(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	return s.hear(w, r, r.PostFormValue("phrase"), r.PostFormValue("from"))
}

// hear gives a phrase to the dialogue and shows a page of the job after it.
func (s *server) hear(w http.ResponseWriter, r *http.Request, typed, from string) error {
	c, err := s.call(r.Context(), r.PathValue("job"))
	if err != nil {
		return err
	}
	if why := s.unheard(typed, c); why != "" {
		return s.showAgain(w, r, c, from, typed, why)
	}
	session, err := dialogue.New(r.Context(), s.cfg.Journal, s.cfg.Parser, s.cfg.Options, c.number)
	if err != nil {
		return err
	}
	session.Day = s.cfg.Day
	reply, err := session.Hear(r.Context(), dialogue.Phrase{
		Text: typed, At: s.cfg.Now(), Zone: s.cfg.Zone, TimeSource: record.FromClock, Origin: record.Reviewed,
	})
	if err != nil {
		return err
	}
	if reply.Asked != "" {
		// A question needs the place where it can be answered.
		return s.back(w, r, base(c.number)+"/entries", reply.Text)
	}
	return s.back(w, r, tabLink(c.number, from), reply.Text)
}

// unheard says why a phrase cannot be taken here; "" when it can.
func (s *server) unheard(typed string, c *jobCall) string {
	if strings.TrimSpace(typed) == "" {
		return "Nothing was typed."
	}
	entries, err := s.cfg.Parser.Parse(typed)
	if err != nil {
		return parseProblem(err)
	}
	for _, e := range entries {
		switch e := e.(type) {
		case entry.Control:
			return "That steers the conversation by voice; here there is nothing to " + plain(e.Verb) + "."
		case entry.Job:
			if e.Verb == "start" {
				return "A job is started on the call, not in its review."
			}
			if e.Verb == "close" && e.Text == "" && len(c.missing()) > 0 {
				return "Still missing: " + strings.Join(c.missing(), ", ") + ". Close the job under Plan, with the reason."
			}
		}
	}
	return ""
}

func tabLink(number, tab string) string {
	switch tab {
	case "entries", "plan":
		return base(number) + "/" + tab
	}
	return base(number)
}

// showAgain shows the page that a phrase was typed on, with the phrase and
// what is wrong with it.
func (s *server) showAgain(w http.ResponseWriter, r *http.Request, c *jobCall, tab, typed, why string) error {
	switch tab {
	case "entries":
		return s.showEntries(w, r, c, trouble{status: http.StatusUnprocessableEntity, typed: typed, problem: why})
	case "plan":
		return s.showPlan(w, r, c, http.StatusUnprocessableEntity, typed, why, "")
	}
	return s.showCall(w, r, c, http.StatusUnprocessableEntity, typed, why)
}
