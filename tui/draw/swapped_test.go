package draw

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/sequencetest"
)

// Two strands that lie in each other's holes are drawn where they are, each on the other's line, until they are back in their own; and what
// they meet goes by the line, also where one of them does not meet all that the other does.
func TestSwappedStrandsAreDrawnWhereTheyLie(t *testing.T) {
	for _, c := range []struct {
		frame, sheet string
		two          [2]plan.Strand
	}{
		{"club-sixteen", "two-piece-skip", [2]plan.Strand{"C5", "C6"}},
		{"club-sixteen", "two-piece-skip", [2]plan.Strand{"M5L", "M6L"}},
		{"bridge-fourteen", "one-piece", [2]plan.Strand{"M1R", "M7R"}},
	} {
		two := c.two
		w := sequencetest.Of(t, c.frame, c.sheet, sequencetest.Tension)
		done := slices.IndexFunc(w.Plan.Steps, func(s plan.Step) bool { return s.Title == "Cross 9" })
		p, err := sequence.Recover(w.Plan, done, sequence.Trouble{Fault: plan.FaultSwapped, Strand: two[0], With: two[1]})
		require.NoError(t, err)
		layout, traded := newScene(&p.Terms), 0
		own := *layout.span(two[0])
		before, told := At(w.Plan, done, 0), At(p, done+1, 0)
		for _, c := range before.crosses {
			assert.Equal(t, c.over, told.span(c.name).over, "%s passes the lines as it was woven", c.name)
		}
		for n := done; n <= len(p.Steps); n++ {
			r, s := p.After(n), At(p, n, n+1)
			for i, list := range [][]span{s.mains, s.crosses} {
				for slot, c := range list {
					at := slices.IndexFunc([][]span{layout.mains, layout.crosses}[i], func(h span) bool { return h.home == r.LiesAt(c.name) })
					if c.state >= slack && at >= 0 {
						assert.Equal(t, at, slot, "step %d: %s is drawn on the line of the holes that it is in", n+1, c.name)
						if c.name == two[0] && c.home != own.home {
							traded++
						}
					}
				}
			}
		}
		assert.Positive(t, traded)
	}
}
