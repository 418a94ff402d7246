package plan

import (
	"fmt"
	"slices"
)

// ApplyAll takes the racket some ops further and stops at the first that is none.
func (r *Racket) ApplyAll(ops []Op) error {
	for i := range ops {
		if err := r.Apply(&ops[i]); err != nil {
			return err
		}
	}
	return nil
}

// Apply takes the racket one op further: this is what each kind of op means. The error says that it is no op, or that it
// names a strand, hole or clamp that is not there; the racket is then as it was.
func (r *Racket) Apply(o *Op) error {
	s, err := r.named(o)
	if err != nil {
		return fmt.Errorf("%s: %w", o.Op, err)
	}
	r.draws = o.Op == Pull || o.Op == Unclamp
	switch o.Op {
	case Mount:
		r.mounted = append(r.mounted, o.Support)
	case Dismount:
		r.mounted = slices.DeleteFunc(r.mounted, func(m string) bool { return m == o.Support })
	case Thread, Weave:
		r.lay(s, o)
	case Pull:
		r.pull(s, o)
	case ClampOn:
		r.clamps[slot(o.Clamp)] = standing{on: true, grip: Grip{o.Strand, o.Hole, o.Outside, o.With}}
	case Unclamp:
		off := r.clamps[slot(o.Clamp)].grip
		r.clamps[slot(o.Clamp)] = standing{}
		if r.gripper != nil {
			r.drawsThrough()
		}
		r.settle(slipped, off.Strand, off.With)
	case Release:
		if at := r.gripper; at != nil {
			r.gripper = nil
			r.settle(slipped, at.Strand)
		}
	case Slacken:
		r.gripper = nil
		r.settle(func(s *Span) {
			undone(s)
			r.forget(s.Strand, FaultLate, FaultTension)
		})
		r.leads()
	case Tie:
		delete(r.scraps, r.At(o.Hole))
		r.knots = append(r.knots, Knot{Strand: o.Strand, Out: o.Out, Hole: o.Hole, Anchor: o.Anchor, Name: o.Knot})
	case Trim:
		if k := r.KnotIn(o.Hole); k != nil {
			k.Trimmed, k.TailMM = true, o.TailMM
		}
	case Untie:
		r.untie(s, o)
	case Unthread, Unweave:
		r.remove(s, false)
		r.forget(o.Strand)
		r.gone(o.Strand)
	case Move:
		r.move(s, o.From, o.To)
		if at, _ := r.Stray(o.Strand); at == "" {
			r.forget(o.Strand, FaultHole)
		}
	case Cut:
		r.remove(s, true)
		r.settle(slipped)
		r.forget(o.Strand)
		r.gone(o.Strand)
	case Waive:
		r.waive(s, o)
	case Fault:
		r.fault(s, o)
	case Note:
		r.leaveScraps(o.Text)
	case Straighten, Inspect, WalkSlack:
		// Hands and eyes, but no string moves that a holder parts.
	default:
		return fmt.Errorf("plan: no operation is called %q", o.Op)
	}
	return nil
}

// named is the strand of an op, none where it names none, and what it names that is not there.
func (r *Racket) named(o *Op) (int, error) {
	s := none
	if o.Strand != "" {
		i, ok := r.index[o.Strand]
		if !ok {
			return none, fmt.Errorf("the frame has no strand %q", o.Strand)
		}
		s = i
	}
	for _, h := range [5]Hole{o.From, o.To, o.Hole, o.Out} {
		if h != "" && r.At(h) == 0 {
			return s, fmt.Errorf("the frame has no hole %q", h)
		}
	}
	if (o.Op == ClampOn || o.Op == Unclamp) && slot(o.Clamp) < 0 {
		return s, fmt.Errorf("there is no clamp %q", o.Clamp)
	}
	switch o.Op {
	case Thread, Weave, Pull, ClampOn, Tie, Untie, Unthread, Unweave, Move, Cut, Slacken:
		if s == none {
			return s, fmt.Errorf("no strand is named")
		}
	}
	return s, nil
}

// slot is a clamp's place in the order of Clamps, less than nought for a name that is none.
func slot(c Clamp) int {
	switch c {
	case A:
		return 0
	case B:
		return 1
	case S:
		return 2
	}
	return -1
}

// pull takes the string outside a hole.
func (r *Racket) pull(s int, o *Op) {
	span := &r.spans[s]
	mends := o.Repull && span.Slipped
	if o.Repull && (span.Tight || span.ended) && !span.Low && r.At(o.Hole) == r.At(span.In) {
		span.Ended, span.ended = true, true
	}
	r.gripper, r.fresh = &Spot{o.Strand, o.Hole}, true
	r.drawsThrough()
	if !o.Repull {
		r.totals.Pulls++
	}
	r.settle(slipped, o.Strand)
	if also, ok := r.index[o.Also]; ok {
		r.loaded(also, o)
	}
	r.loaded(s, o)
	if !mends { // what slipped can only be pulled again from the next holder on
		r.leads()
	}
}

