package grammar

import (
	"strconv"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/vocab"
)

// What the meter showed, in any order: a place, a verdict, figures; a second
// place is a second reading; a figure after "sorry" takes the place of one
// before it, and both stay in the remark.

// gauge gathers one reading.
type gauge struct {
	entry.Reading
	parts   pointParts
	also    []pointParts // further places that show the same: "output one and output two"
	placed  bool
	after   bool   // something was shown before the place
	chat    bool   // its verdict is a word that people also say of nothing
	any     bool   // something was shown
	guess   bool   // "looks like"
	awaited string // the key of a figure that was named, and its number not yet said
	last    string // the key of the figure said last
	repair  bool   // what comes next takes the place of what was said
	repairs int    // repairs that were made
	lo      int    // byte where what was said of the last kind began
	starts  map[string]int
	remark  string
}

func (t *talker) shown() bool {
	g := &gauge{starts: map[string]int{}}
	first := len(t.entries)
	t.looked(g)
	for t.i < len(t.toks) {
		if t.next(g) {
			continue
		}
		another := t.isAt(t.i-1, vocab.And) && t.is(vocab.Verdict, vocab.NoSignal, vocab.Level) // "passes on the dish side and fails on the receiver side"
		if !t.startsPlace(t.i) && !another || !g.placed || !g.any || g.repair {
			break
		}
		t.err = nil
		if !t.finish(g) {
			return false
		}
		g = &gauge{starts: map[string]int{}}
	}
	if t.i > 0 && t.isAt(t.i-1, vocab.And) {
		t.i--
	}
	if g.repair || !t.finish(g) || len(t.entries) == first {
		return false
	}
	t.backwards(first)
	return true
}

// looked takes what is said before a place that was measured: "checked", "I see".
func (t *talker) looked(g *gauge) {
	if t.is(vocab.Looked, vocab.Found) && (t.startsPlace(t.i+1) || t.shows(t.i+1)) {
		t.guessed(g)
		t.i++
	}
}

// guessed keeps that something only looks so: with a figure it was read, without
// one it was perhaps not.
func (t *talker) guessed(g *gauge) {
	if k := &t.toks[t.i]; k.means() == "looks" {
		g.guess = true
		g.remark = entry.List(g.remark, k.row.Say)
	}
}

// backwards names the part of sides that were said before it: "passes going in
// and fails coming out of the ground block".
func (t *talker) backwards(first int) {
	last := len(t.entries) - 1
	b, _ := t.entries[last].(entry.Reading)
	for i := first; i < last; i++ {
		a, ok := t.entries[i].(entry.Reading)
		if !ok || a.Point.Element != "" || a.Point.Side == "" || a.Point.Side == b.Point.Side && a.Point.Port == b.Point.Port {
			return
		}
		a.Point.Element, a.Point.Number, a.Point.Room = b.Point.Element, b.Point.Number, b.Point.Room
		a.Assumed = entry.AddNote(a.Assumed, "element")
		t.entries[i] = a
	}
}

// next takes one token, or one place, into the reading.
func (t *talker) next(g *gauge) bool {
	k := &t.toks[t.i]
	switch k.class {
	case vocab.And:
		if !g.placed && !g.any || !t.goesOn(t.i+1) {
			return false
		}
		t.i++
		return true
	case vocab.Stand:
		t.i++
		return true
	case vocab.With: // "failed with minus fifty seven"
		if !g.any || !t.isAt(t.i+1, vocab.Level, vocab.LevelUV, vocab.LevelMV, vocab.Strength, vocab.MER) {
			return false
		}
		t.i++
		return true
	case vocab.Found: // "behind the receiver I see minus forty"
		if !t.shows(t.i + 1) {
			return false
		}
		t.guessed(g)
		t.i++
		return true
	case vocab.At, vocab.On:
		if !t.startsPlace(t.i+1) && !t.isAt(t.i+1, vocab.Level, vocab.LevelUV, vocab.LevelMV, vocab.Transponder, vocab.Slot) || g.repair && g.parts.Element == "" {
			return false
		}
		t.i++
		return true
	case vocab.Repair, vocab.No:
		if k.class == vocab.No && !k.brk && !g.repair || !g.placed && !g.any {
			return false
		}
		g.repair = true
		t.i++
		return true
	}
	if t.startsPlace(t.i) {
		return t.placeInto(g)
	}
	return t.showInto(g, k)
}

