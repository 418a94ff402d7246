package strain

import (
	"fmt"
	"math"
	"slices"

	"pullcard/patterns/assume"
	"pullcard/sequence/plan"
)

// play is a plan being played on a model.
type play struct {
	m        *Model
	r        *plan.Racket
	index    map[plan.Strand]int
	chords   [][2]int // places of the strands' ends
	spans    []span
	contacts []contact
	joints   []joint
	seen     seen

	load, move []float64 // by action: N, mm
	were       []float64 // move when the op began
	last       []float64 // tensions of the round before
	system     system
	answers    answers
	pullsAt    map[plan.Strand]float64 // other tensions than the plan's
	work       Work
	lockout    bool
	half       float64 // what the capstan of half a turn holds, of one side in the other
}

// seen is what of the racket moves strings and hoop.
type seen struct {
	gripper               plan.Spot // the zero Spot where it does not pull
	clamps                [3]plan.Grip
	mounted, knots, turns int
}

func (m *Model) begin(p *plan.Plan) (*play, error) {
	y := &play{m: m, r: plan.NewRacket(&p.Terms), spans: make([]span, len(m.cords)), contacts: make([]contact, len(m.supports)), index: map[plan.Strand]int{},
		load: make([]float64, m.actions), move: make([]float64, m.actions), were: make([]float64, m.actions), last: make([]float64, len(m.cords)), lockout: m.Numbers.Pull == assume.Lockout, half: math.Exp(m.Numbers.Friction * math.Pi)}
	for i, s := range y.r.Spans() {
		if i >= len(m.cords) || string(s.Strand) != m.cords[i].name {
			return nil, fmt.Errorf("the plan strings %s where the frame has another strand", s.Strand)
		}
		y.index[s.Strand] = i
		y.chords = append(y.chords, y.r.Ends(s.Strand))
	}
	if len(y.chords) != len(m.cords) {
		return nil, fmt.Errorf("the plan strings %d strands and the frame has %d", len(y.chords), len(m.cords))
	}
	return y, nil
}

// op plays one op and says whether anything moved.
func (y *play) op(o *plan.Op) (moved bool, err error) {
	if err := y.r.Apply(o); err != nil {
		return false, err
	}
	was := y.seen
	if !y.look() {
		return false, nil
	}
	y.remember()
	y.rest(was)
	y.handOver(was)
	y.join()
	if err := y.settle(); err != nil {
		return false, err
	}
	y.book()
	return true, nil
}

// look sees what the op did to anything that a string or a support feels.
func (y *play) look() (changed bool) {
	now := seen{mounted: len(y.r.Mounted()), knots: len(y.r.Knots()), turns: y.r.PullCount()}
	if g := y.r.Gripper(); g != nil {
		now.gripper = *g
	}
	for i, c := range plan.Clamps() {
		if g := y.r.Grip(c); g != nil && y.r.Holds(c) {
			now.clamps[i] = *g
		}
	}
	changed = now != y.seen
	for i, s := range y.r.Spans() {
		x := &y.spans[i]
		changed = changed || s.Tight != x.tight || s.Turn != x.turn || s.Low != x.low
	}
	y.seen = now
	return changed
}

// remember keeps what was, so that what is lost is put to its cause.
func (y *play) remember() {
	copy(y.were, y.move)
	for i := range y.spans {
		s := &y.spans[i]
		s.before = before{t: s.t, e: s.e, crimp: s.crimp, give: s.give, pull: s.pull, handed: s.before.handed[:0]}
	}
	for i := range y.contacts {
		c := &y.contacts[i]
		c.wasR, c.wasH, c.off = c.r, c.h, false
	}
}

// rest lets time pass and sets supports or takes them off.
func (y *play) rest(was seen) {
	if passed := y.seen.turns - was.turns; passed > 0 {
		for i := range y.spans {
			y.age(i, float64(passed)*y.m.Numbers.Pace)
		}
	}
	if y.seen.mounted == was.mounted {
		return
	}
	for i := range y.contacts {
		c, group := &y.contacts[i], y.m.supports[i].group
		is := slices.ContainsFunc(y.r.Mounted(), func(name string) bool { return GroupOf(name) == group })
		switch {
		case is && !c.mounted:
			*c = contact{mounted: true, gap: y.m.Numbers.Gap - y.move[y.m.push(i)], along: y.move[y.m.hold(i)]}
		case !is && c.mounted:
			*c = contact{off: true, wasR: c.wasR, wasH: c.wasH}
		}
	}
}

// age lets a strand creep; what the gripper holds it makes up for.
func (y *play) age(i int, seconds float64) {
	s, kind := &y.spans[i], y.m.cords[i].kind
	if !s.tight {
		return
	}
	was := y.m.crept(kind, s.age)
	if s.age += seconds; !s.fixed {
		y.let(i, toCreep, -s.as/y.m.cords[i].k*(y.m.crept(kind, s.age)-was))
	}
}

// let changes by how much a strand is short, and says why.
func (y *play) let(i int, why cause, mm float64) {
	s := &y.spans[i]
	s.e += mm
	s.before.moved[why] += mm
	s.lost[why] -= y.m.cords[i].k * mm
}

