package grid

// Bounds are the corners of the smallest box around points, the lower left one first; none give the origin twice.
func Bounds(points ...Point) (lo, hi Point) {
	for i, p := range points {
		if i == 0 {
			lo, hi = p, p
		}
		lo, hi = Point{min(lo.X, p.X), min(lo.Y, p.Y)}, Point{max(hi.X, p.X), max(hi.Y, p.Y)}
	}
	return lo, hi
}
