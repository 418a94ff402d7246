package grid

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Saving is string that a house may save where a set is too short. It is the house's to take: no length has it.
type Saving struct {
	What string  `json:"what"`
	MM   float64 `json:"mm"`
}

// Savings are what some pieces could do with less, the largest first: the margin for weaving, a starting knot in place of an
// end that reaches the gripper, and what a millimetre less at every wall pass comes to. The reach of the ends that the
// gripper takes is no saving: a tail that does not reach cannot be pulled.
func Savings(pieces []Piece, p Practice) []Saving {
	var weave, knots, passes float64
	for _, piece := range pieces {
		reaches, spans, crosses := 0, 0, false
		for _, t := range piece.Terms {
			switch t.Kind {
			case Weaving:
				weave += t.MM
			case Wall:
				passes += t.MM / p.WallMM
			case Reach:
				reaches++
			case Span:
				spans++
				crosses = crosses || strings.HasPrefix(t.What, "C")
			}
		}
		if crosses && reaches == 2 && spans > 0 && !strings.HasPrefix(piece.Terms[0].What, "M") {
			knots += p.ReachMM - p.KnotMM
		}
	}
	out := []Saving{
		{"no margin for weaving", weave},
		{"a starting knot on the first cross instead of an end that reaches the gripper", knots},
		{fmt.Sprintf("each millimetre less at all %.0f wall passes, where the frame's wall is measured to be thinner than %g mm", passes, p.WallMM), passes},
	}
	out = slices.DeleteFunc(out, func(s Saving) bool { return s.MM <= 0 })
	slices.SortStableFunc(out, func(a, b Saving) int { return cmp.Compare(b.MM, a.MM) })
	return out
}

// TooLong says by how much some pieces pass a stock, and what could be saved; "" where they do not.
func TooLong(pieces []Piece, of Stock, p Practice) string {
	_, err := of.Take(pieces...)
	short, ok := err.(*ShortError)
	if !ok {
		return ""
	}
	return fmt.Sprintf("the pieces take %.0f mm, %s holds %.0f mm: %.0f mm too much; %s", short.NeedMM, of.Name, of.MM, RoundUp(short.MissingMM(), 1), SavingWords(Savings(pieces, p)))
}

// SavingWords says in a line what could be saved.
func SavingWords(savings []Saving) string {
	words := make([]string, len(savings))
	for i, s := range savings {
		words[i] = fmt.Sprintf("%s, %.0f mm", s.What, s.MM)
	}
	return "the house may save: " + strings.Join(words, "; ") + "; the reach to the gripper stays"
}
