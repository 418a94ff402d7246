package grid

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/integrate/quad"
	"pgregory.net/rapid"

	"pullcard/patterns"
)

// shape is a hoop by its half axes.
func shape(t require.TestingT, a, b, n float64) *Shape {
	s, err := NewShape(patterns.Hoop{LengthMM: 2 * b, WidthMM: 2 * a, Exponent: n})
	require.NoError(t, err)
	return s
}

// Source: DLMF 19.30, perimeter 4a·E(1 − b²/a²), worked out to fifteen digits.
func TestPerimeterOfEllipse(t *testing.T) {
	for _, c := range []struct{ a, b, want float64 }{
		{2, 1, 9.68844822054767},
		{5, 3, 25.5269988633981},
		{175, 130, 963.407421553085},
		{140, 110, 788.228150688509},
	} {
		assert.InEpsilon(t, c.want, shape(t, c.b, c.a, 2).PerimeterMM(), 1e-14, "%v", c)
		assert.InEpsilon(t, c.want, shape(t, c.a, c.b, 2).PerimeterMM(), 1e-14, "%v turned", c)
	}
}

// Source: Abramowitz & Stegun Table 17.1; a quarter of the ellipse with half axes 1 and √(1 − m) is E(m).
func TestCompleteEllipticIntegral(t *testing.T) {
	for m, want := range map[float64]float64{.1: 1.5307576368977633, .5: 1.3506438810476755, .9: 1.1047747327040733} {
		assert.InEpsilon(t, want, shape(t, math.Sqrt(1-m), 1, 2).PerimeterMM()/4, 1e-14, "m = %g", m)
	}
}

// Worked out from 4Γ(1+1/n)²/Γ(1+2/n) to fifteen digits.
func TestAreaOfSuperellipse(t *testing.T) {
	for n, want := range map[float64]float64{2: math.Pi, 2.2: 3.25140870391824, 2.5: 3.38093536253738} {
		assert.InEpsilon(t, want*3*5/100, patterns.Hoop{LengthMM: 10, WidthMM: 6, Exponent: n}.AreaCM2(), 1e-14, "n = %g", n)
	}
}

// Worked out to fourteen digits.
func TestPerimeterOfSuperellipse(t *testing.T) {
	for n, want := range map[float64]float64{2.5: 6.5467047229648, 3: 6.74499314012634} {
		assert.InEpsilon(t, want, shape(t, 1, 1, n).PerimeterMM(), 1e-13, "n = %g", n)
	}
}

// Worked out: the chords of an ellipse of half-width 130 and half-length 170, and the sum of ten mains at a·cos(kπ/n).
func TestChordsOfEllipse(t *testing.T) {
	s := shape(t, 130, 170, 2)
	assert.InDelta(t, 340, s.MainMM(0), 1e-9)
	assert.InDelta(t, 313.846153846, s.MainMM(50), 5e-10)
	assert.InDelta(t, 130.769230769, s.MainMM(-120), 5e-10)
	assert.InDelta(t, 260, s.CrossMM(0), 1e-9)
	assert.Zero(t, s.MainMM(130))
	sum := 0.0
	for k := 1; k < 10; k++ {
		sum += s.MainMM(130 * math.Cos(float64(k)*math.Pi/10))
	}
	assert.InDelta(t, 2146.675514990, sum, 5e-9)
	assert.InDelta(t, 2*170/math.Tan(math.Pi/20), sum, 1e-9)
}

// The table's length along the rim and its inverse agree with direct integration and with each other.
func TestLengthAlongRim(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := shape(t, rapid.Float64Range(50, 200).Draw(t, "a"), rapid.Float64Range(50, 200).Draw(t, "b"), rapid.Float64Range(1.5, 4).Draw(t, "n"))
		assert.InEpsilon(t, s.PerimeterMM(), 4*s.quarter(), 1e-5)
		φ := rapid.Float64Range(0, math.Pi/2).Draw(t, "φ")
		assert.InDelta(t, quad.Fixed(s.rate, 0, φ, 200, nil, 0), s.length(φ), 0.01)
		u := rapid.Float64Range(-2, 2).Draw(t, "u") * s.quarter()
		p := s.at(u)
		assert.InDelta(t, 1, math.Pow(math.Abs(p.X)/s.a, s.n)+math.Pow(math.Abs(p.Y)/s.b, s.n), 1e-9, "on the rim")
		if math.Abs(p.X) < s.a*.999 && p.Y > 0 {
			assert.InDelta(t, math.Abs(u), s.column(p.X).along, 1e-6)
		}
		if math.Abs(p.Y) < s.b*.999 && p.X < 0 {
			assert.InDelta(t, u, s.row(p.Y).along, 1e-6)
		}
	})
}

// On an ellipse a strand's sideways pace is the tangent's: at (a·sinφ, b·cosφ) it is (a·cosφ, −b·sinφ).
func TestPaceOnEllipse(t *testing.T) {
	s := shape(t, 120, 160, 2)
	for φ := 0.1; φ < 1.5; φ += 0.2 {
		x, y := s.a*math.Sin(φ), s.b*math.Cos(φ)
		dx, dy := s.a*math.Cos(φ), s.b*math.Sin(φ)
		assert.InDelta(t, dx/math.Hypot(dx, dy), s.column(x).pace, 1e-12)
		assert.InDelta(t, dy/math.Hypot(dx, dy), s.row(y).pace, 1e-12)
		assert.InDelta(t, math.Atan2(s.a*math.Cos(φ), s.b*math.Sin(φ)), s.normal(Point{x, y}), 1e-12)
	}
}

func TestHoopsThatAreNone(t *testing.T) {
	for _, h := range []patterns.Hoop{{LengthMM: 0, WidthMM: 1, Exponent: 2}, {LengthMM: 1, WidthMM: -1, Exponent: 2},
		{LengthMM: math.NaN(), WidthMM: 1, Exponent: 2}, {LengthMM: 1, WidthMM: 1, Exponent: 0.9}, {LengthMM: 1, WidthMM: 1, Exponent: 21}} {
		_, err := NewShape(h)
		assert.Error(t, err, "%+v", h)
	}
}
