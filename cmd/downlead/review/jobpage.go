package review

import (
	"net/http"
	"slices"
	"strings"

	"downlead/diagnose/call"
	"downlead/diagnose/claim"
	"downlead/diagnose/trace"
	"downlead/export/closeout"
	"downlead/export/figure"
	"downlead/export/shown"
	"downlead/grammar/entry"
)

// jobHead is what every page of one job has.
type jobHead struct {
	head
	Number, Site, Complaint, Phase string
	Base, Tab                      string
	Self                           string // where this page can be got again
	ToLook, Lacking                int
	Missing                        string // what is missing, in words
	Last                           int64
	Late                           bool // the diagnosis is of the entries before
	Flash, Problem, Typed          string
}

func (s *server) jobHead(r *http.Request, c *jobCall, tab string) jobHead {
	h := jobHead{
		head: s.head("Job "+c.number, ""), Number: c.number, Base: base(c.number), Tab: tab, Last: c.last,
		Phase: phaseWords(c.job.Phase()), Late: c.late, Self: tabLink(c.number, tab),
	}
	if r.Method == http.MethodGet {
		h.Self = r.URL.RequestURI()
	}
	for _, rec := range c.current {
		switch e := rec.Entry.(type) {
		case entry.Site:
			if e.Text != "" {
				h.Site = e.Text
			}
		case entry.Job:
			if e.Verb == "complaint" {
				h.Complaint = e.Text
			}
		}
	}
	if c.late {
		h.Again = h.Self
	}
	missing := c.missing()
	h.Lacking, h.Missing = len(missing), strings.Join(missing, ", ")
	h.ToLook = len(s.toLook(c))
	h.Flash = s.flashes.text(r.URL.Query().Get("told"))
	return h
}

// missing names the steps that are not done.
func (f *facts) missing() []string { return lackingSteps(f.job.Plan()) }

func lackingSteps(steps []call.Step) []string {
	var out []string
	for _, st := range steps {
		if st.State == "missing" || st.State == "now" {
			out = append(out, plain(st.Step))
		}
	}
	return out
}

// phaseWords puts a phase of the call into words.
func phaseWords(p call.Phase) string {
	switch p {
	case call.InputTest:
		return "receiver input test"
	case call.Closed:
		return "closed"
	}
	return plain(string(p))
}

// callPage shows one job: where the fault is, the path, the level, the time.
func (s *server) callPage(w http.ResponseWriter, r *http.Request) error {
	c, err := s.call(r.Context(), r.PathValue("job"))
	if err != nil {
		return err
	}
	return s.showCall(w, r, c, http.StatusOK, "", "")
}

type callData struct {
	jobHead
	Brackets       []string
	NoBracket      string
	Next           *nextData
	Suspects       []suspectData
	Contradictions []told
	Findings       []told
	Claims         []told
	Path           figure.Path
	Levels         []figure.Level
	Time           timeFigure
}

type nextData struct{ Where, Minutes, Why string }

// told is a sentence with the entries it rests on.
type told struct {
	Text    string
	Entries []int64
}

func (s *server) showCall(w http.ResponseWriter, r *http.Request, c *jobCall, status int, typed, problem string) error {
	names := newNamer(c.d.Path)
	record, err := closeout.NewCloseout(closeout.Input{Records: c.records, Diagnosis: c.d})
	if err != nil {
		return err
	}
	data := callData{
		jobHead: s.jobHead(r, c, "call"), Time: drawTime(c.current),
		Path: figure.NewPath(record, figure.Screen()), Levels: figure.NewLevels(record, figure.Screen()),
	}
	data.Typed, data.Problem = typed, problem
	data.Brackets = c.d.Where()
	for _, k := range c.d.Claims {
		data.Claims = append(data.Claims, told{k.Text, k.Entries})
	}
	data.NoBracket = noBracket(c)
	if n := c.d.Next; n != nil && c.open() {
		data.Next = &nextData{Where: shown.Capital(strings.TrimPrefix(n.Text, "Next: ")), Why: sentence(n.Why)}
		if n.Minutes > 0 {
			data.Next.Minutes = claim.MinutesWords(n.Minutes) + " min"
		}
	}
	data.Suspects = suspects(c.d, names)
	for _, k := range c.d.Contradictions {
		data.Contradictions = append(data.Contradictions, told{k.Text, k.Entries})
	}
	for _, f := range c.d.Findings {
		data.Findings = append(data.Findings, told{f.Text, f.Entries})
	}
	return s.render(w, status, "call", data)
}

func noBracket(c *jobCall) string {
	switch {
	case c.late:
		return "The readings are being weighed."
	case len(c.job.Call().Observations) == 0:
		return "Nothing has been measured yet."
	case len(c.d.Contradictions) > 0:
		return "No fault is bracketed: the readings disagree."
	case !slices.ContainsFunc(c.job.Call().Observations, func(o trace.Observation) bool { return trace.Judges(o.Reading) }):
		return "No fault is bracketed: the signal has not been measured yet."
	}
	return "No fault is bracketed: no point fails now."
}
