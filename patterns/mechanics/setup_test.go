package mechanics_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/patterns/grid/gridtest"
	"pullcard/patterns/measure"
	"pullcard/patterns/mechanics"
)

var ball = mechanics.BallOf(patterns.Tennis)

var tennis = gridtest.Ellipse(330, 250)

// sixteen is the common bed of the checks: 16 × 19 on 330 × 250 mm, polyester of 1.25 mm at 24 kg.
func sixteen() mechanics.Setup {
	y := mechanics.Yarn{Product: mechanics.Product{Material: mechanics.Polyester}, DiameterMM: 1.25}
	return mechanics.Setup{Frame: gridtest.Sixteen(tennis), Mains: y, Crosses: y, MainsN: 24 * measure.NewtonsPerKgf, CrossesN: 24 * measure.NewtonsPerKgf}
}

func net(t require.TestingT, s mechanics.Setup) *mechanics.Net {
	_, n, err := s.Net()
	require.NoError(t, err)
	return n
}

func figures(t require.TestingT, s mechanics.Setup) mechanics.Figures {
	f, err := net(t, s).Figures(1)
	require.NoError(t, err)
	return f
}

// Sources: strung tennis beds ring at about 500 to 700 Hz, f ≈ √(T/(4mL)) with L = √area and m the mass of one string of
// that length: Cross, Measuring String Tension (2006). Right after stringing about 30 % of the pull is lost: Cross & Bower
// (2001). Stiffness at the centre about 20 to 45 kN/m: from memory. The frequency lands in its band with the labelled
// loss; the stiffness under a point load without it, and with it under a ball.
func TestBandsOfTheLiterature(t *testing.T) {
	s := sixteen()
	ordered := figures(t, s)
	strung := ordered.Assuming(mechanics.LossAfterStringing())
	assert.True(t, strung.Hz[0] > 500 && strung.Hz[0] < 700, "%.0f Hz with the loss", strung.Hz[0])
	assert.True(t, ordered.Stiffness > 20 && ordered.Stiffness < 45, "%.1f N/mm without the loss", ordered.Stiffness)
	loaded, err := net(t, s.Times(.7)).Loaded(mechanics.BallOf(patterns.Tennis))
	require.NoError(t, err)
	assert.True(t, loaded.Free > 20 && loaded.Free < 45, "%.1f N/mm with the loss under a ball", loaded.Free)

	length := math.Sqrt(math.Pi*165*125) / 1000
	cord, err := s.Mains.Cord(s.MainsN * 0.7)
	require.NoError(t, err)
	assert.InEpsilon(t, math.Sqrt(cord.TensionN/(4*cord.MassGPM/1000*length*length)), strung.Hz[0], 0.06)
}

// The first guess of the trade for an ellipse, ω² = 2.89(τx/a² + τy/b²)/μ: the net lies within three per cent of it.
func TestFirstGuess(t *testing.T) {
	s := sixteen()
	s.CrossesN -= 20
	g, n, err := s.Net()
	require.NoError(t, err)
	c, err := s.Mains.Cord(1)
	require.NoError(t, err)
	sm, sc, λ := g.MainPitchMM/1000, g.CrossPitchMM/1000, c.MassGPM/1000
	ω := math.Sqrt(2.89 * (s.CrossesN/sc/(.125*.125) + s.MainsN/sm/(.165*.165)) / (λ/sm + λ/sc))
	assert.InEpsilon(t, ω/2/math.Pi, modes(t, n, 1)[0].Hz, 0.03)
}

// A loss on all strings alike is exact scaling: the net strung lower says the same.
func TestAssumedLoss(t *testing.T) {
	s := sixteen()
	s.BoostN = map[patterns.Strand]float64{patterns.CrossStrand(19): 20, patterns.MainStrand(8, patterns.Left): 23}
	want := figures(t, s)
	s.MainsN, s.CrossesN = s.MainsN*.7, s.CrossesN*.7
	for k := range s.BoostN {
		s.BoostN[k] *= .7
	}
	low, assumed := figures(t, s), want.Assuming(mechanics.LossAfterStringing())
	assert.InEpsilon(t, float64(low.Stiffness), float64(assumed.Stiffness), 1e-9)
	assert.InEpsilon(t, low.Hz[0], assumed.Hz[0], 1e-9)
	assert.InEpsilon(t, float64(want.Stiffness)*.9, float64(want.Assuming(mechanics.Assumption{Percent: 10}).Stiffness), 1e-12)
}

func TestBoostsStiffen(t *testing.T) {
	s := sixteen()
	plain := net(t, s)
	s.BoostN = map[patterns.Strand]float64{patterns.CrossStrand(10): 23.5}
	boosted := net(t, s)
	near, far := boosted.Nearest(grid.Point{}), boosted.Nearest(grid.Point{Y: 120})
	assert.Greater(t, boosted.Map()[near], plain.Map()[near]*1.02)
	assert.InEpsilon(t, float64(plain.Map()[far]), float64(boosted.Map()[far]), 0.002)
}

