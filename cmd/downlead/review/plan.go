package review

import (
	"errors"
	"net/http"
	"slices"
	"strings"

	"downlead/diagnose/call"
	"downlead/export/shown"
	"downlead/grammar/entry"
)

type planData struct {
	jobHead
	Steps      []stepData
	Photos     []photoData
	Open       bool
	CanAttach  bool
	Reason     string
	PhotoError string
}

// stepData is one step of the call with the buttons that settle it.
type stepData struct {
	Key, Name, State, StateWord, Detail string
	Cautions                            []string
	Ticks                               []tickData
	Remark                              bool
	Say                                 string // the phrase that does the same
}

// tickData is a button: it keeps the entry that its phrase would.
type tickData struct{ Phrase, Label, Kind string }

func (s *server) planPage(w http.ResponseWriter, r *http.Request) error {
	c, err := s.call(r.Context(), r.PathValue("job"))
	if err != nil {
		return err
	}
	return s.showPlan(w, r, c, http.StatusOK, "", "", "")
}

func (s *server) showPlan(w http.ResponseWriter, r *http.Request, c *jobCall, status int, typed, problem, reason string) error {
	data := planData{
		jobHead: s.jobHead(r, c, "plan"), Open: c.open(), Reason: reason,
		Photos: photosOf(c), CanAttach: s.cfg.CleanPhoto != nil,
	}
	data.Typed, data.Problem = typed, problem
	cautions := cautionsByStep(c)
	for _, step := range c.job.Plan() {
		d := stepOf(step, c.open())
		d.Cautions = cautions[step.Step]
		delete(cautions, step.Step) // each once
		data.Steps = append(data.Steps, d)
	}
	return s.render(w, status, "plan", data)
}

// cautionsByStep gives each caution the step at which it comes up. Those of
// steps that are done stand at the one that is now, but for recording, which
// was for the moment when it was asked for; of a call with nothing left to do
// they stand in the closeout alone.
func cautionsByStep(c *jobCall) map[string][]string {
	open := map[string]bool{}
	now := ""
	for _, step := range c.job.Plan() {
		open[step.Step] = step.State == "now" || step.State == "missing"
		if step.State == "now" {
			now = step.Step
		}
	}
	out := map[string][]string{}
	for _, k := range c.cautions() {
		switch {
		case open[k.Step]:
			out[k.Step] = append(out[k.Step], k.Text)
		case now != "" && k.Code != "recording":
			out[now] = append(out[now], k.Text)
		}
	}
	return out
}

// stepOf puts a step into words and gives it its buttons.
func stepOf(step call.Step, open bool) stepData {
	d := stepData{Key: step.Step, Name: shown.Capital(plain(step.Step)), State: step.State, StateWord: plain(step.State), Detail: sentence(step.Detail)}
	if !open {
		return d
	}
	check := plain(step.Step)
	switch step.Step {
	case "outlet", "input_test", "dish", "mount", "cabling", "components", "grounding":
		d.Remark, d.Say = true, check+" pass"
		d.Ticks = []tickData{{check + " pass", "Pass", "pass"}, {check + " fail", "Fail", "fail"}, {check + " not applicable", "Not applicable", "na"}}
	case "education":
		d.Say = "education done"
		d.Ticks = []tickData{{"education done", "Done", "pass"}, {"education not applicable", "Not applicable", "na"}}
	case "arrive":
		d.Say, d.Ticks = "arrived", []tickData{{"arrived", "Arrived now", ""}}
	}
	if step.State == "done" || step.State == "not_applicable" {
		d.Ticks = nil
	}
	return d
}

// tick keeps what a button of a step says, with the remark beside it.
func (s *server) tick(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	typed := strings.TrimSpace(r.PostFormValue("phrase") + " " + r.PostFormValue("remark"))
	return s.hear(w, r, typed, "plan")
}

// closeJob closes the job; where things are missing, with the reason.
func (s *server) closeJob(w http.ResponseWriter, r *http.Request) error {
	return s.turn(w, r, "close", func(c *jobCall, reason string) string {
		switch {
		case !c.open():
			return "The job is closed already."
		case reason == "" && len(c.missing()) > 0:
			return "Things are missing, so closing needs a reason: " + strings.Join(c.missing(), ", ") + "."
		}
		return ""
	})
}

