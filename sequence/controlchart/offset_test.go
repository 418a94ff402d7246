package controlchart

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/measure"
)

const day = 24 * time.Hour

// evidence is invented: one's beds come out 2 % tighter, and its gauge reads 0.3 kg more than two's at 24 kg.
func evidence() (Pair, Gauge) {
	const kg = measure.NewtonsPerKgf
	return Pair{A: "one", B: "two", NA: 12, NB: 12, Interval: Interval{Value: .02, SE: .004, DF: 21, Level: .95}},
		Gauge{SDN: GaugeSD, OrderedKg: 24, Last: began(), Within: 7 * day, Level: .95, Checks: []Check{
			{Machine: "one", At: began().Add(-40 * day), SetN: 24 * kg, ReadN: 20 * kg}, // long past, before it was mended
			{Machine: "one", At: began().Add(-3 * day), SetN: 24 * kg, ReadN: 24.2 * kg},
			{Machine: "two", At: began().Add(-7 * day), SetN: 23 * kg, ReadN: 22.9 * kg},
		}}
}

func TestPropose(t *testing.T) {
	pair, g := evidence()
	p, err := Propose(pair, g)
	require.NoError(t, err)
	assert.Equal(t, []Check{g.Checks[1], g.Checks[2]}, p.Checks)
	assert.InDelta(t, math.Log(24.2/24)-math.Log(22.9/23), p.Gauge.Value, 1e-12)
	assert.InDelta(t, .1/24*math.Sqrt2, p.Gauge.SE, 1e-12)
	// Each weighs as much as it is sure: between the two, surer than either.
	assert.Less(t, p.Gauge.Value, p.Tighter.Value)
	assert.Less(t, p.Tighter.Value, p.Readings.Value)
	assert.Less(t, p.Tighter.SE, min(p.Gauge.SE, p.Readings.SE))
	offset, low, high := p.OffsetKg()
	assert.InDelta(t, 24*math.Expm1(-p.Tighter.Value), offset, 1e-12, "a machine that pulls more is set lower")
	assert.True(t, low < offset && offset < high && high < 0)

	// The other way round.
	pair.A, pair.B, pair.Value = pair.B, pair.A, -pair.Value
	back, err := Propose(pair, g)
	require.NoError(t, err)
	assert.InDelta(t, -p.Tighter.Value, back.Tighter.Value, 1e-12)
}

func TestProposeRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		change func(p *Pair, g *Gauge)
		says   []string
	}{
		"no tension": {func(_ *Pair, g *Gauge) { g.OrderedKg = 0 }, []string{"at what tension"}},
		"not apart":  {func(p *Pair, _ *Gauge) { p.SE = .02 }, []string{"take more readings"}},
		"too few":    {func(p *Pair, _ *Gauge) { p.NB = 4 }, []string{"two has 4 stringings of the 5 that it takes"}},
		"no checks": {func(_ *Pair, g *Gauge) { g.Checks = nil },
			[]string{"check one with a gauge at its working tension first", "check two with a gauge"}},
		"all at once": {func(p *Pair, g *Gauge) { p.SE, p.NA, p.NB, g.Checks = .02, 3, 3, g.Checks[:2] },
			[]string{"one has 3", "two has 3", "take more readings", "check two with a gauge"}},
		"old":           {func(_ *Pair, g *Gauge) { g.Last = g.Last.Add(1) }, []string{"check two", "too old"}},
		"other tension": {func(_ *Pair, g *Gauge) { g.Checks[1].SetN = 11 * measure.NewtonsPerKgf }, []string{"check one", "another tension"}},
		"other way": {func(_ *Pair, g *Gauge) { g.Checks[1].ReadN = g.Checks[1].SetN - 6 },
			[]string{"the readings say +0.48 kg (95 % between +0.28 and +0.69), the gauge −0.51 kg (95 % between ", "something else than the pull differs"}},
		// An offset of 1.2 kg in the readings where the gauge says 0.05: their signs are the same.
		"gauge sees next to nothing": {func(p *Pair, g *Gauge) {
			p.Value = math.Log(1 + 1.2/24)
			g.Checks[1].ReadN, g.Checks[2].ReadN = g.Checks[1].SetN+.05*measure.NewtonsPerKgf, g.Checks[2].SetN
		}, []string{"the gauge does not tell the machines apart: +0.05 kg (95 % between −0.23 and +0.33)", "the readings say +1.20 kg"}},
		"gauge much less": {func(p *Pair, _ *Gauge) { p.Value = .06 }, []string{"more apart than both errors allow"}},
	} {
		t.Run(name, func(t *testing.T) {
			p, g := evidence()
			c.change(&p, &g)
			got, err := Propose(p, g)
			assert.Zero(t, got)
			var r Refusal
			require.ErrorAs(t, err, &r)
			for _, want := range c.says {
				assert.ErrorContains(t, err, want)
			}
		})
	}
}

