package act

import (
	"slices"
	"strings"

	"pullcard/patterns/measure"
	"pullcard/sequence/plan"
)

// do fills in what one op says.
func (a *Act) do(p *plan.Plan, r *plan.Racket, o *plan.Op) {
	a.Strand = o.Strand
	switch o.Op {
	case plan.Mount:
		a.Verb, a.Text = Mount, o.Support
	case plan.Dismount:
		a.Verb, a.Text = Dismount, o.Support
	case plan.Thread, plan.Weave:
		a.lay(r, o)
	case plan.Pull:
		a.pull(p, r, o)
	case plan.ClampOn:
		a.Verb = ClampOn
		if r.JawMark(plan.Spot{Strand: o.Strand, Hole: o.Hole}) {
			a.Notes, a.Mark = append(a.Notes, "a finger's breadth from the mark of the jaws that slipped there"), true
		}
		a.grip(p, r, o.Clamp, plan.Grip{Strand: o.Strand, Hole: o.Hole, Outside: o.Outside, With: o.With})
	case plan.Unclamp:
		a.Verb, a.Clamp = ClampOff, o.Clamp
		if g := r.Grip(o.Clamp); g != nil {
			a.grip(p, r, o.Clamp, *g)
			if !r.Holds(o.Clamp) && !r.Tight(g.Strand) { // perhaps another one let go
				a.Warn = append(a.Warn, PressFirst+string(g.Strand)+" first: it must be slack; if it is tight, leave the clamp on, and take back what was told")
			}
			if k := r.KnotOf(plan.Spot{Strand: g.Strand, Hole: g.Hole}); k != nil && !k.Trimmed {
				a.Knot = k.Name
			}
		}
	case plan.Release:
		a.Verb = Ease
		if g := r.Gripper(); g != nil {
			a.Strand, a.From, a.To = g.Strand, r.Other(g.Strand, g.Hole), g.Hole
		}
	case plan.Slacken:
		a.Verb, a.From, a.To = Release, o.Hole, r.Other(o.Strand, o.Hole)
	case plan.Tie:
		a.tie(p, r, o)
	case plan.Trim:
		a.Verb, a.To, a.TailMM = Trim, o.Hole, o.TailMM
		if k := r.KnotIn(o.Hole); k != nil {
			a.Strand = k.Strand
		}
	case plan.Untie:
		a.Verb, a.From, a.To = Untie, o.Hole, o.Out
	case plan.Straighten:
		a.Verb = Straighten
		if s := r.Span(o.Strand); s != nil {
			a.From, a.To = s.In, s.Out
		}
	case plan.Unthread, plan.Unweave:
		if a.Verb, a.From, a.To = DrawOut, o.To, o.From; freeEnd(r, o.Strand, o.From) { // what hangs at the other end is not drawn through the bed
			a.From, a.To = o.From, o.To
		}
	case plan.Move:
		a.Verb, a.From, a.To, a.Blocked = Move, o.From, o.To, scraps(r, o.Blocked)
	case plan.WalkSlack:
		a.Verb, a.Strands = WalkSlack, o.Strands
		if len(o.Strands) > 0 {
			a.Strand = o.Strands[len(o.Strands)-1]
		}
	case plan.Cut:
		if a.Verb, a.Away = Cut, true; !slices.ContainsFunc(a.Warn, func(text string) bool { return strings.HasPrefix(text, faceAway) }) {
			a.Warn = append(a.Warn, faceAway+" from the string") // a plan says so with the first of several
		}
		if o.Strand.IsCross() && mainsTight(r) && !slices.Contains(a.Warn, MindMains) {
			a.Warn = append(a.Warn, MindMains)
		}
	case plan.Waive:
		a.Verb, a.Text = Leave, strings.TrimPrefix(o.Text, "left as it is: ")
	case plan.Fault:
		a.Verb, a.Text = Happened, o.Text
	default:
		a.Verb, a.Text = Look, o.Text
		if o.Strand != "" {
			a.press(p, r, o)
		}
		for how, verb := range map[string]Verb{plan.JawsCleaned: CleanJaws, plan.BaseCleaned: CleanBase} {
			if clamp, ok := strings.CutSuffix(o.Text, how); ok {
				a.Verb, a.Clamp = verb, plan.Clamp(strings.TrimPrefix(clamp, "clamp "))
			}
		}
	}
}

