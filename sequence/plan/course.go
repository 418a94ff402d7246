package plan

import "slices"

// Course is a line of string as it lies: its spans from one end to the other.
type Course struct {
	Piece Piece
	Spans []Stretch
	First int // the span that the piece was begun with
	// Tied says of the tail before the first span and of the one behind the last whether it is knotted.
	Tied [2]bool
}

// Stretch is a span as the string runs along a course.
type Stretch struct {
	Strand   Strand
	From, To Hole
}

// Courses are the lines of string that begin with what their piece was begun with, in the order in which the pieces were.
func (r *Racket) Courses() (out []Course) {
	for _, l := range r.lines {
		first := slices.Index(l.on, l.first)
		if first < 0 {
			continue
		}
		c := Course{Piece: l.piece, First: first}
		for k, s := range l.on {
			c.Spans = append(c.Spans, Stretch{r.strands[s], r.hole(s, l.places[2*k]), r.hole(s, l.places[2*k+1])})
		}
		ends := [2]Spot{{c.Spans[0].Strand, c.Spans[0].From}, {c.Spans[len(l.on)-1].Strand, c.Spans[len(l.on)-1].To}}
		for i, at := range ends {
			c.Tied[i] = r.KnotOf(at) != nil
		}
		out = append(out, c)
	}
	slices.SortStableFunc(out, func(a, b Course) int {
		return r.Span(a.Spans[a.First].Strand).Nth - r.Span(b.Spans[b.First].Strand).Nth
	})
	return out
}

// NewPieces are the pieces of string that are begun in a step: those that must have been cut by then. A piece of which a
// strand was cut out before begins anew.
func (p *Plan) NewPieces(step int) []Piece {
	if step < 1 || step > len(p.Steps) {
		return nil
	}
	r := p.After(step - 1)
	before := len(r.begun)
	r.ApplyAll(p.Steps[step-1].Ops)
	return r.Begun()[before:]
}

// Begun are the pieces of string in the order in which they were begun; one that was cut out and begun anew stands there again.
func (r *Racket) Begun() []Piece { return r.begun[:len(r.begun):len(r.begun)] }
