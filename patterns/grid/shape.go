package grid

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"pullcard/patterns"
)

// Point is a place in the plane of the strings in millimetres: X to the right, Y towards the head, nought at the
// middle of the hoop, as the stringer sees it.
type Point struct{ X, Y float64 }

// To is the distance to another point.
func (p Point) To(q Point) float64 { return math.Hypot(q.X-p.X, q.Y-p.Y) }

// panels is the number of pieces into which a quarter of the hoop is cut to tabulate its length. Between them a cubic
// is good to about a millionth of a millimetre on an ellipse of a racket's size.
const panels = 64

// Shape is the inside of a hoop, |x/a|ⁿ + |y/b|ⁿ = 1, with its length along the rim tabulated.
type Shape struct {
	a, b, n float64
	arc     [panels + 1]float64 // from the head down a quarter of the rim
	speed   [panels + 1]float64 // how fast it grows with the direction
}

// NewShape measures a hoop. Length and width must be above nought and the exponent between 1, a rhombus, and 20,
// all but a rectangle.
func NewShape(h patterns.Hoop) (*Shape, error) {
	if !(h.LengthMM > 0) || !(h.WidthMM > 0) || h.LengthMM > 1e5 || h.WidthMM > 1e5 {
		return nil, fmt.Errorf("a hoop of %g × %g mm is none; give its inside length and width", h.LengthMM, h.WidthMM)
	}
	if !(h.Exponent >= 1 && h.Exponent <= 20) {
		return nil, fmt.Errorf("a hoop's exponent lies between 1 and 20, 2 being an ellipse, not at %g", h.Exponent)
	}
	s := &Shape{a: h.WidthMM / 2, b: h.LengthMM / 2, n: h.Exponent}
	s.tabulate()
	return s, nil
}

func (s *Shape) tabulate() {
	const step = math.Pi / 2 / panels
	s.speed[0] = s.rate(0)
	for i := range panels {
		from := float64(i) * step
		s.arc[i+1] = s.arc[i] + quad.Fixed(s.rate, from, from+step, 4, nil, 0)
		s.speed[i+1] = s.rate(from + step)
	}
}

// rate is the rim's length per radian of direction. With the direction φ from the head and f = sinⁿφ + cosⁿφ, the
// point (a·sin φ, b·cos φ)·f^(−1/n) moves by f^(−1/n−1)·(a·cosⁿ⁻¹φ, −b·sinⁿ⁻¹φ).
func (s *Shape) rate(φ float64) float64 {
	sin, cos := math.Sin(φ), math.Max(0, math.Cos(φ))
	x, y := s.a*s.pow(cos, s.n-1), s.b*s.pow(sin, s.n-1)
	if s.n == 2 {
		return math.Sqrt(x*x + y*y)
	}
	return math.Hypot(x, y) * math.Pow(math.Pow(sin, s.n)+math.Pow(cos, s.n), -1/s.n-1)
}

// pow spares the ellipse, which most hoops are, the general power.
func (s *Shape) pow(v, exponent float64) float64 {
	switch exponent {
	case 1:
		return v
	case 2:
		return v * v
	case 0.5:
		return math.Sqrt(v)
	}
	return math.Pow(v, exponent)
}

// PerimeterMM is the length of the rim; 4b·E(1 − a²/b²) for an ellipse.
// Source: DLMF 19.30 for the ellipse. The directions near the axes, where powers of the sine are rough, are taken in
// smaller steps.
func (s *Shape) PerimeterMM() float64 {
	graded := func(u float64) float64 {
		return s.rate(math.Pi/2*u*u*(3-2*u)) * math.Pi / 2 * 6 * u * (1 - u)
	}
	return 4 * quad.Fixed(graded, 0, 1, 128, nil, 0)
}

// MainMM is the length of a straight main at a distance from the centre line, 0 outside the hoop.
func (s *Shape) MainMM(x float64) float64 { return 2 * s.height(x) }

// CrossMM is the length of a straight cross at a distance from the middle of the hoop, 0 outside the hoop.
func (s *Shape) CrossMM(y float64) float64 { return 2 * s.breadth(y) }

func (s *Shape) height(x float64) float64  { return s.b * s.other(math.Abs(x)/s.a) }
func (s *Shape) breadth(y float64) float64 { return s.a * s.other(math.Abs(y)/s.b) }

