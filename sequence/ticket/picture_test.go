package ticket

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// every plans all built-in layouts by all built-in technique sheets that suit them.
func every(t *testing.T, do func(t *testing.T, f *patterns.Frame, p *plan.Plan)) {
	planned := 0
	for _, layout := range library.Layouts() {
		for _, technique := range library.Techniques() {
			f, p, err := tryPlan(t, layout, technique, "12 kg", "12 kg")
			if err != nil {
				continue // the sheet does not suit the layout
			}
			planned++
			t.Run(layout+" "+technique, func(t *testing.T) { do(t, f, p) })
		}
	}
	require.Greater(t, planned, len(library.Layouts()))
}

// The picture is one checkerboard: where strands cross, one lies below the other, as the layout's weave has it.
func TestPictureIsWoven(t *testing.T) {
	every(t, func(t *testing.T, f *patterns.Frame, p *plan.Plan) {
		for _, hoop := range []*patterns.Hoop{f.Hoop, nil, {LengthMM: 60, WidthMM: 60, Exponent: 2}} { // the last has no room for the holes
			pic := draw(p, hoop)
			require.Len(t, pic.mains, len(f.Columns()))
			require.Len(t, pic.crosses, len(f.Crosses))
			require.Len(t, pic.knots, p.Totals.Knots)
			below := 0
			for i, c := range f.Crosses {
				for _, column := range f.Met(c) {
					cross, main := pic.crosses[i], pic.mains[column-1]
					ofCross, ofMain := crossing(cross.ends, main.ends)
					require.True(t, ofCross > 0 && ofCross < 1 && ofMain > 0 && ofMain < 1, "C%d and column %d cross inside the hoop", i+1, column)
					over := patterns.Over(c.Number, column)
					require.Equal(t, !over, holds(cross.below, ofCross), "C%d at column %d", i+1, column)
					require.Equal(t, over, holds(main.below, ofMain), "column %d at C%d", column, i+1)
					below++
				}
			}
			for _, s := range slices.Concat(pic.mains, pic.crosses) {
				below -= len(s.below)
				assert.True(t, slices.IsSorted(s.below))
			}
			assert.Zero(t, below, "and nowhere else")
		}
	})
}

func holds(list []float64, v float64) bool {
	return slices.ContainsFunc(list, func(w float64) bool { return math.Abs(v-w) < 1e-9 })
}

// A knot that was opened and a piece that was cut out are not there any more.
func TestKnotsAfterMishaps(t *testing.T) {
	_, p := planned(t, "club-sixteen", "two-piece-skip", "24 kg", "23 kg")
	tie := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Tie() != nil })
	require.Positive(t, tie)
	first := p.Steps[tie].Tie()
	untied := *p
	untied.Steps = append(slices.Clone(p.Steps), plan.Step{Ops: []plan.Op{{Op: plan.Untie, Strand: first.Strand, Out: first.Out, Hole: first.Hole}}})
	tied := draw(p, nil).knots
	assert.Len(t, draw(&untied, nil).knots, len(tied)-1)
	assert.Subset(t, tied, draw(&untied, nil).knots)

	for _, s := range p.After(len(p.Steps) - 2).Newest() {
		if !strings.HasPrefix(string(s.Strand), "C") {
			continue
		}
		next, err := sequence.Recover(p, len(p.Steps)-2, sequence.Trouble{Fault: plan.FaultBreak, Strand: s.Strand, Where: plan.InBed})
		require.NoError(t, err)
		assert.ElementsMatch(t, tied, draw(next, nil).knots, "strung again it is as before")
		return
	}
	t.Fatal("the crosses cannot break")
}
