package sequence

import (
	"fmt"
	"slices"
	"strings"

	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// Recover makes the plan that is followed after something went wrong when the first done steps of a plan, and t.Ops ops of
// the next, were done: the same done steps, a step that records what happened and is done as well, the steps that put things
// right, and whatever the technique then still asks for. Nothing of it looks at how the racket came to be as it is: the way
// back follows from the state alone, so that it is right after mishap upon mishap.
//
// The order of the way back: the gripper first; then string that has to come out; then clamps that slipped; then strands
// that are wrong, the newest first; then slack is walked out and pulled.
//
// Where a hole is split and the stringer has not chosen, the nearest hole serves with which the rest can be strung, and if
// there is none a sleeve.
func Recover(p *plan.Plan, done int, t Trouble) (*plan.Plan, error) {
	switch {
	case t.Fault == "":
		return nil, fmt.Errorf("no mishap is named")
	case t.Fault == plan.FaultPause:
		return pause(p, done, t)
	}
	if t.Fault == plan.FaultSplit && t.Choose == "" && done >= 0 && done <= len(p.Steps) {
		r := p.AfterOps(done, max(0, min(t.Ops, opsOf(p, done))))
		for _, h := range SplitHoles(p, done, r, t.Hole) {
			t.Choose = string(h.Hole)
			if next, err := recoverBy(p, done, t); err == nil {
				return next, nil
			}
		}
		t.Choose = plan.Sleeve
	}
	return recoverBy(p, done, t)
}

// opsOf is how many ops the step after the first done ones has.
func opsOf(p *plan.Plan, done int) int {
	if done == len(p.Steps) {
		return 0
	}
	return len(p.Steps[done].Ops)
}

// GoOn makes the plan by which a job goes on from where it stands when nothing new went wrong: the same done steps, then what
// is still to be put right, then the rest.
func GoOn(p *plan.Plan, done int) (*plan.Plan, error) { return recoverBy(p, done, Trouble{}) }

func recoverBy(p *plan.Plan, done int, t Trouble) (*plan.Plan, error) {
	r, err := newRecovery(p, done, &t)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", t.Words(), err)
	}
	if r.phase = p.Steps[min(done, len(p.Steps)-1)].Phase; t.Fault != "" {
		if err := r.record(p, done); err != nil {
			return nil, fmt.Errorf("%s: %w", t.Words(), err)
		}
	}
	if r.cure(); !r.racket.Cracked() {
		if err := r.goOn(); err != nil {
			return nil, err
		}
	}
	r.unneeded()
	next := *p
	next.Frame = p.LayoutName(r.racket)
	next.Warnings = r.newWarnings(p)
	next.Totals = r.racket.Totals()
	return instead(next, append(slices.Clone(p.Steps[:done:done]), apart(r.steps, p.After(done))...)), nil
}

// recovery writes the steps that put things right.
type recovery struct {
	*planner
	wrong *Trouble
	terms *plan.Terms
	loop  plan.Strand // the centre main beyond the centre loop, where slack comes as far as that
	stuck bool        // an end of what broke is in the gripper
}

func newRecovery(p *plan.Plan, done int, t *Trouble) (*recovery, error) {
	switch {
	case done < 0 || done > len(p.Steps):
		return nil, fmt.Errorf("the plan has steps 1 to %d", len(p.Steps))
	case done == len(p.Steps) && t.Ops > 0 || done < len(p.Steps) && t.Ops > len(p.Steps[done].Ops):
		return nil, fmt.Errorf("step %d has not so many ops", done+1)
	}
	f, s, err := recall(&p.Terms)
	if err != nil {
		return nil, err
	}
	h := newPlanner(f, s, ordersOf(&p.Terms))
	h.flipped = p.Terms.FirstFace != ""
	h.fit = func(of plan.Strand, from plan.Hole) []KnotHole { return KnotHoles(&p.Terms, h.racket, of, from) }
	h.racket = p.AfterOps(done, t.Ops)
	h.recallSeen(p, done)
	switch {
	case h.racket.Cracked():
		return nil, fmt.Errorf("the frame is cracked already and comes off")
	case t.Fault != plan.FaultFrame && dismounting(p, done, t.Ops):
		return nil, fmt.Errorf("supports are loose already; take the frame off, it is strung again as a job of its own")
	}
	r := &recovery{planner: h, wrong: t, terms: &p.Terms}
	r.asKept()
	if t.Fault == plan.FaultBreak && t.Choose == plan.Regrip && !(t.outside() && r.pulledLast(h.racket.Span(t.Strand))) {
		return nil, fmt.Errorf("only the strand pulled last can be gripped again, where it broke at the gripper or a jaw, and only while no string leads on from it")
	}
	if t.Fault == plan.FaultSplit && t.Choose != "" && t.Choose != plan.Sleeve && h.racket.ToBeThreaded(h.racket.At(t.Hole)) {
		return nil, fmt.Errorf("a strand is still to be threaded through %s; a sleeve goes into it, choose=%s", t.Hole, plan.Sleeve)
	}
	if err := t.check(h.racket); err != nil {
		return nil, err
	}
	if k := h.racket.KnotIn(t.Hole); t.Fault == plan.FaultKnot {
		t.Strand, t.Hole = k.Strand, k.Hole
	}
	if g := h.racket.Gripper(); t.Fault == plan.FaultGripper {
		t.Strand = g.Strand
	} else {
		r.stuck = t.Fault == plan.FaultBreak && g != nil && g.Strand == t.Strand
	}
	r.usual()
	if o := t.op(); t.With == "" {
		r.loop = h.racket.Loop(&o)
	}
	return r, nil
}

