package journal

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/gowebpki/jcs"

	"downlead/grammar/entry"
	"downlead/journal/record"
)

// stamp is the form of a stored time: RFC 3339, UTC, always 24 characters.
const stamp = "2006-01-02T15:04:05.000Z"

// body is what is hashed: the record without its hashes, in canonical JSON.
// Its numbers are integers, all of them. encode writes what decode reads here.
type body struct {
	At          string            `json:"at"`
	Clip        string            `json:"clip,omitempty"`
	Entry       json.RawMessage   `json:"entry"`
	Heard       *record.Heard     `json:"heard,omitempty"`
	Job         string            `json:"job"`
	Kind        entry.Kind        `json:"kind"`
	Line        int               `json:"line,omitempty"`
	Offset      int               `json:"offset"` // seconds east of UTC
	Origin      record.Origin     `json:"origin"`
	Phrase      string            `json:"phrase"`
	Seq         int64             `json:"seq"`
	Technician  string            `json:"technician,omitempty"`
	TimeSource  record.TimeSource `json:"time_source"`
	Unconfirmed bool              `json:"unconfirmed,omitempty"`
	Zone        string            `json:"zone"`
}

// encode returns the canonical text of a draft as record seq: the form of RFC
// 8785 of a body. The entry's goes through the library; the members around it
// are written here in their sorted order, which is three times as quick. The
// draft has been settled: no member is to be guessed any more.
func encode(seq int64, d *record.Draft) ([]byte, error) {
	machine, err := entry.Encode(d.Entry)
	if err != nil {
		return nil, err
	}
	stored, err := entry.Stored(machine)
	if err != nil {
		return nil, err
	}
	entry, err := jcs.Transform(stored)
	if err != nil {
		return nil, err
	}
	_, offset := d.At.Zone()
	b := append(make([]byte, 0, 512), `{"at":"`...)
	b = append(d.At.UTC().AppendFormat(b, stamp), '"')
	if d.Clip != "" {
		b = appendString(append(b, `,"clip":`...), d.Clip)
	}
	b = append(append(b, `,"entry":`...), entry...)
	if h := d.Heard; h != nil {
		b = appendHeard(append(b, `,"heard":`...), h)
	}
	b = appendString(append(b, `,"job":`...), d.Job)
	b = appendString(append(b, `,"kind":`...), string(d.Entry.Kind()))
	if d.Line != 0 {
		b = strconv.AppendInt(append(b, `,"line":`...), int64(d.Line), 10)
	}
	b = strconv.AppendInt(append(b, `,"offset":`...), int64(offset), 10)
	b = appendString(append(b, `,"origin":`...), string(d.Origin))
	b = appendString(append(b, `,"phrase":`...), d.Phrase)
	b = strconv.AppendInt(append(b, `,"seq":`...), seq, 10)
	if d.Technician != "" {
		b = appendString(append(b, `,"technician":`...), d.Technician)
	}
	b = appendString(append(b, `,"time_source":`...), string(d.TimeSource))
	if d.Unconfirmed {
		b = append(b, `,"unconfirmed":true`...)
	}
	b = append(appendString(append(b, `,"zone":`...), d.Zone), '}')
	if !wholeNumbers(b) {
		return nil, fmt.Errorf("the %s entry holds a number that cannot be stored exactly", d.Entry.Kind())
	}
	return b, nil
}

// appendString writes a JSON string as RFC 8785, section 3.2.2.2, has it: the
// short escapes where there are any, \u00xx for the other controls, and all
// else as it is.
func appendString(b []byte, s string) []byte {
	b = append(b, '"')
	for i := range len(s) {
		switch c := s[i]; {
		case c == '"' || c == '\\':
			b = append(b, '\\', c)
		case c >= ' ':
			b = append(b, c)
		case strings.IndexByte("\b\t\n\f\r", c) >= 0:
			b = append(b, '\\', "btn_fr"[c-'\b'])
		default:
			b = fmt.Appendf(b, `\u%04x`, c)
		}
	}
	return append(b, '"')
}

// settle fills in what a draft left open and checks the rest.
func settle(d *record.Draft, now func() time.Time, z *zones) error {
	if d.Entry == nil {
		return fmt.Errorf("append: a draft holds no entry")
	}
	if d.At.IsZero() {
		d.At = now()
	}
	if d.TimeSource == "" {
		d.TimeSource = record.FromClock
	}
	if d.Origin == "" {
		d.Origin = record.Typed
	}
	if err := settleZone(d, z); err != nil {
		return err
	}
	if job, ok := d.Entry.(entry.Job); ok && job.Number != "" && job.Verb != "complaint" && job.Verb != "rename" { // a renaming is of the job that had the wrong number
		d.Job = job.Number
	}
	if len(d.Job) > 64 || strings.ContainsFunc(d.Job, func(r rune) bool { return r < ' ' || r == 0x7f }) || strings.TrimSpace(d.Job) != d.Job {
		return fmt.Errorf("%q is not a job number: up to 64 letters and digits are, with no space around them", d.Job)
	}
	if err := checkTechnician(d.Technician); err != nil {
		return err
	}
	for name, s := range map[string]string{"phrase": d.Phrase, "job number": d.Job, "zone": d.Zone, "technician": d.Technician} {
		if !utf8.ValidString(s) {
			return fmt.Errorf("the %s %q is not UTF-8 text: convert it first", name, s)
		}
	}
	return nil
}

// settleZone fixes the zone's name and the offset, and cuts the time to the
// stored millisecond.
func settleZone(d *record.Draft, z *zones) error {
	if d.Zone == "" {
		d.Zone = z.name(d.At.Location())
		if _, offset := d.At.Zone(); !z.shows(d.At, d.Zone, offset) {
			d.Zone = "" // a name that the wall clock does not follow
		}
	} else {
		loc, err := z.load(d.Zone)
		if err != nil {
			return fmt.Errorf("%q is not a time zone: use a name such as America/Chicago", d.Zone)
		}
		d.At = d.At.In(loc)
	}
	if y := d.At.UTC().Year(); y < 0 || y > 9999 {
		return fmt.Errorf("the year %d cannot be stored", y)
	}
	d.At = d.At.Truncate(time.Millisecond)
	return nil
}

// appendHeard writes the figures in canonical form; those of two listeners only where
// two heard.
func appendHeard(b []byte, h *record.Heard) []byte {
	b = fmt.Appendf(b, `{"at_ms":%d`, h.At)
	some := func(name string, v int) {
		if v != 0 {
			b = fmt.Appendf(b, `,"%s":%d`, name, v)
		}
	}
	some("confidence", h.Confidence)
	some("free", h.Free)
	b = fmt.Appendf(b, `,"gpf":%d`, h.Grammar)
	some("lead", h.Lead)
	b = fmt.Appendf(b, `,"llr":%d`, h.Ratio)
	some("logp", h.LogP)
	return fmt.Appendf(b, `,"margin":%d,"snr":%d,"worst":%d}`, h.Margin, h.SNR, h.WorstWord)
}

// Canonical returns the text of a record that its hash is taken of, so that a
// copy outside the journal can be checked by any program:
// Hash = SHA-256(Prev || Canonical). The text is written anew and not checked
// against Hash: that of a record which Current corrected does not fit it.
func Canonical(r record.Record) ([]byte, error) { return encode(r.Seq, &r.Draft) }
