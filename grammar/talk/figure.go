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
	switch k.Class {
	case vocab.Looked, vocab.For, vocab.Degree:
		return t.leadsTo(g, k)
	case vocab.Verdict:
		return t.showed(g, t.verdict(g, k))
	case vocab.Not:
		return t.showed(g, t.fails(g, k))
	case vocab.NoSignal:
		return t.showed(g, !g.parts.none && t.noSignal(g, k))
	case vocab.Soft:
		g.remark = entry.List(g.remark, k.Row.Say)
		return t.showed(g, true)
	case vocab.Still:
		t.asBefore(g, k)
		return true
	case vocab.LevelUV, vocab.LevelMV:
		return t.converted(g, k)
	case vocab.Level, vocab.Volts, vocab.Tension, vocab.NoVolts, vocab.Share, vocab.Polarity:
		return t.showed(g, t.figure(g, k))
	case vocab.Strength, vocab.MER, vocab.Voltage, vocab.UnitVolts, vocab.Slot, vocab.Transponder:
		return t.named(g, k)
	case vocab.Figure, vocab.Count, vocab.Digit, vocab.Index, vocab.Zero:
		return t.bareNumber(g, k)
	}
	return false
}

// showed takes the token of what was shown, where it could be put in.
func (t *talker) showed(g *gauge, ok bool) bool {
	if !ok {
		return false
	}
	g.any = true
	t.i++
	t.repaired(g)
	return true
}

// leadsTo takes a word before what was shown: "checks good", "badly", "for slot 110".
func (t *talker) leadsTo(g *gauge, k *lex.Token) bool {
	switch {
	case k.Class == vocab.Looked && t.isAt(t.i+1, vocab.At) && t.isAt(t.i+2, vocab.Level): // "tests out at minus forty"
		t.i++
	case k.Class == vocab.Looked && t.isAt(t.i+1, vocab.Verdict, vocab.NoSignal, vocab.Soft, vocab.Level, vocab.Degree):
	case k.Class == vocab.For && t.isAt(t.i+1, vocab.Slot, vocab.Transponder):
	case k.Class == vocab.Degree && t.isAt(t.i+1, vocab.Verdict, vocab.NoSignal, vocab.Soft) && !strings.HasPrefix(k.Row.Say, "smell") && !strings.HasPrefix(k.Row.Say, "fe"):
		g.remark = entry.List(g.remark, k.Row.Say)
	default:
		return false
	}
	t.i++
	return true
}

// verdict puts a pass or a fail.
func (t *talker) verdict(g *gauge, k *lex.Token) bool {
	g.chat = g.chat || k.Row.Chat
	if g.parts.none {
		return t.none(g, k)
	}
	g.Again = g.Again || strings.HasPrefix(k.Row.Say, "still ")
	key := k.Class.String()
	return t.same(g, key, string(g.Verdict) == k.Means()) || t.set(g, key, func() { g.Verdict = entry.Verdict(k.Means()) })
}

// fails puts a fail for what does not pass: "not good", or "doesn't" of a place after
// one that does.
func (t *talker) fails(g *gauge, k *lex.Token) bool {
	if !t.failsToo(g) {
		if g.parts.none || !t.isAt(t.i+1, vocab.Verdict) || t.toks[t.i+1].Means() != string(entry.Pass) || k.Row.Say == "never" {
			return false
		}
		t.i++
	}
	return t.set(g, vocab.Verdict.String(), func() { g.Verdict = entry.Fail })
}

// asBefore takes that something shows again what it did. "Rechecked" says nothing of
// what it was before.
func (t *talker) asBefore(g *gauge, k *lex.Token) {
	if say := k.Row.Say; say == "still" || say == "again" || strings.HasSuffix(say, "more") {
		g.Again = true
	} else {
		g.remark = entry.List(g.remark, say)
	}
	t.i++
	t.repaired(g)
}

