package mechanics

import (
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
