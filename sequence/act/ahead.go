package act

import (
	"slices"
	"strings"

	"pullcard/sequence/plan"
)

// What hands or eyes may be hurt by, said before: the last two only begin it.
const (
	MindMains  = "mind the tight mains with the cutters"
	PressFirst = "press " // a strand, before a clamp comes off that was told to have let go
	faceAway   = "face away"
)

// isWarning says whether a note of the plan is of what must be known before hands move.
func isWarning(text string) bool {
	for _, begin := range []string{"leave a scrap", "hard weave", faceAway, "eye protection", "face out", "clamp ", "no scrap is"} {
		if strings.HasPrefix(text, begin) {
			return true
		}
	}
	return false
}

// foretell says with a pull how much of its tail the knot needs that comes next, and that it only takes the load where the gripper then
// gives way.
func foretell(p *plan.Plan, n int, r *plan.Racket, ops []plan.Op, acts []Act) []Act {
	knot := func(ops []plan.Op, s plan.Strand, out plan.Hole) *plan.Op {
		for i := range ops {
			if o := &ops[i]; o.Op == plan.Tie && o.Strand == s && o.Out == out {
				return o
			}
		}
		return nil
	}
	for i := range acts {
		a := &acts[i]
		a.Fresh = a.Pulls() && lostByGripper(p, n, a.Strand)
		if a.Pulls() && a.Load && givesWay(p, n, ops[a.First+a.Ops:]) {
			a.Verb = TakeLoad
		}
		if !a.Pulls() || a.Load && a.Bight {
			continue
		}
		o := knot(ops, a.Strand, a.To)
		for next := n; o == nil && next < len(p.Steps) && !undone(p.Steps[next].Ops, a.Strand); next++ {
			o = knot(p.Steps[next].Ops, a.Strand, a.To)
		}
		if o != nil && !r.Short(a.Strand) {
			a.Knot, a.NeedMM = o.Knot, KnotNeedMM
		}
	}
	return acts
}

// undone says whether a strand is pulled once more or comes out, so that a knot after that is none of the pull before.
func undone(ops []plan.Op, s plan.Strand) bool {
	return slices.ContainsFunc(ops, func(o plan.Op) bool {
		return o.Strand == s && (o.Op == plan.Pull || o.Op == plan.Slacken || o.Op == plan.Cut || o.Op == plan.Unweave || o.Op == plan.Unthread)
	})
}

// lostByGripper says whether the gripper let a strand go that is pulled in step n again since.
func lostByGripper(p *plan.Plan, n int, s plan.Strand) bool {
	for n--; n > 0; n-- {
		step := &p.Steps[n-1]
		if o := step.Mishap(); o != nil && o.Fault != plan.FaultPause {
			return step.Record && o.Fault == plan.FaultGripper && o.Strand == s
		}
		if o := step.Pull(); o != nil && o.Strand == s {
			return false
		}
	}
	return false
}

// givesWay says whether the gripper gives way slowly once clamps have moved, in the rest of step n or in those after it.
func givesWay(p *plan.Plan, n int, rest []plan.Op) bool {
	for {
		for i := range rest {
			switch rest[i].Op {
			case plan.Slacken:
				return true
			case plan.Release, plan.Pull:
				return false
			}
		}
		if n == len(p.Steps) {
			return false
		}
		rest = p.Steps[n].Ops
		n++
	}
}

// measures are the pieces of string that are cut to their length before a step begins them.
func measures(pieces []plan.Piece) (out []Act) {
	for _, piece := range pieces {
		out = append(out, Act{Verb: Measure, Piece: piece})
	}
	return out
}

// AddLengths puts the lengths to cut into acts; of one that is not known it says so.
func AddLengths(acts []Act, cuts map[plan.Piece]Length) {
	for i := range acts {
		a := &acts[i]
		if reach := cuts[plan.PieceCrosses].ReachMM; a.Verb == Weave && a.NeedMM > 0 && reach > 0 {
			a.NeedMM = reach
		}
		if a.Verb == Weave && i > 0 && acts[i-1].Verb == Measure {
			a.ShortMM = acts[i-1].ShortMM
		}
		if a.Verb == Measure {
			if a.Length = cuts[a.Piece]; a.CutMM == 0 {
				a.Notes = append(a.Notes, unmeasured)
			}
		}
	}
}

// unmeasured is said in the place of a length that cannot be worked out.
const unmeasured = "your usual length: the hoop's size is not known"

// begun are the pieces that a step begins, as the hands do: one that is begun by a starting knot is cut for that.
func begun(before, after *plan.Racket) (out []plan.Piece) {
	var was bool
	for _, k := range before.Knots() {
		was = was || !before.Laid(k.Strand)
	}
	for _, k := range after.Knots() {
		if !after.Laid(k.Strand) && before.KnotIn(k.Hole) == nil {
			out = append(out, plan.PieceCrosses) // no other string begins with a knot
		}
	}
	for _, p := range after.Begun()[len(before.Begun()):] {
		if !was || p != plan.PieceCrosses {
			out = append(out, p)
		}
	}
	return out
}

