package talk

import (
	"slices"
	"strconv"
	"strings"

	"downlead/grammar/entry"
	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// showInto takes what the meter showed.
func (t *talker) showInto(g *gauge, k *lex.Token) bool {
	key := k.Class.String()
	start := t.i
	var ok bool
	switch k.Class {
	case vocab.Looked: // "checks good"
		if t.isAt(t.i+1, vocab.At) && t.isAt(t.i+2, vocab.Level) { // "tests out at minus forty"
			t.i += 2
			return true
		}
		if !t.isAt(t.i+1, vocab.Verdict, vocab.NoSignal, vocab.Soft, vocab.Level, vocab.Degree) {
			return false
		}
		t.i++
		return true
	case vocab.Verdict:
		g.chat = g.chat || k.Row.Chat
		if g.parts.none {
			ok = t.none(g, k)
			break
		}
		g.Again = g.Again || strings.HasPrefix(k.Row.Say, "still ")
		ok = t.same(g, key, string(g.Verdict) == k.Means()) || t.set(g, key, func() { g.Verdict = entry.Verdict(k.Means()) })
	case vocab.Not:
		if passed := t.failsToo(g); passed {
			ok = t.set(g, vocab.Verdict.String(), func() { g.Verdict = entry.Fail })
			break
		}
		if g.parts.none || !t.isAt(t.i+1, vocab.Verdict) || t.toks[t.i+1].Means() != string(entry.Pass) || k.Row.Say == "never" {
			return false
		}
		t.i++
		ok = t.set(g, vocab.Verdict.String(), func() { g.Verdict = entry.Fail })
	case vocab.NoSignal:
		ok = !g.parts.none && t.noSignal(g, k)
	case vocab.Soft:
		g.remark = entry.List(g.remark, k.Row.Say)
		ok = true
	case vocab.Still:
		if say := k.Row.Say; say == "still" || say == "again" || strings.HasSuffix(say, "more") {
			g.Again = true
		} else { // "rechecked" says nothing of what it was before
			g.remark = entry.List(g.remark, say)
		}
		ok = true
	case vocab.Degree:
		if !t.isAt(t.i+1, vocab.Verdict, vocab.NoSignal, vocab.Soft) || strings.HasPrefix(k.Row.Say, "smell") || strings.HasPrefix(k.Row.Say, "fe") {
			return false
		}
		g.remark = entry.List(g.remark, k.Row.Say)
		t.i++
		return true
	case vocab.Level:
		ok = t.set(g, "level", func() { g.Level, g.Unit, g.Said = k.Value, "", entry.Decimal{} })
	case vocab.LevelUV, vocab.LevelMV:
		return t.converted(g, k, start)
	case vocab.Volts, vocab.Tension:
		ok = t.set(g, "volts", func() { g.Volts = k.Value })
	case vocab.NoVolts:
		ok = t.set(g, "volts", func() { g.Volts = entry.NewDecimal(0, 0) })
	case vocab.Share:
		ok = t.set(g, "strength", func() { g.Strength = k.Value })
	case vocab.Strength, vocab.MER, vocab.Voltage, vocab.UnitVolts, vocab.Slot, vocab.Transponder:
		return t.named(g, k)
	case vocab.Figure, vocab.Count, vocab.Digit, vocab.Index, vocab.Zero:
		if _, told := g.starts["volts"]; told && g.Volts.Sign() == 0 && k.Value.Sign() == 0 && !g.repair { // "no volts, zero"
			t.i++
			return true
		}
		if t.isAt(t.i+1, vocab.Polarity, vocab.Transponder) && !t.toks[t.i+1].Brk && isOrbit(k.Value) { // "one nineteen odd"
			g.Assumed = entry.AddNote(g.Assumed, "slot")
			ok = t.set(g, "slot", func() { g.Slot = t.number(k) })
			t.i++
			return ok
		}
		if g.awaited != "" && g.placed {
			ok = t.awaited(g, k)
			break
		}
		if n := t.number(k); g.repair && !g.any && g.parts.Number != 0 && g.parts.Side != entry.ReceiverSide && n > 0 && n < mostNumbered && k.Value == entry.Whole(int64(n)) { // "receiver one, I mean two"
			g.parts.Number = n
			t.i++
			t.mended(g, g.parts.said[partNumber])
			return true
		}
		if g.repair && g.last == "level" && t.lessSign(g, k) { // "minus 40, no, 41"
			return true
		}
		if !g.repair || g.last != "strength" && g.last != "mer" || k.Value.Sign() < 0 || k.Value.Micro() > mostStrength*entry.DecimalScale {
			return false
		}
		ok = t.set(g, g.last, func() { // "strength eighteen, make that eighty"
			if g.last == "mer" {
				g.MER = k.Value
			} else {
				g.Strength = k.Value
			}
		})
	case vocab.For:
		if !t.isAt(t.i+1, vocab.Slot, vocab.Transponder) {
			return false
		}
		t.i++
		return true
	case vocab.Polarity:
		ok = t.set(g, key, func() { g.Polarity = k.Means() })
	default:
		return false
	}
	if !ok {
		return false
	}
	if k.Class != vocab.Still {
		g.any = true
	}
	t.i++
	t.repaired(g, start)
	return true
}

// failsToo reports that a place does not what the one before it does: "dish side
// passes, receiver side doesn't".
func (t *talker) failsToo(g *gauge) bool {
	if !g.placed || g.any || len(t.entries) == 0 || t.i+1 < len(t.toks) || t.words(t.i, t.i+1) == "not" || t.words(t.i, t.i+1) == "never" {
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
func (t *talker) none(g *gauge, k *lex.Token) bool {
	if k.Means() != string(entry.Pass) {
		return false
	}
	return t.set(g, vocab.Verdict.String(), func() {
		g.Verdict = entry.Fail
		g.NoSignal = strings.HasSuffix(k.Row.Say, "signal") || strings.HasSuffix(k.Row.Say, "lock")
	})
}

// lessSign takes a level said again without its sign.
func (t *talker) lessSign(g *gauge, k *lex.Token) bool {
	start := t.i
	if k.Value.Sign() <= 0 || k.Value.Micro() > 99*entry.DecimalScale || !t.set(g, "level", func() { g.Level, g.Unit, g.Said = k.Value.Neg(), "", entry.Decimal{} }) {
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

// mended keeps both of what was said and what it was changed to.
func (t *talker) mended(g *gauge, from int) {
	g.repair = false
	g.repairs++
	g.remark = entry.List(g.remark, t.words(from, t.i))
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
			t.err = &Lack{Message: "two different values for one figure: " + strconv.Quote(w) + " comes second; say each once", At: t.toks[t.i].Lo, Word: w}
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

func (t *talker) noSignal(g *gauge, k *lex.Token) bool {
	says := k.Row.Say
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
func (t *talker) named(g *gauge, k *lex.Token) bool {
	start, want, key := t.i, vocab.Score, "strength"
	switch k.Class {
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
	whole := int(v.Value.Micro() / entry.DecimalScale)
	ok := t.set(g, key, func() {
		switch key {
		case "strength":
			g.Strength = v.Value
		case "mer":
			g.MER = v.Value
		case "volts":
			g.Volts = v.Value
		case "slot":
			g.Slot = whole
		case "transponder":
			g.Transponder = whole
		}
	})
	if !ok || key == "transponder" && whole > lex.MostTransponders {
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
	if t.isAt(i, vocab.Soft) && t.startsPlace(i+1) { // "quality's low behind receiver two, sixty eight"
		g.remark = entry.List(g.remark, t.toks[i].Row.Say)
		t.toks = slices.Delete(slices.Clone(t.toks), i, i+1)
	}
	if g.awaited != "" || g.placed || g.repair || key == "slot" || !t.startsPlace(i) {
		return false
	}
	g.awaited = key
	t.i++
	return true
}

// awaited takes the number of a figure that was named before its place.
func (t *talker) awaited(g *gauge, k *lex.Token) bool {
	key := g.awaited
	most := int64(mostStrength)
	switch key {
	case "volts":
		most = mostVolts
	case "transponder":
		most = lex.MostTransponders
	}
	if k.Value.Sign() < 0 || key == "transponder" && k.Value.Sign() == 0 || k.Value.Micro() > most*entry.DecimalScale {
		return false
	}
	return t.set(g, key, func() {
		g.awaited = ""
		switch key {
		case "mer":
			g.MER = k.Value
		case "volts":
			g.Volts = k.Value
		case "transponder":
			g.Transponder = t.number(k)
		default:
			g.Strength = k.Value
		}
	})
}

// mostNumbered is more receivers than a home has.
const mostNumbered = 20

// mostVolts is the end of the meter's scale of volts.
const mostVolts = 300

// mostStrength is the end of the meter's scale of strength.
const mostStrength = 100

// Levels in other units, at 75 ohm: 0 dBm is 108.75 dBuV and 48.75 dBmV
// (10 log10(75 ohm x 1 mW / 1 uV^2) = 108.75). Hundredths of a dB.
const (
	microvoltsAt75  = 10875
	millivoltsAt75  = 4875
	strongestCounts = 0
	weakestCounts   = -9999
)

// converted takes a level in dBuV or dBmV, and makes it one in dBm.
func (t *talker) converted(g *gauge, k *lex.Token, start int) bool {
	unit, offset := "dbuv", int64(microvoltsAt75)
	if k.Class == vocab.LevelMV {
		unit, offset = "dbmv", millivoltsAt75
	}
	level := k.Value.Micro() - offset*(entry.DecimalScale/100)
	if level > strongestCounts || level < weakestCounts*(entry.DecimalScale/100) {
		t.err = &Lack{Message: strconv.Quote(t.words(t.i, t.i+1)) + " is out of range", At: k.Lo, Word: t.words(t.i, t.i+1)}
		return false
	}
	if !t.set(g, "level", func() {
		g.Level, g.Unit, g.Said = entry.DecimalOf(level), unit, k.Value
	}) {
		return false
	}
	g.any = true
	t.i++
	t.repaired(g, start)
	return true
}
