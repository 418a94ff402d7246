package sequence

import (
	"errors"
	"fmt"
	"math/bits"
	"slices"
	"strings"
	"sync"

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
//
// What is to come is proven (Prove); the error is Unproven where the referee refuses it.
func Recover(p *plan.Plan, done int, t Trouble) (*plan.Plan, error) {
	switch {
	case t.Fault == "":
		return nil, fmt.Errorf("no mishap is named")
	case t.Fault == plan.FaultPause:
		return pause(p, done, t)
	}
	if t.Fault == plan.FaultSplit && t.Choose == "" && done >= 0 && done < len(p.Steps) {
		r := p.AfterOps(done, max(0, min(t.Ops, len(p.Steps[done].Ops))))
		for _, h := range SplitHoles(p, done, r, t.Hole) {
			t.Choose = string(h.Hole)
			if next, err := wayBack(p, done, t, false); err == nil {
				return next, nil
			}
		}
		t.Choose = plan.Sleeve
	}
	return wayBack(p, done, t, false)
}

// StringAnew is the way back by which all of the string is cut out and strung anew, whatever went wrong: the last resort where the one
// that undoes least does not keep the rules.
func StringAnew(p *plan.Plan, done int, t Trouble) (*plan.Plan, error) {
	if t.Fault == plan.FaultSplit && t.Choose == "" {
		t.Choose = plan.Sleeve
	}
	return wayBack(p, done, t, true)
}

// GoOn makes the plan by which a job goes on from where it stands when nothing new went wrong: the same done steps, then what
// is still to be put right, then the rest.
func GoOn(p *plan.Plan, done int) (*plan.Plan, error) {
	return wayBack(p, done, Trouble{}, false)
}

// fork is a place where a way back can go on in two ways, of which now this, now that is the shorter.
type fork uint

const (
	pullsOn    fork = 1 << iota // the gripper keeps its load till it is wanted at the same point, and is not eased before
	setLater                    // clamps that crept are set again after what is wrong was undone
	passLoop                    // what is doubted is pulled once more where it is before what is doubted across the centre loop
	finishPull                  // what the gripper pulls is clamped anew before anything else, though it may be let go later
	drawOut                     // what lies in a wrong hole and is slack is drawn out, though its end could be moved
	atStart                     // what was pulled at a wrong setting is pulled once more at its start, where that can be
	asLead                      // the lead counts what is pulled once more where it is as pulled
	startStays                  // the first cross's tail is not finished by a pull that could
	mixed                       // slack is walked from mains into crosses
	walkOn                      // slack is walked on from a clamp that lies on it, and that is not taken off before
	staysOut                    // what the gripper lost is not pulled before what is wrong is undone
	walkRest                    // slack that is left is walked out, and not pulled strand by strand as the technique has it
	atFarEnd                    // slack before what is tight is pulled at its far end, and what is tight stays
	givesWay                    // the gripper gives way, though what it pulls is not let go for anything wrong
	fromLoop                    // what is doubted beyond the centre loop is let go, and what is doubted before it pulled there
	holdsFirst                  // what lies wrong and is slack holds first what is walked out and pulled beyond it
	withRest                    // what is doubted is not pulled where it is before what is wrong is undone
	forks      = iota
)

// wayBack is the way back that undoes least, or the one that leaves the frame bare before it is strung anew. At each fork that it comes to
// both ways are tried, and the shorter is taken if it is proven, until none is shorter; a longer one where that is proven alone. The error is
// Unproven where none is.
func wayBack(p *plan.Plan, done int, t Trouble, bare bool) (*plan.Plan, error) {
	best, err := wayBackBy(p, done, t, bare, 0, nil)
	if err != nil {
		return nil, err
	}
	// other is the shortest proven one of those that take one more fork, or two, shorter than a way if one is given.
	other := func(than *way, taken []fork) *way {
		others, each := make([]*way, len(taken)), sync.WaitGroup{}
		for i := range taken {
			each.Go(func() { others[i], _ = wayBackBy(p, done, t, bare, taken[i], than) })
		}
		each.Wait()
		others = slices.DeleteFunc(others, func(w *way) bool { return w == nil })
		slices.SortStableFunc(others, func(a, b *way) int { return a.labour - b.labour })
		for _, w := range others {
			if Prove(w.plan(), done) == nil {
				return w
			}
		}
		return nil
	}
	proven := false
	for w := best; w != nil; {
		if best, w = w, other(w, w.further(1)); w == nil {
			w = other(best, best.further(2))
		}
		proven = proven || w != nil
	}
	if !proven {
		if err := Prove(best.plan(), done); err != nil {
			if best = other(nil, best.further(1)); best == nil {
				return nil, Unproven{err}
			}
		}
	}
	return best.plan(), nil
}

// way is a way back, with the forks that it came to and those it took, and what it takes of hands.
type way struct {
	start      *plan.Racket      // as it was when it went wrong
	plan       func() *plan.Plan // made when it is asked for: most are longer than another
	met, taken fork
	labour     int
}

// further are the forks that a way took with so many more of those that it came to.
func (w *way) further(n int) (out []fork) {
	for i := range forks {
		for j := range forks {
			if other := fork(1<<i | 1<<j); bits.OnesCount(uint(other)) == n && i <= j && w.met&^w.taken&other == other {
				out = append(out, w.taken|other)
			}
		}
	}
	return out
}

// wayBackBy is the way back that goes otherwise at some forks. Where another way is given, from the same racket, it is shorter than that.
func wayBackBy(p *plan.Plan, done int, t Trouble, bare bool, taken fork, than *way) (*way, error) {
	var start *plan.Racket
	if than != nil {
		start = than.start
	}
	r, err := newRecovery(p, done, &t, start)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", t.Words(), err)
	}
	start, r.bare, r.taken = r.racket.Clone(), bare, taken
	if r.phase = p.Steps[min(done, len(p.Steps)-1)].Phase; t.Fault != "" {
		if err := r.record(p, done); err != nil {
			return nil, fmt.Errorf("%s: %w", t.Words(), err)
		}
	}
	before, recorded := r.racket.Clone(), len(r.steps)
	long := func(left int) bool { return than != nil && labour(before, r.steps[recorded:])+left >= than.labour }
	if r.cure(); !r.racket.Cracked() {
		if long(r.left()) {
			return nil, errLonger
		}
		if err := r.goOn(); err != nil {
			return nil, err
		}
	}
	if long(0) {
		return nil, errLonger
	}
	if r.taken&pullsOn != 0 && r.inTheWay {
		return nil, fmt.Errorf("%s: the gripper pulls already", t.Words())
	}
	if before.Gripper() != nil {
		r.met |= pullsOn
	}
	made := sync.OnceValue(func() *plan.Plan {
		r.unneeded()
		next := *p
		next.Frame = p.LayoutName(r.racket)
		next.Warnings = r.newWarnings(p)
		next.Totals = r.racket.Totals()
		return instead(next, append(slices.Clone(p.Steps[:done:done]), apart(r.steps, p.After(done))...))
	})
	return &way{start, made, r.met, taken, labour(before, r.steps[recorded:])}, nil
}

