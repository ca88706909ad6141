package entry

import (
	"fmt"
	"strconv"
	"strings"
	"sync"

	"downlead/grammar/vocab"
)

// phraseBook gives the words of the vocabulary table for a meaning: the first
// row of it, and the first plural one.
type phraseBook struct {
	one, many map[bookKey]string
}

type bookKey struct {
	class vocab.Class
	means string
}

// The books of the built-in table and of people's own words, each made once and
// never changed. The second is asked only for what the first lacks: to read it
// is a good part of what a short command takes.
var builtin, own = sync.OnceValue(func() phraseBook { return newBook(vocab.Builtin()) }), sync.OnceValue(func() phraseBook { return newBook(vocab.OwnRows()) })

func newBook(rows []vocab.Row) phraseBook {
	b := phraseBook{one: map[bookKey]string{}, many: map[bookKey]string{}}
	for _, r := range rows {
		k := bookKey{r.Class, r.Means}
		if r.First && b.one[k] == "" {
			b.one[k] = r.Say
		}
		if r.Plural && r.Spoken && b.many[k] == "" {
			b.many[k] = r.Say
		}
	}
	return b
}

// wordFor looks for a meaning in the classes, in the built-in table first.
func wordFor(means string, many bool, classes ...vocab.Class) (string, bool) {
	for _, book := range []func() phraseBook{builtin, own} {
		words := book().one
		if many {
			words = book().many
		}
		for _, c := range classes {
			if s, ok := words[bookKey{c, means}]; ok {
				return s, true
			}
		}
	}
	return "", false
}

// named returns the words for a meaning. What is not in the table came from
// the technician's own words, and says itself.
func named(c vocab.Class, means string) string {
	if s, ok := wordFor(means, false, c); ok {
		return upperLetters(s)
	}
	return strings.ReplaceAll(means, "_", " ")
}

func elementName(e Element) string {
	if e == Cable {
		return named(vocab.Cable, string(e))
	}
	if s, ok := wordFor(string(e), false, vocab.Item, vocab.Element); ok {
		return upperLetters(s)
	}
	return strings.ReplaceAll(string(e), "_", " ")
}

func pluralName(item string) string {
	if s, ok := wordFor(item, true, vocab.Element, vocab.Item); ok {
		return s
	}
	return elementName(Element(item))
}

// upperLetters writes letters that are spelled as capitals: "L N B".
func upperLetters(s string) string {
	fields := strings.Fields(s)
	for i, f := range fields {
		if len(f) == 1 && f != "a" {
			fields[i] = strings.ToUpper(f)
		}
	}
	return strings.Join(fields, " ")
}

// Say reads an entry back in words: whole, in the order point, slot, verdict,
// numbers. The words parse to the same entry again, but for what was assumed
// and for entries that the tool itself makes. It has no full stop.
func Say(e Entry) string {
	switch e := e.(type) {
	case Reading:
		return sayReading(e)
	case Path:
		return sayPath(e)
	case Setting:
		return saySetting(e)
	case Action:
		return sayAction(e)
	case Material:
		return sayMaterial(e)
	case Check:
		return sayCheck(e)
	case Time:
		return sayTime(e)
	case Sighting:
		return saySighting(e)
	case Symptom:
		return saySymptom(e)
	case Place:
		return "standing " + sayAt(e.Point)
	case Outcome:
		return sayOutcome(e)
	case Miles:
		return "drove " + SayNumber(e.Value) + " miles"
	case Code:
		return sayCode(e)
	case Job:
		return sayJob(e)
	case Site:
		return saySite(e)
	case Consent:
		if e.Given {
			return named(vocab.Consent, "yes")
		}
		return named(vocab.Consent, "no")
	case Note:
		return strings.TrimSpace("note " + e.Text)
	case Correction:
		return sayCorrection(e)
	case Question:
		return sayQuestion(e)
	case Unparsed:
		return "not understood: " + strconv.Quote(e.Text)
	case Photo:
		return sayPhoto(e)
	case Closeout:
		return fmt.Sprintf("closeout made as %s from %d records", e.Format, e.Count)
	case Sample:
		return fmt.Sprintf("drew %d of %d visits of lot %s for inspection", len(e.Visits), e.Size, e.Lot)
	case Purge:
		return fmt.Sprintf("the sound of entry %d was deleted", e.Entry)
	case Control:
		return named(vocab.Control, e.Verb)
	case Answer:
		return sayAnswer(e)
	}
	return ""
}

// List joins the parts that are not empty with commas.
func List(parts ...string) string {
	kept := parts[:0]
	for _, p := range parts {
		if p != "" {
			kept = append(kept, p)
		}
	}
	return strings.Join(kept, ", ")
}

// Join joins the words that are not empty with spaces.
func Join(words ...string) string {
	kept := words[:0]
	for _, w := range words {
		if w != "" {
			kept = append(kept, w)
		}
	}
	return strings.Join(kept, " ")
}

// SayPoint says a place: "ground block dish side", "behind receiver two".
func SayPoint(p Point) string {
	name := ""
	if p.Element != "" {
		name = Join(elementName(p.Element), sayIndex(p.Number))
	}
	if p.Which != "" {
		name = p.Which.say(elementName(p.Element), pluralName(string(p.Element)))
	}
	side := ""
	switch {
	case p.Port > 0:
		side = Join("output", sayIndex(p.Port))
	case p.Side == DishSide && p.Element == Receiver:
		name = "behind " + name
	case p.Side != "":
		side = named(vocab.Side, string(p.Side))
	}
	return Join(name, side, inRoom(p.Room))
}

func inRoom(room string) string {
	if room == "" {
		return ""
	}
	if name, number, ok := cutNumber(room); ok {
		return Join("in", name, sayIndex(number))
	}
	return "in the " + room
}

