package closeout

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"downlead/grammar/entry"
)

// redactions says which members of a closeout hold words of a person, and
// what their tags are called. Everything else is of the product's own
// vocabulary, a number, a time or an identifier, and stays.
var redactions = map[string]string{
	"address":            "ADDRESS",
	"technician":         "TECHNICIAN",
	"complaint":          "COMPLAINT",
	"open.why":           "REASON",
	".reason":            "REASON", // of the job
	"checks.remark":      "REMARK",
	"photographs.remark": "REMARK",
	"photographs.name":   "PHOTO",
	"seen.remark":        "REMARK",
	"notes.text":         "NOTE",
	"unparsed.text":      "PHRASE",
	"unparsed.reason":    "REASON",
	"room":               "ROOM",
	"checks.check":       "CHECK",
	"codes.code":         "CODE",
}

// ownWords are the product's own names of checks and work codes, which stay; a
// code that is a number does too. A technician's own may name anything.
var ownWords = map[string]bool{
	"outlet": true, "input_test": true, "dish": true, "mount": true, "cabling": true, "components": true, "grounding": true,
	"education": true, "explanation": true,
	"trouble call": true, "service call": true, "repeat call": true, "dish relocation": true,
}

// number finds a code that is one.
var number = regexp.MustCompile(`^[0-9]+$`)

// made are members that the product words itself, which may quote what a
// person said: words already tagged, and telephone numbers and e-mail
// addresses, are replaced inside them.
var made = map[string]bool{
	"name": true, "point": true, "text": true, "detail": true, "brackets": true, "explanation": true, "why": true, "what": true,
	"claim": true,
}

// contact finds telephone numbers (seven digits or more, with the usual
// separators) and e-mail addresses.
var contact = regexp.MustCompile(`\+?\(?\d[\d\s().-]{5,}\d|[^\s@]+@[^\s@]+\.[^\s@]+`)

// Redact returns a copy in which address, place, names, rooms and all free
// words are replaced by tags such as [ADDRESS-1]: the same words get the same
// tag throughout. Photographs lose their names and sums, so that a file
// cannot be traced back.
func Redact(c Closeout) (Closeout, error) {
	raw, err := json.Marshal(c)
	if err != nil {
		return Closeout{}, fmt.Errorf("redact: %w", err)
	}
	d := json.NewDecoder(bytes.NewReader(raw))
	d.UseNumber()
	var doc any
	if err := d.Decode(&doc); err != nil {
		return Closeout{}, fmt.Errorf("redact: %w", err)
	}
	r := redactor{tags: map[string]string{}, count: map[string]int{}}
	r.collect(doc, "", "")
	doc = r.replace(doc, "", "")
	if raw, err = json.Marshal(doc); err != nil {
		return Closeout{}, fmt.Errorf("redact: %w", err)
	}
	var out Closeout
	if err := json.Unmarshal(raw, &out); err != nil {
		return Closeout{}, fmt.Errorf("redact: %w", err)
	}
	out.Site.Lat, out.Site.Lon = entry.Decimal{}, entry.Decimal{}
	for i := range out.Photographs {
		out.Photographs[i].SHA256 = ""
	}
	out.Redacted = true
	return out, nil
}

type redactor struct {
	tags  map[string]string // words to tag
	count map[string]int
	find  []finder // longest words first, once replace begins
}

type finder struct {
	re  *regexp.Regexp
	tag string
}

// finders returns a search for every tagged text that has a letter. Even one of
// a letter or two is found, where it is a word of its own: that harms a
// sentence sometimes, and keeps a room or a name from being read in it.
func (r *redactor) finders() []finder {
	found := make([]finder, 0, len(r.tags))
	for _, w := range slices.SortedFunc(maps.Keys(r.tags), func(a, b string) int {
		return cmp.Or(cmp.Compare(len(b), len(a)), cmp.Compare(a, b))
	}) {
		t := strings.TrimSpace(w)
		if !strings.ContainsFunc(t, unicode.IsLetter) && len(t) < 3 {
			continue // a figure of one or two digits is in every sentence
		}
		found = append(found, finder{regexp.MustCompile(`(?i)(^|[^\pL\pN])` + regexp.QuoteMeta(t) + `($|[^\pL\pN])`), r.tags[w]})
	}
	return found
}

// class returns the tag's name of a member, "" where it is not a person's words.
func class(list, member string) string {
	if k, ok := redactions[list+"."+member]; ok {
		return k
	}
	return redactions[member]
}

// stays reports a name of the product's own where a technician's may stand.
func stays(class, v string) bool {
	return class == "CHECK" && ownWords[v] || class == "CODE" && (ownWords[v] || number.MatchString(v))
}

// collect visits members in the order of their names, so that tags are numbered
// the same way every time.
func (r *redactor) collect(v any, list, member string) {
	switch v := v.(type) {
	case map[string]any:
		for _, k := range slices.Sorted(maps.Keys(v)) {
			r.collect(v[k], cmp.Or(member, list), k)
		}
	case []any:
		for _, x := range v {
			r.collect(x, list, member)
		}
	case string:
		if k := class(list, member); k != "" && strings.TrimSpace(v) != "" && !stays(k, v) {
			r.tag(v, k)
		}
	}
}

func (r *redactor) tag(words, class string) string {
	t, ok := r.tags[words]
	if !ok {
		r.count[class]++
		t = fmt.Sprintf("[%s-%d]", class, r.count[class])
		r.tags[words] = t
	}
	return t
}

func (r *redactor) replace(v any, list, member string) any {
	if r.find == nil {
		r.find = r.finders()
	}
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			v[k] = r.replace(x, cmp.Or(member, list), k)
		}
		return v
	case []any:
		for i, x := range v {
			v[i] = r.replace(x, list, member)
		}
		return v
	case string:
		if member == "zone" {
			return "" // it names a region; every time keeps its offset
		}
		if k := class(list, member); k != "" && !stays(k, v) {
			if t, ok := r.tags[v]; ok {
				return t
			}
			return v // nothing but space
		}
		if made[member] {
			return r.inside(v)
		}
	}
	return v
}

// inside replaces tagged words and contacts within a sentence.
func (r *redactor) inside(s string) string {
	for _, f := range r.find {
		// Twice, as what stands between two words is before one of them alone.
		for range 2 {
			s = f.re.ReplaceAllString(s, "${1}"+strings.ReplaceAll(f.tag, "$", "$$")+"${2}")
		}
	}
	return contact.ReplaceAllStringFunc(s, func(m string) string { return r.tag(m, "CONTACT") })
}
