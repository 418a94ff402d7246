package strain

import (
	"fmt"
	"math"

	"pullcard/sequence/plan"
)

// recorder keeps a course while its plan is played.
type recorder struct {
	*play
	c     *Course
	full  int       // the most supports that were on
	still []float64 // tensions before the op in hand
	peaks []Peak    // by support, the throat's yoke last
}

// Play plays a plan. It may have mishaps in it, and ways back. The error says where plan and frame do not fit.
func (m *Model) Play(p *plan.Plan) (*Course, error) { return m.PlayAt(p, nil) }

// PlayAt is Play with some strands pulled at other tensions than the plan's, in newtons.
func (m *Model) PlayAt(p *plan.Plan, pulls map[plan.Strand]float64) (*Course, error) {
	y, err := m.begin(p)
	if err != nil {
		return nil, err
	}
	y.pullsAt = pulls
	r := &recorder{play: y, c: &Course{Model: m, Plan: p, Strands: make([]Strand, len(y.spans)), Supports: []Peak{}}, still: make([]float64, len(y.spans)), peaks: make([]Peak, len(m.supports)+1)}
	for i, s := range m.supports {
		r.peaks[i].Support = s.name
	}
	r.peaks[len(m.supports)].Support = throat
	for i := range p.Steps {
		if m.Between != nil {
			m.Between()
		}
		if err := r.step(&p.Steps[i]); err != nil {
			return nil, err
		}
	}
	return r.finish()
}

// step plays a step and keeps what it comes to.
func (r *recorder) step(s *plan.Step) error {
	at := State{}
	for i := range s.Ops {
		for k := range r.spans {
			r.still[k] = r.spans[k].t
		}
		mounted := r.seen.mounted
		moved, err := r.op(&s.Ops[i])
		if err != nil {
			return fmt.Errorf("step %d, operation %d: %w", s.N, i+1, err)
		}
		if r.full = max(r.full, r.seen.mounted); mounted == r.full && r.seen.mounted < mounted {
			for k := range r.spans {
				r.c.Strands[k].OnMachine = r.still[k]
			}
			r.full = 1 << 20 // what comes off later came off the machine before
		}
		if moved {
			r.watch(s.N, &at)
		}
	}
	at.LengthMM, at.WidthMM = r.move[r.m.length()], r.move[r.m.width()]
	at.load = append(at.load, r.load...)
	for i := range r.spans {
		at.Newtons = append(at.Newtons, r.spans[i].t)
	}
	moves := r.m.under(r.load, r.m.moves)
	for i := range r.m.names {
		r.c.MostMM = math.Max(r.c.MostMM, math.Hypot(moves[2*i], moves[2*i+1]))
	}
	r.c.MostMM = math.Max(r.c.MostMM, math.Max(math.Abs(at.LengthMM), math.Abs(at.WidthMM)))
	r.c.At = append(r.c.At, at)
	r.size(string(s.Phase), at)
	return nil
}

// size keeps the hoop as it is when a phase is over; a phase that comes anew counts anew.
func (r *recorder) size(phase string, at State) {
	if phase == string(plan.PhaseFinish) {
		phase = "dismount"
	}
	for i := range r.c.Hoop {
		if r.c.Hoop[i].After == phase {
			r.c.Hoop = append(r.c.Hoop[:i], r.c.Hoop[i+1:]...)
			break
		}
	}
	r.c.Hoop = append(r.c.Hoop, Size{phase, at.LengthMM, at.WidthMM})
}

// watch looks for the largest loads.
func (r *recorder) watch(step int, at *State) {
	see := func(i int, newtons float64) {
		if newtons > r.peaks[i].Newtons {
			r.peaks[i].Newtons, r.peaks[i].Step = newtons, step
		}
		if newtons > at.SupportN {
			at.SupportN, at.Support = newtons, r.peaks[i].Support
		}
	}
	for i := range r.contacts {
		see(i, r.contacts[i].r)
	}
	if r.seen.mounted > 0 {
		see(len(r.contacts), r.m.yoke(r.load))
	}
	for i, moment := range r.m.under(r.load, r.m.bending) {
		nm := math.Abs(moment) / 1000
		at.BendingNm = math.Max(at.BendingNm, nm)
		if nm > r.c.Bending.Nm {
			r.c.Bending = Moment{nm, step, r.m.names[i]}
		}
	}
}

// yoke is what the throat's yoke pushes with, in newtons: it balances everything else along the racket.
func (m *Model) yoke(load []float64) (newtons float64) {
	for a, n := range load {
		newtons += n * m.alongN[a]
	}
	return newtons
}

// finish lets a day pass.
func (r *recorder) finish() (*Course, error) {
	c := r.c
	c.Work = r.work.joules()
	for i := range r.spans {
		if c.Strands[i].OffMachine = r.spans[i].t; r.full < 1<<20 {
			c.Strands[i].OnMachine = r.spans[i].t
		}
	}
	r.remember()
	for i := range r.spans {
		r.age(i, math.Max(day-r.spans[i].age, 0))
	}
	if err := r.settle(); err != nil {
		return nil, err
	}
	r.book()
	for i := range r.spans {
		r.strand(i)
	}
	for _, p := range r.peaks {
		if p.Newtons > 0 {
			c.Supports = append(c.Supports, p)
		}
	}
	c.Beyond = c.MostMM > beyondMM
	return c, nil
}

// strand tells what became of a strand.
func (r *recorder) strand(i int) {
	s, out := &r.spans[i], &r.c.Strands[i]
	out.Name, out.Pulled, out.AfterDay, out.Profile = r.m.cords[i].name, s.pull, s.t, s.profile
	out.Ordered = r.c.Plan.Terms.PullOf(plan.Strand(out.Name)).Newtons
	l := s.lost
	out.Lost = Lost{Hoop: l[toHoop], Weaving: l[toWeaving], Drawback: l[toDrawback], Friction: l[toFriction], Knot: l[toKnot], Creep: l[toCreep]}
	if out.Slack = s.tight && s.t == 0; out.Slack { // what it is too long by pulls nothing
		out.Lost.Hoop += out.Pulled - out.Lost.Sum()
	}
}