// reopenJob opens a closed job again, with the reason.
func (s *server) reopenJob(w http.ResponseWriter, r *http.Request) error {
	return s.turn(w, r, "reopen", func(c *jobCall, reason string) string {
		switch {
		case c.open():
			return "The job is open."
		case reason == "":
			return "Opening a job again needs a reason."
		}
		return ""
	})
}

func (s *server) turn(w http.ResponseWriter, r *http.Request, verb string, refused func(c *jobCall, reason string) string) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	s.deeds.Lock()
	defer s.deeds.Unlock()
	c, err := s.call(r.Context(), r.PathValue("job"))
	if err != nil {
		return err
	}
	reason := strings.TrimSpace(r.PostFormValue("reason"))
	if why := refused(c, reason); why != "" {
		return s.showPlan(w, r, c, http.StatusConflict, "", why, reason)
	}
	entry := entry.Job{Verb: verb, Text: reason}
	if verb == "reopen" {
		entry.Number = c.number
	}
	kept, err := s.keep(r.Context(), c.number, "", entry)
	if err != nil {
		return err
	}
	if verb == "close" {
		return s.back(w, r, base(c.number)+"/closeout", kept)
	}
	return s.back(w, r, base(c.number)+"/plan", kept)
}

type photoData struct{ Link, Alt, Caption string }

func photosOf(c *jobCall) []photoData {
	var out []photoData
	for _, r := range c.current {
		if p, ok := r.Entry.(entry.Photo); ok {
			d := photoData{Link: base(c.number) + "/photograph/" + p.SHA256}
			parts := []string{p.Remark}
			if p.At != nil {
				parts = []string{pointWords(*p.At), p.Remark}
			}
			parts = slices.DeleteFunc(parts, func(s string) bool { return s == "" })
			d.Caption = strings.Join(append(parts, p.Name), ", ")
			d.Alt = "Photograph: " + strings.Join(append(parts, local(r).Format("15:04")), ", ")
			out = append(out, d)
		}
	}
	return out
}

// attach keeps a photograph and an entry that names it.
func (s *server) attach(w http.ResponseWriter, r *http.Request) error {
	if s.cfg.CleanPhoto == nil {
		return failure{status: http.StatusNotFound, title: "No photographs", text: "Photographs cannot be attached on this page."}
	}
	c, err := s.call(r.Context(), r.PathValue("job"))
	if err != nil {
		return err
	}
	name, picture, err := uploaded(r)
	remark := strings.TrimSpace(r.PostFormValue("remark"))
	var why problem
	if errors.As(err, &why) {
		return s.showPlan(w, r, c, http.StatusUnprocessableEntity, "", string(why), "")
	}
	if err != nil {
		return err
	}
	clean, err := s.cfg.CleanPhoto(picture)
	if err != nil {
		return s.showPlan(w, r, c, http.StatusUnprocessableEntity, "", shown.Capital(err.Error())+".", "")
	}
	sum, err := s.cfg.putPhoto(clean)
	if err != nil {
		return err
	}
	kept, err := s.keep(r.Context(), c.number, "", s.photoEntry(sum, name, remark))
	if err != nil {
		return err
	}
	return s.back(w, r, base(c.number)+"/plan", kept)
}

// photoEntry takes the point out of a remark that begins with one, up to the
// first comma.
func (s *server) photoEntry(sum, name, remark string) entry.Photo {
	p := entry.Photo{SHA256: sum, Name: name, Remark: remark}
	point, rest, _ := strings.Cut(remark, ",")
	if a, err := s.cfg.Parser.ParseAnswer(point); err == nil && a.Point != nil {
		p.At, p.Remark = a.Point, strings.TrimSpace(rest)
	}
	return p
}

// cautions are those that apply, and those of what is done next: where nothing
// was weighed that is the step of the plan.
func (c *jobCall) cautions() []call.Caution {
	goal, step := c.d.Leads(c.job.Call().Path)
	for _, s := range c.job.Plan() {
		if c.d.Next == nil && s.State == call.StepNow {
			step = s.Step
		}
	}
	return call.Cautions(c.job.Progress(), goal, step)
}
