package sequence

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// Recover makes the plan that is followed after something went wrong when the first done steps of a plan were done: the
// same done steps, the steps that put things right, and whatever is then still, or once more, to be done. What is in
// the gripper and not clamped yet counts as not done.
func Recover(p *plan.Plan, done int, t Trouble) (*plan.Plan, error) {
	h, err := after(p, done)
	if err != nil {
		return nil, err
	}
	if cutting(p, done) && t.Fault != plan.FaultFrame {
		return nil, fmt.Errorf("%s: string is being cut out; finish that first", t.Text)
	}
	r := &recovery{hands: h, p: p, done: done, effective: effective(p, done)}
	if err := r.mend(t); err != nil {
		return nil, fmt.Errorf("%s: %w", t.Text, err)
	}
	if t.Fault == plan.FaultFrame {
		r.takeOff()
	} else if err := r.goOn(); err != nil {
		return nil, asProblems(err)
	}
	next := *p
	next.Steps = append(slices.Clone(p.Steps[:done:done]), r.steps...)
	for i := range next.Steps {
		next.Steps[i].N = i + 1
	}
	next.Totals = recount(next.Steps, len(h.knots))
	next.Plan = next.Fingerprint()
	return &next, nil
}

// recount counts the pulls of steps, with those that were undone and done again, and the most by which a side of the mains
// ever ran ahead.
func recount(steps []plan.Step, knots int) plan.Totals {
	n := plan.Totals{Knots: knots}
	tight := map[plan.Strand]bool{}
	var pulled [2]int
	count := func(s plan.Strand, on bool) {
		if s == "" || s[0] != 'M' || tight[s] == on {
			return
		}
		side, by := 0, 1
		if s[len(s)-1] == 'R' {
			side = 1
		}
		if tight[s] = on; !on {
			by = -1
		}
		pulled[side] += by
	}
	for i := range steps {
		for j := range steps[i].Ops {
			switch o := &steps[i].Ops[j]; o.Op {
			case plan.Pull:
				if !o.Repull {
					n.Pulls++
				}
				count(o.Strand, true)
				n.MaxLead = max(n.MaxLead, pulled[0]-pulled[1], pulled[1]-pulled[0])
			case plan.Slacken, plan.Cut:
				count(o.Strand, false)
			}
		}
	}
	return n
}

// cutting says whether string is still to be cut out before the work goes on.
func cutting(p *plan.Plan, done int) bool {
	for i := done; i < len(p.Steps) && p.Steps[i].Base == 0; i++ {
		for j := range p.Steps[i].Ops {
			if p.Steps[i].Ops[j].Op == plan.Cut {
				return true
			}
		}
	}
	return false
}

// after is what hands know when the first done steps of a plan are done.
func after(p *plan.Plan, done int) (*hands, error) {
	f, t, err := recall(&p.Terms)
	if err != nil {
		return nil, err
	}
	h := newHands(f, t, orders{p.Terms.PullMains, p.Terms.PullCrosses})
	h.phase = plan.PhaseMount
	for i := range p.Steps[:done] {
		h.replay(&p.Steps[i])
	}
	return h, nil
}

// effective are the steps of the plan without mishaps that are done and were not undone, by their numbers there.
func effective(p *plan.Plan, done int) map[int]bool {
	out := map[int]bool{}
	for i := range p.Steps[:done] {
		s := &p.Steps[i]
		if s.Base > 0 {
			out[s.Base] = true
		}
		for _, n := range s.Undoes {
			delete(out, n)
		}
	}
	return out
}

// recovery writes the steps that put things right.
type recovery struct {
	*hands
	p         *plan.Plan
	done      int
	effective map[int]bool
}

