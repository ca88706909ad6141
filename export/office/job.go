package office

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"time"

	"downlead/diagnose/fault"
	"downlead/export/closeout"
	"downlead/export/pay"
	"downlead/export/quality"
	"downlead/journal/record"
)

// Job is one job of one journal as it stands: what its rows are made from, and
// what is read back. The job "" is the time without a job.
type Job struct {
	Journal    string // the journal's own UUID
	Number     string
	Last       int64  // its last entry: the version of its rows
	Hash       string // of the chain at that entry, hex
	Technician string
	Zone       string // IANA name of its first entry
	Began      time.Time
	Ended      time.Time
	Visits     []quality.Visited
	Work       pay.Work
	Lesson     fault.Lesson

	packed *packed // its rows, once made
}

// NewJob makes a job from its records, raw, in order of seq.
func NewJob(id string, records []record.Record) (Job, error) {
	j, err := plainJob(id, records).withVisits(records)
	if err == nil {
		j, err = j.withWork(records)
	}
	if err == nil {
		j, err = j.withLesson(records)
	}
	return j, err
}

// plainJob is what a job is before anything is concluded.
func plainJob(id string, records []record.Record) Job {
	last := records[len(records)-1]
	j := Job{Journal: id, Number: last.Job, Last: last.Seq, Hash: last.Hash.String(), Zone: records[0].Zone, Began: records[0].At, Ended: records[0].At}
	for _, r := range records {
		if r.Technician != "" {
			j.Technician = r.Technician
		}
		if r.At.Before(j.Began) {
			j.Began = r.At
		}
		if r.At.After(j.Ended) {
			j.Ended = r.At
		}
	}
	return j
}

// head is the chain at the job's last entry.
func (j Job) head() closeout.ChainHead {
	return closeout.ChainHead{ID: j.Journal, Head: j.Hash, Count: j.Last}
}

func (j Job) withVisits(records []record.Record) (Job, error) {
	if j.Number == "" {
		return j, nil
	}
	var err error
	if j.Visits, err = quality.NewVisited(records); err != nil {
		return j, fmt.Errorf("job %s: %w", j.Number, err)
	}
	for i := range j.Visits {
		j.Visits[i].Closeout.Journal, j.Visits[i].Closeout.Technician = j.head(), j.Technician
	}
	return j, nil
}

func (j Job) withWork(records []record.Record) (Job, error) {
	j.Work = pay.NewWork(records)
	j.Work.Journal = j.head()
	if j.Number == "" {
		return j, nil
	}
	if len(j.Visits) == 1 { // concluded already
		j.Work.Outcome = j.Visits[0].Closeout.Outcome
		return j, nil
	}
	var err error
	if j.Work.Outcome, err = pay.OutcomeOf(records); err != nil {
		return j, fmt.Errorf("job %s: %w", j.Number, err)
	}
	return j, nil
}

func (j Job) withLesson(records []record.Record) (Job, error) {
	j.Lesson = fault.LessonOf(records)
	return j, nil
}

// owned puts the journal's owner where no entry of the job names anyone.
func (j Job) owned(owner string) Job {
	if j.Technician != "" || owner == "" {
		return j
	}
	j.Technician = owner
	for i := range j.Visits {
		j.Visits[i].Closeout.Technician = owner
	}
	return j
}

// site is where the job was, as last said.
func (j Job) site() closeout.Site {
	if len(j.Visits) == 0 {
		return closeout.Site{}
	}
	return j.Visits[len(j.Visits)-1].Closeout.Site
}

// salt makes tokens of words that must not be read but must be compared.
type salt []byte

// token is equal for equal words and cannot be turned back without the salt:
// HMAC-SHA-256 (RFC 2104), its first 16 hex digits. "" for no words.
func (s salt) token(words string) string {
	if words == "" {
		return ""
	}
	h := hmac.New(sha256.New, s)
	h.Write([]byte(words))
	return hex.EncodeToString(h.Sum(nil))[:16]
}

// site is the token of an address: equal for two ways of writing one.
func (s salt) site(address string) string { return s.token(record.SiteKey(address)) }

// redact takes names, addresses and free words out. The address becomes a tag
// that is the same for every visit to it, so that repeats still show.
func (j Job) redact(s salt) (Job, error) {
	visits := make([]quality.Visited, len(j.Visits))
	for i, v := range j.Visits {
		tag := s.site(v.Closeout.Site.Address)
		c, err := closeout.Redact(v.Closeout)
		if err != nil {
			return j, fmt.Errorf("job %s: %w", j.Number, err)
		}
		if c.Site.Address = ""; tag != "" {
			c.Site.Address = "[ADDRESS-" + tag + "]"
		}
		c.Technician = s.name(j.Technician)
		v.Closeout = c
		visits[i] = v
	}
	j.Visits, j.Technician = visits, s.name(j.Technician)
	unclear := make([]closeout.Unparsed, len(j.Work.Unclear))
	for i, u := range j.Work.Unclear {
		unclear[i] = closeout.Unparsed{Entry: u.Entry, Text: "[PHRASE]", Reason: u.Reason}
	}
	j.Work.Unclear = unclear
	return j, nil
}

// name is the tag of a technician's name.
func (s salt) name(technician string) string {
	if technician == "" {
		return ""
	}
	return "[TECHNICIAN-" + s.token(technician)[:8] + "]"
}
