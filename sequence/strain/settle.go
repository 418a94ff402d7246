package strain

import (
	"errors"
	"iter"
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"pullcard/patterns/hoop"
)

// system is the contact problem of the strands and supports that are there.
type system struct {
	contact    hoop.Contact
	of         []unknown
	m          *mat.SymDense
	free, on   []bool
	b, x, w    []float64
	compliance []float64
	base       []float64 // the matrix without weaving, its upper half
	t          []float64 // by strand, of those that are solved for
	kept       []int     // the strands whose tension the gripper keeps
	slope      []float64 // by two strands: by how much the tension of the one changes what weaving takes of the other, mm/N
}

// unknown is what is solved for: the tension of a strand, the push of a support or its hold; −1 for those that it is not.
type unknown struct {
	strand, push, hold int
	acts               [2]int
}

// rounds is how often weaving, friction and sharing are gone through at most, near how still the tensions stand then, as a share.
const (
	rounds = 400
	near   = 1e-7
	slight = 1e-9 // in place of no tension at all, N·mm
)

var errRestless = errors.New("the tensions do not settle; check the string's diameter and material")

// settle finds the tensions of all strands as they are after an op: Newton's steps on weaving, which is the only thing that is not a
// straight line, with the slope of an earlier step as long as that leads on.
func (y *play) settle() error {
	y.compose()
	was := math.Inf(1)
	for round := range rounds {
		y.weave()
		y.pulls()
		if round == 0 || round%30 == 29 {
			y.slope()
		}
		if err := y.solve(); err != nil {
			return err
		}
		part := 1.0
		if round > 40 && round%2 == 1 { // it should long stand still: go half way now and then
			part = .5
		}
		change, most := y.take(part)
		slid := y.share(most, round > 12)
		if !slid && part == 1 && change <= near*most {
			y.settled()
			return nil
		}
		if change > was/2 && round > 0 {
			y.weave()
			y.slope()
		}
		was = change
	}
	return errRestless
}

// compose lists what is solved for, and how one acts on the other through the hoop.
func (y *play) compose() {
	s, m := &y.system, y.m
	s.of, s.free, s.on, s.compliance = s.of[:0], s.free[:0], s.on[:0], s.compliance[:0]
	for i := range y.spans {
		y.spans[i].at = -1
	}
	add := func(u unknown, compliance float64, free, on bool) {
		s.of, s.compliance, s.free, s.on = append(s.of, u), append(s.compliance, compliance), append(s.free, free), append(s.on, on)
	}
	for i := range y.spans {
		if x := &y.spans[i]; x.tight && !x.fixed {
			x.at = len(s.of)
			add(unknown{i, -1, -1, x.acts}, 1/m.cords[i].k, false, x.on)
		}
	}
	for i := range y.contacts {
		if c := &y.contacts[i]; c.mounted {
			add(unknown{-1, i, -1, [2]int{m.push(i), -1}}, stiffness(m.Numbers.Support), false, c.touches)
			if m.Numbers.Hold > 0 {
				add(unknown{-1, -1, i, [2]int{m.hold(i), -1}}, stiffness(m.Numbers.Hold), true, true)
			}
		}
	}
	n := len(s.of)
	s.b, s.x, s.w = make([]float64, n), make([]float64, n), make([]float64, n)
	s.base = slices.Grow(s.base[:0], n*n)[:n*n]
	for a := range n {
		for b := a; b < n; b++ {
			s.base[a*n+b] = m.through(s.of[a].acts, s.of[b].acts)
		}
		s.base[a*n+a] += s.compliance[a]
	}
}

