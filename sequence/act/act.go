// Package act says what hands do: a step as a list of acts, each one verb and one object, in the order of the hands. Acts
// follow from a step's ops and the racket before it; a Table puts them into words. Screens, print, tables and voice all get
// their words here, so that they cannot differ.
//
// Call Of for the acts of a step, then Written().Line, or Table.Say of the table that a voice speaks by.
package act

import (
	"slices"
	"strings"

	"pullcard/sequence/plan"
)

// Verb is what hands do. Its text is the key of its words in a Table.
type Verb string

// The verbs.
const (
	Mount      Verb = "mount" // a support
	Dismount   Verb = "dismount"
	Feed       Verb = "feed"
	Weave      Verb = "weave"
	DoubleBack Verb = "double-back" // weave with the short end, from where the piece was begun
	Pull       Verb = "pull"
	Repull     Verb = "re-pull" // pull what was pulled before; what is tight is taken over by the gripper
	ClampOn    Verb = "clamp-on"
	ClampOff   Verb = "clamp-off"
	Ease       Verb = "ease"
	Tie        Verb = "tie"
	Untie      Verb = "untie"
	Trim       Verb = "trim"
	Straighten Verb = "straighten"
	Release    Verb = "release" // the gripper gives way slowly: the strand goes slack
	DrawOut    Verb = "draw-out"
	Move       Verb = "move" // an end of a strand, from a wrong hole into its own
	WalkSlack  Verb = "walk-slack"
	Cut        Verb = "cut"
	Measure    Verb = "measure" // a piece of string, and cut it off to go in
	Press      Verb = "press"   // a strand, to feel whether it is slack
	Look       Verb = "look"
	Leave      Verb = "leave"    // a strand as it lies, by name
	Happened   Verb = "happened" // nothing is done: what went wrong is written down
)

// Verbs lists every verb.
func Verbs() []Verb {
	return []Verb{Mount, Dismount, Feed, Weave, DoubleBack, Pull, Repull, ClampOn, ClampOff, Ease, Tie, Untie, Trim, Straighten,
		Release, DrawOut, Move, WalkSlack, Cut, Measure, Press, Look, Leave, Happened}
}

// Act is one thing that hands do. Only the fields of its verb mean anything.
type Act struct {
	Verb   Verb
	Strand plan.Strand
	// Strands are all strands of a cut or of a walk, in their order.
	Strands []plan.Strand
	// From and To are the way that the string moves: of a feed and a weave from the hole where it enters the hoop; of a pull
	// to the hole outside which the gripper is; of what goes slack or comes out back from there; of a knot from where the
	// tail leaves to where it is tied. A strand is pressed beside To, where that matters.
	From, To plan.Hole
	// With is the strand that is pulled tight together with Strand, or the partner that a flying clamp grips too, there at
	// the hole Beside.
	With   plan.Strand
	Beside plan.Hole
	// Clamp stands, or stood, on Strand at To; Outside the frame, or Behind another clamp on the slack side of it.
	Clamp   plan.Clamp
	Outside bool
	Behind  plan.Clamp
	// Tension is what a pull is set to, as "26.4 kg", Boost what of it is the boost, in percent.
	Tension string
	Boost   float64
	// Load says that a pull takes over what a holder holds, Bight that the string goes on outside: it is gripped in a bight, for
	// which the slack of Back, from the far end on, is drawn back to the gripper first.
	Load, Bight bool
	Back        []plan.Strand
	Face        plan.Face // how a cross passes the first main
	Meets       int       // and how many it meets
	Anchor      plan.Strand
	Knot        string // of a clamp that comes off: what holds its tail from then on
	// TailMM is what stays of a tail that is trimmed, NeedMM how much of it the knot needs that is tied or comes next.
	TailMM, NeedMM float64
	// Blocked are those of the holes over which a run lies already, with a scrap left in them to follow.
	Blocked []plan.Hole
	// Piece is what is measured, and how long it is where that is known.
	Piece plan.Piece
	Length
	// Text is what a look is at, what a support is called, or why something is left as it is.
	Text string
	// Warn are what to know before, Notes what to know with it, in the plan's words.
	Warn, Notes []string
	// Start says that a knot is a starting one: it is tied before the strand is laid.
	Start bool
	// Stop says that this is looked at before anything else of the step is done.
	Stop bool
	// From op First on, Ops ops of the step are this act; none for a look that no op asks for.
	First, Ops int
}

