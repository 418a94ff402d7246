package calc_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/assume"
	"pullcard/patterns/sweep"
	"pullcard/sequence/calc"
)

func TestParseTape(t *testing.T) {
	tape, err := calc.ParseHoopMeasurement("330 x 250, 329.2 × 250.6 mm")
	require.NoError(t, err)
	length, width := tape.Change()
	assert.InDelta(t, -.8, length, 1e-9)
	assert.InDelta(t, .6, width, 1e-9)
	for _, text := range []string{"", "330, 250", "330 x 250", "330 x 250, 329", "330 x 250, 329 x 2", "330 x 250, 280 x 250", "a x b, c x d"} {
		_, err := calc.ParseHoopMeasurement(text)
		assert.Error(t, err, text)
	}
}

// A frame measured as a tube of 70 would be gives 70 back, near enough, within an interval that has it inside; the expectation lies
// where the model's own figure is, and what lies far off is told.
func TestFitEI(t *testing.T) {
	sweep.Only(t)
	w := openWork(t)
	as := assume.Table{}.WithMount("2", "")
	for key, v := range map[assume.Key]float64{assume.EA: 3000, assume.StringEA: 9.8, assume.Yoke: 1, assume.Turn: 10, assume.Knot: 2, assume.Creep: 12, assume.Pace: 45,
		assume.Weaving: 1, assume.Support: 1000, assume.Hold: 200, assume.Gap: 0} {
		as = as.With(key, v, "known")
	}
	truth, err := w.Strain(as.With(assume.EI, 70, ""))
	require.NoError(t, err)
	last := truth.Hoop[len(truth.Hoop)-1]
	tape := calc.HoopMeasurement{Before: [2]float64{330, 250}, After: [2]float64{330 + last.LengthMM, 250 + last.WidthMM}}
	fit, err := w.FitEI(as, []calc.HoopMeasurement{tape})
	require.NoError(t, err)
	t.Log(fit.Words())
	assert.InEpsilon(t, 70, fit.EI, .15)
	assert.Less(t, fit.Low, 70.0)
	assert.Greater(t, fit.High, 70.0)

	e, err := w.Expect(as.With(assume.EI, 70, ""))
	require.NoError(t, err)
	t.Log(e.Words())
	assert.InDelta(t, last.LengthMM, e.Length.Is, 1e-9)
	words, outside := e.Judge(tape)
	assert.False(t, outside, words)
	tape.After[0] -= 8
	words, outside = e.Judge(tape)
	assert.True(t, outside)
	assert.Contains(t, words, "measure again")
	_, err = w.FitEI(as, nil)
	assert.Error(t, err)
}
