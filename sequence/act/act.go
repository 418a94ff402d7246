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
	LeaveLoop  Verb = "leave-loop"  // of string outside, for the pull there to take up, before what lies beyond it is woven
	DoubleBack Verb = "double-back" // weave with the short end, from where the piece was begun
	Pull       Verb = "pull"
	Repull     Verb = "re-pull"   // pull what was pulled before
	TakeLoad   Verb = "take-load" // the gripper takes over what is tight, so that its holder can come off; it gains nothing
	ClampOn    Verb = "clamp-on"
	ClampOff   Verb = "clamp-off"
	Ease       Verb = "ease"
	Tie        Verb = "tie"
	Untie      Verb = "untie"
	Trim       Verb = "trim"
	Straighten Verb = "straighten"
	Release    Verb = "release" // the gripper gives way slowly: the strand goes slack
	DrawOut    Verb = "draw-out"
	Sleeve     Verb = "sleeve" // a bit of tubing, into a split hole
	Move       Verb = "move"   // an end of a strand, from a wrong hole into its own
	WalkSlack  Verb = "walk-slack"
	Cut        Verb = "cut"
	Measure    Verb = "measure"    // a piece of string, and cut it off to go in
	Press      Verb = "press"      // a strand, to feel whether it is slack
	CleanJaws  Verb = "clean-jaws" // of a clamp that slipped on string, and set them to its gauge
	CleanBase  Verb = "clean-base" // of one that slid on its rail
	Look       Verb = "look"
	Leave      Verb = "leave"    // a strand as it lies, by name
	Happened   Verb = "happened" // nothing is done: what went wrong is written down
)

// Verbs lists every verb.
func Verbs() []Verb {
	return []Verb{Mount, Dismount, Feed, LeaveLoop, Weave, DoubleBack, Pull, Repull, TakeLoad, ClampOn, ClampOff, Ease, Tie, Untie, Trim, Straighten,
		Release, DrawOut, Sleeve, Move, WalkSlack, Cut, Measure, Press, CleanJaws, CleanBase, Look, Leave, Happened}
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
	// Changed says that the pull before was at another tension, or that there was none.
	Changed bool
	// Load says that a pull takes over what a holder holds, Bight that the string goes on outside: it is gripped in a bight, for
	// which the slack of Back, from the far end on, is drawn back to the gripper first.
	Load, Bight bool
	Back        []plan.Strand
	Face        plan.Face // how a cross passes the first main
	Meets       int       // and how many it meets
	Anchor      plan.Strand
	Knot        string // of a clamp that comes off: what holds its tail from then on
	// TailMM is what stays of a tail that is trimmed, NeedMM how much of it the knot needs that is tied or comes next, or, where a weave
	// begins the string, the gripper that pulls it there later.
	TailMM, NeedMM float64
	// Shared are those of the holes of what is laid in which another strand lies, Hard says that it is woven beside a tight one, Fresh that what is
	// pulled slipped out of the gripper, Mark that jaws slipped on the string where a clamp goes on.
	Shared            []plan.Hole
	Hard, Fresh, Mark bool
	// Blocked are those of the holes over which a run lies already, with a scrap left in them to follow.
	Blocked []plan.Hole
	// Piece is what is measured, and how long it is where that is known.
	Piece plan.Piece
	Length
	// Text is what a look is at, what a support is called, or why something is left as it is.
	Text string
	// Away says that string may fly, so the face is kept away.
	Away bool
	// Warn are what to know before, Notes what to know with it, in the plan's words.
	Warn, Notes []string
	// Asks says that hands alone can tell whether a strand that is pressed is slack, as what comes next takes it to be; Guards is the clamp
	// that comes off then. Tight is what is done first where the strand is tight, empty where what was told is then wrong.
	Asks   bool
	Guards plan.Clamp
	Tight  string
	// WhenTight is what that comes to.
	WhenTight plan.WhenTight
	// Start says that a knot is a starting one: it is tied before the strand is laid.
	Start bool
	// Stop says that this is looked at before anything else of the step is done.
	Stop bool
	// From op First on, Ops ops of the step are this act; none for a look that no op asks for.
	First, Ops int
}

// Length is how long a piece of string is cut, nought where that is not known; ShortMM is how much of it is its short side or end,
// nought for none; ReachMM what of an end the gripper needs, nought for the usual.
type Length struct{ CutMM, ShortMM, ReachMM float64 }