// Length is how long a piece of string is cut, nought where that is not known; ShortMM is how much of it is its short side or end,
// nought for none.
type Length struct{ CutMM, ShortMM float64 }

// KnotNeedMM is how much tail a knot needs beyond its hole: 15 to 20 cm, common practice of the trade.
const KnotNeedMM = 200

// hand says whether an op moves hands or eyes: a note goes with the next one that does.
func hand(o *plan.Op) bool { return o.Op != plan.Note }

// Group parts the ops of a step into those of its acts: each op of its own, but cuts that follow each other together and a
// note with what it is about, which comes after it, or before where nothing does.
func Group(ops []plan.Op) (out [][]plan.Op) {
	from := 0
	for i := range ops {
		if !hand(&ops[i]) || ops[i].Op == plan.Cut && i+1 < len(ops) && ops[i+1].Op == plan.Cut {
			continue
		}
		out, from = append(out, ops[from:i+1]), i+1
	}
	switch rest := ops[from:]; {
	case len(rest) == 0:
	case len(out) == 0:
		out = append(out, rest)
	default:
		last := len(out[len(out)-1])
		out[len(out)-1] = ops[from-last:]
	}
	return out
}

// Of are the acts of a step, the racket being as it is before it; nil works that out. The racket is not changed.
func Of(p *plan.Plan, n int, before *plan.Racket) []Act {
	if before == nil {
		before = p.After(n - 1)
	}
	return OfOps(p, n, before, p.Steps[n-1].Ops)
}

// OfOps is the same for some ops of the step, as of one that is done once more; before is the racket before those.
func OfOps(p *plan.Plan, n int, before *plan.Racket, ops []plan.Op) (out []Act) {
	r, first := before.Clone(), 0
	for _, group := range Group(ops) {
		a := of(p, r, group)
		a.First, a.Ops = first, len(group)
		first += len(group)
		out = append(out, a)
		_ = r.ApplyAll(group) // an op that does not fit changes nothing
	}
	about(out)
	out = finishes(before, starts(foretell(p, n, ops, out)))
	return looks(p, n, before, append(measures(begun(before, r)), crossesOut(before, r, out)...))
}

// of is the act of a group of ops.
func of(p *plan.Plan, r *plan.Racket, group []plan.Op) (a Act) {
	for i := range group {
		if o := &group[i]; hand(o) {
			a.do(p, r, o)
			if o.Op == plan.Cut {
				a.Strands = append(a.Strands, o.Strand)
			}
			continue
		}
		switch text := group[i].Text; {
		case isWarning(text):
			a.Warn = append(a.Warn, text)
		default:
			a.Notes = append(a.Notes, text)
		}
	}
	if a.Verb == "" { // notes alone
		a.Verb, a.Text, a.Notes = Look, a.Notes[0], a.Notes[1:]
	}
	return a
}

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
		a.grip(p, r, o.Clamp, plan.Grip{Strand: o.Strand, Hole: o.Hole, Outside: o.Outside, With: o.With})
	case plan.Unclamp:
		a.Verb, a.Clamp = ClampOff, o.Clamp
		if g := r.Grip(o.Clamp); g != nil {
			a.grip(p, r, o.Clamp, *g)
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
		a.Verb, a.From, a.To = DrawOut, o.To, o.From
	case plan.Move:
		a.Verb, a.From, a.To, a.Blocked = Move, o.From, o.To, scraps(r, o.Blocked)
	case plan.WalkSlack:
		a.Verb, a.Strands = WalkSlack, o.Strands
		if len(o.Strands) > 0 {
			a.Strand = o.Strands[len(o.Strands)-1]
		}
	case plan.Cut:
		a.Verb = Cut
		if len(a.Strands) == 0 && o.Strand[0] == 'C' && mainsTight(r) {
			a.Warn = append(a.Warn, "mind the tight mains with the cutters")
		}
	case plan.Waive:
		a.Verb, a.Text = Leave, o.Text
	case plan.Fault:
		a.Verb, a.Text = Happened, o.Text
	default:
		a.Verb, a.Text = Look, o.Text
		if o.Strand != "" {
			a.press(p, r, o)
		}
	}
}

