package steady_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/steady"
)

const day = 24 * time.Hour

// evidence is invented: one's beds come out 0.48 kg tighter at 24 kg, and its gauge reads 0.3 kg more than two's.
func evidence(t *testing.T) steady.Evidence {
	const kg = 9.80665
	c, err := steady.Compare(steady.Sample{N: 12, Mean: .76, SD: .008}, steady.Sample{N: 12, Mean: .74, SD: .008}, .95)
	require.NoError(t, err)
	return steady.Evidence{
		Readings: c.At(24), Machine: "one", Against: "two", Last: began(), Within: 7 * day,
		Checks: []steady.Check{
			{Machine: "one", At: began().Add(-40 * day), SetN: 24 * kg, ReadN: 20 * kg}, // long past, before it was mended
			{Machine: "one", At: began().Add(-3 * day), SetN: 24 * kg, ReadN: 24.2 * kg},
			{Machine: "two", At: began().Add(-7 * day), SetN: 23 * kg, ReadN: 22.9 * kg},
		},
	}
}

func TestPropose(t *testing.T) {
	e := evidence(t)
	p, err := steady.Propose(e)
	require.NoError(t, err)
	assert.Equal(t, "one", p.Machine)
	assert.Equal(t, "two", p.Against)
	assert.InDelta(t, .48, p.OffsetKg, 1e-12)
	assert.InDelta(t, .3, p.GaugeKg, 1e-12)
	assert.Equal(t, []steady.Check{e.Checks[1], e.Checks[2]}, p.Checks)
	assert.Less(t, p.LowKg, p.OffsetKg)
	assert.Less(t, p.OffsetKg, p.HighKg)

	// Against something that is no machine its own check is enough.
	e.Against = ""
	p, err = steady.Propose(e)
	require.NoError(t, err)
	assert.InDelta(t, .2, p.GaugeKg, 1e-12)
	assert.Len(t, p.Checks, 1)

	// The other way round both are below nought.
	e = evidence(t)
	e.Machine, e.Against = e.Against, e.Machine
	e.Readings, err = steady.Compare(e.Readings.B, e.Readings.A, .95)
	require.NoError(t, err)
	e.Readings.OrderedKg = 24
	p, err = steady.Propose(e)
	require.NoError(t, err)
	assert.InDelta(t, -.48, p.OffsetKg, 1e-12)
	assert.InDelta(t, -.3, p.GaugeKg, 1e-12)
}

func TestProposeRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		change func(e *steady.Evidence)
		want   steady.Reason
		on     string
		says   string
	}{
		"ratios":            {func(e *steady.Evidence) { e.Readings.OrderedKg = 0 }, steady.NotInKg, "", "not told in kg"},
		"not apart":         {func(e *steady.Evidence) { e.Readings.Low = -.1 }, steady.NotApart, "", "take more readings"},
		"no checks":         {func(e *steady.Evidence) { e.Checks = nil }, steady.NoCheck, "one", "check one with a gauge at its working tension first"},
		"no check of other": {func(e *steady.Evidence) { e.Checks = e.Checks[:2] }, steady.NoCheck, "two", "check two with a gauge"},
		"old":               {func(e *steady.Evidence) { e.Last = e.Last.Add(1) }, steady.OldCheck, "two", "too old"},
		"other tension":     {func(e *steady.Evidence) { e.Checks[1].SetN = 11 * 9.80665 }, steady.OtherTension, "one", "another tension"},
		"other way":         {func(e *steady.Evidence) { e.Checks[1].ReadN = e.Checks[1].SetN - 3 }, steady.GaugeDisagrees, "", "the readings say +0.48 kg, the gauge says -0.21 kg"},
		"gauge sees none": {func(e *steady.Evidence) {
			e.Checks[1].ReadN, e.Checks[2].ReadN = e.Checks[1].SetN, e.Checks[2].SetN
		}, steady.GaugeDisagrees, "", "the gauge says +0.00 kg"},
	} {
		t.Run(name, func(t *testing.T) {
			e := evidence(t)
			c.change(&e)
			p, err := steady.Propose(e)
			assert.Zero(t, p)
			var r steady.Refusal
			require.ErrorAs(t, err, &r)
			assert.Equal(t, c.want, r.Reason)
			assert.Equal(t, c.on, r.Machine)
			assert.ErrorContains(t, err, c.says)
		})
	}
}
