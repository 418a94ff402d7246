package plan

import (
	"cmp"
	"slices"
)

// Span is a strand as it lies in the hoop.
type Span struct {
	Strand  Strand
	Piece   Piece
	In, Out Hole // as it was laid; where it is, when that is a wrong hole
	First   Face // of a cross: how it passes the first main after In
	Nth     int  // counts up with every laying, 0 for a strand that is not laid
	Tight   bool
	Pulled  bool    // its pull counts: it was pulled and not let go since
	Slipped bool    // slack because something slipped; it was pulled
	Loose   bool    // slack, and was tight as it lies, whatever let it go
	Low     bool    // tight, but it lost tension when a clamp crept
	Broken  bool    // it has to be cut out
	Drawn   bool    // string was drawn back through it since it was laid: no bight is left outside
	Ended   bool    // it was pulled again where it was begun, and holds since
	Newtons float64 // of its last pull
	Tension string  // the same as it was ordered
	Boost   float64 // of its last pull, in percent
	boostAt int     // the place where that was, 0 where it was drawn tight across a loop
	ended   bool    // it was so before it slipped
	lowAt   Spot    // where it has to be pulled again from when it is low; the zero Spot is from anywhere
	since   bool    // it went low while the gripper pulled already
	Turn    int     // counts up with every pull: when it was pulled last
	away    [2]int  // by end of its chord: the place of the wrong hole in which it is, 0 where it is in its own
}

// BoostedAt says whether the last pull of a strand had its boost, at that end of it: a knot is to come there, or sits there.
func (r *Racket) BoostedAt(at Spot) bool {
	s := r.Span(at.Strand)
	return s.Boost > 0 && (s.boostAt == 0 || s.boostAt == r.At(at.Hole))
}

// Laid says whether the strand is in the hoop.
func (s *Span) Laid() bool { return s.Nth > 0 }

// Span is a strand as it lies, nil where the frame has none of that name. It is not to be changed.
func (r *Racket) Span(s Strand) *Span {
	if i, ok := r.index[s]; ok {
		return &r.spans[i]
	}
	return nil
}

// Laid says whether a strand is in the hoop, Tight whether it is under tension.
func (r *Racket) Laid(s Strand) bool  { at := r.Span(s); return at != nil && at.Laid() }
func (r *Racket) Tight(s Strand) bool { at := r.Span(s); return at != nil && at.Tight }

// Spans are all strands, the mains in columns from left to right, then the crosses from the head down. They are not to be
// changed.
func (r *Racket) Spans() []Span { return r.spans }

// Newest are the strands in the hoop, the one laid last first.
func (r *Racket) Newest() (out []Span) {
	for _, s := range r.spans {
		if s.Laid() {
			out = append(out, s)
		}
	}
	slices.SortFunc(out, func(a, b Span) int { return cmp.Compare(b.Nth, a.Nth) })
	return out
}

// LowAt is where a strand is pulled again that lost tension, the zero Spot where anywhere will do.
func (r *Racket) LowAt(s Strand) Spot { return r.Span(s).lowAt }

// Lead is by how many tight mains the left side leads now, below nought when the right one does. What slipped pulls at no
// frame and does not count.
func (r *Racket) Lead() (lead int) {
	for i := range r.spans[:r.mains] {
		switch s := &r.spans[i]; {
		case !s.Tight:
		case s.Strand[len(s.Strand)-1] == 'L':
			lead++
		default:
			lead--
		}
	}
	return lead
}
