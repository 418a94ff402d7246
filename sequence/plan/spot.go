package plan

import "slices"

// Spot is a point of the string: where a strand passes a hole.
type Spot struct {
	Strand Strand
	Hole   Hole
}

// Tail is the free end of a strand, long enough to be laid on or gripped, that is nearest to a hole.
func (r *Racket) Tail(s Strand, to Hole) (Spot, bool) {
	l, end := r.tail(r.index[s], r.At(to))
	if l == nil {
		return Spot{}, false
	}
	return Spot{s, r.hole(r.index[s], l.tip(end))}, true
}

// Before is the point of the string from which a strand was laid on, the zero Spot at the start of a piece; what lies
// there now is what counts.
func (r *Racket) Before(s Strand) Spot { return r.beyond(s, func(sp *Span) Hole { return sp.In }) }

// Next is the point by which the string goes on from a strand's exit, the zero Spot where it ends.
func (r *Racket) Next(s Strand) Spot { return r.beyond(s, func(sp *Span) Hole { return sp.Out }) }

func (r *Racket) beyond(s Strand, end func(*Span) Hole) Spot {
	i, ok := r.index[s]
	if !ok {
		return Spot{}
	}
	l, p := r.lineAt(Spot{s, end(&r.spans[i])})
	if l == nil {
		return Spot{}
	}
	other := p + 1
	if p%2 == 0 {
		other = p - 1
	}
	if other < 0 || other >= len(l.places) {
		return Spot{}
	}
	n := l.on[other/2]
	return Spot{r.strands[n], r.hole(n, l.places[other])}
}

// Across is the point by which the string goes on outside a point, the zero Spot where it ends there.
func (r *Racket) Across(at Spot) Spot {
	return r.beyond(at.Strand, func(*Span) Hole { return at.Hole })
}

// SlackBeyond are the slack strands by which the string goes on outside a point, the nearest first: what a gripper takes there is drawn back
// through them.
func (r *Racket) SlackBeyond(at Spot) (out []Strand) {
	for next := r.Across(at); next.Strand != "" && !r.Tight(next.Strand); {
		out = append(out, next.Strand)
		next = r.Across(Spot{next.Strand, r.Other(next.Strand, next.Hole)})
	}
	return out
}

// Line is the whole line of string that a strand lies on, from one end to the other, nil where it is not laid.
func (r *Racket) Line(s Strand) (out []Strand) {
	i, ok := r.index[s]
	if !ok || !r.spans[i].Laid() {
		return nil
	}
	l, _ := r.lineOf(i)
	for _, n := range l.on {
		out = append(out, r.strands[n])
	}
	return out
}

// Cell are the strands that a pull at a point would draw, from the next holder to the point's own strand.
func (r *Racket) Cell(at Spot) (out []Strand) {
	i, ok := r.index[at.Strand]
	if !ok || !r.spans[i].Laid() {
		return nil
	}
	l, k := r.lineOf(i)
	lo, hi := l.cell(r.held(l), 2*k+1)
	low := l.places[2*k] == r.At(at.Hole) // the point is on the low side
	if low {
		lo = 2*k + 1
	} else {
		hi = 2*k + 1
	}
	for seg := lo; seg <= hi; seg++ {
		if seg%2 == 1 {
			out = append(out, r.strands[l.on[seg/2]])
		}
	}
	if low {
		slices.Reverse(out)
	}
	return out
}