// starts leaves the tail of a starting knot as it is while nothing has pulled at the knot, although its step has it trimmed.
func starts(acts []Act) []Act {
	for i := 1; i < len(acts); i++ {
		if tie, trim := &acts[i-1], &acts[i]; tie.Verb == Tie && tie.Start && trim.Verb == Trim {
			tie.Ops += trim.Ops
			return slices.Delete(acts, i, i+1)
		}
	}
	return acts
}

// finishes are what hands and eyes do about knots besides ops: one that a clamp was taken off from is watched, and the tail of a
// starting knot is trimmed once the strand is pulled against it and clamped.
func finishes(before *plan.Racket, acts []Act) (out []Act) {
	var last []Act
	for i, a := range acts {
		out = append(out, a)
		switch {
		case a.Verb == ClampOff && a.Knot != "" && i+1 < len(acts) && acts[i+1].Verb == Trim:
			out = append(out, Act{Verb: Look, Text: lookKnot})
		case a.Verb == ClampOn && !before.Tight(a.Strand) && !a.Outside:
			for _, k := range before.Knots() {
				if k.Strand == a.Strand && k.Trimmed && before.Laid(a.Strand) && before.Span(a.Strand).Turn == 0 && before.At(k.Out) == before.At(a.From) {
					last = append(last, Act{Verb: Trim, Strand: a.Strand, To: k.Hole, TailMM: k.TailMM})
				}
			}
		}
	}
	return append(out, last...)
}

// mainsTight says whether there are mains under tension.
func mainsTight(r *plan.Racket) bool {
	return slices.ContainsFunc(r.Spans(), func(s plan.Span) bool { return s.Strand.IsMain() && s.Tight })
}

// crossesOut has the mains looked at when the last cross was cut out of them.
func crossesOut(before, after *plan.Racket, acts []Act) []Act {
	woven := func(r *plan.Racket) bool {
		return slices.ContainsFunc(r.Spans(), func(s plan.Span) bool { return s.Strand.IsCross() && s.Laid() })
	}
	for i := range acts {
		if acts[i].Verb == Cut && woven(before) && !woven(after) && mainsTight(after) {
			acts[i].Notes = append(acts[i].Notes, lookNicks)
		}
	}
	return acts
}

// about gives a strand that is laid what the plan notes of it after the clamp that then goes on, and says ahead that this clamp needs
// room on string that is drawn tight by what is laid.
func about(acts []Act) []Act {
	for i := 1; i < len(acts); i++ {
		lay, on := &acts[i-1], &acts[i]
		if lay.Face == "" || on.Verb != ClampOn {
			continue
		}
		lay.Notes, on.Notes = append(lay.Notes, on.Notes...), nil
		if on.Outside && lay.Verb == Weave && on.Strand == lay.Strand && on.To == lay.From {
			lay.NeedMM = usualReachMM
		}
		if on.Outside && lay.Verb == DoubleBack { // before string is drawn through
			loop := Act{Verb: LeaveLoop, Strand: on.Strand, To: on.To, Text: "clamp " + string(on.Clamp) + " goes on it there", First: lay.First}
			acts = slices.Insert(acts, i-1, loop)
			i++
		}
	}
	return acts
}

// What hands look at although no op asks for it; a plan's own words never change, so these are said when it is shown.
const (
	lookClamps   = "the clamps, tried on this string: each holds, no mark"
	lookSupports = "the supports again: each still touches, none presses"
	lookKnot     = "the knot: it does not creep"
	giveWay      = "if it was tight and the gripper has it: now give way slowly"
	lookNicks    = "then look at the mains: none has a nick; at the supports: each still touches, none presses"
	lookMains    = "the supports again, the mains: none crossed outside, loops seated, knots tight"
)

// looks adds what is looked at between the kinds of work: the clamps on the string before the first main, supports and mains
// before the first cross, the supports once more when all is strung.
func looks(p *plan.Plan, n int, before *plan.Racket, acts []Act) []Act {
	s := &p.Steps[n-1]
	if s.Base == 0 || s.Record {
		return acts
	}
	look := func(text string) Act { return Act{Verb: Look, Text: text} }
	if begins(before, s) {
		at := 0
		for at < len(acts) && (acts[at].Verb == Measure || acts[at].Verb == Feed) {
			at++
		}
		acts = append(acts[:at:at], append([]Act{look(lookClamps)}, acts[at:]...)...)
	}
	if s.Phase == plan.PhaseCrosses && n > 1 && p.Steps[n-2].Phase == plan.PhaseMains && standsBare(before) {
		first := look(lookMains)
		first.Stop = true
		acts = append([]Act{first}, acts...)
	}
	if s.Phase == plan.PhaseFinish && !slices.ContainsFunc(p.Steps[:n-1], func(s plan.Step) bool { return s.Phase == plan.PhaseFinish && s.Base > 0 }) {
		for _, text := range apart(p, n, before) {
			acts = append(acts, look(text))
		}
		acts = append(acts, look(lookSupports))
	}
	return acts
}

