package bed

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// Mode is a way in which the bed rings by itself.
type Mode struct {
	Hz float64
	// Shape is the deflection of each crossing; the largest is 1.
	Shape []float64
}

// How the modes are sought: the space holds some more shapes than are asked for, it is improved until the frequencies
// stand still, and it doubles where they are slow to, as modes are that lie close together.
const (
	spare     = 3
	still     = 1e-12 // relative change of the squares of the frequencies
	patience  = 20    // rounds before the space doubles
	maxRounds = 400
)

// Modes are the lowest modes from the lowest up, at most as many as there are crossings. It fails when a crossing has no
// mass. Subspace iteration: the space is multiplied by the inverse of the stiffness, and the modes are the best ones
// within it.
// Source, from memory: Bathe & Wilson, Numerical Methods in Finite Element Analysis (1976).
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
	s.start(min(count+spare, len(n.nodes)))
	last := make([]float64, count)
	for round := range maxRounds {
		if round%patience == patience-1 {
			s.grow()
		}
		if err := s.improve(); err != nil {
			return nil, err
		}
		worst := 0.0
		for i := range last {
			worst = max(worst, math.Abs(s.value[i]-last[i])/s.value[i])
			last[i] = s.value[i]
		}
		if worst < still {
			return s.modes(count), nil
		}
	}
	return nil, fmt.Errorf("the bed's modes do not settle in %d rounds", maxRounds)
}

// space is a space of shapes, scaled by the roots of the masses so that it can be orthonormal.
type space struct {
	net   *Net
	root  []float64
	shape [][]float64
	image [][]float64
	value []float64 // of the inverse: 1/ω², the largest first
}

// start takes the bed's shape under even pressure, which is nought at the hoop, times the powers of x and y.
func (s *space) start(size int) {
	n := s.net
	bulge := n.Deflection(n.Pressure(1))
	far := 0.0
	for _, node := range n.nodes {
		far = max(far, math.Abs(node.X), math.Abs(node.Y))
	}
	for degree := 0; len(s.shape) < size; degree++ {
		for px := degree; px >= 0 && len(s.shape) < size; px-- {
			v := make([]float64, len(n.nodes))
			for i, node := range n.nodes {
				v[i] = bulge[i] * math.Pow(node.X/far, float64(px)) * math.Pow(node.Y/far, float64(degree-px)) * s.root[i]
			}
			if !s.join(v) {
				s.random(v, degree*64+px)
			}
		}
		if degree > 64 {
			panic("bed: no shapes left to begin with")
		}
	}
}

// grow doubles the space, at most to all shapes that there are; then the modes within it are the modes.
func (s *space) grow() {
	all := len(s.root)
	for size, seed := min(2*len(s.shape), all), 1000; len(s.shape) < size; seed++ {
		s.random(make([]float64, all), seed)
	}
}

// random joins a shape of no pattern where the powers of a narrow net repeat each other; it is the same every time.
func (s *space) random(v []float64, seed int) {
	for i := range v {
		v[i] = math.Sin(float64(i+1)*float64(seed+1)*12.9898) * s.root[i]
	}
	s.join(v)
}

// join makes a shape perpendicular to those in the space and adds it; false when nothing is left of it.
func (s *space) join(v []float64) bool {
	x := vector(v)
	before := blas64.Nrm2(x)
	for range 2 { // twice is enough
		for _, u := range s.shape {
			blas64.Axpy(-blas64.Dot(vector(u), x), vector(u), x)
		}
	}
	length := blas64.Nrm2(x)
	if length <= 1e-10*before {
		return false
	}
	blas64.Scal(1/length, x)
	s.shape = append(s.shape, v)
	return true
}

func vector(v []float64) blas64.Vector { return blas64.Vector{N: len(v), Inc: 1, Data: v} }

// improve multiplies the space by the inverse of the stiffness and turns it to the best modes within it.
func (s *space) improve() error {
	size := len(s.shape)
	for len(s.image) < size {
		s.image = append(s.image, make([]float64, len(s.root)))
	}
	for i, u := range s.shape {
		v := s.image[i]
		for k := range v {
			v[k] = u[k] * s.root[k]
		}
		s.net.chol.solve(v)
		for k := range v {
			v[k] *= s.root[k]
		}
	}
	within := mat.NewSymDense(size, nil)
	for i := range size {
		for j := i; j < size; j++ {
			within.SetSym(i, j, blas64.Dot(vector(s.shape[i]), vector(s.image[j])))
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(within, true) {
		return errors.New("the modes within a space of shapes do not settle")
	}
	up := eigen.Values(nil)
	var turn mat.Dense
	eigen.VectorsTo(&turn)
	s.value = make([]float64, size)
	old := s.shape
	s.shape = make([][]float64, 0, size)
	for k := range size {
		col := size - 1 - k // the largest of the inverse is the lowest mode
		s.value[k] = up[col]
		v := old[k]
		clear(v)
		for i := range size {
			blas64.Axpy(turn.At(i, col), vector(s.image[i]), vector(v))
		}
		if !s.join(v) {
			s.random(v, k)
		}
	}
	return nil
}

// modes are the first of the space as deflections; N/mm over g is 10⁶/s².
func (s *space) modes(count int) []Mode {
	out := make([]Mode, count)
	for k := range out {
		v := make([]float64, len(s.root))
		most := 0.0
		for i := range v {
			v[i] = s.shape[k][i] / s.root[i]
			if math.Abs(v[i]) > math.Abs(most)+1e-9 {
				most = v[i]
			}
		}
		for i := range v {
			v[i] /= most
		}
		out[k] = Mode{math.Sqrt(1e6/s.value[k]) / (2 * math.Pi), v}
	}
	return out
}
