package review

import (
	"fmt"
	"strings"
	"time"

	"downlead/diagnose/path"
	"downlead/export/shown"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// plain turns a name of the machine form into the vocabulary's words.
func plain(name string) string {
	switch name {
	case "lnb":
		return "LNB"
	case "re_terminated", "re_aimed":
		return strings.Replace(name, "_", "-", 1)
	case "rg6", "rg11", "rg59":
		return "RG " + name[2:]
	}
	return strings.ReplaceAll(name, "_", " ")
}

// sentence makes a sentence of a clause.
func sentence(s string) string {
	if s == "" || strings.HasSuffix(s, ".") {
		return shown.Capital(s)
	}
	return shown.Capital(s) + "."
}

// namer names elements and points of one path: with a number only where the
// path has several of the kind, as a technician would.
type namer struct {
	elements map[string]path.PathElement // by id
	count    map[entry.Element]int
}

func newNamer(elements []path.PathElement) namer {
	n := namer{elements: map[string]path.PathElement{}, count: map[entry.Element]int{}}
	for _, e := range elements {
		n.elements[e.ID] = e
		n.count[e.Element]++
	}
	return n
}

// element names the element with the id.
func (n namer) element(id string) string {
	e, ok := n.elements[id]
	if !ok {
		return plain(id)
	}
	name := plain(string(e.Element))
	if e.Element == entry.Cable || e.Element == entry.Jumper {
		return n.coax(e, name)
	}
	if n.count[e.Element] > 1 {
		_, number, _ := strings.Cut(id, " ")
		name += " " + number
	}
	return strings.TrimSpace(name)
}

// coax names a cable by what it comes from: nobody numbers cables.
func (n namer) coax(e path.PathElement, name string) string {
	if n.count[e.Element] < 2 {
		return name
	}
	up, ok := n.elements[e.Parent]
	if !ok || up.Element == entry.Cable || up.Element == entry.Jumper {
		return name
	}
	name += " after " + n.element(up.ID)
	if e.Port > 0 {
		name += fmt.Sprintf(", output %d", e.Port)
	}
	return name
}

func join(names []string, word string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " " + word + " " + names[len(names)-1]
}

// figures prints what a reading says beside its verdict and level.
func figures(r entry.Reading) []string {
	var out []string
	add := func(d entry.Decimal, format string) {
		if d.Said() {
			out = append(out, fmt.Sprintf(format, strings.Replace(d.String(), "-", "−", 1)))
		}
	}
	add(r.Strength, "strength %s")
	add(r.MER, "MER %s dB")
	add(r.Volts, "%s V")
	return append(out, r.Signal()...)
}

// local is the time of a record where it was made.
func local(r record.Record) time.Time {
	if r.Zone == "" {
		return r.At
	}
	zone, err := time.LoadLocation(r.Zone)
	if err != nil {
		return r.At
	}
	return r.At.In(zone)
}

// span prints how long something took, to the minute.
func span(d time.Duration) string {
	m := int(d.Round(time.Minute) / time.Minute)
	if m < 60 {
		return fmt.Sprintf("%d min", m)
	}
	return fmt.Sprintf("%d h %02d min", m/60, m%60)
}

// count prints a number with its noun: "1 entry", "2 entries".
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