// goesOn reports that a reading goes on at token i.
func (t *talker) goesOn(i int) bool {
	for t.isAt(i, vocab.At, vocab.On, vocab.Stand) {
		i++
	}
	return t.startsPlace(i) || t.shows(i)
}

// shows reports that what a meter showed starts at token i.
func (t *talker) shows(i int) bool {
	return t.isAt(i, vocab.Degree, vocab.Verdict, vocab.NoSignal, vocab.Level, vocab.LevelUV, vocab.LevelMV, vocab.Soft, vocab.Still, vocab.Strength, vocab.Share, vocab.MER, vocab.Volts,
		vocab.NoVolts, vocab.UnitVolts, vocab.Slot, vocab.Transponder, vocab.Polarity, vocab.Voltage)
}

// placeInto takes a place: the reading's own, or what a repair puts in its place.
func (t *talker) placeInto(g *gauge) bool {
	start := t.i
	p, ok := t.point()
	if !ok {
		return false
	}
	switch {
	case !g.placed:
		g.parts, g.placed, g.after = p, true, g.any
		return true
	case g.repair:
		return t.mendPlace(g, p)
	case p.Which == whichSides && p.Element == "" && g.parts.Side == "" && g.parts.Which == "": // "good on both sides"
		g.parts.Which = whichSides
		return true
	case (!g.any || g.after && !t.shows(t.i)) && t.isAt(start-1, vocab.And) && g.parts.Which == "" && p.Which == "":
		g.also = append(g.also, p)
		return true
	case (!g.any || t.isAt(start-1, vocab.On, vocab.At) || t.isAt(start, vocab.In) && p.Room != "") && complements(g.parts.Point, p.Point):
		g.parts = merge(g.parts, p)
		return true
	}
	t.i = start
	return false
}

// complements reports that two places said one after another are one.
func complements(a, b entry.Point) bool {
	return (a.Element == "" || b.Element == "") && (a.Side == "" || b.Side == "") && (a.Room == "" || b.Room == "") && a.Which == "" && b.Which == ""
}

// merge puts the parts of a later place over an earlier one.
func merge(a, b pointParts) pointParts {
	if b.Element != "" {
		a.Element, a.Number, a.Which, a.plural = b.Element, b.Number, b.Which, b.plural
	}
	if b.Side != "" {
		a.Side, a.Port = b.Side, b.Port
	}
	if b.Room != "" {
		a.Room = b.Room
	}
	for i := range b.said {
		if b.said[i] >= 0 {
			a.said[i] = b.said[i]
		}
	}
	return a
}

func (t *talker) mendPlace(g *gauge, p pointParts) bool {
	from := -1
	for i := range p.said {
		if p.said[i] >= 0 && g.parts.said[i] >= 0 && (from < 0 || g.parts.said[i] < from) {
			from = g.parts.said[i]
		}
	}
	if from < 0 {
		return false
	}
	g.parts = merge(g.parts, p)
	t.mended(g, from)
	return true
}

// mended keeps both of what was said and what it was changed to.
func (t *talker) mended(g *gauge, from int) {
	g.repair = false
	g.repairs++
	g.remark = entry.List(g.remark, t.words(from, t.i))
}

