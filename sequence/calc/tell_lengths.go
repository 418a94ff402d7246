package calc

import (
	"fmt"
	"strings"

	"pullcard/patterns/grid"
	"pullcard/sequence/report"
)

// TellLengths tells what to cut.
func (w Work) TellLengths(l *Lengths) []report.Section {
	where := w.where(l.Grid)
	where.Warn(l.Doubts...)
	out := []report.Section{where}
	for _, p := range l.Pieces {
		out = append(out, tellPiece(p))
	}
	var left, stretch report.Section
	if l.TooLong != "" {
		left.Warn(l.TooLong)
	}
	for _, s := range l.Left {
		left.Say("left on %s: %.0f mm", s.Name, s.MM)
	}
	stretch.Say("The string's stretch, 3 to 10 %%, is a safety and is not deducted.")
	return append(out, left, tellStrands(l.ByStrand), stretch)
}

// tellPiece tells every term of a piece and what they come to.
func tellPiece(p grid.Piece) report.Section {
	s := report.Section{Head: fmt.Sprintf("%s: cut %g mm (%s)", strings.ToUpper(p.Name), p.CutMM, grid.FeetInches(p.CutMM))}
	switch {
	case p.ShortMM*2 == p.CutMM:
		s.Say("each side %g mm (%s), from the middle of the loop to its end", p.ShortMM, grid.FeetInches(p.ShortMM))
	case p.ShortMM > 0:
		s.Say("short side %g mm (%s), from the middle of the loop to its end; the long one %g mm", p.ShortMM, grid.FeetInches(p.ShortMM), p.CutMM-p.ShortMM)
	}
	for _, t := range p.Terms {
		s.Say("%9.1f mm  %s", t.MM, t.What)
	}
	var sums []string
	for _, t := range p.Sums() {
		sums = append(sums, fmt.Sprintf("%s %.1f mm", t.What, t.MM))
	}
	s.Say("%9.1f mm  in all: %s", p.CutMM, strings.Join(sums, ", "))
	return s
}

// tellStrands tells what every strand is pulled at, where they are not all pulled like their kind.
func tellStrands(strands []StrandPull) (s report.Section) {
	for _, p := range strands {
		s.Head = "STRAND BY STRAND: what the steps pull, where a knot follows with the boost"
		boost := ""
		if p.Boost {
			boost = fmt.Sprintf(", %s with its boost", p.Boosted)
		}
		s.Say("%6s  %6.1f mm  %s%s", p.Strand, p.MM, p.Ordered, boost)
	}
	return s
}