func (r *recovery) mend(t Trouble) error {
	var chain map[plan.Strand]bool
	if t.Strand != "" {
		if _, ok := r.chordOf(t.Strand); !ok {
			return fmt.Errorf("the frame has no strand %q", t.Strand)
		}
		chain = r.chain(t.Strand)
	}
	r.begin(capital(t.Text))
	o := plan.Op{Op: plan.Fault, Fault: t.Fault, Strand: t.Strand, Hole: t.Hole, Text: t.Text}
	r.fault(&o)
	r.op(o)
	r.lookAgain()
	switch t.Fault {
	case plan.FaultLate, plan.FaultWeave, plan.FaultHole:
		undo := r.undoable(t.Strand, chain, t.Fault == plan.FaultLate)
		if r.tied(undo) {
			r.note("a tail of this string is trimmed and cannot be drawn back: the string is cut out and strung anew")
			r.hands.end()
			r.cutOut(r.pieceOf(t.Strand), true)
			return nil
		}
		r.note("newest first; the gripper takes the load each time before a clamp moves")
		r.hands.end()
		if err := r.tieWaiting(chain, t.Strand); err != nil {
			return err
		}
		for _, i := range undo {
			r.undo(i, t.Fault != plan.FaultLate)
		}
	case plan.FaultBreak, plan.FaultKnot:
		r.note("face away from the string; cut from the centre outwards; the new length is counted")
		r.hands.end()
		r.cutOut(r.pieceOf(t.Strand), t.Fault == plan.FaultKnot)
		return nil
	case plan.FaultSplit:
		s, knotted := r.knotIn(t.Hole)
		if !knotted {
			r.note("no knot goes there any more; the nearest other tie-off hole serves")
			r.hands.end()
			return nil
		}
		r.note("the knot there does not hold: its string is cut out and strung anew")
		r.hands.end()
		r.cutOut(r.pieceOf(s), true)
		return nil
	case plan.FaultFrame:
		r.note("stop, no more pulls; relieve the tension evenly; take a picture, tell the owner; say nothing of the cause")
		r.hands.end()
		r.cutOut("", true)
		return nil
	default:
		return fmt.Errorf("no mishap is called %q", t.Fault)
	}
	return nil
}

// lookAgain lets the inspection of a bed count no more when something goes wrong after it.
func (r *recovery) lookAgain() {
	for i := range r.p.Steps[:r.done] {
		if s := &r.p.Steps[i]; s.Phase == plan.PhaseFinish && r.effective[s.Base] {
			delete(r.effective, s.Base)
			r.steps[len(r.steps)-1].Undoes = append(r.steps[len(r.steps)-1].Undoes, s.Base)
		}
	}
}

// fault remembers what a mishap changes: a split hole is no tie-off hole any more.
func (h *hands) fault(o *plan.Op) {
	if o.Fault != plan.FaultSplit {
		return
	}
	split := func(hole patterns.Hole) bool { return h.name(hole) == o.Hole }
	h.f.TieMains = slices.DeleteFunc(slices.Clone(h.f.TieMains), split)
	h.f.TieCrosses = slices.DeleteFunc(slices.Clone(h.f.TieCrosses), split)
}

// chain are a strand and all that were laid from it, one after the other to the end of the string.
func (r *recovery) chain(first plan.Strand) map[plan.Strand]bool {
	out := map[plan.Strand]bool{first: true}
	for grown := true; grown; {
		grown = false
		for s, before := range r.before {
			if name := strand(s); !out[name] && !before.none() && out[strand(before.strand)] {
				out[name], grown = true, true
			}
		}
	}
	return out
}

