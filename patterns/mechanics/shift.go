package mechanics

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// beyond is how far the shift lies over what is known to lie above the last mode: at a mode itself there is no inverse.
const beyond = 1.017

// above is a square that at least so many modes lie below, and a shape that has something of each of them and little of
// the others: the best modes within a few smooth shapes lie above the bed's own, one by one.
func (n *Net) above(root []float64, count int) (square float64, start []float64, err error) {
	s := &space{root: root}
	for waves := 1; len(s.shape) < 2*count && waves <= 2*count; waves++ {
		for w := range waves {
			s.join(n.waves(w+1, waves-w), 0)
		}
	}
	for len(s.shape) < count {
		s.random()
	}
	size := len(s.shape)
	h := mat.NewSymDense(size, nil)
	for i, v := range s.shape {
		f := n.force(v, root)
		for j := range i + 1 {
			h.SetSym(j, i, blas64.Dot(vector(s.shape[j]), vector(f)))
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(h, true) {
		return 0, nil, errors.New("the modes within a few smooth shapes do not settle")
	}
	var turn mat.Dense
	eigen.VectorsTo(&turn)
	start = make([]float64, len(root))
	for i, v := range s.shape {
		for k := range count {
			blas64.Axpy(turn.At(i, k), vector(v), vector(start))
		}
	}
	return beyond * eigen.Values(nil)[count-1], start, nil
}

// waves is the shape of so many half waves along the mains times so many along the crosses, scaled by the roots of the masses.
func (n *Net) waves(mains, crosses int) []float64 {
	v := make([]float64, len(n.nodes))
	for i, node := range n.nodes {
		v[i] = math.Sqrt(node.MassG)
	}
	for t := range n.threads {
		half := mains
		if t >= n.mains {
			half = crosses
		}
		at := 0.0
		for i, node := range n.threads[t].nodes {
			at += n.threads[t].spans[i]
			v[node] *= math.Sin(float64(half) * math.Pi * at / n.threads[t].length)
		}
	}
	return v
}

// force is what the spans do against a shape, both scaled by the roots of the masses.
func (n *Net) force(shape, root []float64) []float64 {
	f := make([]float64, len(shape))
	for _, t := range n.threads {
		last, before := 0.0, -1
		for i, l := range t.spans {
			next, node := 0.0, -1
			if i < len(t.nodes) {
				node = t.nodes[i]
				next = shape[node] / root[node]
			}
			pull := t.TensionN / l * (next - last)
			if before >= 0 {
				f[before] -= pull / root[before]
			}
			if node >= 0 {
				f[node] += pull / root[node]
			}
			last, before = next, node
		}
	}
	return f
}
