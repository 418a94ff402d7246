package mechanics

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"

	"pullcard/patterns/grid"
)

// Mode is a way in which the bed rings by itself.
type Mode struct {
	Hz float64
	// Shape is the deflection of each crossing; the largest is 1.
	Shape []float64
}

// How the modes are sought.
const (
	pause   = 5     // shapes that are joined before the modes within the space are looked at again
	exact   = 3e-6  // what a mode may leave beside the space, as a share of it; its frequency is off by the square
	beyond  = 1e-7  // by how far above the last mode's square its neighbours are counted
	nothing = 1e-12 // what is left of a shape that lies in the space already
)

// Modes are the lowest modes from the lowest up, at most as many as there are crossings. It fails when a crossing has no
// mass. Lanczos' method with the inverse of the stiffness: the space grows by what the inverse makes of its shapes, and
// the modes are the best ones within it. The signs of the factor of K − ω²M say how many modes lie below a frequency, so
// that none is missed, however many ring alike.
// Sources, from memory: Parlett, The Symmetric Eigenvalue Problem (1980); Ericsson & Ruhe (1980) for the shift.
func (n *Net) Modes(count int) ([]Mode, error) {
	count = min(count, len(n.nodes))
	root := make([]float64, len(n.nodes))
	for i, node := range n.nodes {
		if node.MassG <= 0 {
			return nil, errors.New("a crossing without mass does not ring; give the strings' mass")
		}
		root[i] = math.Sqrt(node.MassG)
	}
	s := &space{net: n, root: root}
	s.join(s.smooth(), 0)
	for {
		for range pause {
			s.grow()
		}
		value, turn, err := s.within()
		switch whole := len(value) == len(root); {
		case err != nil:
			return nil, err
		case !whole && (len(value) < count || s.beside(value, turn, count) > exact):
		case whole || s.missing(value, count) == 0:
			return s.modes(value, turn, count), nil
		default:
			s.random()
		}
	}
}

// space is a space of shapes, scaled by the roots of the masses so that it can be orthonormal.
type space struct {
	net   *Net
	root  []float64
	shape [][]float64
	// image are the parts that the inverse makes of the first shapes: for each its share in every shape there is then.
	image [][]float64
	drawn int
}

// smooth is a shape that has something of every low mode and next to nothing of the high ones: the bed's under even
// pressure, which is nought at the hoop, times a polynomial without symmetry.
func (s *space) smooth() []float64 {
	v := s.net.Deflection(s.net.Pressure(1))
	lo, hi := grid.Point{X: math.Inf(1), Y: math.Inf(1)}, grid.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, n := range s.net.nodes {
		lo, hi = grid.Point{X: min(lo.X, n.X), Y: min(lo.Y, n.Y)}, grid.Point{X: max(hi.X, n.X), Y: max(hi.Y, n.Y)}
	}
	for i, n := range s.net.nodes {
		x, y := (2*n.X-lo.X-hi.X)/max(hi.X-lo.X, 1), (2*n.Y-lo.Y-hi.Y)/max(hi.Y-lo.Y, 1)
		v[i] *= s.root[i] * (1 + x*(1.3+1.1*x) + y*(1.7+0.9*y) + 2.3*x*y)
	}
	return v
}

// random joins a shape of no pattern, while there is room; it is the same every time.
func (s *space) random() {
	for left := false; !left && len(s.shape) < len(s.root); {
		s.drawn++
		v := make([]float64, len(s.root))
		for i := range v {
			v[i] = s.root[i] * math.Sin(float64(i+1)*float64(s.drawn)*12.9898)
		}
		_, left = s.join(v, 0)
	}
}

// grow takes the next shape's image into the space; where there is none left it begins with one of no pattern, until the
// space holds all that there are.
func (s *space) grow() {
	if len(s.image) == len(s.shape) {
		s.random()
	}
	if len(s.image) == len(s.root) {
		return
	}
	v := make([]float64, len(s.root))
	for i, u := range s.shape[len(s.image)] {
		v[i] = u * s.root[i]
	}
	s.net.chol.solve(v)
	for i := range v {
		v[i] *= s.root[i]
	}
	since := 0 // what it has of the shapes before is what their images have of it: nothing
	for len(s.image) > since && len(s.image[since]) <= len(s.image) {
		since++
	}
	parts, _ := s.join(v, since)
	s.image = append(s.image, parts)
}

// join makes a shape perpendicular to those in the space, first to those since one and then to all, and adds what is left,
// unless that is nothing; parts are its shares in all shapes then.
func (s *space) join(v []float64, since int) (parts []float64, left bool) {
	x := vector(v)
	before := blas64.Nrm2(x)
	parts = make([]float64, len(s.shape), len(s.shape)+1)
	for _, first := range [2]int{since, 0} { // twice is enough
		for i := first; i < len(s.shape); i++ {
			part := blas64.Dot(vector(s.shape[i]), x)
			blas64.Axpy(-part, vector(s.shape[i]), x)
			parts[i] += part
		}
	}
	length := blas64.Nrm2(x)
	if length <= nothing*before || len(s.shape) == len(s.root) {
		return parts, false
	}
	blas64.Scal(1/length, x)
	s.shape = append(s.shape, v)
	return append(parts, length), true
}

// within are the modes of the shapes that have their images: the values of the inverse, 1/ω², the largest last, and how
// the modes are made of the shapes.
func (s *space) within() (value []float64, turn *mat.Dense, err error) {
	size := len(s.image)
	h := mat.NewSymDense(size, nil)
	for j, parts := range s.image {
		for i := range j + 1 {
			h.SetSym(i, j, parts[i])
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(h, true) {
		return nil, nil, errors.New("the modes within a space of shapes do not settle")
	}
	turn = new(mat.Dense)
	eigen.VectorsTo(turn)
	return eigen.Values(nil), turn, nil
}

// beside is the most that the images of the lowest modes have beside the space, as a share of them.
func (s *space) beside(value []float64, turn *mat.Dense, count int) (most float64) {
	size := len(value)
	for k := size - count; k < size; k++ {
		square := 0.0
		for i := size; i < len(s.shape); i++ {
			sum := 0.0
			for j, parts := range s.image {
				if i < len(parts) {
					sum += parts[i] * turn.At(j, k)
				}
			}
			square += sum * sum
		}
		most = max(most, math.Sqrt(square)/value[k])
	}
	return most
}

// missing is how many modes lie as low as the last that was asked for and are not in the space.
func (s *space) missing(value []float64, count int) int {
	square := (1 + beyond) / value[len(value)-count]
	k := s.net.matrix()
	for i, r := range s.root {
		*k.at(i, i) -= square * r * r
	}
	found := 0
	for _, v := range value {
		if v*square > 1 {
			found++
		}
	}
	return factorize(k).below - found
}

// modes are the lowest of the space as deflections; N/mm over g is 10⁶/s².
func (s *space) modes(value []float64, turn *mat.Dense, count int) []Mode {
	out := make([]Mode, count)
	for k := range out {
		col := len(value) - 1 - k
		v := make([]float64, len(s.root))
		for i := range value {
			blas64.Axpy(turn.At(i, col), vector(s.shape[i]), vector(v))
		}
		most := 0.0
		for i := range v {
			v[i] /= s.root[i]
			if math.Abs(v[i]) > math.Abs(most)+1e-9 {
				most = v[i]
			}
		}
		for i := range v {
			v[i] /= most
		}
		out[k] = Mode{math.Sqrt(1e6/value[col]) / (2 * math.Pi), v}
	}
	return out
}
