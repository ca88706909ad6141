package trace

import (
	"slices"

	"downlead/diagnose/path"
	"downlead/grammar/entry"
)

// placer puts readings and repairs on a finished path, in order.
type placer struct {
	call     *Call
	versions []int
	changed  map[int64][]int // the elements that the action at this seq put in or took out
	last     int             // the element last measured
	lastSide entry.Side

	top   []int          // the highest version given to each element
	seat  map[int]int    // where an exchanged receiver hangs now
	tests map[int]tested // the last of each receiver where it hangs now

	worked map[int]int64 // when a receiver was last worked on
	swaps  []exchange
}

func (p *placer) start(t *path.Tree, at map[*path.Node]int) {
	p.versions = make([]int, len(p.call.Path.Elements))
	p.top = make([]int, len(p.versions))
	for _, n := range t.Nodes {
		if i, ok := at[n]; ok && n.Since > 0 {
			p.versions[i] = Absent
		}
	}
}

// observe places a reading; one whose element cannot be told is left out.
func (p *placer) observe(seq int64, r entry.Reading) {
	side := r.Point.Side
	i := p.last
	if r.Point.Element != "" {
		i = p.pick(r.Point)
	}
	if i < 0 {
		return
	}
	coax := p.call.Path
	switch e := coax.Elements[i].Element; {
	case e == entry.LNB, e == entry.Dish:
		side = entry.ReceiverSide
	case e == entry.Receiver:
		side = entry.DishSide
	case side == "":
		side = entry.ReceiverSide
	}
	o := Observation{Seq: seq, Element: i, Side: side, Versions: slices.Clone(p.versions), Reading: r}
	if side == entry.ReceiverSide && coax.Multi(i) {
		o.Port = r.Point.Port
		coax.Elements[i].Ways = max(coax.Elements[i].Ways, o.Port)
	}
	o.Round = p.call.Round(p.call.JointOf(o))
	p.call.Observations = append(p.call.Observations, o)
	p.last, p.lastSide = i, side
}

// pick returns the element that a point means; of several, the one nearest to
// the point measured last. -1 when there is none.
func (p *placer) pick(pt entry.Point) int {
	found := p.find(pt)
	if len(found) == 0 {
		pt.Element = p.removedKind(pt)
		for i, e := range p.call.Path.Elements {
			if e.Removed && e.Element == pt.Element && (pt.Number == 0 || p.call.Path.Number(i) == pt.Number) {
				found = append(found, i)
			}
		}
	}
	i := p.nearest(found)
	if i < 0 || pt.Number == 0 { // a room stays where it is, whatever hangs there
		return i
	}
	return p.place(i)
}

// find is Find of the path. A receiver that was exchanged is told by its number
// and, beside it, by the room where it hangs now.
func (p *placer) find(pt entry.Point) []int {
	found := p.call.Path.Find(pt)
	if len(found) == 0 && pt.Element == entry.Receiver && pt.Number > 0 && len(p.seat) > 0 {
		pt.Room = ""
		return p.call.Path.Find(pt)
	}
	return found
}

func (p *placer) removedKind(pt entry.Point) entry.Element {
	if pt.Element == entry.Dish {
		return entry.LNB
	}
	return pt.Element
}

func (p *placer) nearest(found []int) int {
	best, steps := -1, 0
	for _, i := range found {
		d := 0
		if p.last >= 0 {
			d = stepsBetween(p.call.Path, i, p.last)
		}
		if best < 0 || d < steps {
			best, steps = i, d
		}
	}
	return best
}

// Round returns the round that readings at a joint are in after the repairs
// placed so far.
func (c Call) Round(j JointKey) int {
	round := 1
	for _, r := range c.Repairs {
		if c.OnWay(r, j) {
			round++
		}
	}
	return round
}

// OnWay reports whether a repair is on the way from the dish to a joint. Work
// at one output of a fork is on the way through that output alone.
func (c Call) OnWay(r Repair, j JointKey) bool {
	way := c.Path.Branch(j.Reach)
	return slices.ContainsFunc(r.Elements, func(e int) bool {
		if !slices.Contains(way, e) || r.Port == 0 || !c.Path.Multi(e) {
			return slices.Contains(way, e)
		}
		port := c.outputTo(e, j)
		return port == 0 || port == r.Port
	})
}

// stepsBetween counts the joints between two elements.
func stepsBetween(p path.Path, a, b int) int {
	up, down := p.Branch(a), p.Branch(b)
	same := 0
	for same < len(up) && same < len(down) && up[same] == down[same] {
		same++
	}
	return len(up) + len(down) - 2*same
}

