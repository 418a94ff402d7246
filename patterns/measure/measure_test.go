package measure

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func tension(t *testing.T, text string) Tension {
	t.Helper()
	v, err := ParseTension(text)
	require.NoError(t, err)
	return v
}

// Source: GNU units definitions, with the exact factors of NIST SP 811, Appendix B (2008).
func TestTensionUnits(t *testing.T) {
	assert.InDelta(t, 222.411080763025, tension(t, "50 lb").Newtons(), 1e-12)
	assert.InDelta(t, 22.6796185, tension(t, "50 lb").In(Kg), 1e-9)
	assert.InDelta(t, 55.1155655462194, tension(t, "25 kg").In(Lb), 1e-12)
	assert.InDelta(t, 9.80665, tension(t, "1 kg").Newtons(), 1e-15)
	assert.Equal(t, 25.4, MillimetresPerIn)
	assert.InDelta(t, NewtonsPerLbf, KilogramsPerPound*NewtonsPerKgf, 1e-15)
}

// Common practice of the trade: a pull before a knot gets 10 % more, so 50 lb is pulled at 55 lb.
func TestTensionPercent(t *testing.T) {
	assert.Equal(t, "55 lb", tension(t, "50 lb").Percent(10).String())
	assert.Equal(t, "26.07 kg", tension(t, "23.7 kg").Percent(10).String())
	assert.Equal(t, "26.1 kg", tension(t, "23.7 kg").Percent(10).Short())
	assert.InDelta(t, 10, tension(t, "55 lb").Over(tension(t, "50 lb")), 1e-12)
	assert.Equal(t, "26 kg", tension(t, "24 kg").Plus(tension(t, "2 kg")).String())
	assert.InDelta(t, 54.409245, tension(t, "50 lb").Plus(tension(t, "2 kg")).Value(), 1e-9, "in the unit that was ordered")
}

func TestParseTension(t *testing.T) {
	assert.Equal(t, "24 kg", tension(t, "24kg").String())
	assert.Equal(t, "235 N", tension(t, "235 N").Short())
	for _, c := range []struct{ in, want string }{
		{"", "is no tension"}, {"kg", "is no tension"}, {"24", `has no unit; write "24 kg"`}, {"24 stone", `"stone" is no unit`},
		{"-3 kg", "above nought"}, {"0 lb", "above nought"}, {"1e9 kg", "no unit of tension"}, {"1.2.3 kg", "is no tension"},
		{"99999999999 kg", "is no tension"},
	} {
		_, err := ParseTension(c.in)
		assert.ErrorContains(t, err, c.want, c.in)
	}
}

// Source: GNU units definitions: the inch is 25.4 mm.
func TestParseLength(t *testing.T) {
	for in, want := range map[string]float64{"330 mm": 330, "33 cm": 330, "0.33 m": 330, "13 in": 330.2, "1 ft": 304.8} {
		mm, err := ParseLength(in)
		require.NoError(t, err)
		assert.InDelta(t, want, mm, 1e-9)
	}
	for _, bad := range []string{"", "330", "mm", "3 yd", "-1 mm"} {
		_, err := ParseLength(bad)
		assert.Error(t, err, bad)
	}
}

func TestParseLinearMass(t *testing.T) {
	g, err := ParseLinearMass("1.7 g/m")
	require.NoError(t, err)
	assert.Equal(t, 1.7, g)
	for _, bad := range []string{"1.7", "1.7 kg/m", "0 g/m"} {
		_, err := ParseLinearMass(bad)
		assert.Error(t, err, bad)
	}
}

// What is more or less has a sign as people read it.
func TestSigned(t *testing.T) {
	assert.Equal(t, []string{"+0.5", "−1.8", "−2", "+0.00"}, []string{Signed(.5, 1), Signed(-1.84, 1), Signed(-2, 0), Signed(0, 2)})
	high, err := ParseTension("24 kg")
	require.NoError(t, err)
	low, err := ParseTension("23.7 kg")
	require.NoError(t, err)
	assert.Equal(t, []string{"+0.3 kg", "−0.3 kg", ""}, []string{high.Minus(low).Signed(), low.Minus(high).Signed(), Tension{}.Signed()})
}
