package bed

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// Bent is a bed under a load that bends it far enough to stretch its strings.
type Bent struct {
	// ForceN is the load as a whole, DeflectionMM how far the crossing gives that was asked about.
	ForceN, DeflectionMM float64
	// Secant is the force over the deflection.
	Secant Stiffness
	// HighestN is the highest tension in the bed then.
	HighestN float64
}

// How a bent bed is sought.
const (
	maxSteps = 60
	settled  = 1e-10 // what is left of the force, as a share of it
)

// Curve is the deflection at a crossing under growing loads: the forces in N, each spread as the load says, whose
// sum is 1. The strings stretch by their EAN and slide over each other without friction, so that a string's tension is
// the same all along it; crossings move out of the plane only. It fails when a force is not above nought or no balance
// is found.
func (n *Net) Curve(load []float64, at int, forces []float64) ([]Bent, error) {
	b := &bend{net: n, z: make([]float64, len(n.nodes)), load: load}
	out := make([]Bent, 0, len(forces))
	for _, f := range forces {
		if !(f > 0) {
			return nil, fmt.Errorf("a load of %g N does not bend the bed; give one above nought", f)
		}
		if err := b.settle(f); err != nil {
			return nil, err
		}
		w := b.z[at]
		out = append(out, Bent{f, w, Stiffness(f / w), b.highest()})
	}
	return out, nil
}

// bend is a bed in a bent shape.
type bend struct {
	net  *Net
	z    []float64
	load []float64
}

// stretch is a string's tension in a shape: T + (EA + T)·ΔL/L, with ΔL how much longer it is than flat. The string
// is pulled and clamped, so its unstretched length L·EA/(EA + T) stays.
func (t *thread) stretch(z []float64) (tension, perMM float64) {
	longer := 0.0
	t.each(z, func(_ int, l, dz float64) {
		longer += dz * dz / (math.Hypot(l, dz) + l)
	})
	perMM = (t.EAN + t.TensionN) / t.length
	return t.TensionN + perMM*longer, perMM
}

// each goes along the spans: their length flat and how much the far end lies deeper than the near one.
func (t *thread) each(z []float64, do func(i int, flat, dz float64)) {
	last := 0.0
	for i, l := range t.spans {
		next := 0.0
		if i < len(t.nodes) {
			next = z[t.nodes[i]]
		}
		do(i, l, next-last)
		last = next
	}
}

func (b *bend) highest() (tension float64) {
	for i := range b.net.threads {
		t, _ := b.net.threads[i].stretch(b.z)
		tension = max(tension, t)
	}
	return tension
}

// energy is what the strings have stored less what the load has given.
func (b *bend) energy(z []float64, force float64) (sum float64) {
	for i := range b.net.threads {
		t := &b.net.threads[i]
		tension, _ := t.stretch(z)
		longer := 0.0
		t.each(z, func(_ int, l, dz float64) { longer += dz * dz / (math.Hypot(l, dz) + l) })
		sum += (t.TensionN + tension) / 2 * longer
	}
	for i, w := range z {
		sum -= force * b.load[i] * w
	}
	return sum
}

// settle finds the balance under a force by Newton's steps, shortened where they would raise the energy.
func (b *bend) settle(force float64) error {
	for range maxSteps {
		step, left, err := b.step(force)
		if err != nil {
			return err
		}
		if left <= settled*force {
			return nil
		}
		here, share := b.energy(b.z, force), 1.0
		next := make([]float64, len(b.z))
		for {
			for i := range next {
				next[i] = b.z[i] + share*step[i]
			}
			if b.energy(next, force) <= here+1e-12*math.Abs(here) || share < 1e-6 {
				break
			}
			share /= 2
		}
		copy(b.z, next)
	}
	return fmt.Errorf("no balance found under %g N", force)
}

// step is Newton's step, none where the balance is reached, and the norm of the force that is not yet balanced. The matrix is the spans' own, which is
// banded, and for each string the stretch all along it, a matrix of rank one: the rule of Sherman, Morrison and Woodbury
// takes these in.
func (b *bend) step(force float64) (step []float64, left float64, err error) {
	n := b.net
	size := len(n.nodes)
	k := newBanded(size, n.band)
	rest := make([]float64, size)
	for i := range rest {
		rest[i] = force * b.load[i]
	}
	var pulls [][]float64
	var compliance []float64
	for i := range n.threads {
		t := &n.threads[i]
		tension, perMM := t.stretch(b.z)
		pull, bent := make([]float64, size), false
		t.each(b.z, func(s int, flat, dz float64) {
			l := math.Hypot(flat, dz)
			t.spring(k, s, tension/l*(flat/l)*(flat/l))
			if s > 0 {
				pull[t.nodes[s-1]] -= dz / l
			}
			if s < len(t.nodes) {
				pull[t.nodes[s]] += dz / l
			}
			bent = bent || dz != 0
		})
		blas64.Axpy(-tension, vector(pull), vector(rest))
		if bent && perMM > 0 {
			pulls, compliance = append(pulls, pull), append(compliance, 1/perMM)
		}
	}
	if left = blas64.Nrm2(vector(rest)); left <= settled*force {
		return nil, left, nil
	}
	chol := factorize(k)
	if chol.below > 0 {
		return nil, 0, errors.New("the bent bed is slack")
	}
	chol.solve(rest)
	return rest, left, b.stiffen(chol, rest, pulls, compliance)
}

// stiffen corrects a banded solution for the stretch along the strings.
func (b *bend) stiffen(chol *factor, x []float64, pulls [][]float64, compliance []float64) error {
	m := len(pulls)
	if m == 0 {
		return nil
	}
	solved := make([][]float64, m)
	small, right := mat.NewSymDense(m, nil), mat.NewVecDense(m, nil)
	for i, p := range pulls {
		solved[i] = append([]float64(nil), p...)
		chol.solve(solved[i])
		for j := 0; j <= i; j++ {
			small.SetSym(j, i, blas64.Dot(vector(pulls[j]), vector(solved[i])))
		}
		small.SetSym(i, i, small.At(i, i)+compliance[i])
		right.SetVec(i, blas64.Dot(vector(p), vector(x)))
	}
	var c mat.Cholesky
	if !c.Factorize(small) {
		return errors.New("the strings' stretch has no balance")
	}
	if err := c.SolveVecTo(right, right); err != nil {
		if _, ok := err.(mat.Condition); !ok {
			return fmt.Errorf("the strings' stretch: %w", err)
		}
	}
	for i := range solved {
		blas64.Axpy(-right.AtVec(i), vector(solved[i]), vector(x))
	}
	return nil
}