// meetings are the crossings of two tight strands, with the shares of the weave's height that main and cross take, up to a factor: as
// their tensions over the pitch stand, the tighter one runs straighter.
func (y *play) meetings() iter.Seq2[crossing, [2]float64] {
	pm, pc := y.m.pitch(0), y.m.pitch(1)
	return func(yield func(crossing, [2]float64) bool) {
		for _, x := range y.m.meets {
			if main, cross := &y.spans[x.main], &y.spans[x.cross]; main.tight && cross.tight {
				if !yield(x, [2]float64{pm*cross.t + slight, pc*main.t + slight}) {
					return
				}
			}
		}
	}
}

// slope takes what weaving does to each strand by the tension of each into the matrix. What weaving takes, as a function of all
// tensions, is the slope of the least of Σ tension·crimp over all ways to share the crossings, and so of something that is bent
// downwards everywhere: the matrix stays symmetric and above nought.
func (y *play) slope() {
	s, strands := &y.system, len(y.spans)
	n := len(s.of)
	if n == 0 {
		return
	}
	s.slope = slices.Grow(s.slope[:0], strands*strands)[:strands*strands]
	clear(s.slope)
	high, pm, pc, share := y.m.high, y.m.pitch(0), y.m.pitch(1), y.m.Numbers.Weaving
	for x, part := range y.meetings() {
		a, b := part[0], part[1]
		of := 4 * share * high * high * a * b / ((a + b) * (a + b) * (a + b))
		s.slope[x.main*strands+x.main] -= of * a / b * pc / pm
		s.slope[x.cross*strands+x.cross] -= of * b / a * pm / pc
		s.slope[x.main*strands+x.cross] += of
		s.slope[x.cross*strands+x.main] += of
	}
	if s.m == nil || s.m.SymmetricDim() != n {
		s.m = mat.NewSymDense(n, nil)
	}
	raw := s.m.RawSymmetric()
	for a := range n {
		for b := a; b < n; b++ {
			v := s.base[a*n+b]
			if i, j := s.of[a].strand, s.of[b].strand; i >= 0 && j >= 0 {
				v -= s.slope[i*strands+j]
			}
			raw.Data[a*raw.Stride+b] = v
		}
		if i := s.of[a].strand; i >= 0 {
			y.spans[i].firm = 1 / raw.Data[a*raw.Stride+a]
		}
	}
	s.contact.New(s.m, s.free, s.on)
}

// stiffness turned over; one of nought does not give.
func stiffness(k float64) float64 {
	if k == 0 {
		return hard
	}
	return 1 / k
}

// through is the movement along some actions by a unit of others.
func (m *Model) through(a, b [2]int) (v float64) {
	for _, i := range a {
		for _, j := range b {
			if i >= 0 && j >= 0 {
				v += m.flex[i*m.actions+j]
			}
		}
	}
	return v
}

// weave shares every crossing between its two strands: as their tensions over the pitch stand, the tighter one runs straighter. A
// strand that rises and falls by z at every crossing is longer by 2z²/p each and turns by 4z/p, p the pitch of those it crosses.
func (y *play) weave() {
	for i := range y.spans {
		y.spans[i].crimp, y.spans[i].angle = 0, 0
	}
	high, pm, pc, share := y.m.high, y.m.pitch(0), y.m.pitch(1), y.m.Numbers.Weaving
	for x, part := range y.meetings() {
		main, cross := &y.spans[x.main], &y.spans[x.cross]
		zm := high * part[0] / (part[0] + part[1])
		zc := high - zm
		main.crimp += 2 * share * zm * zm / pm
		main.angle += 4 * zm / pm
		cross.crimp += 2 * share * zc * zc / pc
		cross.angle += 4 * zc / pc
	}
}

// pulls says what a strand has inside while the gripper pulls: less by the gripper's turn at the exit hole, and by every crossing
// on the way (capstan).
func (y *play) pulls() {
	μ := y.m.Numbers.Friction
	for i := range y.spans {
		s := &y.spans[i]
		if !s.fixed {
			continue
		}
		exit := s.pull * math.Exp(-μ*y.m.Numbers.Turn)
		x := μ * s.angle
		mean, far := exit, exit*math.Exp(-x)
		if x > 1e-9 {
			mean = exit * -math.Expm1(-x) / x
		}
		out := 0
		if s.hold[1] == pulled {
			out = 1
		}
		s.t, s.as = mean, mean
		s.profile[out], s.profile[1-out] = exit/mean, far/mean
		s.lost[toFriction] = s.pull - mean
	}
}