// undoable are the done steps, the newest first and by their place in the plan, that have to be undone to get at a
// strand: those of the strands that were laid from it. Of mains every later step is undone where the other side would
// otherwise run too far ahead. With late only pulls are undone and everything stays laid.
func (r *recovery) undoable(first plan.Strand, chain map[plan.Strand]bool, late bool) (undo []int) {
	seen, both := map[int]bool{}, r.bothSides(first)
	for i := r.done - 1; i >= 0; i-- {
		s := &r.p.Steps[i]
		if s.Base == 0 || seen[s.Base] || s.Phase == plan.PhaseMount {
			continue
		}
		seen[s.Base] = true
		lays, pulls := r.strandsOf(s.Base)
		counts := r.effective[s.Base] || !late && slices.ContainsFunc(lays, r.isLaid)
		in := func(x plan.Strand) bool { return chain[x] }
		touches := slices.ContainsFunc(pulls, in) || !late && slices.ContainsFunc(lays, in)
		if o := s.Tie(); o != nil {
			touches = chain[o.Strand] && o.Knot != startKnot
		}
		if counts && (touches || both) {
			undo = append(undo, i)
		}
		if both && (late && slices.Contains(pulls, first) || !late && slices.Contains(lays, first)) {
			break
		}
	}
	return undo
}

// bothSides says whether undoing a main on its side alone would let the other side run too far ahead, or leave the
// centre loop without hold.
func (r *recovery) bothSides(first plan.Strand) bool {
	c, _ := r.chordOf(first)
	if c.Kind != patterns.Main {
		return false
	}
	other := 0
	for _, m := range r.f.Mains[c.Side.Other()] {
		if r.tight[m.Strand] {
			other++
		}
	}
	return c.Number == 1 || other-(c.Number-1) > r.p.Terms.Lead
}

// full is a step as it was first written, with everything that it lays.
func (r *recovery) full(base int) *plan.Step {
	for i := range r.p.Steps {
		if r.p.Steps[i].Base == base {
			return &r.p.Steps[i]
		}
	}
	return nil
}

// strandsOf are the strands that a step lays and those that it pulls.
func (r *recovery) strandsOf(base int) (lays, pulls []plan.Strand) {
	s := r.full(base)
	for i := range s.Ops {
		switch o := &s.Ops[i]; o.Op {
		case plan.Thread, plan.Weave:
			lays = append(lays, o.Strand)
		case plan.Pull:
			pulls = append(pulls, o.Strand)
		}
	}
	return lays, pulls
}

func (r *recovery) isLaid(s plan.Strand) bool {
	c, _ := r.chordOf(s)
	_, in := r.exit[c.Strand]
	return in
}

// tieWaiting ties a tail that a clamp holds until its knot is made, unless its strand is undone anyway: the clamp is
// needed.
func (r *recovery) tieWaiting(chain map[plan.Strand]bool, first plan.Strand) error {
	if first[0] == 'M' {
		return nil // its ties are undone or the string is cut out
	}
	for _, c := range []plan.Clamp{plan.A, plan.B} {
		g, on := r.clamps[c]
		held, _ := r.chordOf(g.Strand)
		if !on || chain[g.Strand] || !r.tails[tail{held.Strand, r.holeOf(g.Hole)}] {
			continue
		}
		for i := r.done; i < len(r.p.Steps); i++ {
			s := &r.p.Steps[i]
			if o := s.Tie(); o != nil && o.Strand == g.Strand && o.Out == g.Hole && s.Base > 0 {
				r.effective[s.Base] = true
				if err := r.again(s); err != nil {
					return err
				}
				break
			}
		}
	}
	return nil
}

// tied says whether one of some steps ties a tail, which is trimmed then.
func (r *recovery) tied(steps []int) bool {
	for _, i := range steps {
		for j := range r.p.Steps[i].Ops {
			if o := &r.p.Steps[i].Ops[j]; o.Op == plan.Tie && o.Knot != startKnot {
				return true
			}
		}
	}
	return false
}

// undo writes the inverse of a done step.
func (r *recovery) undo(index int, out bool) {
	s := &r.p.Steps[index]
	lays, _ := r.strandsOf(s.Base)
	pull := s.Pull()
	if pull != nil {
		if c, _ := r.chordOf(pull.Strand); !r.tight[c.Strand] {
			pull = nil // undone before
		}
	}
	if out = out && slices.ContainsFunc(lays, r.isLaid); pull == nil && !out {
		return
	}
	r.phase = s.Phase
	r.begin("Undo: " + s.Title)
	r.steps[len(r.steps)-1].Undoes = []int{s.Base}
	delete(r.effective, s.Base)
	if pull != nil {
		r.unpull(s, pull, r.p.Steps[index-1].Clamps)
	}
	if out {
		r.unlay(r.full(s.Base))
	}
	r.hands.end()
}

