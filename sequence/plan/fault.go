package plan

import "slices"

// fault is what a mishap does to the string.
func (r *Racket) fault(s int, o *Op) {
	switch o.Fault {
	case FaultClamp:
		r.slip(o)
	case FaultGripper:
		at := r.gripper
		if r.gripper = nil; at != nil {
			r.holdsBeyond(*at, o.With)
		}
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
		if r.split[r.At(o.Hole)] = o.Choose; r.At(Hole(o.Choose)) > 0 {
			r.instead[r.At(o.Hole)] = Hole(o.Choose)
		}
		r.sleeved[r.At(o.Hole)] = o.Choose == Sleeve && !slices.ContainsFunc(r.Through(r.At(o.Hole)), r.Tight)
	case FaultShort:
		switch {
		case s == none:
		case o.Choose == New:
			r.lost[r.spans[s].Piece] = true
		case o.Choose == Bridge:
			r.knotAt[o.Strand] = ""
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
		if o.From != "" {
			r.open = slices.DeleteFunc(r.open, func(f Op) bool { // told of that end before
				return f.Fault == FaultHole && f.Strand == o.Strand && r.At(f.Hole) == r.At(o.From)
			})
		}
		if r.open = append(r.open, *o); o.From != "" && s != none {
			r.move(s, o.From, o.Hole)
		}
	case FaultWeave:
		r.open = append(r.open, *o)
	case FaultLate:
		r.doubt(o, o.Strand)
	case FaultSwapped:
		if o.Hole != "" {
			return // at one end only: which lies in which wrong hole follows
		}
		other := *o
		other.Strand, other.With = o.With, o.Strand
		r.open = append(r.open, *o)
		if r.Laid(o.With) {
			r.open = append(r.open, other)
		}
	case FaultTension:
		for _, name := range r.PulledSince(o.Strand) {
			r.doubt(o, name)
		}
	}
}

// doubt says that a strand's pull was none to trust, be it in the gripper still.
func (r *Racket) doubt(o *Op, name Strand) {
	wrong := *o
	wrong.Strand = name
	r.open = append(r.open, wrong)
	r.fresh = r.fresh && r.gripper != nil && r.gripper.Strand != name
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
	if o.Extent != Base {
		r.marred = append(r.marred, r.points(r.clamps[i].grip)...)
	}
	if o.Extent == Crept || o.Extent == Base {
		at := r.lowAt(r.clamps[i].grip)
		for _, s := range r.Behind(o.Clamp) {
			span := &r.spans[r.index[s]]
			span.Low, span.lowAt, span.since = true, at, r.gripper != nil
		}
		return
	}
	r.clamps[i].gone = true
	r.holdsBeyond(Spot{r.clamps[i].grip.Strand, r.clamps[i].grip.Hole}, o.With)
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

// PulledAt is where the gripper pulls a strand, its exit where it does not.
func (r *Racket) PulledAt(s Strand) Spot { return r.pulledAt(r.index[s]) }

func (r *Racket) pulledAt(s int) Spot {
	if g := r.gripper; g != nil && g.Strand == r.strands[s] {
		return *g
	}
	return Spot{r.strands[s], r.spans[s].Out}
}

// snap breaks a strand. Outside the end by which it is pulled the strand itself stays whole: the gripper holds nothing any more.
func (r *Racket) snap(s int, o *Op) {
	if s == none || !r.spans[s].Laid() {
		return
	}
	at := r.pulledAt(s)
	if r.gripper != nil && r.gripper.Strand == o.Strand {
		r.gripper = nil
	}
	if o.Choose != Regrip {
		r.crack(s)
	} else if r.holdsBeyond(at, o.With); o.Where == AtJaw {
		for i := range r.clamps {
			if g := r.clamps[i].grip; r.Same(Spot{g.Strand, g.Hole}, Spot{o.Strand, at.Hole}) {
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