// showInto takes what the meter showed.
func (t *talker) showInto(g *gauge, k *token) bool {
	key := k.class.String()
	start := t.i
	var ok bool
	switch k.class {
	case vocab.Looked: // "checks good"
		if !t.isAt(t.i+1, vocab.Verdict, vocab.NoSignal, vocab.Soft, vocab.Level, vocab.Degree) {
			return false
		}
		t.i++
		return true
	case vocab.Verdict:
		g.chat = g.chat || k.row.Chat
		if g.parts.none {
			ok = t.none(g, k)
			break
		}
		g.Again = g.Again || strings.HasPrefix(k.row.Say, "still ")
		ok = t.same(g, key, string(g.Verdict) == k.means()) || t.set(g, key, func() { g.Verdict = entry.Verdict(k.means()) })
	case vocab.Not:
		if passed := t.failsToo(g); passed {
			ok = t.set(g, vocab.Verdict.String(), func() { g.Verdict = entry.Fail })
			break
		}
		if g.parts.none || !t.isAt(t.i+1, vocab.Verdict) || t.toks[t.i+1].means() != string(entry.Pass) || k.row.Say == "never" {
			return false
		}
		t.i++
		ok = t.set(g, vocab.Verdict.String(), func() { g.Verdict = entry.Fail })
	case vocab.NoSignal:
		ok = !g.parts.none && t.noSignal(g, k)
	case vocab.Soft:
		g.remark = entry.List(g.remark, k.row.Say)
		ok = true
	case vocab.Still:
		if say := k.row.Say; say == "still" || say == "again" || strings.HasSuffix(say, "more") {
			g.Again = true
		} else { // "rechecked" says nothing of what it was before
			g.remark = entry.List(g.remark, say)
		}
		ok = true
	case vocab.Degree:
		if !t.isAt(t.i+1, vocab.Verdict, vocab.NoSignal, vocab.Soft) {
			return false
		}
		g.remark = entry.List(g.remark, k.row.Say)
		t.i++
		return true
	case vocab.Level:
		ok = t.set(g, "level", func() { g.Level, g.Unit, g.Said = k.value, "", entry.Decimal{} })
	case vocab.LevelUV, vocab.LevelMV:
		return t.converted(g, k, start)
	case vocab.Volts, vocab.Tension:
		ok = t.set(g, "volts", func() { g.Volts = k.value })
	case vocab.NoVolts:
		ok = t.set(g, "volts", func() { g.Volts = entry.NewDecimal(0, 0) })
	case vocab.Share:
		ok = t.set(g, "strength", func() { g.Strength = k.value })
	case vocab.Strength, vocab.MER, vocab.Voltage, vocab.UnitVolts, vocab.Slot, vocab.Transponder:
		return t.named(g, k)
	case vocab.Figure, vocab.Count, vocab.Digit, vocab.Index:
		if t.isAt(t.i+1, vocab.Polarity, vocab.Transponder) && !t.toks[t.i+1].brk && isOrbit(k.value) { // "one nineteen odd"
			g.Assumed = entry.AddNote(g.Assumed, "slot")
			ok = t.set(g, "slot", func() { g.Slot = t.number(k) })
			t.i++
			return ok
		}
		if g.awaited != "" && g.placed {
			ok = t.awaited(g, k)
			break
		}
		if n := t.number(k); g.repair && !g.any && g.parts.Number != 0 && g.parts.Side != entry.ReceiverSide && n > 0 && n < mostNumbered && k.value == entry.Whole(int64(n)) { // "receiver one, I mean two"
			g.parts.Number = n
			t.i++
			t.mended(g, g.parts.said[partNumber])
			return true
		}
		if g.repair && g.last == "level" && t.lessSign(g, k) { // "minus 40, no, 41"
			return true
		}
		if !g.repair || g.last != "strength" && g.last != "mer" || k.value.Sign() < 0 || k.value.Micro() > mostStrength*entry.DecimalScale {
			return false
		}
		ok = t.set(g, g.last, func() { // "strength eighteen, make that eighty"
			if g.last == "mer" {
				g.MER = k.value
			} else {
				g.Strength = k.value
			}
		})
	case vocab.For:
		if !t.isAt(t.i+1, vocab.Slot, vocab.Transponder) {
			return false
		}
		t.i++
		return true
	case vocab.Polarity:
		ok = t.set(g, key, func() { g.Polarity = k.means() })
	default:
		return false
	}
	if !ok {
		return false
	}
	if k.class != vocab.Still {
		g.any = true
	}
	t.i++
	t.repaired(g, start)
	return true
}

// failsToo reports that a place does not what the one before it does: "dish side
// passes, receiver side doesn't".
func (t *talker) failsToo(g *gauge) bool {
	if !g.placed || g.any || len(t.entries) == 0 || t.i+1 < len(t.toks) || t.words(t.i, t.i+1) == "not" {
		return false
	}
	before, ok := t.entries[len(t.entries)-1].(entry.Reading)
	return ok && before.Verdict == entry.Pass
}

// isOrbit reports a number that can only be an orbital slot, in degrees west:
// of three digits, which no figure of the meter has. Common practice, no source.
func isOrbit(v entry.Decimal) bool {
	n := v.Micro() / entry.DecimalScale
	return n >= 100 && n <= 180 && v.Micro()%entry.DecimalScale == 0
}

// none takes what is said of "neither receiver": none of them passes.
func (t *talker) none(g *gauge, k *token) bool {
	if k.means() != string(entry.Pass) {
		return false
	}
	return t.set(g, vocab.Verdict.String(), func() {
		g.Verdict = entry.Fail
		g.NoSignal = strings.HasSuffix(k.row.Say, "signal") || strings.HasSuffix(k.row.Say, "lock")
	})
}