// Handbook densities, from memory: nylon of 1.30 mm 1.513 g/m, polyester 1.832 g/m.
func TestMassFromMaterial(t *testing.T) {
	for m, want := range map[mechanics.Material]float64{mechanics.Nylon: 1.513, mechanics.Polyester: 1.832} {
		c, err := mechanics.Yarn{Product: mechanics.Product{Material: m}, DiameterMM: 1.3}.Cord(200)
		require.NoError(t, err)
		assert.InDelta(t, want, c.MassGPM, 5e-4, "%s", m)
	}
	c, err := mechanics.Yarn{MassGPM: 1.7}.Cord(200)
	require.NoError(t, err)
	assert.Equal(t, mechanics.Cord{TensionN: 200, MassGPM: 1.7}, c)
	for _, y := range []mechanics.Yarn{{}, {Product: mechanics.Product{Material: mechanics.Gut}}, {Product: mechanics.Product{Material: "steel"}, MassGPM: 2}} {
		_, err := y.Cord(200)
		assert.Error(t, err, "%+v", y)
	}
	for _, m := range mechanics.Materials() {
		c, err := mechanics.Yarn{Product: mechanics.Product{Material: m}, DiameterMM: 1.3}.Cord(200)
		require.NoError(t, err)
		assert.Greater(t, c.EAN, 1000.0)
	}
	assert.InDelta(t, 1.7*1.2*1.2, mechanics.Yarn{DiameterMM: 1.25, MassGPM: 1.7}.Thicker(.25).MassGPM, 1e-12)
}

// Conversions by NIST SP 811: lbf/in is .175126835246476 N/mm, kgf/mm 9.80665 N/mm.
func TestUnitsOfStiffness(t *testing.T) {
	assert.InEpsilon(t, 1/.175126835246476, mechanics.Stiffness(1).LbfPerIn(), 1e-12)
	assert.InEpsilon(t, 10, mechanics.Stiffness(9.80665).KgfPerCm(), 1e-12)
}

func TestChoices(t *testing.T) {
	s := sixteen()
	table, err := mechanics.Choices(s, ball, gridtest.Dense(tennis), gridtest.Shuttle(tennis))
	require.NoError(t, err)
	require.Len(t, table, 1+7+2)
	row := map[string]mechanics.Choice{}
	for _, c := range table {
		require.Empty(t, c.Why, c.What)
		row[c.What] = c
	}
	kg := 100.0 / 24
	assert.Zero(t, table[0].HzPercent)
	assert.InDelta(t, kg, row["tension + 1 kg"].StiffnessPercent, 1e-6, "stiffness goes as the tension")
	assert.InDelta(t, -kg, row["tension - 1 kg"].StiffnessPercent, 1e-6)
	assert.InDelta(t, (math.Sqrt(25./24)-1)*100, row["tension + 1 kg"].HzPercent, 1e-6, "and the frequency as its root")
	assert.InDelta(t, -kg/2, row["crosses - 1 kg"].StiffnessPercent, 0.6)
	assert.InDelta(t, 0, row["gauge + 0.05 mm"].StiffnessPercent, 1e-9)
	assert.InDelta(t, (1.25/1.30-1)*100, row["gauge + 0.05 mm"].HzPercent, 1e-6, "twice as thick rings half as high")
	assert.InDelta(t, (1/math.Sqrt(1.05)-1)*100, row["hoop 5 % larger"].StiffnessPercent, 0.05, "T/L: Brody (1987)")
	assert.InDelta(t, (1/math.Sqrt(1.05)-1)*100, row["hoop 5 % larger"].HzPercent, 0.05)
	assert.Greater(t, row["pattern 18 × 20 of dense"].StiffnessPercent, 5.0, "more strings, stiffer bed")
	assert.Greater(t, row["hoop 5 % smaller"].StiffnessPercent, 0.0)

	s.MainsN, s.CrossesN = 5, 5
	table, err = mechanics.Choices(s, ball, gridtest.Skipping("impossible", 16, 19, tennis, 2, 3, 4))
	require.NoError(t, err)
	assert.Contains(t, table[2].Why, "tension of -4.8")
	assert.Contains(t, table[len(table)-1].Why, "collide")
	s.Mains = mechanics.Yarn{}
	_, err = mechanics.Choices(s, ball)
	assert.ErrorContains(t, err, "mains: ")
}

// The measured pitch of a hoop grows with it.
func TestChoicesKeepMeasurements(t *testing.T) {
	s := sixteen()
	s.Measured = grid.Measured{MainPitchMM: 12, CrossPitchMM: 14.4}
	table, err := mechanics.Choices(s, ball)
	require.NoError(t, err)
	for _, c := range table {
		if c.What == "hoop 5 % larger" {
			assert.InDelta(t, (1/math.Sqrt(1.05)-1)*100, c.StiffnessPercent, 1e-4)
			return
		}
	}
	t.Fatal("no such choice")
}