// repair places an action: what it touched gets a new version.
func (p *placer) repair(seq int64, a entry.Action) {
	said := a
	switch a.Element = ofAim(a.Element); {
	case a.Action == "swapped" && a.Element == entry.Receiver:
		p.swap(seq, a)
		return
	case (a.Action == "reset" || a.Action == "plugged_in") && !a.Feeds(), a.Element == entry.GroundWire:
		if a.Action == "reset" && a.Element == entry.Receiver {
			p.workOn(seq, a)
		}
		return // no work on the coax
	case a.Action == "trimmed" && a.Element == "":
		a.Element = entry.Dish
	}
	touched, before := p.touched(seq, a), slices.Clone(p.versions)
	if a.Element == entry.Receiver {
		p.workOn(seq, a)
	}
	port := p.output(a, touched)
	switch a.Action {
	case "swapped": // both are other parts than they were
		if a.With != nil {
			touched = append(touched, p.touched(seq, entry.Action{Element: a.With.Element, Number: a.With.Number, Room: a.With.Room})...)
		}
		if p.back(seq, touched) {
			p.call.Repairs = append(p.call.Repairs, Repair{Seq: seq, Action: a, Elements: touched, before: before})
			return
		}
	case "moved":
		if touched = p.move(seq, a); len(touched) > 0 {
			p.call.Repairs = append(p.call.Repairs, Repair{Seq: seq, Action: a, Elements: touched, before: before})
			return
		}
	case "restored":
		p.restore(seq, touched)
		p.call.Repairs = append(p.call.Repairs, Repair{Seq: seq, Action: a, Elements: touched, before: before})
		return
	}
	for _, i := range touched {
		switch {
		case port > 0 && len(touched) > 1 && p.call.Path.Multi(i): // the fork is as it was; the end of the cable on it is not
		case p.versions[i] != Absent && p.changed[seq] != nil && a.Action != "added":
			p.versions[i] = Absent
		case p.versions[i] == Absent && a.Action == "replaced" && likeForLike(a): // a new one where the old was out
			p.top[i]++
			p.versions[i] = p.top[i]
		case p.versions[i] == Absent && p.changed[seq] != nil:
			p.versions[i] = 0
		case p.versions[i] != Absent:
			p.top[i]++
			p.versions[i] = p.top[i]
		}
	}
	if said.Element == entry.Mount { // work on the mount is told as that
		a.Element = entry.Mount
	}
	p.call.Repairs = append(p.call.Repairs, Repair{Seq: seq, Action: a, Elements: touched, Port: port, before: before})
}

// workOn notes that a receiver is another than it was, or works otherwise: what
// it failed before tells nothing of it now.
func (p *placer) workOn(seq int64, a entry.Action) {
	for _, box := range p.receivers(entry.Point{Element: a.Element, Number: a.Number, Room: a.Room}) {
		p.worked[box] = seq
	}
}

// output is the output of a fork that work on fittings was done at; 0 where it
// was not at one output alone.
func (p *placer) output(a entry.Action, touched []int) int {
	if a.Element != entry.Fitting && a.Element != "" || a.At == nil || a.At.Side == entry.DishSide || len(touched) == 0 || !p.call.Path.Multi(touched[0]) {
		return 0
	}
	return a.At.Port
}

// touched returns the elements that an action worked on.
func (p *placer) touched(seq int64, a entry.Action) []int {
	if changed, ok := p.changed[seq]; ok {
		return changed
	}
	at, to := p.end(inRoom(a.At, a.Room)), p.end(inRoom(a.To, a.Room))
	switch {
	case a.Element == entry.Fitting || a.Element == "":
		return p.fittings(a, at)
	case a.Element == entry.Cable && at >= 0 && to >= 0:
		return p.cablesBetween(at, to)
	case a.Element == entry.Cable && at >= 0:
		return p.cableAt(at, a.At.Side, a.At.Port)
	case a.Element == entry.Cable && to >= 0:
		return p.cableTo(a, to)
	case a.Element == entry.Cable && a.Room != "":
		return p.cableTo(a, p.end(&entry.Point{Room: a.Room}))
	case a.Element == entry.Cable:
		return p.someCable(a)
	case a.Element == entry.Dish:
		return []int{0}
	}
	found := p.call.Path.Find(entry.Point{Element: a.Element, Number: a.Number, Room: a.Room})
	if a.Element == entry.Receiver && a.Number > 0 { // it may have been exchanged
		for k, i := range found {
			found[k] = p.place(i)
		}
	}
	if at >= 0 && len(found) > 1 {
		p.last = at
	}
	if i := p.nearest(found); i >= 0 {
		return []int{i}
	}
	return nil
}