// loaded books a pull on a strand.
func (r *Racket) loaded(s int, o *Op) {
	span := &r.spans[s]
	r.pulls++
	span.Pulled, span.Turn = true, r.pulls
	span.Newtons, span.Tension, span.Boost = o.Newtons, o.Tension, o.BoostPercent
}

// untie opens the knot of a tail; what was trimmed is then too short.
func (r *Racket) untie(s int, o *Op) {
	at := Spot{o.Strand, o.Out}
	k := r.KnotOf(at)
	if k == nil {
		return
	}
	trimmed := k.Trimmed
	r.knots = slices.DeleteFunc(r.knots, func(k Knot) bool { return k.Strand == o.Strand && r.At(k.Out) == r.At(o.Out) })
	if l, i := r.lineOf(s); l != nil && trimmed {
		if i == 0 && l.places[0] == r.At(o.Out) {
			l.lack[0] = 1
		} else {
			l.lack[1] = 1
		}
	}
	r.settle(slipped)
}

// fault is what a mishap does to the string.
func (r *Racket) fault(s int, o *Op) {
	r.fresh = false
	switch o.Fault {
	case FaultClamp:
		r.slip(o)
	case FaultGripper:
		r.gripper = nil
		r.settle(slipped)
	case FaultBreak:
		r.snap(s, o)
	case FaultKnot:
		if k := r.KnotIn(o.Hole); k != nil && !(o.Choose == Keep && o.Extent == Crept) { // one that gave a little and is kept holds
			k.Slipped = true
			r.opens(Spot{k.Strand, k.Out})
			r.settle(slipped)
		}
	case FaultSplit:
		r.split[r.At(o.Hole)] = o.Choose
	case FaultShort:
		switch {
		case s == none:
		case o.Choose == New:
			r.lost[r.spans[s].Piece] = true
		case r.At(Hole(o.Choose)) > 0:
			r.knotAt[o.Strand] = Hole(o.Choose)
		}
	case FaultFrame:
		r.cracked = true
	case FaultKink:
		if o.Choose != Past {
			r.open = append(r.open, *o)
		}
	case FaultHole:
		if r.open = append(r.open, *o); o.From != "" && s != none {
			r.move(s, o.From, o.Hole)
		}
	case FaultLate, FaultWeave:
		r.open = append(r.open, *o)
	case FaultSwapped:
		other := *o
		other.Strand, other.With = o.With, o.Strand
		r.open = append(r.open, *o)
		if r.Laid(o.With) {
			r.open = append(r.open, other)
		}
	case FaultTension:
		for _, name := range r.PulledSince(o.Strand) {
			wrong := *o
			wrong.Strand = name
			r.open = append(r.open, wrong)
		}
	}
}

// What a stringer can choose where a mishap leaves a choice, beside a hole and Sleeve.
const (
	Regrip = "regrip" // there is string enough left: take it anew and go on
	New    = "new"    // a new piece
	Past   = "past"   // work it past, so that it lies in no span
	Keep   = "keep"   // leave it as it is, by name
	Bridge = "bridge" // a scrap of string bridges the way to the gripper
	Undo   = "undo"   // undo to there
	Anew   = "again"  // pull once more
)

// slip is what a clamp's slip does: one that crept or slid still holds, but its string lost tension; otherwise it holds no
// more.
func (r *Racket) slip(o *Op) {
	i := slot(o.Clamp)
	if i < 0 || !r.clamps[i].on {
		return
	}
	r.clamps[i].slip = o.Extent
	if o.Extent == Crept || o.Extent == Base {
		at := r.lowAt(r.clamps[i].grip)
		for _, s := range r.Behind(o.Clamp) {
			span := &r.spans[r.index[s]]
			span.Low, span.lowAt = true, at
		}
		return
	}
	r.clamps[i].gone = true
	r.settle(slipped)
}

// lowAt is where string has to be pulled again that a clamp lost tension of: at the one point where it ends the tension of a
// strand; anywhere, the zero Spot, where it holds both ends of it or the loop outside.
func (r *Racket) lowAt(g Grip) (at Spot) {
	for _, p := range r.points(g) {
		switch l, i := r.lineAt(p); {
		case l == nil || l.tight[i] == l.tight[i+1]:
		case !r.Tight(p.Strand) || at != Spot{}:
			return Spot{}
		default:
			at = p
		}
	}
	return at
}

// snap breaks a strand. Outside its exit the strand itself stays whole: the gripper holds nothing any more.
func (r *Racket) snap(s int, o *Op) {
	if s == none || !r.spans[s].Laid() {
		return
	}
	if r.gripper != nil && r.gripper.Strand == o.Strand {
		r.gripper = nil
	}
	if o.Choose != Regrip {
		r.crack(s)
	} else if o.Where == AtJaw {
		for i := range r.clamps {
			if g := r.clamps[i].grip; g.Strand == o.Strand && r.At(g.Hole) == r.At(r.spans[s].Out) {
				r.clamps[i].gone = true
			}
		}
	}
	r.settle(slipped)
}