// press is a strand that is felt, beside a hole where a clamp may come off there.
func (a *Act) press(p *plan.Plan, r *plan.Racket, o *plan.Op) {
	a.Verb = Press
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
	var shared []plan.Hole
	for _, h := range []plan.Hole{o.From, o.To} {
		if slices.ContainsFunc(r.Through(r.At(h)), func(s plan.Strand) bool { return s != o.Strand }) {
			shared = append(shared, h)
		}
	}
	if len(shared) > 0 {
		a.Warn = append(a.Warn, plan.Holes(shared)+" shared with a strand that lies: a blunt awl beside it")
	}
}

// tie is a tail that is tied; a hole that the layout does not name for that is no easy one.
func (a *Act) tie(p *plan.Plan, r *plan.Racket, o *plan.Op) {
	a.Verb, a.From, a.To, a.Anchor, a.Knot, a.NeedMM = Tie, o.Out, o.Hole, o.Anchor, o.Knot, KnotNeedMM
	a.Blocked, a.Start = scraps(r, []plan.Hole{o.Hole}), !r.Laid(o.Strand)
	named := slices.Concat(p.Terms.TieMains, p.Terms.TieCrosses)
	if !slices.ContainsFunc(named, func(h plan.Hole) bool { return r.At(h) == r.At(o.Hole) }) {
		a.Warn = append(a.Warn, string(o.Hole)+" is not made for a knot: a blunt awl, beside "+string(o.Anchor))
	}
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
	a.Tension, a.Boost = o.Tension, o.BoostPercent
	if o.Repull {
		a.Verb, a.Load = Repull, r.Tight(o.Strand)
	}
	if s := r.Span(o.Strand); s == nil || s.Turn == 0 {
		return // of what is pulled for the first time a bight was left outside
	}
	a.Back = laced(r, o)
	a.Bight = len(a.Back) > 0
	if last := len(a.Back); last > 0 && r.Tight(a.Back[last-1]) {
		a.Back = nil
	}
}

// laced are the strands by which the string goes on outside the hole of a pull, from the far one on, as far as they are slack, or the
// first where that is tight.
func laced(r *plan.Racket, o *plan.Op) (out []plan.Strand) {
	line := r.Line(o.Strand)
	at := slices.Index(line, o.Strand)
	next := r.Next(o.Strand)
	if r.At(r.Span(o.Strand).In) == r.At(o.Hole) {
		next = r.Before(o.Strand)
	}
	step := 1
	if at > 0 && line[at-1] == next.Strand {
		step = -1
	}
	for i := at + step; next.Strand != "" && i >= 0 && i < len(line) && (len(out) == 0 || !r.Tight(line[i])); i += step {
		out = append([]plan.Strand{line[i]}, out...)
	}
	return out
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

// Pulls says whether the gripper draws string.
func (a *Act) Pulls() bool { return a.Verb == Pull || a.Verb == Repull }

// Lead is the place of the act that is the largest thing on a card, less than nought for none: what is pulled, woven, tied;
// otherwise what comes first. What is fed is pulled in the same step, so the pull, which says more, leads.
func Lead(acts []Act) int {
	for i := range acts {
		switch acts[i].Verb {
		case Pull, Repull, Weave, DoubleBack, Tie:
			return i
		}
	}
	if i := slices.IndexFunc(acts, func(a Act) bool { return a.Strand != "" }); i >= 0 {
		return i
	}
	return -1
}