// lessSign takes a level said again without its sign.
func (t *talker) lessSign(g *gauge, k *token) bool {
	start := t.i
	if k.value.Sign() <= 0 || k.value.Micro() > 99*entry.DecimalScale || !t.set(g, "level", func() { g.Level, g.Unit, g.Said = k.value.Neg(), "", entry.Decimal{} }) {
		return false
	}
	g.Assumed = entry.AddNote(g.Assumed, "sign")
	t.i++
	t.repaired(g, start)
	return true
}

// repaired ends a repair with the token just taken.
func (t *talker) repaired(g *gauge, start int) {
	if g.repair && g.lo >= 0 {
		t.mended(g, g.lo)
	}
}

// same reports that something is said again, and no more.
func (t *talker) same(g *gauge, key string, equal bool) bool {
	_, have := g.starts[key]
	return have && equal && !g.repair
}

// set puts a figure where none is, or where a repair takes its place.
func (t *talker) set(g *gauge, key string, put func()) bool {
	before, have := g.starts[key]
	if have != g.repair {
		if have {
			w := t.words(t.i, t.i+1)
			t.err = &Error{Message: "two different values for one figure: " + strconv.Quote(w) + " comes second; say each once", At: t.toks[t.i].lo, Word: w}
		}
		return false
	}
	g.lo = -1
	if have {
		g.lo = before
	}
	g.starts[key], g.last = t.i, key
	put()
	return true
}

func (t *talker) noSignal(g *gauge, k *token) bool {
	says := k.row.Say
	quiet := says == "no signal" || says == "no signal at all" || says == "has no signal"
	_, have := g.starts[vocab.Verdict.String()]
	if have && g.Verdict == entry.Pass && !g.repair {
		return false
	}
	return t.same(g, "signal", true) || t.set(g, "signal", func() {
		g.NoSignal = true
		if !quiet {
			g.Verdict = entry.Fail
		}
	})
}

// named takes a figure with its name before it: "strength eighty".
func (t *talker) named(g *gauge, k *token) bool {
	start, want, key := t.i, vocab.Score, "strength"
	switch k.class {
	case vocab.MER:
		key = "mer"
	case vocab.Voltage:
		want, key = vocab.Tension, "volts"
	case vocab.UnitVolts: // "volts eighteen point two"
		want, key = vocab.Figure, "volts"
	case vocab.Slot:
		want, key = vocab.Orbit, "slot"
	case vocab.Transponder:
		want, key = vocab.Channel, "transponder"
	}
	if !t.isAt(t.i+1, want) {
		return t.nameAhead(g, key)
	}
	v := &t.toks[t.i+1]
	whole := int(v.value.Micro() / entry.DecimalScale)
	ok := t.set(g, key, func() {
		switch key {
		case "strength":
			g.Strength = v.value
		case "mer":
			g.MER = v.value
		case "volts":
			g.Volts = v.value
		case "slot":
			g.Slot = whole
		case "transponder":
			g.Transponder = whole
		}
	})
	if !ok || key == "transponder" && whole > mostTransponders {
		return false
	}
	t.i += 2
	g.any = g.any || key != "slot" && key != "transponder"
	t.repaired(g, start)
	return true
}

// nameAhead takes the name of a figure whose place comes before its number:
// "voltage at the LNB is eighteen".
func (t *talker) nameAhead(g *gauge, key string) bool {
	i := t.i + 1
	if t.isAt(i, vocab.At, vocab.On) {
		i++
	}
	if g.awaited != "" || g.placed || g.repair || key == "slot" || !t.startsPlace(i) {
		return false
	}
	g.awaited = key
	t.i++
	return true
}

// awaited takes the number of a figure that was named before its place.
func (t *talker) awaited(g *gauge, k *token) bool {
	key := g.awaited
	most := int64(mostStrength)
	switch key {
	case "volts":
		most = mostVolts
	case "transponder":
		most = mostTransponders
	}
	if k.value.Sign() < 0 || key == "transponder" && k.value.Sign() == 0 || k.value.Micro() > most*entry.DecimalScale {
		return false
	}
	return t.set(g, key, func() {
		g.awaited = ""
		switch key {
		case "mer":
			g.MER = k.value
		case "volts":
			g.Volts = k.value
		case "transponder":
			g.Transponder = t.number(k)
		default:
			g.Strength = k.value
		}
	})
}

// mostNumbered is more receivers than a home has.
const mostNumbered = 20

// mostVolts is the end of the meter's scale of volts.
const mostVolts = 300

// mostStrength is the end of the meter's scale of strength.
const mostStrength = 100