// PulledSince are a strand and those of its kind that are tight and were pulled after it, in that order.
func (r *Racket) PulledSince(s Strand) (out []Strand) {
	i, ok := r.index[s]
	if !ok {
		return nil
	}
	for j := range r.spans {
		if x := &r.spans[j]; x.Tight && x.Turn >= r.spans[i].Turn && (i < r.mains) == (j < r.mains) {
			out = append(out, x.Strand)
		}
	}
	slices.SortFunc(out, func(a, b Strand) int { return r.Span(a).Turn - r.Span(b).Turn })
	return out
}

// forget closes the open mishaps of a strand, of the given kinds or, without any, of all.
func (r *Racket) forget(s Strand, kinds ...Mishap) {
	r.open = slices.DeleteFunc(r.open, func(o Op) bool {
		return o.Strand == s && (len(kinds) == 0 || slices.Contains(kinds, o.Fault))
	})
}

// gone ends the waivers of a strand that came out. A layout that was kept stays.
func (r *Racket) gone(s Strand) {
	r.waived = slices.DeleteFunc(r.waived, func(o Op) bool { return o.Strand == s && o.To == "" })
}

// Spare says whether a clamp can come off with all that is tight staying so; a free one can.
func (r *Racket) Spare(c Clamp) bool {
	i := slot(c)
	if !r.clamps[i].on || r.clamps[i].gone {
		return true
	}
	r.clamps[i].gone = true
	defer func() { r.clamps[i].gone = false }()
	ok := true
	for _, at := range r.points(r.clamps[i].grip) {
		if l, _ := r.lineAt(at); ok && l != nil {
			r.cells(l, func(lo, hi int, tight, _ bool) bool {
				ok = tight || !slices.Contains(l.tight[lo:hi+1], true)
				return ok
			})
		}
	}
	return ok
}

// Hangs says whether tension may still hang in string beside a clamp, although what held it is gone. What went slack by itself
// gives up what its corners and the strands that it is woven through keep only where it is cut: so it hangs unless it ends, is
// parted or is held at the far hole of the strand beside the clamp.
func (r *Racket) Hangs(c Clamp) bool {
	i := slot(c)
	if !r.clamps[i].on || r.clamps[i].gone {
		return false
	}
	for _, at := range r.points(r.clamps[i].grip) {
		l, p := r.lineAt(at)
		if l == nil {
			continue
		}
		held := r.held(l)
		inside := p ^ 1 // the other point of the span, from which the string goes on inside
		outside := p + p - inside
		if r.hangs(l, inside, p-inside, held) || outside >= 0 && outside < len(held) && r.hangs(l, outside^1, outside-(outside^1), held) {
			return true
		}
	}
	return false
}

// hangs says whether tension may hang in the span that ends at a point of a line; back leads to its other end.
func (r *Racket) hangs(l *line, far, back int, held []bool) bool {
	s := &r.spans[l.on[far/2]]
	next := far - back
	if !s.Pulled || s.Tight || s.Broken || next < 0 || next >= len(l.on)*2 || held[far] {
		return false
	}
	return !r.spans[l.on[next/2]].Broken
}

// points are where a clamp holds the string.
func (r *Racket) points(g Grip) []Spot {
	if g.With == "" {
		return []Spot{{g.Strand, g.Hole}}
	}
	return []Spot{{g.Strand, g.Hole}, r.Beside(g)}
}

// Behind are the strands whose tension a clamp holds, from it back to the next holder, in that order; none where it is free,
// let go, holds nothing tight, or stands between two tight stretches.
func (r *Racket) Behind(c Clamp) []Strand {
	i := slot(c)
	if !r.clamps[i].on || r.clamps[i].gone {
		return nil
	}
	r.clamps[i].gone = true
	defer func() { r.clamps[i].gone = false }()
	var out []Strand
	for _, at := range r.points(r.clamps[i].grip) {
		for _, s := range r.unheld(at) {
			if !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

// unheld are the tight strands of the line of a point that nothing would hold, from there on.
func (r *Racket) unheld(from Spot) (out []Strand) {
	l, p := r.lineAt(from)
	if l == nil {
		return nil
	}
	gone := make([]bool, len(l.on))
	r.cells(l, func(lo, hi int, tight, _ bool) bool {
		for seg := lo | 1; seg <= hi; seg += 2 {
			gone[seg/2] = !tight && l.tight[seg]
		}
		return true
	})
	for d := range len(l.on) {
		for _, i := range [2]int{p/2 - d, p/2 + d} {
			if i >= 0 && i < len(l.on) && gone[i] {
				gone[i] = false
				out = append(out, r.strands[l.on[i]])
			}
		}
	}
	return out
}
