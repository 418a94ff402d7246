package numbers

import (
	"pullcard/patterns/grid"
	"pullcard/sequence"
)

// Lengths are what to cut.
type Lengths struct {
	Grid     *grid.Grid
	Practice grid.Practice
	Pieces   []grid.Piece
	// Left is what is left on the sets and reels that the job names.
	Left []grid.Stock
	// ByStrand are the pulls of all strands where they are not all pulled like their kind.
	ByStrand []StrandPull
	// Doubts are what is odd about the lengths; nothing is refused for them.
	Doubts []string
}

// Lengths works out the pieces of string. The error is a source.Problems: a hoop that is missing or impossible, or a set
// or reel that is too short, with the missing length.
func (w Work) Lengths() (*Lengths, error) {
	l, err := w.lengths()
	if err != nil {
		return nil, err
	}
	if l.Left, err = w.Job.Take(l.Pieces); err != nil {
		return nil, err
	}
	return l, nil
}

func (w Work) lengths() (*Lengths, error) {
	g, problems := sequence.Grid(w.Frame)
	if problems != nil {
		return nil, problems
	}
	l := &Lengths{Grid: g, Practice: w.practice(), Doubts: doubts(g)}
	courses, err := sequence.Courses(w.Frame, w.Plan)
	if err != nil {
		return nil, err
	}
	for _, c := range courses {
		p, err := g.Cut(c, l.Practice)
		if err != nil {
			return nil, err
		}
		l.Pieces = append(l.Pieces, p)
		if doubt := p.Implausible(w.Frame.Sport); doubt != "" {
			l.Doubts = append(l.Doubts, doubt)
		}
	}
	l.ByStrand = w.byStrand(g)
	return l, nil
}

// practice is the house's allowances with the machine's reach.
func (w Work) practice() grid.Practice {
	p := w.Technique.Cut
	if reach := w.Job.Machine.ReachMM; reach > 0 {
		p.ReachMM = reach
	}
	return p
}

// Cautions are what to know before the first string goes in: how the machine is off, and that a set or reel that the
// job names is too short. A layout without a hoop says nothing of lengths.
func (w Work) Cautions() []string {
	out := w.Job.Machine.Cautions(w.Job.Mains, w.Job.Crosses)
	if w.Frame.Hoop == nil || w.Job.StringMains.Supply.Stock().MM == 0 && w.Job.StringCrosses.Supply.Stock().MM == 0 {
		return out
	}
	l, err := w.lengths()
	if err != nil {
		return append(out, "the lengths to cut cannot be worked out: pullcard cut says why")
	}
	if _, err := w.Job.Take(l.Pieces); err != nil {
		out = append(out, err.Error())
	}
	return out
}