// mostTransponders is how many channels the Region 2 plan has (ITU RR Appendix
// 30): 32.
const mostTransponders = 32

// Levels in other units, at 75 ohm: 0 dBm is 108.75 dBuV and 48.75 dBmV
// (10 log10(75 ohm x 1 mW / 1 uV^2) = 108.75). Hundredths of a dB.
const (
	microvoltsAt75  = 10875
	millivoltsAt75  = 4875
	strongestCounts = 0
	weakestCounts   = -9999
)

// converted takes a level in dBuV or dBmV, and makes it one in dBm.
func (t *talker) converted(g *gauge, k *token, start int) bool {
	unit, offset := "dbuv", int64(microvoltsAt75)
	if k.class == vocab.LevelMV {
		unit, offset = "dbmv", millivoltsAt75
	}
	level := k.value.Micro() - offset*(entry.DecimalScale/100)
	if level > strongestCounts || level < weakestCounts*(entry.DecimalScale/100) {
		t.err = &Error{Message: strconv.Quote(t.words(t.i, t.i+1)) + " is out of range", At: k.lo, Word: t.words(t.i, t.i+1)}
		return false
	}
	if !t.set(g, "level", func() {
		g.Level, g.Unit, g.Said = entry.DecimalOf(level), unit, k.value
	}) {
		return false
	}
	g.any = true
	t.i++
	t.repaired(g, start)
	return true
}

// finish makes an entry of what was gathered.
func (t *talker) finish(g *gauge) bool {
	if !g.placed && g.chat && !g.Level.Said() && !g.Strength.Said() { // "great"
		return false
	}
	if g.guess && !g.Level.Said() && !g.Strength.Said() && !g.MER.Said() && !g.Volts.Said() && !g.NoSignal {
		return t.missing("is that what the meter shows? Say it without \"looks like\", such as: wall plate fail, minus fifty six")
	}
	if g.parts.none && g.Verdict == "" {
		return false
	}
	if g.awaited != "" || !g.any && g.remark == "" || !g.any && g.repairs > 0 || !g.placed && !t.bare && g.Transponder == 0 && g.Slot == 0 {
		return false
	}
	if list := g.places(); len(list) > 1 {
		return t.finishAll(g, list)
	}
	p := g.parts.Point
	if p.Element == entry.Fitting || p.Element == entry.Cable || !p.Element.InPath() || p.Element == "" && p.Which != "" {
		return false
	}
	if g.parts.plural && p.Which == "" && p.Element == entry.Receiver {
		return t.missing("which receivers? Say both, all, the others, or their numbers")
	}
	if p.Which != "" && p.Element != entry.Receiver {
		return false
	}
	r := g.Reading
	if p.Element == "" && g.placed && t.place.Element != "" && p.Which == "" {
		p.Element, p.Number = t.place.Element, t.place.Number
		p.Room = entry.OrElse(p.Room, t.place.Room)
		r.Assumed = entry.AddNote(r.Assumed, "element")
	}
	if p.Element == "" && p.Side == "" && g.placed {
		if p.Room != "" && t.i >= len(t.toks) { // a room is no place of a meter
			return t.missing("behind the receiver, or at the wall plate? Say: behind the " + p.Room + " receiver, or: " + p.Room + " wall plate")
		}
		return false
	}
	if p.Element == entry.Dish && !r.Level.Said() && !r.Strength.Said() && !r.MER.Said() && !r.Volts.Said() && !r.NoSignal {
		return false // "dish good" is of the inspection
	}
	r.Point, r.Remark = p, g.remark
	if p.Which == "" {
		t.place = p
	}
	t.entries = append(t.entries, r)
	return true
}

// places are the places of a reading, each by itself: "output one and output
// two", "both sides". One that names only its side or its room is of the
// element that the list names.
func (g *gauge) places() []pointParts {
	var out []pointParts
	for _, p := range append([]pointParts{g.parts}, g.also...) {
		switch {
		case p.Which == whichSides:
			for _, side := range []entry.Side{entry.DishSide, entry.ReceiverSide} {
				one := p
				one.Which, one.Side = "", side
				out = append(out, one)
			}
		case p.Element != entry.Receiver && len(p.Which.Numbers()) > 1:
			for _, n := range p.Which.Numbers() {
				one := p
				one.Which, one.Number = "", n
				out = append(out, one)
			}
		case p.Which == whichRooms:
			for _, room := range p.inRooms {
				one := p
				one.Which, one.Room = "", room
				out = append(out, one)
			}
		case p.Which == whichPorts:
			for _, port := range p.ports {
				one := p
				one.Which, one.Port = "", port
				out = append(out, one)
			}
		default:
			out = append(out, p)
		}
	}
	named := -1
	for i := range out {
		if out[i].Element != "" {
			named = i
			break
		}
	}
	for i := range out {
		out[i].plural = out[i].plural && len(out) == 1
		if named >= 0 && out[i].Element == "" {
			out[i].Element, out[i].Number = out[named].Element, out[named].Number
			if out[i].Room == "" {
				out[i].Room = out[named].Room
			}
		}
	}
	return out
}

