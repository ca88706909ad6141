package journal

import (
	"downlead/grammar/entry"
)

// siteWatch tells, without replaying a job, whether its corrections can have
// reached its address, or confirmed its start or close. Only then is the job
// replayed: most corrections are of the last reading.
type siteWatch struct {
	job   string
	above int            // entries that count after the last address, at least
	named map[int64]bool // addresses and corrections, by seq
	hit   bool           // a correction may have reached one
}

// site notes an address.
func (w *siteWatch) site(seq int64) {
	w.above = 0
	w.named[seq] = true
}

// correction notes a correction and what it can have taken away.
func (w *siteWatch) correction(seq int64, c entry.Correction) {
	w.named[seq] = true
	for _, e := range c.Replace {
		if _, ok := e.(entry.Site); ok {
			w.hit = true
		}
	}
	switch {
	case c.Verb == "confirm":
		w.hit = true // of a correction, perhaps, or of a close
	case c.Entry != 0:
		w.above-- // it may be one of those above
		w.hit = w.hit || w.named[c.Entry]
	case c.Verb == "scratch":
		w.above -= max(c.Count, 1)
	}
	w.hit = w.hit || w.above < 0
}

// watchSite follows a record's part in the address of its job. The columns
// suffice but for addresses and corrections, which are decoded.
func (c *census) watchSite(seq int64, job []byte, e entry.Entry, counting bool) {
	w := c.sites
	if w == nil || w.job != string(job) {
		if w = c.siteOf[string(job)]; w == nil {
			w = &siteWatch{job: string(job), named: map[int64]bool{}}
			c.siteOf[w.job] = w
		}
		c.sites = w
	}
	switch e := e.(type) {
	case entry.Site:
		w.site(seq)
	case entry.Correction:
		w.correction(seq, e)
	case nil:
		if counting {
			w.above++
		}
	}
}
