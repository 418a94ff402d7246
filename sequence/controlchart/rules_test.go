package controlchart_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/controlchart"
)

// onSigmas puts points, given in sigmas from the centre, behind a baseline with centre 0 and sigma 1: 0 is drawn through
// ±h by turns, whose moving range 2h is 1.128. The rules of NIST/SEMATECH e-Handbook 6.3.2 are then plain to count. The
// baseline ends with four points on the centre, which keep it apart from what follows.
func onSigmas(t *testing.T, sigmas ...float64) *controlchart.Chart {
	const h = 1.128 / 2
	base := []float64{h, -h}
	c := chart(t, len(base), append(append(base, 0, 0, 0, 0), sigmas...)...)
	require.InDelta(t, 0, c.Centre, 1e-15)
	require.InDelta(t, 1, c.Sigma, 1e-15)
	for _, b := range c.Broken[:6] {
		require.Empty(t, b)
	}
	c.Broken = c.Broken[6:]
	return c
}

func TestRules(t *testing.T) {
	const (
		beyond, two, four, eight = controlchart.Beyond, controlchart.TwoOfThree, controlchart.FourOfFive, controlchart.EightOnSide
		trend, turns             = controlchart.SixTrending, controlchart.FourteenAlternating
	)
	// The second point makes no step, so the run begins with it.
	byTurns := []float64{.3, .3, -.1, .1, -.1, .1, -.1, .1, -.1, .1, -.1, .1, -.1, .1, -.1, .1}
	type broken = map[int][]controlchart.Rule
	for name, c := range map[string]struct {
		sigmas []float64
		want   broken
	}{
		"inside three sigma":            {[]float64{2.99, -2.99}, nil},
		"beyond":                        {[]float64{3.01, 0, -3.01}, broken{0: {beyond}, 2: {beyond}}},
		"two at once":                   {[]float64{2.1, 2.2}, broken{1: {two}}},
		"two of three":                  {[]float64{-2.1, 0, -2.2}, broken{2: {two}}},
		"two of four":                   {[]float64{2.1, 0, 0, 2.2}, nil},
		"two on both sides":             {[]float64{2.1, -2.2, 0}, nil},
		"the third is blameless":        {[]float64{2.1, 2.2, 0}, broken{1: {two}}},
		"three of three":                {[]float64{2.1, 2.2, 2.3}, broken{1: {two}, 2: {two}}},
		"four of five":                  {[]float64{1.2, 1.1, .5, 1.2, 1.1}, broken{4: {four}}},
		"four at once":                  {[]float64{-1.2, -1.1, -1.2, -1.1}, broken{3: {four}}},
		"three of five":                 {[]float64{1.2, .1, .5, 1.2, 1.1}, nil},
		"four of five on both sides":    {[]float64{1.2, -1.1, .5, 1.2, 1.1}, nil},
		"seven on a side":               {[]float64{.2, .1, .2, .1, .2, .1, .2}, nil},
		"eight on a side":               {[]float64{.2, .1, .2, .1, .2, .1, .2, .1}, broken{7: {eight}}},
		"nine below":                    {[]float64{-.2, -.1, -.2, -.1, -.2, -.1, -.2, -.1, -.3}, broken{7: {eight}, 8: {eight}}},
		"the centre ends a run":         {[]float64{.2, .1, .2, .1, 0, .1, .2, .1, .2}, nil},
		"five rising":                   {[]float64{-.2, -.1, .1, .2, .3, .3}, nil},
		"six rising":                    {[]float64{-.3, -.2, -.1, .1, .2, .3}, broken{5: {trend}}},
		"six falling":                   {[]float64{.3, .2, .1, -.1, -.2, -.3, -.2}, broken{5: {trend}}},
		"equal ones do not rise":        {[]float64{-.3, -.2, -.1, -.1, .2, .3}, nil},
		"thirteen by turns":             {byTurns[:14], nil},
		"fourteen by turns":             {byTurns, broken{14: {turns}, 15: {turns}}},
		"out, and the second of two":    {[]float64{2.5, 3.5}, broken{1: {beyond, two}}},
		"two points cannot make a four": {[]float64{1.5, 1.5}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			got := broken{}
			for i, b := range onSigmas(t, c.sigmas...).Broken {
				if b != nil {
					got[i] = b
				}
			}
			if c.want == nil {
				c.want = broken{}
			}
			assert.Equal(t, c.want, got)
		})
	}
}

// Two points are a chart: a crowd needs its full count even there.
func TestRulesAtTheStart(t *testing.T) {
	assert.Empty(t, chart(t, 2, 0, 1).Flagged())
	assert.Equal(t, []int{2}, chart(t, 2, 0, 0, 1).Flagged()) // limits without width
}

func TestRuleNames(t *testing.T) {
	seen := map[string]bool{}
	for i, r := range controlchart.Rules() {
		assert.Equal(t, controlchart.Rule(i+1), r)
		assert.NotContains(t, r.String(), "rule")
		seen[r.String()] = true
	}
	assert.Len(t, seen, 6)
}