// finishAll makes one reading a place. A figure said once for several places
// is of one of them, and nobody can say which.
func (t *talker) finishAll(g *gauge, list []pointParts) bool {
	if g.repairs > 0 {
		return false
	}
	if g.Level.Said() || g.Strength.Said() || g.MER.Said() || g.Volts.Said() {
		return t.missing("which of them was that? Say a figure for each, such as: dish side minus forty one, receiver side minus forty two")
	}
	for _, p := range list {
		one := *g
		one.parts, one.also = p, nil
		if !t.finish(&one) {
			return false
		}
	}
	return true
}

// corrected reads a phrase that puts the last one right: "no, minus forty
// three", "I mean the dish side".
func (t *talker) corrected() bool {
	if t.i > 0 || !t.is(vocab.Repair, vocab.No, vocab.Correct) {
		return false
	}
	for t.take(vocab.Repair, vocab.No, vocab.Correct) || t.i > 0 && t.take(vocab.Was) {
		if strings.Contains(t.last().row.Say, "should") && t.is(vocab.Verdict) && strings.HasSuffix(t.toks[t.i].row.Say, "ing") {
			return false // "should be passing" is a hope
		}
	}
	if t.last().class == vocab.No && t.startsPlace(t.i) && !t.toks[t.i].brk {
		return false // "no barrels" says that there are none
	}
	c := entry.Correction{Verb: "change"}
	if at := t.clock(); at != "" {
		c.At = at
		t.entries = append(t.entries, c)
		return true
	}
	g := &gauge{starts: map[string]int{}}
	for t.i < len(t.toks) && t.next(g) {
	}
	if g.any || g.placed {
		c.Remark = t.notThat()
	}
	if g.repair || g.Again || g.awaited != "" || !g.any && !g.placed && g.Slot == 0 && g.Transponder == 0 && g.Polarity == "" || g.remark != "" || len(g.also) > 0 || g.parts.Which != "" || g.parts.Element != "" && !g.parts.Element.InPath() {
		return false
	}
	if g.placed {
		p := g.parts.Point
		c.Point = &p
	}
	c.Verdict, c.Level, c.Strength, c.MER, c.Volts, c.NoSignal = g.Verdict, g.Level, g.Strength, g.MER, g.Volts, g.NoSignal
	c.Slot, c.Transponder, c.Polarity, c.Unit, c.Said = g.Slot, g.Transponder, g.Polarity, g.Unit, g.Said
	t.entries = append(t.entries, c)
	return true
}

// notThat takes what a correction says it was not: "receiver two, not one". It
// stays in the remark.
func (t *talker) notThat() string {
	from := t.i
	if !t.take(vocab.Not) {
		return ""
	}
	i := t.i
	if _, ok := t.point(); !ok {
		t.take(vocab.Level, vocab.Figure, vocab.Count, vocab.Digit, vocab.Index, vocab.Verdict)
	}
	if t.i == i || t.i < len(t.toks) {
		t.i = from
		return ""
	}
	return t.words(from, t.i)
}

// standing reads where somebody stands, and no more.
func (t *talker) standing() bool {
	if !t.take(vocab.Stand) && !(t.i == 0 && t.is(vocab.At)) {
		return false
	}
	t.take(vocab.At, vocab.On)
	if t.is(vocab.Side) && strings.HasPrefix(t.toks[t.i].row.Say, "out of") {
		return false // "we're out of splitters"
	}
	p, ok := t.point()
	if !ok || p.Element == "" || p.Which != "" || !p.Element.InPath() || p.Element == entry.Fitting {
		return false
	}
	if i := t.i; t.atEnd() && i < len(t.toks) { // what was measured there may follow
		if t.is(vocab.And) {
			i++
		}
		if t.goesOn(i) && !t.startsPlace(i) {
			return false
		}
	}
	t.entries = append(t.entries, entry.Place{Point: p.Point})
	t.place = p.Point
	return true
}
