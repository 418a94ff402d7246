package mechanics

import (
	"fmt"

	"pullcard/patterns/grid"
	"pullcard/patterns/measure"
)

// Stiffness is a stiffness in N/mm, which is kN/m.
type Stiffness float64

// KgfPerCm is the stiffness in kilogram-force per centimetre.
func (s Stiffness) KgfPerCm() float64 { return float64(s) * 10 / measure.NewtonsPerKgf }

// LbfPerIn is the stiffness in pound-force per inch.
func (s Stiffness) LbfPerIn() float64 {
	return float64(s) * measure.MillimetresPerIn / measure.NewtonsPerLbf
}

// Deflection is how far each crossing gives, in mm, under a load on each, in N; small deflections. It panics when there
// is not one load for each crossing.
func (n *Net) Deflection(load []float64) []float64 {
	if len(load) != len(n.nodes) {
		panic(fmt.Sprintf("bed: %d loads on %d crossings", len(load), len(n.nodes)))
	}
	w := append([]float64(nil), load...)
	n.chol.solve(w)
	return w
}

// Point is a load of 1 N on one crossing.
func (n *Net) Point(node int) []float64 {
	load := make([]float64, len(n.nodes))
	load[node] = 1
	return load
}

// Pressure is an even pressure on the whole bed, in N/mm², as a load on each crossing.
func (n *Net) Pressure(p float64) []float64 {
	load := make([]float64, len(n.nodes))
	for i, node := range n.nodes {
		load[i] = p * node.AreaMM2
	}
	return load
}

// Stiffness is the load's sum over the deflection that it makes at a crossing.
func (n *Net) Stiffness(load []float64, at int) Stiffness {
	sum := 0.0
	for _, f := range load {
		sum += f
	}
	return Stiffness(sum / n.Deflection(load)[at])
}

// Centre is the stiffness under a load on the crossing nearest to the middle of the hoop.
func (n *Net) Centre() Stiffness {
	i := n.Nearest(grid.Point{})
	return n.Stiffness(n.Point(i), i)
}

// Map is the stiffness of every crossing under a load on itself.
func (n *Net) Map() []Stiffness {
	out := make([]Stiffness, len(n.nodes))
	w := make([]float64, len(n.nodes))
	for i := range out {
		clear(w)
		w[i] = 1
		n.chol.solve(w)
		out[i] = Stiffness(1 / w[i])
	}
	return out
}