var errLonger = errors.New("another way back takes less")

// left is what the rest of the stringing takes at least: a laying for a strand that is not laid, a pull and an easing for one that is not tight.
// Flying clamps start the crosses with one pull for two, and the gripper may pull one already.
func (r *recovery) left() (n int) {
	for _, s := range r.racket.Spans() {
		if !s.Laid() {
			n++
		}
		if !s.Tight {
			n += 2
		}
	}
	if r.t.Clamps.Flying > 0 {
		n -= 2
	}
	if r.racket.Gripper() != nil {
		n -= 2
	}
	return n
}

// newPiece is what a piece of string that is cut though it was whole counts, in acts of hands.
const newPiece = 20

// labour is what some steps take: a pull, an easing, a let-go, a laying and a knot, in or out, is 1, as is a cut.
func labour(before *plan.Racket, steps []plan.Step) (n int) {
	var cut []plan.Piece
	for _, s := range steps {
		for _, o := range s.Ops {
			switch o.Op {
			case plan.Cut:
				n++
				if p := before.Span(o.Strand).Piece; !before.Lost(p) && !slices.Contains(cut, p) {
					cut = append(cut, p)
					n += newPiece
				}
			case plan.Pull, plan.Release, plan.Slacken, plan.Thread, plan.Weave, plan.Unthread, plan.Unweave, plan.Move, plan.Tie, plan.Untie:
				n++
			}
		}
	}
	return n
}

// otherwise says whether it goes otherwise at a fork, which the way back came to.
func (r *recovery) otherwise(f fork) bool {
	r.met |= f
	return r.taken&f != 0
}

// recovery writes the steps that put things right.
type recovery struct {
	*planner
	wrong *Trouble
	terms *plan.Terms
	loop  plan.Strand // the centre main beyond the centre loop, where slack comes as far as that
	stuck bool        // an end of what broke is in the gripper
	bare  bool        // all of the string comes out
	taken fork        // the forks where it goes otherwise
	met   fork        // those that it came to
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
	if r.taken&pullsOn != 0 {
		r.pullDoubted() // where it pulls already
	}
	r.splitUnder()
	r.cutOut(r.laidOf(func(s plan.Span) bool { return doomed[s.Piece] }))
	r.openKnots()
	r.slackOut()
	r.holdFelt()
	r.takeUp()
	r.clamps()
	r.stillLow()
	r.pullDoubted() // before more is pulled from it
	r.fromKnots()
	r.letGoBeyond()
	r.undoWrong()
	if r.setAgain(); r.taken&setLater != 0 {
		r.stillLow()
		r.undoWrong()
	}
	r.uselessOff()
	r.walkEnds(func() bool { return r.otherwise(walkRest) })
	r.backOut()
	r.card("Clamp off: the string is tight on both sides", func() {
		r.tidy()
		if g := r.racket.Grip(plan.S); g != nil && r.racket.Tight(g.Strand) && r.racket.CanComeOff(plan.S) && (r.tightOutside(plan.Spot{Strand: g.Strand, Hole: g.Hole}) || !r.begun(*g) || r.racket.Span(g.Strand).Ended) {
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
		write("Set the machine to "+r.terms.PullOf(s).Ordered, fmt.Sprintf("the machine is set to what %s is ordered, %s, and pulls in that unit", s, r.terms.PullOf(s).Ordered))
	case r.stuck:
		write("Look at the gripper", "the gripper: the broken end is out of its jaws, and they are clean")
	case r.wrong.Fault == plan.FaultKink && r.wrong.Choose == plan.Past:
		write(fmt.Sprintf("Work the kink past %s", s), fmt.Sprintf("the kink or nick is worked past %s: it comes to lie in no span, else the piece is replaced", s))
	case r.wrong.Fault == plan.FaultShort && r.wrong.Choose == plan.Bridge:
		whom := "the gripper"
		if r.racket.Tight(s) {
			whom = "the hands that go on with it: every hitch is in " + string(s) + " itself, the scrap comes off before trimming"
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
		r.inspect(fmt.Sprintf("hole %s under %s, which stays tight in it: no edge cuts the string, else it has a nick, which is told; if laminate shows, stop: the frame is cracked",
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