// freeEnd says whether string ends outside a hole of a strand or in the next one, which broke, and no knot keeps it.
func freeEnd(r *plan.Racket, s plan.Strand, hole plan.Hole) bool {
	at := plan.Spot{Strand: s, Hole: hole}
	next := r.Span(r.Across(at).Strand)
	return (next == nil || next.Broken) && r.KnotOf(at) == nil
}

// press is a strand that is felt, beside a hole where a clamp may come off there.
func (a *Act) press(p *plan.Plan, r *plan.Racket, o *plan.Op) {
	a.Verb, a.WhenTight = Press, o.WhenTight()
	for _, verb := range []string{"press ", "feel "} {
		a.Text = strings.TrimPrefix(strings.TrimPrefix(a.Text, verb+string(o.Strand)), ",")
	}
	a.Text = strings.TrimSpace(a.Text)
	if a.To = o.Hole; a.To == "" { // an older plan says the clamp in words only
		for _, c := range plan.Clamps() {
			if g := r.Grip(c); g != nil && g.Strand == o.Strand && strings.HasPrefix(a.Text, "beside clamp "+string(c)) {
				a.To = g.Hole
			}
		}
	}
	if a.To != "" {
		a.From = r.Other(o.Strand, a.To)
	}
}

// lay is a strand that is fed or woven.
func (a *Act) lay(r *plan.Racket, o *plan.Op) {
	a.Verb, a.From, a.To, a.Blocked = Feed, o.From, o.To, scraps(r, o.Blocked)
	a.shares(r, o)
	if o.Op == plan.Thread {
		return
	}
	a.Verb, a.Face, a.Meets = Weave, o.First, o.Meets
	if o.After == "" {
		return
	}
	if s := r.Span(o.After); s != nil && s.Laid() {
		if tail, ok := r.Tail(o.After, o.From); ok && r.At(tail.Hole) == r.At(s.In) {
			a.Verb = DoubleBack
		}
	}
}

// shares says which holes of a strand that is laid hold another one already.
func (a *Act) shares(r *plan.Racket, o *plan.Op) {
	for _, h := range []plan.Hole{o.From, o.To} {
		if slices.ContainsFunc(r.Through(r.At(h)), func(s plan.Strand) bool { return s != o.Strand }) {
			a.Shared = append(a.Shared, h)
		}
	}
	if len(a.Shared) > 0 {
		a.Warn = append(a.Warn, plan.Holes(a.Shared)+" shared with a strand that lies: a blunt awl beside it")
	}
}

// tie is a tail that is tied; a hole that the layout does not name for that is no easy one.
func (a *Act) tie(p *plan.Plan, r *plan.Racket, o *plan.Op) {
	a.Verb, a.From, a.To, a.Anchor, a.Knot = Tie, o.Out, o.Hole, o.Anchor, o.Knot
	if !r.Short(o.Strand) {
		a.NeedMM = KnotNeedMM
	}
	a.Blocked, a.Start = scraps(r, []plan.Hole{o.Hole}), !r.Laid(o.Strand)
	if !madeForKnot(p, r, o.Hole) {
		a.Warn = append(a.Warn, string(o.Hole)+" is not made for a knot: a blunt awl, beside "+string(o.Anchor))
	}
}

// madeForKnot says whether a layout names a hole for knots.
func madeForKnot(p *plan.Plan, r *plan.Racket, hole plan.Hole) bool {
	return slices.ContainsFunc(slices.Concat(p.Terms.TieMains, p.Terms.TieCrosses), func(h plan.Hole) bool { return r.At(h) == r.At(hole) })
}