// beforeRoom says a room in front of its element: "bedroom two wall plate".
func beforeRoom(room string) string {
	if name, number, ok := cutNumber(room); ok {
		return Join(name, sayIndex(number))
	}
	return room
}

func cutNumber(room string) (string, int, bool) {
	i := strings.LastIndexByte(room, ' ')
	if i < 0 {
		return "", 0, false
	}
	n := vocab.Atoi(room[i+1:])
	return room[:i], n, n > 0
}

func sayIndex(n int) string {
	if n == 0 {
		return ""
	}
	return SayNumber(Whole(int64(n)))
}

// shown says what a meter showed, in an order that the grammar takes.
func sayShown(r Reading) string {
	parts := []string{}
	if r.Slot > 0 {
		parts = append(parts, "slot "+saySlot(r.Slot))
	}
	if r.Transponder > 0 {
		parts = append(parts, "transponder "+sayIndex(r.Transponder))
	}
	parts = append(parts, r.Polarity, string(r.Verdict))
	if r.Level.Said() {
		parts = append(parts, sayLevel(r.Level))
	}
	if r.NoSignal {
		parts = append(parts, named(vocab.NoSignal, ""))
	}
	if r.Strength.Said() {
		parts = append(parts, "strength "+SayNumber(r.Strength))
	}
	if r.MER.Said() {
		parts = append(parts, "M E R "+SayNumber(r.MER))
	}
	if r.Volts.Said() {
		parts = append(parts, sayVolts(r.Volts))
	}
	return List(parts...)
}

// sayLevel says a level with its sign, even that of nothing.
func sayLevel(d Decimal) string {
	if d.Sign() == 0 {
		return "minus zero"
	}
	return SayNumber(d)
}

func sayVolts(v Decimal) string {
	switch {
	case v.Micro() == 0:
		return named(vocab.NoVolts, "")
	case v.Micro() < 10*DecimalScale || v.Micro() >= 100*DecimalScale:
		return "voltage " + SayNumber(v)
	}
	return SayNumber(v) + " volts"
}

func sayReading(r Reading) string {
	still := ""
	if r.Again {
		if still = "still "; r.Verdict == Pass {
			still = "again " // after a fail "still" would be untrue
		}
	}
	said := ""
	if r.Unit != "" {
		said = SayNumber(r.Said) + " " + unitName(r.Unit)
	}
	return List(SayPoint(r.Point), still+sayShown(r), said, r.Remark)
}

// unitName writes a unit as it is written.
func unitName(unit string) string {
	switch unit {
	case "dbuv":
		return "dBuV"
	case "dbmv":
		return "dBmV"
	}
	return unit
}

func saySetting(s Setting) string {
	switch s.Name {
	case "threshold":
		if s.Slot > 0 {
			return "threshold " + SayNumber(s.Value) + " for slot " + saySlot(s.Slot)
		}
		return "threshold " + SayNumber(s.Value)
	case "floor_dbm":
		return "floor " + sayLevel(s.Value)
	case "temperature_f":
		return named(vocab.Temperature, "") + " " + SayNumber(s.Value)
	case "weather":
		return named(vocab.Weather, s.Text)
	}
	return Join(s.Name, s.Text, s.Value.String())
}

func sayCode(c Code) string {
	units := ""
	if c.Units.Said() {
		if units = SayNumber(c.Units) + " units"; units == "one units" {
			units = "one unit"
		}
	}
	return List("work code "+sayDigits(c.Code), units)
}

func sayJob(j Job) string {
	switch j.Verb {
	case "switch":
		return Join("back to job", sayDigits(j.Number))
	case "rename":
		return Join("wrong job, it is", sayDigits(j.Number))
	}
	class := map[string]vocab.Class{"start": vocab.JobStart, "complaint": vocab.JobComplaint, "close": vocab.JobClose, "reopen": vocab.JobReopen}[j.Verb]
	return Join(named(class, j.Verb), sayDigits(j.Number), j.Text)
}

func saySite(s Site) string {
	var parts []string
	if s.Text != "" {
		parts = append(parts, "site "+s.Text)
	}
	if s.Lat.Said() && s.Lon.Said() {
		parts = append(parts, Join("location", degrees(s.Lat, "north", "south"), degrees(s.Lon, "east", "west")))
	}
	if s.Reported != "" {
		parts = append(parts, "reported at "+s.Reported)
	}
	return strings.Join(parts, "; ")
}

func degrees(d Decimal, positive, negative string) string {
	if d.Sign() < 0 {
		return d.Neg().String() + " " + negative
	}
	return d.String() + " " + positive
}

func sayPhoto(p Photo) string {
	at := ""
	if p.At != nil {
		at = "at " + SayPoint(*p.At)
	}
	return List(Join("photograph", p.Name, at), p.Remark)
}

func sayAnswer(a Answer) string {
	switch {
	case a.Yes:
		return "yes"
	case a.No:
		return "no"
	case a.Choice > 0:
		return Join("the", named(vocab.Ordinal, strconv.Itoa(a.Choice)))
	case a.Value.Said():
		return SayNumber(a.Value)
	case a.Point != nil:
		return SayPoint(*a.Point)
	}
	return string(a.Verdict)
}

// Signal names which signal a reading is of, as it is printed: "slot 110",
// "transponder 21", "odd"; what was not said is left out.
func (r Reading) Signal() []string {
	var out []string
	if r.Slot > 0 {
		out = append(out, fmt.Sprintf("slot %d", r.Slot))
	}
	if r.Transponder > 0 {
		out = append(out, fmt.Sprintf("transponder %d", r.Transponder))
	}
	if r.Polarity != "" {
		out = append(out, r.Polarity)
	}
	return out
}
