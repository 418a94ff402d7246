package calc

import (
	"errors"

	"pullcard/patterns/grid"
	"pullcard/patterns/source"
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
	// TooLong says that the pieces pass the set that their sport's string is usually sold in, where the job names no set or
	// reel, and what the house may save; empty where they do not.
	TooLong string
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
		return nil, l.saving(err)
	}
	if len(l.Left) == 0 {
		l.TooLong = grid.TooLong(l.Pieces, grid.UsualSet(w.Frame.Sport), l.Practice)
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

// saving adds to problems with a set or reel what the house may save.
func (l *Lengths) saving(err error) error {
	var problems source.Problems
	if !errors.As(err, &problems) {
		return err
	}
	for i := range problems {
		problems[i].Text += "; " + grid.SavingWords(grid.Savings(l.Pieces, l.Practice))
	}
	return problems
}

// practice is the house's allowances for the frame's sport with the machine's reach.
func (w Work) practice() grid.Practice {
	p := w.Technique.Cut
	if wall, ok := w.Technique.Walls[w.Frame.Sport]; ok {
		p.WallMM = wall
	}
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
		out = append(out, l.saving(err).Error())
	}
	return out
}