// scraps are those of some holes in which a scrap was left.
func scraps(r *plan.Racket, holes []plan.Hole) (out []plan.Hole) {
	for _, h := range holes {
		if r.Scrap(h) {
			out = append(out, h)
		}
	}
	return out
}

// pull is what the gripper draws, or takes over.
func (a *Act) pull(p *plan.Plan, r *plan.Racket, o *plan.Op) {
	a.Verb, a.From, a.To, a.With = Pull, r.Other(o.Strand, o.Hole), o.Hole, o.Also
	a.Tension, a.Boost, a.Changed = o.Tension, o.BoostPercent, lastTension(r) != o.Tension
	if most := boostedAbove(&p.Terms, o); most != "" {
		a.Warn = append(a.Warn, "above the printed "+most)
	}
	if r.Short(o.Strand) && r.ChosenKnotHole(o.Strand) == "" {
		a.Away, a.Warn = true, append(a.Warn, faceAway+" from the joint of the scrap")
	}
	if o.Repull {
		if a.Verb, a.Load = Repull, r.Tight(o.Strand); a.Load && !gains(r, o) {
			a.Verb = TakeLoad
		}
	}
	if s := r.Span(o.Strand); s == nil || s.Turn == 0 && !s.Drawn {
		return // of what is pulled for the first time a bight was left outside
	}
	at := plan.Spot{Strand: o.Strand, Hole: o.Hole}
	a.Bight, a.Back = r.Across(at) != plan.Spot{}, r.SlackBeyond(at)
	slices.Reverse(a.Back)
}

// boostedAbove is the end of the range that is printed on the frame where only the boost takes a pull above it; one that was ordered
// above it was doubted before the work began.
func boostedAbove(t *plan.Terms, o *plan.Op) string {
	_, most, _ := strings.Cut(t.PrintedRange, " to ")
	top, err := measure.ParseTension(most)
	if err != nil || o.BoostPercent == 0 || o.Newtons <= top.Newtons() || t.PullOf(o.Strand).Newtons > top.Newtons() {
		return ""
	}
	return most
}

// lastTension is what was pulled last of what still lies, empty for nothing.
func lastTension(r *plan.Racket) (out string) {
	turn := 0
	for _, s := range r.Spans() {
		if s.Turn > turn {
			turn, out = s.Turn, s.Tension
		}
	}
	return out
}

// gains says whether what is tight is pulled again because it wants tension: it lost some, or was never pulled as it should be, or it
// is the first cross's tail, which the starting clamp holds until it is finished.
func gains(r *plan.Racket, o *plan.Op) bool {
	s := r.Span(o.Strand)
	wants := slices.ContainsFunc(r.Open(), func(x plan.Op) bool {
		return x.Strand == o.Strand && (x.Fault == plan.FaultLate || x.Fault == plan.FaultTension)
	})
	g := r.Grip(plan.S)
	starts := g != nil && g.Strand == o.Strand && r.At(g.Hole) == r.At(o.Hole) && r.At(s.In) == r.At(o.Hole)
	return s.Low || wants || starts && !s.Ended
}

// grip is where a clamp stands.
func (a *Act) grip(p *plan.Plan, r *plan.Racket, c plan.Clamp, g plan.Grip) {
	a.Clamp, a.Strand, a.To, a.Outside, a.With = c, g.Strand, g.Hole, g.Outside, g.With
	a.From = r.Other(g.Strand, g.Hole)
	if g.With != "" {
		a.Beside = r.Beside(g).Hole
	}
	if c != plan.S {
		return
	}
	for _, other := range []plan.Clamp{plan.A, plan.B} { // S stands behind one that holds the same point inside
		if at := r.Grip(other); at != nil && at.Strand == g.Strand && r.At(at.Hole) == r.At(g.Hole) && !g.Outside {
			a.Behind = other
		}
	}
}
