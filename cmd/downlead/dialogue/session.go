package dialogue

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"time"

	"downlead/diagnose/claim"
	"downlead/diagnose/level"
	"downlead/grammar"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
)

// Session is a conversation. It is not safe for concurrent use; other
// processes may write to the same journal meanwhile.
type Session struct {
	Journal *journal.Journal
	Parser  *grammar.Parser
	Job     string // the job's number; "" until one is started

	// Gather returns what a job's diagnosis draws on beside its own records:
	// tables, learned odds, earlier visits to the site.
	Gather  Gather
	Options level.Options // as last gathered

	// Day tells of the day of a time, for "how was the day"; nil where nothing
	// can. It is asked of the whole journal, and needs no job.
	Day func(ctx context.Context, at time.Time) (string, error)

	// Area is the threshold that a job starts with; none where it is not said.
	Area entry.Decimal

	asked  []question // open questions, the first is the one that was put
	last   string     // the last answer, for "repeat"
	closed string     // the job closed last, for "reopen job"

	cautioned map[string]bool // by job and code: the cautions that were given
}

// Gather returns the options of a job's diagnosis.
type Gather func(ctx context.Context, job string) (level.Options, error)

// New opens a conversation about a job; number "" means the job last started
// and not closed, if there is one. A nil gather means the built-in tables and
// no earlier visits.
func New(ctx context.Context, j *journal.Journal, p *grammar.Parser, gather Gather, number string) (*Session, error) {
	if gather == nil {
		gather = func(context.Context, string) (level.Options, error) { return level.Options{}, nil }
	}
	s := &Session{Journal: j, Parser: p, Gather: gather, Job: number}
	if number == "" {
		current, err := j.CurrentJob(ctx)
		if err != nil && !errors.Is(err, journal.ErrNoJob) {
			return nil, err
		}
		s.Job = current
	} else if _, err := j.Job(ctx, number); err != nil {
		return nil, err
	}
	var err error
	if s.Options, err = s.Gather(ctx, s.Job); err != nil {
		return nil, err
	}
	return s, s.resume(ctx)
}

// Phrase is one thing said or typed.
type Phrase struct {
	Text       string
	At         time.Time
	Zone       string // IANA name; "" means At's own location
	TimeSource record.TimeSource
	Origin     record.Origin
	Heard      *record.Heard
	Sound      []byte // a WAV file, kept only where consent was logged
	Rival      string // what it most likely was if not Text, "" when nothing else
	Doubt      string // why the recogniser is not sure of the words; "" when it is
	Line       int    // of the text file that it is imported from; 0 when it is not
	Rough      bool   // the words of a note are the general recogniser's
	// Amends are the records of the phrase that this one stands in the place of;
	// they are scratched with it.
	Amends []record.Record

	warning string // what went wrong in storing it
}

// Outcome is what became of a phrase.
type Outcome string

// The outcomes.
const (
	Taken       Outcome = "taken"
	Asked       Outcome = "asked"
	Ignored     Outcome = "ignored"
	Unparsed    Outcome = "unparsed"
	Unconfirmed Outcome = "unconfirmed"
)

// Reply answers a phrase.
type Reply struct {
	Outcome Outcome
	Records []record.Record // stored for this phrase
	Text    string          // the answer, in full
	Asked   string          // the question put, "" when none is open
	Control string          // a control verb for the listener: pause, resume, louder …
	Caution []string        // cautions that came up with this phrase, each once a job
	Warning string          // what went wrong beside the entries, which are kept
	Err     *grammar.Error  // why the phrase was not understood
	Next    string          // the phrase that goes on from there, where Err says why not; "" when none is known
	Current *claim.Diagnosis
}

// ErrNoJob says that a phrase came before any job was started.
var ErrNoJob = errors.New("no job is open")

