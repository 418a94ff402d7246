package mechanics

import (
	"errors"
	"math"
	"sort"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// Mode is a way in which the bed rings by itself.
type Mode struct {
	Hz float64
	// Shape is the deflection of each crossing; the largest is 1.
	Shape []float64
}

// How the modes are sought.
const (
	pause   = 2     // shapes that are joined before the modes within the space are looked at again
	exact   = 3e-6  // what a mode may leave beside the space, as a share of it; its frequency is off by the square
	nothing = 1e-12 // what is left of a shape that lies in the space already
)

// Modes are the lowest modes from the lowest up, at most as many as there are crossings. It fails when a crossing has no
// mass. A few smooth shapes tell a square σ that the modes lie below; the signs of the factor of K − σM say how many do,
// so that none is missed, however many ring alike. Lanczos' method with the inverse of that matrix finds them: the space
// grows by what the inverse makes of its shapes, and the modes are the best ones within it.
// Sources, from memory: Parlett, The Symmetric Eigenvalue Problem (1980), chapter 10 for the bound; Ericsson & Ruhe (1980)
// for the shift.
func (n *Net) Modes(count int) ([]Mode, error) {
	count = min(count, len(n.nodes))
	root := make([]float64, len(n.nodes))
	for i, node := range n.nodes {
		if node.MassG <= 0 {
			return nil, errors.New("a crossing without mass does not ring; give the strings' mass")
		}
		root[i] = math.Sqrt(node.MassG)
	}
	shift, start, err := n.above(root, count)
	if err != nil {
		return nil, err
	}
	k := n.matrix()
	for i, r := range root {
		*k.at(i, i) -= shift * r * r
	}
	s := &space{root: root, inverse: factorize(k)}
	s.join(start, 0)
	for {
		for range pause {
			s.grow()
		}
		below, turn, err := s.within()
		switch whole := len(s.image) == len(root); {
		case err != nil:
			return nil, err
		case whole && len(below) < count:
			return nil, errors.New("the modes do not settle")
		case !whole && s.beside(below, turn) > exact:
		case whole || len(below) == s.inverse.below:
			return s.modes(shift, below, turn, count), nil
		default:
			s.random()
		}
	}
}

// space is a space of shapes, scaled by the roots of the masses so that it can be orthonormal.
type space struct {
	root    []float64
	inverse *factor
	shape   [][]float64
	// image are the parts that the inverse makes of the first shapes: for each its share in every shape there is then.
	image [][]float64
	drawn int
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
	s.inverse.solve(v)
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

// within are the modes below the shift of the shapes that have their images: the values of the inverse, 1/(ω² − σ), the
// highest mode first, and how the modes are made of the shapes.
func (s *space) within() (below []float64, turn *mat.Dense, err error) {
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
	values := eigen.Values(nil)
	return values[:sort.SearchFloat64s(values, 0)], turn, nil
}

// beside is the most that the images of the modes have beside the space, as a share of them.
func (s *space) beside(value []float64, turn *mat.Dense) (most float64) {
	for k, v := range value {
		square := 0.0
		for i := len(s.image); i < len(s.shape); i++ {
			sum := 0.0
			for j, parts := range s.image {
				if i < len(parts) {
					sum += parts[i] * turn.At(j, k)
				}
			}
			square += sum * sum
		}
		most = max(most, math.Sqrt(square)/-v)
	}
	return most
}

// modes are the lowest of the space as deflections; N/mm over g is 10⁶/s².
func (s *space) modes(shift float64, value []float64, turn *mat.Dense, count int) []Mode {
	out := make([]Mode, count)
	for k := range out {
		col := len(value) - 1 - k
		v := make([]float64, len(s.root))
		for i := range s.image {
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
		out[k] = Mode{math.Sqrt(1e6*(shift+1/value[col])) / (2 * math.Pi), v}
	}
	return out
}
