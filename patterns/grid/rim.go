package grid

import (
	"math"

	"pullcard/patterns"
)

// RimMM is the length of the whole rim by which places along it are told.
func (s *Shape) RimMM() float64 { return 4 * s.quarter() }

// Rim is the rim's point at a length in mm from the head's centre, positive down the left side and negative down the right.
func (s *Shape) Rim(alongMM float64) Point { return s.at(alongMM) }

// TowardsMM is the length from the head's centre to where a ray from the middle of the hoop meets the rim, by the ray's angle in
// radians from the head, positive to the left.
func (s *Shape) TowardsMM(angle float64) float64 {
	angle = math.Remainder(angle, 2*math.Pi)
	φ, below := math.Abs(angle), math.Abs(angle) > math.Pi/2
	if below {
		φ = math.Pi - φ
	}
	along := s.length(φ)
	if below {
		along = 2*s.quarter() - along
	}
	return math.Copysign(along, angle)
}

// Outwards is the unit vector by which the rim looks outwards at a point of it.
func (s *Shape) Outwards(p Point) Point {
	sin, cos := math.Sincos(s.normal(p))
	return Point{cos, sin}
}

// AlongMM is where a hole lies along the rim in mm from the head's centre, positive down the left side and negative down the
// right; 0 for a hole that carries no string.
func (g *Grid) AlongMM(h patterns.Hole) float64 { return g.along[h] }