// dismounting says whether a support was taken off.
func dismounting(p *plan.Plan, done, ops int) bool {
	off := func(ops []plan.Op) bool {
		return slices.ContainsFunc(ops, func(o plan.Op) bool { return o.Op == plan.Dismount })
	}
	return ops > 0 && off(p.Steps[done].Ops[:ops]) || slices.ContainsFunc(p.Steps[:done], func(s plan.Step) bool { return off(s.Ops) })
}

// recallSeen finds out which steps without string are done, and how the strings are stretched.
func (h *planner) recallSeen(p *plan.Plan, done int) {
	h.seen = map[int]bool{}
	for i := range p.Steps {
		s := &p.Steps[i]
		if i < done && s.Base > 0 {
			h.seen[s.Base] = true
		}
		for _, o := range s.Ops {
			if o.Op == plan.Mount && s.Ops[0].Op == plan.Note {
				h.t.Mount.Mark = s.Ops[0].Text // the note with which mounting begins
				break
			}
		}
		if !strings.HasPrefix(s.Title, prestretch) {
			continue
		}
		which := 0
		if s.Phase == plan.PhaseCrosses {
			which = 1
		}
		for _, o := range s.Ops {
			if _, by, ok := strings.Cut(o.Text, " by "); ok {
				fmt.Sscanf(by, "%g", &h.stretch[which])
			}
		}
	}
}

// usual fills in what the stringer did not choose.
func (r *recovery) usual() {
	if r.wrong.Choose != "" {
		return
	}
	span := r.racket.Span(r.wrong.Strand)
	switch r.wrong.Fault {
	case plan.FaultBreak:
		if r.wrong.outside() && r.pulledLast(span) {
			r.wrong.Choose = plan.Regrip
		}
	case plan.FaultKink:
		if !span.Pulled {
			r.wrong.Choose = plan.Past
		}
	case plan.FaultShort:
		r.wrong.Choose = plan.Bridge
	case plan.FaultTension:
		if r.wrong.Choose = plan.Anew; !PullsAnew(r.racket, r.wrong.Strand) {
			r.wrong.Choose = plan.Undo
		}
	}
}

// pulledLast says whether a strand was pulled last of all and ends in a tail.
func (r *recovery) pulledLast(s *plan.Span) bool {
	return s.Turn > 0 && s.Turn == r.racket.PullCount() && r.racket.Next(s.Strand) == plan.Spot{}
}

// record writes down what was done of the step in hand and what went wrong.
func (r *recovery) record(p *plan.Plan, done int) error {
	title := capital(r.wrong.Words())
	if r.wrong.Ops > 0 {
		title = p.Steps[done].Title + ": " + r.wrong.Words()
	}
	r.open(title)
	r.steps[0].Record = true
	if r.wrong.Ops > 0 {
		r.steps[0].Ops = append(r.steps[0].Ops, p.Steps[done].Ops[:r.wrong.Ops]...) // the racket has them already
	}
	o := r.wrong.op()
	if o.Fault == plan.FaultHole {
		o.From = r.racket.Nearer(o.Strand, o.Hole)
	}
	r.op(o)
	if o.Fault == plan.FaultSwapped && o.Choose != plan.Keep {
		r.exchanged(o.Strand, o.With, r.racket.At(o.Hole))
	}
	r.end()
	r.decided(p, done)
	if r.wrong.Choose == plan.Keep {
		return r.keep(p)
	}
	return nil
}

// exchanged says where the ends of two strands are that were laid in each other's place, so that hands find tails and clamps there; only
// those at the end that the first has at a place, unless that is 0.
func (r *recovery) exchanged(a, b plan.Strand, only int) {
	var found []plan.Op
	ends := r.racket.LiesAt(a)
	for _, of := range [2][2]plan.Strand{{a, b}, {b, a}} {
		s, own := r.racket.Span(of[0]), r.racket.Ends(of[1])
		for end, lies := range r.racket.LiesAt(of[0]) {
			if only > 0 && ends[end] != only {
				continue
			}
			from := s.Out
			if r.racket.At(s.In) == lies {
				from = s.In
			}
			if to := r.racket.HoleAt(own[end]); s.Laid() && own[end] != lies {
				found = append(found, plan.Op{Op: plan.Fault, Fault: plan.FaultHole, Strand: of[0], From: from, Hole: to, Text: fmt.Sprintf("%s is in %s", of[0], to)})
			}
		}
	}
	for _, o := range found {
		r.op(o)
	}
}