// figure puts a figure that tells by itself what it is of.
func (t *talker) figure(g *gauge, k *lex.Token) bool {
	switch k.Class {
	case vocab.Level:
		return t.set(g, "level", func() { g.Level, g.Unit, g.Said = k.Value, "", entry.Decimal{} })
	case vocab.NoVolts:
		return t.set(g, "volts", func() { g.Volts = entry.NewDecimal(0, 0) })
	case vocab.Share:
		return t.set(g, "strength", func() { g.Strength = k.Value })
	case vocab.Polarity:
		return t.set(g, k.Class.String(), func() { g.Polarity = k.Means() })
	}
	return t.set(g, "volts", func() { g.Volts = k.Value })
}

// bareNumber takes a number without a unit, where what was said before it tells what it
// is of: a slot, a figure that was named, or what it is put in the place of.
func (t *talker) bareNumber(g *gauge, k *lex.Token) bool {
	_, volts := g.starts["volts"]
	switch n := t.number(k); {
	case volts && g.Volts.Sign() == 0 && k.Value.Sign() == 0 && !g.repair: // "no volts, zero"
		t.i++
		return true
	case t.isAt(t.i+1, vocab.Polarity, vocab.Transponder) && !t.toks[t.i+1].Brk && isOrbit(k.Value): // "one nineteen odd"
		g.Assumed = entry.AddNote(g.Assumed, "slot")
		ok := t.set(g, "slot", func() { g.Slot = n })
		t.i++
		return ok
	case g.awaited != "" && g.placed:
		return t.showed(g, t.awaited(g, k))
	case g.repair && !g.any && g.parts.Number != 0 && g.parts.Side != entry.ReceiverSide && n > 0 && n < mostNumbered && k.Value == entry.Whole(int64(n)): // "receiver one, I mean two"
		g.parts.Number = n
		t.i++
		t.mended(g, g.parts.said[partNumber])
		return true
	}
	return g.repair && g.last == "level" && t.lessSign(g, k) || t.showed(g, t.saidAgain(g, k)) // "minus 40, no, 41"
}

// saidAgain puts a strength or an error ratio in the place of the one before it:
// "strength eighteen, make that eighty".
func (t *talker) saidAgain(g *gauge, k *lex.Token) bool {
	if !g.repair || g.last != "strength" && g.last != "mer" || k.Value.Sign() < 0 || k.Value.Micro() > mostStrength*entry.DecimalScale {
		return false
	}
	return t.set(g, g.last, func() {
		if g.last == "mer" {
			g.MER = k.Value
		} else {
			g.Strength = k.Value
		}
	})
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
	if k.Value.Sign() <= 0 || k.Value.Micro() > 99*entry.DecimalScale || !t.set(g, "level", func() { g.Level, g.Unit, g.Said = k.Value.Neg(), "", entry.Decimal{} }) {
		return false
	}
	g.Assumed = entry.AddNote(g.Assumed, "sign")
	t.i++
	t.repaired(g)
	return true
}

// repaired ends a repair with the token just taken.
func (t *talker) repaired(g *gauge) {
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
	want, key := vocab.Score, "strength"
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
	t.repaired(g)
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
func (t *talker) converted(g *gauge, k *lex.Token) bool {
	unit, offset := "dbuv", int64(microvoltsAt75)
	if k.Class == vocab.LevelMV {
		unit, offset = "dbmv", millivoltsAt75
	}
	level := k.Value.Micro() - offset*(entry.DecimalScale/100)
	if level > strongestCounts || level < weakestCounts*(entry.DecimalScale/100) {
		t.err = &Lack{Message: strconv.Quote(t.words(t.i, t.i+1)) + " is out of range", At: k.Lo, Word: t.words(t.i, t.i+1)}
		return false
	}
	return t.showed(g, t.set(g, "level", func() { g.Level, g.Unit, g.Said = entry.DecimalOf(level), unit, k.Value }))
}