// unpull lets the gripper take the load of a pulled strand, puts the clamps back where they stood before, and gives way.
func (r *recovery) unpull(s *plan.Step, pull *plan.Op, before map[plan.Clamp]*plan.Grip) {
	c, _ := r.chordOf(pull.Strand)
	hole := r.holeOf(pull.Hole)
	r.pull(c.Strand, hole, pull.BoostPercent > 0, true)
	for i := range s.Ops {
		o := &s.Ops[i]
		if o.Op == plan.Unclamp && before[o.Clamp] != nil {
			g := before[o.Clamp]
			r.ungrip(o.Clamp)
			back, _ := r.chordOf(g.Strand)
			r.grip(o.Clamp, back.Strand, r.holeOf(g.Hole), g.Outside)
		}
	}
	for i := range s.Ops {
		o := &s.Ops[i]
		if g, on := r.clamps[o.Clamp]; o.Op == plan.Grab && on && g.Strand == o.Strand && g.Hole == o.Hole && o.Strand == pull.Strand && o.Hole == pull.Hole {
			r.ungrip(o.Clamp)
		}
	}
	if pull.Repull { // it was tight before, and what held it then holds it again
		r.release()
		return
	}
	r.op(plan.Op{Op: plan.Slacken, Strand: pull.Strand, Hole: pull.Hole})
	delete(r.tight, c.Strand)
}

// unlay takes the clamps off that a step set on what it laid, and draws that back out.
func (r *recovery) unlay(s *plan.Step) {
	for i := len(s.Ops) - 1; i >= 0; i-- {
		o := &s.Ops[i]
		switch o.Op {
		case plan.Grab:
			c, _ := r.chordOf(o.Strand)
			if g, on := r.clamps[o.Clamp]; on && s.Pull() == nil && g.Strand == o.Strand && g.Hole == o.Hole && !r.tight[c.Strand] {
				r.ungrip(o.Clamp) // what it holds is slack
			}
		case plan.Thread, plan.Weave:
			c, _ := r.chordOf(o.Strand)
			do := plan.Unthread
			if o.Op == plan.Weave {
				do = plan.Unweave
			}
			r.op(plan.Op{Op: do, Strand: o.Strand, From: o.From, To: o.To})
			r.taken(c)
		}
	}
}

// pieceOf is the piece that a strand belongs to.
func (r *recovery) pieceOf(s plan.Strand) plan.Piece {
	switch {
	case r.t.Pieces == 1:
		return plan.PieceWhole
	case s[0] == 'M':
		return plan.PieceMains
	}
	return plan.PieceCrosses
}

// knotIn is the strand whose knot sits in a hole.
func (r *recovery) knotIn(hole plan.Hole) (plan.Strand, bool) {
	for t, at := range r.knotOf {
		if r.name(at) == hole {
			return strand(t.strand), true
		}
	}
	return "", false
}

// cutOut cuts a piece out; where the mains go the crosses go too. While the string is tight the clamps stay on until the
// first cut has taken the tension out of it.
func (r *recovery) cutOut(piece plan.Piece, tight bool) {
	order := r.fromTheMiddle(r.there(r.f.Crosses))
	if piece != plan.PieceCrosses {
		order = inTurn(r.outwards(), order)
	}
	cut := map[plan.Strand]bool{}
	for _, c := range order {
		cut[strand(c.Strand)] = true
	}
	for _, c := range r.f.Crosses {
		cut[strand(c.Strand)] = true // a starting knot goes with its cross, or with the main that it sits on
	}
	undone := r.undoneBy(cut)
	if r.phase = plan.PhaseMains; piece == plan.PieceCrosses {
		r.phase = plan.PhaseCrosses
	}
	if !tight && r.gripped(cut) {
		r.begin("Clamps off")
		r.note("the string has no tension left that they could hold")
		r.clampsOff(cut)
		r.hands.end()
	}
	for len(order) > 0 {
		n := min(len(order), atOnce)
		r.begin("Cut out, from the centre outwards")
		for _, c := range order[:n] {
			r.op(plan.Op{Op: plan.Cut, Strand: strand(c.Strand)})
			r.comeAway(c)
			r.clampsOff(cut)
			r.gone(c)
		}
		if order = order[n:]; len(order) == 0 {
			r.steps[len(r.steps)-1].Undoes = undone
		}
		r.hands.end()
	}
	r.startKnotGone(piece, undone)
}

