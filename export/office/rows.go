package office

import (
	"fmt"
	"math/big"
	"strings"
	"time"

	"downlead/export/closeout"
	"downlead/export/quality"
	"downlead/grammar/entry"

	"github.com/jackc/pgx/v5/pgtype"
)

// sheet is the rows of one table on their way into the database.
type sheet struct {
	table   string
	columns []string
	rows    [][]any
}

func newSheet(table, columns string) sheet {
	return sheet{table: table, columns: strings.Fields(columns)}
}

func (s *sheet) add(cells ...any) { s.rows = append(s.rows, cells) }

// sheets are the rows of some jobs, table by table.
type sheets struct {
	job, visit, mark, reading, repair, checked, material, code, drive, claim, observed sheet
}

func newSheets() *sheets {
	return &sheets{
		job: newSheet("job", `job_id journal_id job last_entry entry_hash is_latest technician opened closed time_zone
			site_token address complaint lat lon began ended work_json lesson_json`),
		visit: newSheet("visit", `job_id visit_no began began_local ended ended_local time_zone is_open outcome is_complete site_token all_checks receivers_tested
			floor_dbm threshold weather temperature_f travel_s on_site_s breaks_s report_to_clear_s arrive_to_clear_s active_repair_s is_latest closeout_json`),
		mark: newSheet("mark", `job_id visit_no entry_no mark logged_at logged_local time_zone origin`),
		reading: newSheet("reading", `job_id visit_no entry_no taken taken_local path_id element element_no side port room verdict level_dbm level_margin_db
			strength strength_margin mer_db volts no_signal slot transponder polarity repairs_before is_proof`),
		repair:   newSheet("repair", `job_id visit_no entry_no done act element element_no quantity length_ft proof gain_db`),
		checked:  newSheet("checked", `job_id visit_no entry_no logged_at check_name verdict remark is_current`),
		material: newSheet("material", `job_id visit_no logged_at item quantity length_ft`),
		code:     newSheet("work_code", `job_id visit_no entry_no logged_at code units`),
		drive:    newSheet("drive", `job_id visit_no entry_no logged_at miles`),
		claim:    newSheet("claim", `job_id visit_no claim_code subject wording entries`),
		observed: newSheet("observed", `job_id visit_no entry_no logged_at told_as finding element element_no room comes_with wording`),
	}
}

func (s *sheets) all() []*sheet {
	return []*sheet{&s.job, &s.visit, &s.mark, &s.reading, &s.repair, &s.checked, &s.material, &s.code, &s.drive, &s.claim, &s.observed}
}

// add makes the rows of a job, under the number that its version gets.
func (s *sheets) add(id int64, j Job, key salt) error {
	written, err := j.write()
	if err != nil {
		return err
	}
	uuid, err := uuidOf(j.Journal)
	if err != nil {
		return err
	}
	site, token, complaint := j.site(), "", ""
	if token = tagged(site.Address); token == "" {
		token = key.site(site.Address)
	}
	if n := len(j.Visits); n > 0 {
		complaint = j.Visits[n-1].Closeout.Complaint
	}
	s.job.add(id, uuid, clean(j.Number), j.Last, j.Hash, true, clean(j.Technician), j.Work.Opened, j.Work.Closed, j.Zone,
		nullText(token), clean(site.Address), clean(complaint), numeric(site.Lat), numeric(site.Lon), j.Began, j.Ended, written.work, written.lesson)
	s.times(id, j)
	seen := map[int64]bool{} // a later visit's record holds what the earlier ones logged
	for i, v := range j.Visits {
		s.addVisit(id, v, written.visits[i], nullText(token), seen)
	}
	return nil
}

// times makes the rows of what pay reads: marks without a job, codes, parts, miles.
func (s *sheets) times(id int64, j Job) {
	if j.Number == "" {
		for _, m := range j.Work.Marks {
			s.mark.add(id, int32(0), m.Entry, clean(m.Mark), m.At, m.At, m.Zone, string(m.Source))
		}
	}
	for _, k := range j.Work.Codes {
		s.code.add(id, j.visitAt(k.At), k.Entry, k.At, clean(k.Code), numeric(k.Units))
	}
	for _, m := range j.Work.Materials {
		s.material.add(id, j.visitAt(m.At), m.At, clean(m.Material.Item), nullInt(m.Material.Quantity), numeric(m.Material.LengthFt))
	}
	for _, m := range j.Work.Miles {
		s.drive.add(id, j.visitAt(m.At), m.Entry, m.At, numeric(m.Miles))
	}
}

// visitAt is the visit that a time belongs to: the last one begun by then.
func (j Job) visitAt(at time.Time) int32 {
	for i := len(j.Visits) - 1; i > 0; i-- {
		if v := j.Visits[i]; !at.Before(v.Began) {
			return int32(v.N)
		}
	}
	return int32(min(1, len(j.Visits)))
}

