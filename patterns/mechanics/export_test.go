package mechanics

import (
	"math"

	"pullcard/patterns"
	"pullcard/patterns/grid"
)

// Rect strings a rectangle: nx mains at a distance hx from each other and ny crosses at hy, the edge one distance
// beyond the last.
func Rect(nx, ny int, hx, hy float64, main, cross Cord) (*Net, error) {
	w, l := float64(nx+1)*hx, float64(ny+1)*hy
	mains, crosses := make([]String, nx), make([]String, ny)
	for i := range mains {
		x := float64(i+1)*hx - w/2
		mains[i] = String{patterns.MainStrand(i+1, patterns.Right), [2]grid.Point{{X: x, Y: l / 2}, {X: x, Y: -l / 2}}, main}
	}
	for j := range crosses {
		y := l/2 - float64(j+1)*hy
		crosses[j] = String{patterns.CrossStrand(j + 1), [2]grid.Point{{X: -w / 2, Y: y}, {X: w / 2, Y: y}}, cross}
	}
	return Weave(mains, crosses)
}

// Fan strings a bed of n by n whose mains spread out towards the head and whose pitches and tensions vary from strand to
// strand, so that no shape is known beforehand and no two modes are one.
func Fan(n int) (*Net, error) {
	const top, bottom = 1.0, 0.75 // half the width, by half the length
	cord := func(i int) Cord { return Cord{TensionN: 230 * (1 + 0.1*math.Sin(7*float64(i))), MassGPM: 1.7} }
	place := func(i int) float64 { // from -1 to 1, closer in the middle
		u := 2*float64(i+1)/float64(n+1) - 1
		return u * (0.85 + 0.15*u*u)
	}
	half := 6 * float64(n+1)
	mains, crosses := make([]String, n), make([]String, n)
	for i := range n {
		x, y := half*place(i), half*place(n-1-i)
		edge := half * ((top+bottom)/2 + (top-bottom)/2*y/half)
		mains[i] = String{patterns.MainStrand(i+1, patterns.Right), [2]grid.Point{{X: top * x, Y: half}, {X: bottom * x, Y: -half}}, cord(i)}
		crosses[i] = String{patterns.CrossStrand(i + 1), [2]grid.Point{{X: -edge, Y: y}, {X: edge, Y: y}}, cord(i + n)}
	}
	return Weave(mains, crosses)
}
