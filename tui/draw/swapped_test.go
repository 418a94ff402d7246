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

// Two strands that lie in each other's holes are drawn where they are, each on the other's line, until they are back in their own.
func TestSwappedStrandsAreDrawnWhereTheyLie(t *testing.T) {
	for _, two := range [][2]plan.Strand{{"C5", "C6"}, {"M5L", "M6L"}} {
		w := sequencetest.Of(t, "club-sixteen", "two-piece-skip", sequencetest.Tension)
		done := slices.IndexFunc(w.Plan.Steps, func(s plan.Step) bool { return s.Title == "Cross 9" })
		p, err := sequence.Recover(w.Plan, done, sequence.Trouble{Fault: plan.FaultSwapped, Strand: two[0], With: two[1]})
		require.NoError(t, err)
		layout, traded := newScene(&p.Terms), 0
		own := *layout.span(two[0])
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