// startKnotGone opens a starting knot whose cross is not woven yet; without the main that it sits on it is gone already.
func (r *recovery) startKnotGone(piece plan.Piece, undone []int) {
	for t, hole := range r.knotOf {
		if t.strand.Kind != patterns.Cross {
			continue
		}
		if piece == plan.PieceCrosses {
			r.begin("Open the starting knot")
			r.op(plan.Op{Op: plan.Untie, Strand: strand(t.strand), Out: r.name(t.hole), Hole: r.name(hole)})
			r.steps[len(r.steps)-1].Undoes = undone
			r.hands.end()
		}
		r.untied(t)
	}
}

// gripped says whether a clamp stands on one of some strands.
func (r *recovery) gripped(cut map[plan.Strand]bool) bool {
	for _, g := range r.clamps {
		if cut[g.Strand] {
			return true
		}
	}
	return false
}

// comeAway forgets the clamps on a strand that is cut while they hold its tension: they come away with it.
func (r *recovery) comeAway(c patterns.Chord) {
	for _, name := range plan.Clamps() {
		if g, on := r.clamps[name]; on && g.Strand == strand(c.Strand) {
			r.note(fmt.Sprintf("clamp %s comes away with it", name))
			delete(r.clamps, name)
		}
	}
}

func (r *recovery) clampsOff(cut map[plan.Strand]bool) {
	for _, c := range plan.Clamps() {
		if g, on := r.clamps[c]; on && cut[g.Strand] {
			r.ungrip(c)
		}
	}
}

// atOnce is how many cuts stand in a step, so that they are read at a glance.
const atOnce = 6

// undoneBy are the done steps that count no more when strands are cut out.
func (r *recovery) undoneBy(cut map[plan.Strand]bool) (out []int) {
	for i := range r.p.Steps[:r.done] {
		s := &r.p.Steps[i]
		if s.Base == 0 || !r.effective[s.Base] {
			continue
		}
		anew := strings.HasPrefix(s.Title, prestretch) && cut[r.firstLaid(i)]
		for j := range s.Ops {
			anew = anew || cut[s.Ops[j].Strand]
		}
		if anew {
			out = append(out, s.Base)
			delete(r.effective, s.Base)
		}
	}
	return out
}

// firstLaid is the first strand that is laid after a step.
func (r *recovery) firstLaid(step int) plan.Strand {
	for i := step; i < len(r.p.Steps); i++ {
		if o := r.p.Steps[i].Lay(); o != nil {
			return o.Strand
		}
	}
	return ""
}

// outwards are the mains that lie in the frame, from the centre, left and right in turn; of the two centre ones that
// comes first on which no clamp stands.
func (r *recovery) outwards() []patterns.Chord {
	left, right := r.there(r.f.Mains[0]), r.there(r.f.Mains[1])
	switch {
	case len(left) == 0 || len(right) == 0 || left[0].Number < right[0].Number:
	case left[0].Number > right[0].Number || r.clampOn(left[0]):
		return inTurn(right, left)
	}
	return inTurn(left, right)
}

