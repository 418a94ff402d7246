package sequence_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns"
	"pullcard/patterns/source"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
)

// Any job on any layout by any sheet: the referee finds nothing, no strand is pulled below the least, none of those that
// nobody named above what was ordered, and each can be set on the machine.
func TestPlanAnyJob(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hoop := fmt.Sprintf("[hoop]\nlength = \"%d mm\"\nwidth = \"%d mm\"\n", rapid.IntRange(300, 380).Draw(t, "length"), rapid.IntRange(220, 290).Draw(t, "width"))
		f, _, err := patterns.ReadLayout("any", []byte(anyLayout(t)+hoop))
		require.NoError(t, err)
		least, step := rapid.IntRange(50, 100).Draw(t, "least"), rapid.SampledFrom([]float64{0.1, 0.25, 0.5, 1}).Draw(t, "step")
		named := rapid.SampledFrom([]string{"M1L", "M2R", "M6L", "C1", "C2", "C14"}).Draw(t, "strand")
		ordered := rapid.Float64Range(18, 30).Draw(t, "ordered")
		j, _, err := sequence.ReadJob("job.toml", fmt.Appendf(nil, `frame = "f"
technique = "t"
[tension]
mains = "%.2f kg"
proportional = %v
least = "%d %%"
strands = { %s = "31.4 kg" }
[machine]
step = "%g kg"
`, ordered, rapid.Bool().Draw(t, "proportional"), least, named, step))
		require.NoError(t, err)
		p, err := j.Plan(f, technique(t, anySheet(t)))
		if problems := (source.Problems{}); errors.As(err, &problems) {
			require.Regexp(t, "collide on a hoop of|pulled together, at one tension", err.Error())
			return
		}
		require.NoError(t, err)
		require.Empty(t, referee.Check(p))
		for s, own := range p.Terms.Pulls {
			steps := kg(t, own.Ordered).Value() / step
			require.InDelta(t, math.Round(steps), steps, 1e-6, "%s at %s", s, own.Ordered)
			require.GreaterOrEqual(t, own.Newtons, p.Terms.PullMains.Newtons*float64(least)/100-1e-5)
			if s != plan.Strand(named) {
				require.Less(t, own.Newtons, p.Terms.PullMains.Newtons)
			}
		}
	})
}