// solve finds the tensions for the lengths as they are.
func (y *play) solve() error {
	s := &y.system
	if len(s.of) == 0 {
		return nil
	}
	n := len(y.spans)
	s.t, s.kept = slices.Grow(s.t[:0], n)[:n], s.kept[:0]
	clear(s.t)
	for i := range y.spans {
		if x := &y.spans[i]; x.fixed {
			s.kept = append(s.kept, i)
		} else if x.at >= 0 {
			s.t[i] = x.t
		}
	}
	for k, u := range s.of {
		switch {
		case u.strand >= 0:
			x := &y.spans[u.strand]
			s.b[k] = x.e + x.crimp - floats.Dot(s.slope[u.strand*n:u.strand*n+n], s.t)
		case u.push >= 0:
			s.b[k] = -y.contacts[u.push].gap
		default:
			s.b[k] = y.contacts[u.hold].along
		}
		for _, i := range s.kept {
			s.b[k] -= y.spans[i].t * y.m.through(u.acts, y.spans[i].acts)
		}
	}
	return s.contact.Solve(s.b, s.x, s.w)
}

// take takes the answer over, or goes a part of the way to it, and says by how much the tensions would change, and the largest.
func (y *play) take(part float64) (change, most float64) {
	for k, u := range y.system.of {
		v := y.system.x[k]
		switch {
		case u.strand >= 0:
			y.spans[u.strand].t, y.spans[u.strand].on = math.Max(v, 0), y.system.on[k]
		case u.push >= 0:
			y.contacts[u.push].r, y.contacts[u.push].touches = math.Max(v, 0), y.system.on[k]
		default:
			y.contacts[u.hold].h = v
		}
	}
	for i := range y.spans {
		t := y.spans[i].t
		if !y.spans[i].fixed {
			y.spans[i].t = y.last[i] + part*(t-y.last[i])
		}
		change, most = math.Max(change, math.Abs(t-y.last[i])), math.Max(most, t)
		y.last[i] = y.spans[i].t
	}
	return change, most
}

// under is what loads along the actions make of something that is told by the unit of each, in rows as long as there are actions.
func (m *Model) under(load, rows []float64) []float64 {
	out := make([]float64, len(rows)/m.actions)
	a := blas64.General{Rows: len(out), Cols: m.actions, Stride: m.actions, Data: rows}
	blas64.Gemv(blas.NoTrans, 1, a, blas64.Vector{N: m.actions, Inc: 1, Data: load}, 0, blas64.Vector{N: len(out), Inc: 1, Data: out})
	return out
}

// settled works out what the hoop does under the tensions found, and what strands that the gripper keeps are short by.
func (y *play) settled() {
	clear(y.load)
	put := func(acts [2]int, n float64) {
		for _, a := range acts {
			if a >= 0 {
				y.load[a] += n
			}
		}
	}
	for i := range y.spans {
		put(y.spans[i].acts, y.spans[i].t)
	}
	for i := range y.contacts {
		if c := &y.contacts[i]; c.mounted {
			put([2]int{y.m.push(i), -1}, c.r)
			put([2]int{y.m.hold(i), -1}, c.h)
		}
	}
	y.move = y.m.under(y.load, y.m.flex)
	for i := range y.spans {
		s := &y.spans[i]
		if !s.tight {
			continue
		}
		s.give = y.gives(s.acts)
		if s.fixed {
			s.e = s.t/y.m.cords[i].k + s.give - s.crimp
		}
		s.before.kept, s.fixed = s.fixed, s.fixed && !y.lockout
	}
}
