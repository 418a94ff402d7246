package controlchart_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/controlchart"
)

const day = 24 * time.Hour

// evidence is invented: one's beds come out 0.48 kg tighter at 24 kg, and its gauge reads 0.3 kg more than two's.
func evidence(t *testing.T) controlchart.Evidence {
	const kg = 9.80665
	c, err := controlchart.Compare(controlchart.Sample{N: 12, Mean: .76, SD: .008}, controlchart.Sample{N: 12, Mean: .74, SD: .008}, .95)
	require.NoError(t, err)
	return controlchart.Evidence{
		Readings: c.At(24), Machine: "one", Against: "two", Last: began(), Within: 7 * day,
		Checks: []controlchart.Check{
			{Machine: "one", At: began().Add(-40 * day), SetN: 24 * kg, ReadN: 20 * kg}, // long past, before it was mended
			{Machine: "one", At: began().Add(-3 * day), SetN: 24 * kg, ReadN: 24.2 * kg},
			{Machine: "two", At: began().Add(-7 * day), SetN: 23 * kg, ReadN: 22.9 * kg},
		},
	}
}

func TestPropose(t *testing.T) {
	e := evidence(t)
	p, err := controlchart.Propose(e)
	require.NoError(t, err)
	assert.Equal(t, "one", p.Machine)
	assert.Equal(t, "two", p.Against)
	assert.InDelta(t, .48, p.OffsetKg, 1e-12)
	assert.InDelta(t, .3, p.GaugeKg, 1e-12)
	assert.Equal(t, []controlchart.Check{e.Checks[1], e.Checks[2]}, p.Checks)
	assert.Less(t, p.LowKg, p.OffsetKg)
	assert.Less(t, p.OffsetKg, p.HighKg)

	// Against something that is no machine its own check is enough.
	e.Against = ""
	p, err = controlchart.Propose(e)
	require.NoError(t, err)
	assert.InDelta(t, .2, p.GaugeKg, 1e-12)
	assert.Len(t, p.Checks, 1)

	// The other way round both are below nought.
	e = evidence(t)
	e.Machine, e.Against = e.Against, e.Machine
	e.Readings, err = controlchart.Compare(e.Readings.B, e.Readings.A, .95)
	require.NoError(t, err)
	e.Readings.OrderedKg = 24
	p, err = controlchart.Propose(e)
	require.NoError(t, err)
	assert.InDelta(t, -.48, p.OffsetKg, 1e-12)
	assert.InDelta(t, -.3, p.GaugeKg, 1e-12)
}

func TestProposeRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		change func(e *controlchart.Evidence)
		want   controlchart.Reason
		on     string
		says   string
	}{
		"ratios":            {func(e *controlchart.Evidence) { e.Readings.OrderedKg = 0 }, controlchart.NotInKg, "", "not told in kg"},
		"not apart":         {func(e *controlchart.Evidence) { e.Readings.Low = -.1 }, controlchart.NotApart, "", "take more readings"},
		"no checks":         {func(e *controlchart.Evidence) { e.Checks = nil }, controlchart.NoCheck, "one", "check one with a gauge at its working tension first"},
		"no check of other": {func(e *controlchart.Evidence) { e.Checks = e.Checks[:2] }, controlchart.NoCheck, "two", "check two with a gauge"},
		"old":               {func(e *controlchart.Evidence) { e.Last = e.Last.Add(1) }, controlchart.OldCheck, "two", "too old"},
		"other tension":     {func(e *controlchart.Evidence) { e.Checks[1].SetN = 11 * 9.80665 }, controlchart.OtherTension, "one", "another tension"},
		"other way":         {func(e *controlchart.Evidence) { e.Checks[1].ReadN = e.Checks[1].SetN - 3 }, controlchart.GaugeDisagrees, "", "the readings say +0.48 kg, the gauge says -0.21 kg"},
		"gauge sees none": {func(e *controlchart.Evidence) {
			e.Checks[1].ReadN, e.Checks[2].ReadN = e.Checks[1].SetN, e.Checks[2].SetN
		}, controlchart.GaugeDisagrees, "", "the gauge says +0.00 kg"},
	} {
		t.Run(name, func(t *testing.T) {
			e := evidence(t)
			c.change(&e)
			p, err := controlchart.Propose(e)
			assert.Zero(t, p)
			var r controlchart.Refusal
			require.ErrorAs(t, err, &r)
			assert.Equal(t, c.want, r.Reason)
			assert.Equal(t, c.on, r.Machine)
			assert.ErrorContains(t, err, c.says)
		})
	}
}
