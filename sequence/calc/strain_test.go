package calc_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/assume"
	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/calc"
	"pullcard/sequence/plan"
	"pullcard/sequence/strain"
)

// openWork is a work whose sheet leaves everything open.
func openWork(t testing.TB) calc.Work {
	w := work(t, "club-sixteen", "two-piece-skip", polyester)
	var err error
	w.Technique, _, err = sequence.ReadTechnique("sheet.toml", []byte("name = \"Open\"\n"))
	require.NoError(t, err)
	w.Plan, err = w.Job.Plan(w.Frame, w.Technique)
	require.NoError(t, err)
	return w
}

// Job over sheet over layout over settings.
func TestAssumptions(t *testing.T) {
	w := openWork(t)
	house := assume.Table{}.With(assume.EI, 10, "settings.toml:2").With(assume.Gap, 1, "settings.toml:3")
	w.Frame.Strain = assume.Table{}.With(assume.EI, 20, "layout.toml:4")
	w.Technique.Strain = assume.Table{}.With(assume.EI, 30, "sheet.toml:5").WithMount("2", "sheet.toml:6")
	w.Job.Strain = assume.Table{}.With(assume.EI, 40, "job.toml:7")
	seen := map[string]string{}
	for _, l := range w.TakenForGranted(house) {
		seen[l.Key] = l.Value + " " + l.Source
	}
	assert.Equal(t, "40 N m² job.toml:7", seen["ei"])
	assert.Equal(t, "1 mm settings.toml:3", seen["gap"])
	assert.Equal(t, "2 sheet.toml:6", seen["mount"])
	w.Job.Strain = assume.Table{}
	m, err := w.Elastic(w.Assumptions(house))
	require.NoError(t, err)
	assert.Equal(t, 30e6, m.Numbers.EI)
	assert.Equal(t, "2", m.Numbers.Mount)
}

// What the search finds is refereed, is no worse than the sheet, is what playing that sheet gives, and changes only what is open.
func TestGentlest(t *testing.T) {
	sweep.Only(t)
	w := openWork(t)
	told := 0
	g, err := w.Gentlest(context.Background(), assume.Table{}, func(tried, of int) {
		told++
		assert.LessOrEqual(t, tried, of)
	})
	require.NoError(t, err)
	t.Log(g.Words())
	assert.Equal(t, g.Tried, told+1)
	assert.NotEmpty(t, g.Open)
	again, err := w.CompareTechniques(context.Background(), assume.Table{}, nil, false, func(int, int) {})
	require.NoError(t, err)
	assert.Equal(t, again[0].BendingNm, g.Unchanged.BendingNm)
	if len(g.Changes) > 0 {
		assert.Less(t, g.Best.BendingNm/g.Unchanged.BendingNm+g.Best.UnevenPercent/g.Unchanged.UnevenPercent, 2*.95)
	} else {
		assert.Equal(t, g.Unchanged.Plan, g.Best.Plan)
	}

	closed, err := work(t, "club-sixteen", "two-piece-skip", polyester).Gentlest(context.Background(), assume.Table{}, func(int, int) {})
	require.NoError(t, err)
	assert.Equal(t, []string{"the sheet leaves nothing open; take out of a copy what may be searched: mains.lead, mains.then, mains.first, crosses.start, crosses.from, mains.boost, boost"}, closed.Words())

	ctx, stop := context.WithCancel(context.Background())
	stop()
	_, err = w.Gentlest(ctx, assume.Table{}, func(int, int) {})
	assert.ErrorIs(t, err, context.Canceled)
}

// Pulled with the boosts that were found, boosted strands stand level with their neighbours.
func TestLevels(t *testing.T) {
	w := work(t, "club-sixteen", "two-piece-skip", polyester)
	house := assume.Table{}.With(assume.Knot, .5, "")
	levels, err := w.Levels(house)
	require.NoError(t, err)
	require.NotEmpty(t, levels)
	m, err := w.Elastic(w.Assumptions(house))
	require.NoError(t, err)
	pulls, reached := map[plan.Strand]float64{}, 0
	c, err := m.Play(w.Plan)
	require.NoError(t, err)
	by := map[plan.Strand]strain.Strand{}
	for _, s := range c.Strands {
		by[plan.Strand(s.Name)] = s
	}
	for _, l := range levels {
		t.Log(l.Words())
		assert.InDelta(t, 10, l.IsPercent, 1e-6)
		pulls[l.Strand] = by[l.Strand].Ordered * (1 + l.Percent/100)
	}
	c, err = m.PlayAt(w.Plan, pulls)
	require.NoError(t, err)
	for _, s := range c.Strands {
		by[plan.Strand(s.Name)] = s
	}
	for _, l := range levels {
		if l.Reached {
			reached++
			assert.InDelta(t, by[l.Neighbour].OffMachine, by[l.Strand].OffMachine, 3, l.Strand)
		}
	}
	assert.NotZero(t, reached)
}

func TestSides(t *testing.T) {
	w := work(t, "club-sixteen", "two-piece-skip", polyester)
	other := openWork(t).Technique
	wrong := *other
	wrong.Pieces, wrong.Cross.From = 1, 0
	told := 0
	sides, err := w.CompareTechniques(context.Background(), assume.Table{}, []*sequence.Technique{other, &wrong}, true, func(tried, of int) {
		told++
		assert.Equal(t, told, tried)
		assert.LessOrEqual(t, tried, of)
	})
	require.NoError(t, err)
	assert.Len(t, sides, told)
	assert.Equal(t, w.Technique.Name, sides[0].Name)
	assert.Contains(t, sides[1].Words(), sides[1].Name+": uneven by ")
	assert.Positive(t, sides[1].UnevenPercent)
	assert.NotEmpty(t, sides[2].Why)
	assert.Len(t, calc.Verdict(sides), 2)
	assert.Nil(t, calc.Verdict(sides[2:3]))
	for _, v := range sides {
		assert.NotEqual(t, v.Why == "", v.Plan == nil)
	}
	stopped, stop := context.WithCancel(context.Background())
	stop()
	_, err = w.CompareTechniques(stopped, assume.Table{}, nil, true, func(int, int) {})
	assert.ErrorIs(t, err, context.Canceled)
}

func BenchmarkGentlest(b *testing.B) {
	w := openWork(b)
	for b.Loop() {
		_, err := w.Gentlest(context.Background(), assume.Table{}, func(int, int) {})
		require.NoError(b, err)
	}
}

// What takes long asks before each step of each plan that is played whether it may go on.
func TestSupportWarningsGiveWay(t *testing.T) {
	w := work(t, "club-sixteen", "two-piece-skip", polyester)
	want, asked := w.SupportWarnings(assume.Table{}), 0
	w.Between = func() { asked++ }
	assert.Equal(t, want, w.SupportWarnings(assume.Table{}))
	assert.Equal(t, 4*len(w.Plan.Steps), asked)
}