// cure writes the way back.
func (r *recovery) cure() {
	if r.racket.Cracked() {
		r.card("Stop: the frame is cracked", func() {
			r.note("stop, no more pulls; relieve the tension evenly; take a picture, tell the owner; say nothing of the cause")
			r.letGripperGo(false)
		})
		r.cutOut(r.laidOf(func(plan.Span) bool { return true }))
		r.takeOff()
		return
	}
	doomed := r.piecesToCut()
	r.byHand()
	r.easeGripper(doomed)
	r.splitUnder()
	r.cutOut(r.laidOf(func(s plan.Span) bool { return doomed[s.Piece] }))
	r.openKnots()
	r.slackOut()
	r.holdFelt()
	r.takeUp()
	r.clamps()
	r.stillLow()
	r.fromKnots()
	r.letGoBeyond()
	r.undoWrong()
	r.uselessOff()
	r.backOut()
	r.card("Clamp off: the string is tight on both sides", func() {
		r.tidy()
		if g := r.racket.Grip(plan.S); g != nil && r.racket.Tight(g.Strand) && r.racket.CanComeOff(plan.S) && (r.tightOutside(plan.Spot{Strand: g.Strand, Hole: g.Hole}) || !r.begun(*g)) {
			r.ungrip(plan.S)
		}
	})
}

// byHand writes what hands do that no string goes slack or tight by.
func (r *recovery) byHand() {
	s := r.wrong.Strand
	write := func(title, text string) { r.card(title, func() { r.inspect(text) }) }
	switch {
	case r.wrong.Fault == plan.FaultTension:
		write("Set the machine", fmt.Sprintf("the machine is set to what %s is ordered, %s, and pulls in that unit", s, r.terms.PullOf(s).Ordered))
	case r.stuck:
		write("Look at the gripper", "the gripper: the broken end is out of its jaws, and they are clean")
	case r.wrong.Fault == plan.FaultKink && r.wrong.Choose == plan.Past:
		write(fmt.Sprintf("Work the kink past %s", s), fmt.Sprintf("the kink or nick is worked past %s: it comes to lie in no span, else the piece is replaced", s))
	case r.wrong.Fault == plan.FaultShort && r.wrong.Choose == plan.Bridge:
		whom := "the gripper"
		if r.racket.Tight(s) {
			whom = "the hands that go on with it"
		}
		write(fmt.Sprintf("Bridge the tail of %s", s), fmt.Sprintf("a scrap of string is joined to the tail of %s, for %s; the joint holds a gentle pull", s, whom))
	}
}

// splitUnder has a hole looked at that is split under a strand which stays tight there, and a sleeve put in where one mends it: no
// tubing goes over tight string.
func (r *recovery) splitUnder() {
	h := r.wrong.Hole
	if r.wrong.Fault != plan.FaultSplit {
		return
	}
	tight := slices.DeleteFunc(r.racket.Through(r.racket.At(h)), func(s plan.Strand) bool { return !r.racket.Tight(s) })
	if len(tight) == 0 {
		r.card(fmt.Sprintf("Sleeve into %s", h), func() {
			if r.wrong.Choose == plan.Sleeve {
				r.op(plan.PutSleeve(h))
			}
		})
		return
	}
	r.card(fmt.Sprintf("Look at %s", h), func() {
		r.inspect(fmt.Sprintf("hole %s under %s, which stays tight in it: no edge cuts the string; if laminate shows, stop: the frame is cracked",
			h, plan.Names(tight)))
	})
}

// card writes a step of the way back; one of which nothing comes is none.
func (r *recovery) card(title string, write func()) {
	r.open(title)
	write()
	r.end()
}

func (r *recovery) laidOf(which func(plan.Span) bool) (out []plan.Span) {
	for _, s := range r.racket.Spans() {
		if s.Laid() && which(s) {
			out = append(out, s)
		}
	}
	return out
}

// chordOf is the chord of a strand that an op names.
func (h *planner) chordOf(name plan.Strand) patterns.Chord {
	for _, c := range append(h.f.Columns(), h.f.Crosses...) {
		if strand(c.Strand) == name {
			return c
		}
	}
	return patterns.Chord{}
}

// goOn writes whatever the technique still asks for.
func (r *recovery) goOn() error {
	r.ordinal = 0
	r.prepare()
	if err := r.stringAll(); err != nil {
		return err
	}
	r.dismount()
	return nil
}

// newWarnings are the warnings of a plan and those of its way back that it has not.
func (r *recovery) newWarnings(p *plan.Plan) []string {
	out := slices.Clone(p.Warnings)
	for _, w := range r.warnings {
		if !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