// Several checks make the gauge surer; checks that spread more than the gauge should are no better than they are.
func TestGaugeSays(t *testing.T) {
	_, g := evidence()
	one, _, err := g.Says("one")
	require.NoError(t, err)
	g.Checks = append(g.Checks, g.Checks[1])
	two, used, err := g.Says("one")
	require.NoError(t, err)
	assert.Len(t, used, 2)
	assert.InDelta(t, one.SE/math.Sqrt2, two.SE, 1e-12)
	g.Checks[3].ReadN += 10
	wide, _, err := g.Says("one")
	require.NoError(t, err)
	assert.Greater(t, wide.SE, one.SE)
	assert.InDelta(t, 1, wide.DF, 0)
}

func TestKeep(t *testing.T) {
	_, g := evidence()
	keep := func(kg float64, twice bool) error {
		_, err := Keep("one", kg, twice, g)
		return err
	}
	check, err := Keep("one", -.2, false, g)
	require.NoError(t, err)
	assert.Equal(t, g.Checks[1], check)
	assert.NoError(t, keep(-.3, false), "what it pulls more than two")
	assert.NoError(t, keep(0, false))
	err = keep(.3, false)
	assert.ErrorContains(t, err, "an offset of +0.30 kg is not what the gauge says: one pulls +0.20 kg (95 % between +0.00 and +0.40) more than it is set to, +0.31 kg (95 % between ")
	assert.ErrorContains(t, err, " more than two; check it again")
	err = keep(-1.2, false)
	assert.ErrorContains(t, err, "Say it twice")
	assert.ErrorContains(t, err, "not what the gauge says")
	g.Checks[1].ReadN = g.Checks[1].SetN + 1.2*measure.NewtonsPerKgf
	assert.ErrorContains(t, keep(-1.2, false), "−1.20 kg is more than 1 kg; is it meant? Say it twice")
	assert.NoError(t, keep(-1.2, true))
	g.OrderedKg = 0
	assert.NoError(t, keep(-1.2, true), "at the tension of its newest check")
	g.Checks = nil
	assert.EqualError(t, keep(-.2, false), "check one with a gauge at its working tension first")
	assert.NoError(t, keep(0, false), "no offset needs no check")
}

func TestInterval(t *testing.T) {
	// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2, the table of Student's t: 2.228 with 10 degrees of
	// freedom, 1.960 with infinitely many.
	for df, want := range map[float64]float64{10: 2.228, math.Inf(1): 1.960} {
		i := Interval{Value: 1, SE: 1, DF: df, Level: .95}
		assert.InDelta(t, 1-want, i.Low(), 5e-4)
		assert.InDelta(t, 1+want, i.High(), 5e-4)
		assert.InDelta(t, .05, Interval{Value: i.half(), SE: 1, DF: df}.P(), 1e-9)
		assert.InDelta(t, .05, i.Power(1e-12), 2.6e-2, "at nought only the level is left, half of it on this side")
		assert.Greater(t, i.Power(10), .999)
	}
	assert.Equal(t, "95 %", Percent(.95))
	assert.Equal(t, "99.9 %", Percent(.999))
	for p, want := range map[float64]string{.5: "0.500", .001: "0.001", .00099: "< 0.001", 1e-30: "< 0.001", 0: "< 0.001"} {
		assert.Equal(t, want, Chance(p))
	}
}
