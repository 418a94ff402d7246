package sequence

import (
	"fmt"
	"slices"
	"strings"

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

// wayBack is the way back that undoes least, or the one that leaves the frame bare before it is strung anew. Where that eases the
// gripper only to pull again at the same point, the gripper keeps its load till then.
func wayBack(p *plan.Plan, done int, t Trouble, bare bool) (*plan.Plan, error) {
	next, again, err := wayBackWith(p, done, t, bare, false)
	if again {
		if on, _, err := wayBackWith(p, done, t, bare, true); err == nil {
			return on, nil
		}
	}
	return next, err
}

// wayBackWith also says whether the gripper is eased only to pull again at the same point.
func wayBackWith(p *plan.Plan, done int, t Trouble, bare, pullsOn bool) (_ *plan.Plan, again bool, err error) {
	r, err := newRecovery(p, done, &t)
	if err != nil {
		return nil, false, fmt.Errorf("%s: %w", t.Words(), err)
	}
	r.bare, r.pullsOn = bare, pullsOn
	if r.phase = p.Steps[min(done, len(p.Steps)-1)].Phase; t.Fault != "" {
		if err := r.record(p, done); err != nil {
			return nil, false, fmt.Errorf("%s: %w", t.Words(), err)
		}
	}
	before, recorded := r.racket.Clone(), len(r.steps)
	if r.cure(); !r.racket.Cracked() {
		if err := r.goOn(); err != nil {
			return nil, false, err
		}
	}
	if r.pullsOn && r.inTheWay {
		return nil, false, fmt.Errorf("%s: the gripper pulls already", t.Words())
	}
	r.unneeded()
	next := *p
	next.Frame = p.LayoutName(r.racket)
	next.Warnings = r.newWarnings(p)
	next.Totals = r.racket.Totals()
	return instead(next, append(slices.Clone(p.Steps[:done:done]), apart(r.steps, p.After(done))...)), easedInVain(before, r.steps[recorded:]), nil
}

// easedInVain says whether what the gripper pulls is eased in some steps and pulled again as it was, with no string moved between.
func easedInVain(before *plan.Racket, steps []plan.Step) bool {
	eased := false
	for _, s := range steps {
		for i := range s.Ops {
			switch o := &s.Ops[i]; o.Op {
			case plan.Pull:
				return eased && before.Pulls(o)
			case plan.Release:
				eased = true
			case plan.Note, plan.Inspect, plan.ClampOn, plan.Unclamp:
			default:
				return false
			}
		}
	}
	return false
}

// recovery writes the steps that put things right.
type recovery struct {
	*planner
	wrong   *Trouble
	terms   *plan.Terms
	loop    plan.Strand // the centre main beyond the centre loop, where slack comes as far as that
	stuck   bool        // an end of what broke is in the gripper
	bare    bool        // all of the string comes out
	pullsOn bool        // the gripper pulls on at the point where it is wanted next
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
	r.pullDoubted() // before more is pulled from it
	r.fromKnots()
	r.letGoBeyond()
	r.undoWrong()
	r.setAgain()
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