// handOver sees what holds the strands now.
func (y *play) handOver(was seen) {
	if i, ok := y.index[was.gripper.Strand]; ok && was.gripper != y.seen.gripper && y.spans[i].gripped && y.r.Spans()[i].Tight {
		y.let(i, toDrawback, -y.m.Numbers.Drawback)
		y.spans[i].gripped = false
	}
	drawn := false
	for i, to := range y.ends() {
		s, now := &y.spans[i], &y.r.Spans()[i]
		switch {
		case !now.Tight:
			*s = span{turn: now.Turn, before: s.before}
			s.before.loose = s.before.t > 0
			continue
		case !s.tight:
			s.tight, s.ending, s.profile, drawn = true, to, [2]float64{1, 1}, true
			s.on, s.drawn, s.give = true, true, y.gives(to.acts)
		default:
			y.transfer(i, to)
		}
		if now.Low && !s.low {
			y.let(i, toDrawback, -y.m.Numbers.Drawback)
		}
		s.turn, s.low = now.Turn, now.Low
		y.grip(i)
	}
	if drawn { // their string is drawn straight, and no more
		y.weave()
		for i := range y.spans {
			if s := &y.spans[i]; s.drawn {
				s.drawn = false
				s.e = s.give - s.crimp
				s.before.e, s.before.crimp, s.before.give = s.e, s.crimp, s.give
			}
		}
	}
}

// grip gives the strand that the gripper draws the gripper's tension.
func (y *play) grip(i int) {
	s := &y.spans[i]
	switch {
	case !s.gripperDraws():
		s.fixed = false
	case !s.gripped:
		s.before.pull = s.t // the gripper takes over what is there
		s.gripped, s.fixed, s.pull, s.age, s.lost = true, true, y.r.Spans()[i].Newtons, 0, [causes]float64{}
		if n, other := y.pullsAt[y.r.Spans()[i].Strand]; other {
			s.pull = n
		}
	}
}

// ends reads off the racket what holds every strand.
func (y *play) ends() []ending {
	out := make([]ending, len(y.spans))
	for i := range out {
		out[i].acts = [2]int{2 * i, 2*i + 1}
	}
	put := func(at plan.Spot, h hold, act int) {
		if i := y.index[at.Strand]; at.Strand != "" {
			if e := y.end(i, at.Hole); e >= 0 {
				out[i].hold[e], out[i].acts[e] = h, act
			}
		}
	}
	put(y.seen.gripper, pulled, -1)
	for _, g := range y.seen.clamps {
		at := plan.Spot{Strand: g.Strand, Hole: g.Hole}
		switch mate := y.r.Beside(g); {
		case g.Strand == "" || g.Outside:
		case mate.Strand == "":
			put(at, ground, -1)
		default:
			if j := y.index[mate.Strand]; y.end(j, mate.Hole) >= 0 {
				put(at, onMate, 2*j+y.end(j, mate.Hole))
			}
		}
	}
	return out
}

// end is which end of a strand lies in a hole, −1 where none does.
func (y *play) end(i int, h plan.Hole) int { return slices.Index(y.chords[i][:], y.r.At(h)) }

// transfer hands the ends of a tight strand over. Where the hoop takes a load up or is rid of it, the tension at first stays.
func (y *play) transfer(i int, to ending) {
	s := &y.spans[i]
	for e := range s.hold {
		if s.acts[e] != to.acts[e] {
			by := y.at(to.acts[e]) - y.at(s.acts[e])
			s.e, s.give, s.before.e, s.before.give = s.e+by, s.give+by, s.before.e+by, s.before.give+by
			s.before.handed = append(s.before.handed, handed{s.acts[e], to.acts[e]})
		}
		if s.hold[e] == ground && to.hold[e] == onHoop && y.knotted(i, e) {
			y.let(i, toKnot, -y.m.Numbers.Knot)
		}
	}
	s.ending = to
}

// knotted says whether the tail that leaves at an end of a strand is tied.
func (y *play) knotted(i, e int) bool {
	s := &y.r.Spans()[i]
	hole := s.Out
	if y.r.At(s.In) == y.chords[i][e] {
		hole = s.In
	}
	return y.r.KnotOf(plan.Spot{Strand: s.Strand, Hole: hole}) != nil
}

// at is how far the hoop has moved along an action, nought for none.
func (y *play) at(act int) float64 {
	if act < 0 {
		return 0
	}
	return y.move[act]
}

// gives is by how much the hoop brings the ends of a strand together.
func (y *play) gives(acts [2]int) float64 { return y.at(acts[0]) + y.at(acts[1]) }

// join lists where the string can move from strand to strand; nowhere when friction is left away, which would else let all strands
// of a line have one tension.
func (y *play) join() {
	y.joints = y.joints[:0]
	if y.m.Numbers.Friction == 0 {
		return
	}
	for _, run := range y.r.Runs() {
		if run.Next == "" || !y.r.Tight(run.Of) || !y.r.Tight(run.Next) {
			continue
		}
		a, b := y.index[run.Of], y.index[run.Next]
		from, to := side{a, y.end(a, run.From)}, side{b, y.end(b, run.To)}
		if from.end >= 0 && to.end >= 0 && !y.held(a, from.end) && !y.held(b, to.end) {
			y.joints = append(y.joints, joint{sides: [2]side{from, to}})
		}
	}
}

// held says whether a clamp or the gripper holds the string at an end of a strand.
func (y *play) held(i, e int) bool {
	if y.spans[i].hold[e] != onHoop {
		return true
	}
	for _, g := range y.seen.clamps {
		for _, at := range [2]plan.Spot{{Strand: g.Strand, Hole: g.Hole}, y.r.Beside(g)} {
			if at.Strand != "" && y.index[at.Strand] == i && y.r.At(at.Hole) == y.chords[i][e] {
				return true
			}
		}
	}
	return false
}