// Hear takes one phrase: as the answer to the question put before it where it
// is one, else for what it says. Everything in Reply.Records is on the disk.
func (s *Session) Hear(ctx context.Context, p Phrase) (Reply, error) {
	if answer, ok := s.halfNamed(p); ok {
		return s.settle(ctx, p, answer)
	}
	if len(s.asked) > 0 {
		if answer, err := s.Parser.ParseAnswer(p.Text); err == nil {
			return s.settle(ctx, p, answer)
		}
	}
	if again, ok := s.repeated(p); ok {
		return s.close(ctx, p, entry.Answer{Yes: true}, again)
	}
	entries, err := s.understood(ctx, &p)
	if err != nil {
		if r, ok, werr := s.whole(ctx, p); ok || werr != nil {
			return r, werr
		}
		return s.unparsed(ctx, p, err)
	}
	if control, ok := onlyControl(entries); ok && control.Verb == neverMind && len(s.asked) > 0 {
		return s.dropped(ctx, p)
	}
	if control, ok := onlyControl(entries); ok {
		return Reply{Outcome: Taken, Control: control.Verb, Text: s.control(control)}, nil
	}
	// A phrase that is no answer leaves the question open in the journal,
	// unconfirmed, and goes on.
	asked := s.asked
	s.asked = nil
	if j, ok := entries[0].(entry.Job); ok && len(entries) == 1 {
		switch {
		case j.Verb == "switch" || j.Verb == "rename":
			return s.toJob(ctx, p, j)
		case j.Verb == "start":
			if r, there, err := s.begin(ctx, p, j); there || err != nil {
				return r, err
			}
		case j.Verb == "reopen" && j.Number == "":
			j, refusal, err := s.reopened(ctx, j)
			if refusal != nil || err != nil {
				return *cmp.Or(refusal, &Reply{}), err
			}
			entries[0] = j
		}
	}
	if q, ok := entries[0].(entry.Question); ok && len(entries) == 1 && (s.Job == "" || q.Question == "words" || q.Question == "day") {
		s.asked = asked
		if q.Question == "day" && s.Day != nil {
			text, err := s.Day(ctx, p.At)
			return Reply{Outcome: Taken, Text: text}, err
		}
		if q.Question == "words" {
			return Reply{Outcome: Taken, Text: s.Help()}, nil
		}
	}
	if s.Job == "" && !Starts(entries[0]) {
		if without, err := s.allOfNoJob(ctx, &p, entries); err != nil || !without {
			return Reply{}, cmp.Or(err, fmt.Errorf("%w: %q was not kept", ErrNoJob, p.Text))
		}
	}
	if r, shut, err := s.shut(ctx, entries); shut || err != nil {
		return r, err
	}
	return s.take(ctx, p, s.withArea(entries))
}

// withArea adds the area's threshold to what starts a job, so that it is read
// back and stored as if it had been said; one that was said prevails.
func (s *Session) withArea(entries []entry.Entry) []entry.Entry {
	j, ok := entries[0].(entry.Job)
	if !ok || j.Verb != "start" || !s.Area.Said() {
		return entries
	}
	for _, x := range entries {
		if t, ok := x.(entry.Setting); ok && t.Name == "threshold" && t.Slot == 0 {
			return entries
		}
	}
	return append(entries, entry.Setting{Name: "threshold", Value: s.Area, Assumed: []string{"value"}})
}

// Open returns the question that waits for its answer, "" when none does;
// blocks says that what it is about counts for nothing until then.
func (s *Session) Open() (text string, blocks bool) {
	if len(s.asked) == 0 {
		return "", false
	}
	return s.asked[0].text, s.asked[0].blocks
}

// Example is an answer that the open question takes, as it is typed.
func (s *Session) Example() string {
	switch q := s.asked[0]; {
	case q.kind == askResult:
		return "pass"
	case len(q.names) > 0:
		return q.names[0]
	case q.kind == askPoint:
		return "dish side"
	}
	return "yes"
}

// Leave gives up the open questions: what they are about stays unconfirmed.
func (s *Session) Leave() { s.asked = nil }

// Starts reports whether an entry opens a job.
func Starts(e entry.Entry) bool {
	j, ok := e.(entry.Job)
	return ok && (j.Verb == "start" || j.Verb == "reopen")
}

// closes reports that stored records closed the job.
func closes(records []record.Record) bool {
	if len(records) == 0 {
		return false
	}
	j, ok := records[len(records)-1].Entry.(entry.Job)
	return ok && j.Verb == "close" && !records[len(records)-1].Unconfirmed
}

func onlyControl(entries []entry.Entry) (entry.Control, bool) {
	if len(entries) != 1 {
		return entry.Control{}, false
	}
	c, ok := entries[0].(entry.Control)
	return c, ok
}

func (s *Session) control(c entry.Control) string {
	switch c.Verb {
	case "repeat":
		return s.last
	case neverMind:
		return "Dropped."
	case holdOn:
		return "Waiting. Go on when you are ready."
	}
	return ""
}

// unparsed keeps a phrase that was not understood.
func (s *Session) unparsed(ctx context.Context, p Phrase, cause error) (Reply, error) {
	var perr *grammar.Error
	if !errors.As(cause, &perr) {
		return Reply{}, cause
	}
	r := Reply{Outcome: Unparsed, Err: perr, Text: perr.Message}
	if s.Job == "" {
		return r, nil
	}
	if left, err := s.leftOpen(ctx, p); left != nil || err != nil {
		return *cmp.Or(left, &Reply{}), err
	}
	records, err := s.append(ctx, p, entry.Unparsed{Text: p.Text, Reason: perr.Message})
	r.Records = records
	return r, err
}