func (s *Shape) other(v float64) float64 {
	if v >= 1 {
		return 0
	}
	return s.pow(1-s.pow(v, s.n), 1/s.n)
}

// quarter is the length of the rim from head or throat to the widest place.
func (s *Shape) quarter() float64 { return s.arc[panels] }

// length interpolates the table by cubics that have its lengths and rates at both ends.
func (s *Shape) length(φ float64) float64 {
	const step = math.Pi / 2 / panels
	i := min(int(φ/step), panels-1)
	t := φ/step - float64(i)
	p, q := s.arc[i], s.arc[i+1]
	u, v := s.speed[i]*step, s.speed[i+1]*step
	return p + t*(u+t*(3*(q-p)-2*u-v+t*(2*(p-q)+u+v)))
}

// at is the rim's point at a length from the head, positive down the left side and negative down the right.
func (s *Shape) at(u float64) Point {
	u = math.Remainder(u, 4*s.quarter())
	l := math.Abs(u)
	below := l > s.quarter()
	if below {
		l = 2*s.quarter() - l
	}
	φ := s.direction(l)
	sin, cos := math.Sin(φ), math.Max(0, math.Cos(φ))
	r := s.pow(s.pow(sin, s.n)+s.pow(cos, s.n), -1/s.n)
	p := Point{-math.Copysign(s.a*r*sin, u), s.b * r * cos}
	if below {
		p.Y = -p.Y
	}
	return p
}

// Outline is a ring of points on the rim, evenly spaced along it, from the head down the left side.
func (s *Shape) Outline(points int) []Point {
	out := make([]Point, points)
	for i := range out {
		out[i] = s.at(4 * s.quarter() * float64(i) / float64(points))
	}
	return out
}

// direction inverts length on a quarter of the rim: Newton's steps inside the panel, whose length is monotone.
func (s *Shape) direction(l float64) float64 {
	const step = math.Pi / 2 / panels
	lo, hi := 0, panels
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; s.arc[mid] <= l {
			lo = mid
		} else {
			hi = mid
		}
	}
	from, to := float64(lo)*step, float64(hi)*step
	φ := from + step*(l-s.arc[lo])/(s.arc[hi]-s.arc[lo])
	for range 8 {
		next := φ - (s.length(φ)-l)/s.rate(φ)
		next = min(max(next, from), to)
		if math.Abs(next-φ) < 1e-14 {
			break
		}
		φ = next
	}
	return φ
}

// meet is where a straight strand at a distance v of the half axis ends on the rim: the other coordinate as a share of
// its half axis, and the rim's gradient there in both directions.
func (s *Shape) meet(v float64) (other, gv, gother float64) {
	p := s.pow(v, s.n)
	other = s.pow(1-p, 1/s.n)
	if v == 0 {
		return other, s.pow(0, s.n-1), 1
	}
	return other, p / v, (1 - p) / other
}

// column is where a main at a distance |x| < a from the centre line meets the head's rim: the rim's length from the
// head and how fast the main moves sideways with it.
func (s *Shape) column(x float64) end {
	v := math.Abs(x) / s.a
	y, gx, gy := s.meet(v)
	gx, gy = gx/s.a, gy/s.b
	return end{s.length(math.Atan2(v, y)), gy / math.Sqrt(gx*gx+gy*gy)}
}

// row is the same for a cross at y, |y| < b, and the left side's rim.
func (s *Shape) row(y float64) end {
	v := math.Abs(y) / s.b
	x, gy, gx := s.meet(v)
	gx, gy = gx/s.a, gy/s.b
	e := end{s.length(math.Atan2(x, v)), gx / math.Sqrt(gx*gx+gy*gy)}
	if y < 0 {
		e.along = 2*s.quarter() - e.along
	}
	return e
}

// normal is the direction in radians in which the rim looks outwards at a point.
func (s *Shape) normal(p Point) float64 {
	gx := s.pow(math.Abs(p.X)/s.a, s.n-1) / s.a
	gy := s.pow(math.Abs(p.Y)/s.b, s.n-1) / s.b
	return math.Atan2(math.Copysign(gy, p.Y), math.Copysign(gx, p.X))
}