// fromTheMiddle are strands from the middle one, on this and that side in turn; of two middle ones that comes first on
// which no clamp stands.
func (r *recovery) fromTheMiddle(list []patterns.Chord) []patterns.Chord {
	half := len(list) / 2
	up, down := slices.Clone(list[:half]), list[half:]
	slices.Reverse(up)
	if len(up) == len(down) && len(down) > 0 && r.clampOn(down[0]) {
		return inTurn(up, down)
	}
	return inTurn(down, up)
}

func (r *recovery) clampOn(c patterns.Chord) bool {
	return r.gripped(map[plan.Strand]bool{strand(c.Strand): true})
}

func (r *recovery) there(list []patterns.Chord) (out []patterns.Chord) {
	for _, c := range list {
		if _, in := r.exit[c.Strand]; in {
			out = append(out, c)
		}
	}
	return out
}

// inTurn takes from two lists in turn, then what is left of the longer one.
func inTurn(a, b []patterns.Chord) (out []patterns.Chord) {
	for i := range max(len(a), len(b)) {
		if i < len(a) {
			out = append(out, a[i])
		}
		if i < len(b) {
			out = append(out, b[i])
		}
	}
	return out
}

// takeOff ends the work on a cracked frame.
func (r *recovery) takeOff() {
	r.phase = plan.PhaseFinish
	r.begin("Take the cracked frame off")
	for _, s := range r.t.Mount.Release {
		if r.mounted[s] {
			r.op(plan.Op{Op: plan.Dismount, Support: s})
		}
	}
	r.inspect("the crack: where, how long, a picture of it; the owner is told")
	r.hands.end()
}

// goOn writes the steps of the plan without mishaps that are not done or do not count any more, in their order.
func (r *recovery) goOn() error {
	base := map[int]*plan.Step{}
	for i := range r.p.Steps {
		// What was laid before is not laid once more, so only the first writing of a step is complete.
		if s := &r.p.Steps[i]; s.Base > 0 && base[s.Base] == nil {
			base[s.Base] = s
		}
	}
	var todo []*plan.Step
	for n, s := range base {
		if !r.effective[n] {
			todo = append(todo, s)
		}
	}
	slices.SortFunc(todo, func(a, b *plan.Step) int { return cmp.Compare(a.Base, b.Base) })
	for _, s := range todo {
		if err := r.again(s); err != nil {
			return err
		}
	}
	return nil
}

// again writes a step anew: what is laid stays laid, covered holes and tie-off holes are worked out as things are now.
func (r *recovery) again(s *plan.Step) error {
	r.phase = s.Phase
	r.begin(s.Title)
	r.steps[len(r.steps)-1].Base = s.Base
	var knot tail
	for i := range s.Ops {
		o := &s.Ops[i]
		c, _ := r.chordOf(o.Strand)
		switch o.Op {
		case plan.Thread, plan.Weave:
			if _, in := r.exit[c.Strand]; !in {
				r.lay(o.Piece, c, r.holeOf(o.From), r.tailOf(o.After, r.holeOf(o.From)))
			}
		case plan.Pull:
			r.pull(c.Strand, r.holeOf(o.Hole), o.BoostPercent > 0, o.Repull)
		case plan.Grab:
			if g := r.clamps[o.Clamp]; g != (plan.Grip{Strand: o.Strand, Hole: o.Hole, Outside: o.Outside}) {
				r.grip(o.Clamp, c.Strand, r.holeOf(o.Hole), o.Outside)
			}
		case plan.Unclamp:
			r.ungrip(o.Clamp)
		case plan.Tie:
			knot = tail{c.Strand, r.holeOf(o.Out)}
			if err := r.tie(knot, o.Knot); err != nil {
				return err
			}
		case plan.Trim:
			r.trim(knot)
		case plan.Note:
			if !generated(o.Text) {
				r.note(o.Text)
			}
		default:
			r.op(*o)
		}
	}
	r.hands.end()
	return nil
}

// generated says whether a note comes with the laying of a strand, which writes it anew.
func generated(note string) bool {
	return strings.HasPrefix(note, hardWeave) || strings.HasPrefix(note, scrap)
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