// apart is what differs from the plan where it is looked for when all is strung: split holes, and knots in holes that are not made for one.
func apart(p *plan.Plan, n int, r *plan.Racket) (texts []string) {
	for i := range p.Steps[:n-1] {
		o := p.Steps[i].Mishap()
		if o == nil || o.Fault != plan.FaultSplit {
			continue
		}
		text := string(o.Hole) + ", which is split: its edge cuts no string"
		if r.Sleeved(o.Hole) {
			text = string(o.Hole) + ", which is split: the sleeve sits in it"
		}
		if !slices.Contains(texts, text) {
			texts = append(texts, text)
		}
	}
	for _, k := range r.Knots() {
		if !madeForKnot(p, r, k.Hole) {
			texts = append(texts, "the knot of "+string(k.Strand)+" in "+string(k.Hole)+", not a hole for one: tight, the strand there unhurt")
		}
	}
	return texts
}

// asks says of a strand that is pressed whether hands are asked for it, and which clamp comes off it right after, in the step or as the next one; after is the racket after it.
func asks(p *plan.Plan, n int, after *plan.Racket, acts []Act) {
	for i := range acts {
		a := &acts[i]
		switch {
		case a.Verb != Press:
		case i+1 < len(acts):
			if off := &acts[i+1]; off.Verb == ClampOff && off.Strand == a.Strand {
				a.Guards = off.Clamp
			}
		case n < len(p.Steps) && len(p.Steps[n].Ops) > 0:
			if off := &p.Steps[n].Ops[0]; off.Op == plan.Unclamp {
				if g := after.Grip(off.Clamp); g != nil && g.Strand == a.Strand {
					a.Guards = off.Clamp
				}
			}
		}
		if a.Asks = a.Guards != "" || a.WhenTight != ""; a.Asks {
			a.Text, a.Tight, _ = strings.Cut(a.Text, "if it is tight, ")
			a.Text = strings.TrimRight(a.Text, "; ")
		}
	}
}

// felt reminds of what was felt just before a clamp comes off: if its strand was tight there, the gripper has it.
func felt(p *plan.Plan, n int, acts []Act) []Act {
	if n < 2 || len(p.Steps[n-2].Ops) == 0 {
		return acts
	}
	was := &p.Steps[n-2].Ops[len(p.Steps[n-2].Ops)-1]
	for i := range acts {
		if a := &acts[i]; a.Verb == ClampOff && was.Strand == a.Strand && was.WhenTight() == plan.GripTight {
			a.Notes = append(a.Notes, giveWay)
		}
	}
	return acts
}

// cutAlready reminds at a cut of what may be cut by then: it was to be, where it was tight at its clamp.
func cutAlready(p *plan.Plan, n int, acts []Act) []Act {
	for i := range acts {
		a := &acts[i]
		if a.Verb != Cut {
			continue
		}
		may := slices.DeleteFunc(slices.Clone(a.Strands), func(s plan.Strand) bool { return !pressedToCut(p, n, s) })
		if len(may) > 0 {
			a.Notes = append(a.Notes, "pass over "+plan.Names(may)+" if it is cut at its clamp already")
		}
	}
	return acts
}

// pressedToCut says whether a strand was pressed, to be cut if it was tight, in the way back before a step of it.
func pressedToCut(p *plan.Plan, n int, s plan.Strand) bool {
	for i := n - 2; i >= 0 && !p.Steps[i].Record; i-- {
		if slices.ContainsFunc(p.Steps[i].Ops, func(o plan.Op) bool { return o.Strand == s && o.WhenTight() == plan.CutTight }) {
			return true
		}
	}
	return false
}

// begins says whether a step lays the first of the mains.
func begins(r *plan.Racket, s *plan.Step) bool {
	o := s.Lay()
	return o != nil && o.Strand.IsMain() && !slices.ContainsFunc(r.Spans(), func(x plan.Span) bool { return x.Laid() })
}

// standsBare says whether there are mains that are tight, and no cross is laid.
func standsBare(r *plan.Racket) bool {
	tight := 0
	for _, s := range r.Spans() {
		switch main := s.Strand.IsMain(); {
		case main && s.Tight:
			tight++
		case !main && s.Laid():
			return false
		}
	}
	return tight > 0
}