// KnotNeedMM is how much tail a knot needs beyond its hole: 15 to 20 cm, common practice of the trade.
const KnotNeedMM = 200

// usualReachMM is how much string reaches from the frame to the gripper: 35 to 45 cm, common practice of the trade.
const usualReachMM = 400

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
		if o := &group[len(group)-1]; a.Verb == Happened && o.Choose == plan.Sleeve && !p.Steps[n-1].Record {
			a.Verb, a.To = Sleeve, o.Hole
		}
		a.First, a.Ops = first, len(group)
		if at := loops(p, n, r, group); at.Strand != "" {
			out = append(out, Act{Verb: LeaveLoop, Strand: at.Strand, To: at.Hole, Text: "about twice the reach", Notes: ofLoop(group), First: first})
		}
		first += len(group)
		out = append(out, a)
		_ = r.ApplyAll(group) // an op that does not fit changes nothing
	}
	out = about(out)
	asks(p, n, r, out)
	out = finishes(before, starts(cutAlready(p, n, felt(p, n, foretell(p, n, before, ops, out)))))
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
			a.Warn, a.Hard = append(a.Warn, text), a.Hard || strings.HasPrefix(text, plan.HardWeave)
		case strings.HasPrefix(text, aLoop): // that is an act of its own, before
		default:
			a.Notes = append(a.Notes, shown(p, text))
		}
	}
	if a.Verb == "" { // notes alone
		a.Verb, a.Text, a.Notes = Look, a.Notes[0], a.Notes[1:]
	}
	return a
}

// shown is a note as it is shown: a plan's own words never change, and of one piece the ends are not level.
func shown(p *plan.Plan, text string) string {
	if begin, level := strings.CutSuffix(text, ", ends level"); level && p.Terms.Pieces == 1 {
		return begin + map[string]string{"L": ", the short end left", "R": ", the short end right"}[p.Terms.Short]
	}
	return text
}

// aLoop begins the note by which a plan tells of the first loop.
const aLoop = "leave a loop "

// ofLoop is what a plan says of the use of a loop where it tells of the first.
func ofLoop(group []plan.Op) []string {
	for i := range group {
		if _, use, ok := strings.Cut(group[i].Text, ": "); ok && strings.HasPrefix(group[i].Text, aLoop) {
			return []string{use}
		}
	}
	return nil
}

// loops is where a loop is left outside before a strand is woven ahead, for the pull that comes there takes it up; the zero spot for none.
func loops(p *plan.Plan, n int, r *plan.Racket, group []plan.Op) plan.Spot {
	lay := &group[0]
	for i := range group {
		if hand(&group[i]) {
			lay = &group[i]
		}
	}
	s := r.Span(lay.After)
	if lay.Op != plan.Weave || s == nil || !s.Laid() || s.Tight {
		return plan.Spot{}
	}
	at, ok := r.Tail(lay.After, lay.From)
	if !ok || r.At(at.Hole) != r.At(s.Out) {
		return plan.Spot{} // doubled back from where it began
	}
	for i := n; i < len(p.Steps); i++ {
		if o := p.Steps[i].Pull(); o != nil && (o.Strand == lay.After || o.Also == lay.After) {
			if o.Strand == lay.After && r.At(o.Hole) == r.At(at.Hole) {
				return at
			}
			break
		}
	}
	return plan.Spot{}
}

// OtherSide has acts as they are seen from the other side of the racket, where over is under.
func OtherSide(acts []Act) []Act {
	for i := range acts {
		acts[i].Face = acts[i].Face.Other()
	}
	return acts
}

// Pulls says whether the gripper draws string.
func (a *Act) Pulls() bool { return a.Verb == Pull || a.Verb == Repull || a.Verb == TakeLoad }

// Cleans says whether a clamp is cleaned.
func (a *Act) Cleans() bool { return a.Verb == CleanJaws || a.Verb == CleanBase }

// Lead is the place of the act that is the largest thing on a card, less than nought for none: what is pulled, woven, tied;
// otherwise what comes first. What is fed is pulled in the same step, so the pull, which says more, leads.
func Lead(acts []Act) int {
	for i := range acts {
		switch acts[i].Verb {
		case Pull, Repull, TakeLoad, Weave, DoubleBack, Tie:
			return i
		}
	}
	return slices.IndexFunc(acts, func(a Act) bool { return a.Strand != "" || a.Verb == Sleeve })
}