func (s *sheets) addVisit(id int64, v quality.Visited, doc string, token any, seen map[int64]bool) {
	c, n := v.Closeout, int32(v.N)
	d := c.Durations
	s.visit.add(id, n, v.Began, v.Began, v.Ended, v.Ended, zoneName(v.Ended), v.Open, string(c.Outcome), c.Complete, token, quality.ChecksDone(c), receiversTested(c),
		numeric(c.Limits.FloorDBm), numeric(c.Limits.Threshold), clean(c.Limits.Weather), numeric(c.Limits.TemperatureF),
		seconds(d.Travel), seconds(d.OnSite), seconds(d.Breaks), seconds(d.ReportToClear), seconds(d.ArriveToClear), seconds(d.ActiveRepair), true, doc)
	fresh := func(entry int64) bool {
		if seen[entry] {
			return false
		}
		seen[entry] = true
		return true
	}
	for _, m := range c.Times {
		if fresh(m.Entry) {
			s.mark.add(id, n, m.Entry, clean(m.Mark), m.At, m.At, m.Zone, string(m.Source))
		}
	}
	proof := map[int64]bool{}
	for _, r := range quality.ProofReadings(c) {
		proof[r.Entry] = true
	}
	for _, r := range c.Readings {
		if fresh(r.Entry) {
			s.reading.add(id, n, r.Entry, r.At, r.At, clean(r.ID), string(r.Point.Element), nullInt(r.Point.Number), string(r.Point.Side), nullInt(r.Point.Port), clean(r.Point.Room),
				string(r.Verdict), numeric(r.Level), numeric(r.LevelMargin), numeric(r.Strength), numeric(r.StrengthMargin), numeric(r.MER), numeric(r.Volts),
				r.NoSignal, nullInt(r.Slot), nullInt(r.Transponder), clean(r.Polarity), int32(r.ActionsBefore), proof[r.Entry])
		}
	}
	s.repairs(id, n, c, fresh)
	for _, k := range c.Checks {
		if fresh(k.Entry) {
			s.checked.add(id, n, k.Entry, k.At, clean(k.Check), string(k.Verdict), clean(k.Remark), k.Current)
		}
	}
	for _, o := range c.Seen {
		if fresh(o.Entry) {
			s.observed.add(id, n, o.Entry, o.At, string(o.Kind), clean(o.What), string(o.Element), nullInt(o.Number), clean(o.Room), clean(o.When), clean(o.Text))
		}
	}
	for _, o := range c.Open {
		s.claim.add(id, n, "missing", clean(o.What), clean(o.Detail), []int64{})
	}
}

// repairs makes the rows of repairs and of the claims that they helped.
func (s *sheets) repairs(id int64, n int32, c closeout.Closeout, fresh func(int64) bool) {
	causes := map[int64]closeout.Cause{}
	for _, k := range c.Causes {
		causes[k.Action] = k
	}
	for _, a := range c.Actions {
		if !fresh(a.Entry) {
			continue
		}
		k := causes[a.Entry]
		s.repair.add(id, n, a.Entry, a.At, clean(a.Action), string(a.Element), nullInt(a.Number), nullInt(a.Quantity), numeric(a.LengthFt), string(k.State), numeric(k.Gain))
		entries := []int64{a.Entry}
		for _, e := range []int64{k.Before, k.After} {
			if e != 0 {
				entries = append(entries, e)
			}
		}
		s.claim.add(id, n, "repair_"+string(k.State), string(a.Element), clean(k.Text), entries)
	}
}

// zoneName is the IANA name of a time's zone; "" when only the offset is known.
func zoneName(t time.Time) string {
	if name := t.Location().String(); name == "UTC" || strings.Contains(name, "/") {
		return name
	}
	return ""
}

// receiversTested is NULL where there is no receiver on the path.
func receiversTested(c closeout.Closeout) any {
	all, some := quality.ReceiversTested(c)
	if !some {
		return nil
	}
	return all
}

// tagged returns the token of an address that was redacted before.
func tagged(address string) string {
	if rest, ok := strings.CutPrefix(address, "[ADDRESS-"); ok {
		if token, ok := strings.CutSuffix(rest, "]"); ok {
			return token
		}
	}
	return ""
}

func uuidOf(id string) (pgtype.UUID, error) {
	var u pgtype.UUID
	if err := u.Scan(id); err != nil {
		return u, fmt.Errorf("the journal's identity %q is no UUID: %w", id, err)
	}
	return u, nil
}

func nullInt(n int) any {
	if n == 0 {
		return nil
	}
	return int32(n)
}

func nullText(s string) any {
	if s == "" {
		return nil
	}
	return s
}

// seconds is a duration of a closeout, where -1 says that there is none.
func seconds(n int64) any {
	if n < 0 {
		return nil
	}
	return int32(n)
}

// numeric keeps a decimal exact, without zeros at its end.
func numeric(d entry.Decimal) any {
	if !d.Said() {
		return nil
	}
	n, places := d.Micro(), int32(6)
	for places > 0 && n%10 == 0 {
		n, places = n/10, places-1
	}
	return pgtype.Numeric{Int: big.NewInt(n), Exp: -places, Valid: true}
}

// clean makes words fit for a text column: valid UTF-8 without NUL, which
// databases refuse.
func clean(s string) string { return strings.ReplaceAll(strings.ToValidUTF8(s, "\uFFFD"), "\x00", " ") }
