package draw

import "math"

// curve is the rounded outline |x/a|ⁿ + |y/b|ⁿ = 1, a superellipse, round the middle of the bed.
type curve struct {
	midU, midV, a, b, n float64
}

func newCurve(u, v axis, n float64) curve {
	return curve{
		midU: float64(u.low+u.high) / 2, midV: float64(v.low+v.high) / 2,
		a: float64(u.high-u.low) / 2, b: float64(v.high-v.low) / 2, n: n,
	}
}

// depthV is how far the outline lies from its end line, in rows, at a column; depthU likewise at a row.
func (c curve) depthV(u float64) float64 { return c.b - c.b*c.rest((u-c.midU)/c.a) }

func (c curve) depthU(v float64) float64 { return c.a - c.a*c.rest((v-c.midV)/c.b) }

func (c curve) rest(x float64) float64 {
	return math.Pow(max(0, 1-math.Pow(math.Abs(x), c.n)), 1/c.n)
}

// off is a measure of how far a point lies from the outline.
func (c curve) off(u, v int) float64 {
	x, y := math.Abs(float64(u)-c.midU)/c.a, math.Abs(float64(v)-c.midV)/c.b
	return math.Abs(math.Pow(x, c.n) + math.Pow(y, c.n) - 1)
}