// end returns the element that an end of a piece of work means: a room alone
// is its receiver, no place at all the element last measured.
func (p *placer) end(pt *entry.Point) int {
	switch {
	case pt == nil:
		return -1
	case pt.Element == "" && pt.Room == "":
		return p.last
	case pt.Element == "":
		return p.pick(entry.Point{Element: entry.Receiver, Room: pt.Room})
	}
	return p.pick(*pt)
}

// inRoom is an end of the work on a room's part: "the bedroom cable from the
// splitter to the wall plate" ends at the wall plate of the bedroom.
func inRoom(pt *entry.Point, room string) *entry.Point {
	if pt == nil || room == "" || pt.Room != "" || pt.Number > 0 || pt.Element.Rank() < entry.WallPlate.Rank() {
		return pt
	}
	own := *pt
	own.Room = room
	return &own
}

// cableTo returns the cable that leads to an element alone: the one of the
// length said, else the first after the fork.
func (p *placer) cableTo(a entry.Action, to int) []int {
	if to < 0 {
		return p.someCable(a)
	}
	coax, best, jumper := p.call.Path, -1, -1
	for i := coax.Parent[to]; i >= 0 && !coax.Multi(i); i = coax.Parent[i] {
		e := coax.Elements[i]
		if e.Element == entry.Jumper && !e.Removed {
			jumper = i
		}
		if e.Element != entry.Cable || e.Removed {
			continue
		}
		if best = i; a.LengthFt.Said() && e.LengthFt == a.LengthFt.Float() {
			break
		}
	}
	if best < 0 && jumper >= 0 && len(coax.Receivers()) > 1 {
		best = jumper // all that leads there alone
	}
	if best < 0 || len(coax.Receivers()) < 2 && coax.Elements[to].Element == entry.Receiver {
		return p.someCable(a)
	}
	return []int{best}
}

// fittings returns what a fitting at a point ends: the part there, and the
// cable on the side said, the dish side when none was.
func (p *placer) fittings(a entry.Action, at int) []int {
	side, port := entry.DishSide, 0
	if a.At != nil && a.At.Side != "" {
		side, port = a.At.Side, a.At.Port
	}
	if a.At == nil {
		at, side = p.last, p.lastSide
	}
	if at < 0 {
		return nil
	}
	out := []int{at}
	for _, c := range p.cableAt(at, side, port) {
		if c != at {
			out = append(out, c)
		}
	}
	return out
}

// cableAt returns the cable or jumper on one side of a part.
func (p *placer) cableAt(at int, side entry.Side, port int) []int {
	coax := p.call.Path
	run := func(i int) bool { return path.IsRun(coax.Elements[i].Element) }
	if run(at) {
		return []int{at}
	}
	if up := coax.Parent[at]; side != entry.ReceiverSide && up >= 0 && run(up) {
		return []int{up}
	}
	for _, c := range coax.Children(at) {
		if side != entry.DishSide && run(c) && (port == 0 || coax.Elements[c].Port == port) {
			return []int{c}
		}
	}
	return nil
}

// cablesBetween returns the cable on the way from one part to another.
func (p *placer) cablesBetween(a, b int) []int {
	coax := p.call.Path
	if coax.Above(b, a) {
		a, b = b, a
	}
	var out []int
	for _, i := range coax.Branch(b) {
		if coax.Elements[i].Element == entry.Cable && coax.Above(a, i) {
			out = append(out, i)
		}
	}
	return out
}

// someCable picks the cable an action means that says no place: by its number
// or length, else the nearest one on the dish side of the point last measured.
func (p *placer) someCable(a entry.Action) []int {
	coax := p.call.Path
	var all []int
	for i, e := range coax.Elements {
		if e.Element != entry.Cable || e.Removed {
			continue
		}
		if a.Number > 0 && coax.Number(i) == a.Number || a.LengthFt.Said() && e.LengthFt == a.LengthFt.Float() {
			return []int{i}
		}
		all = append(all, i)
	}
	if p.last >= 0 {
		for i := coax.Reach(p.last, p.lastSide); i >= 0; i = coax.Parent[i] {
			if coax.Elements[i].Element == entry.Cable {
				return []int{i}
			}
		}
	}
	if len(all) > 0 {
		return all[:1]
	}
	return nil
}
