package mechanics

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// Bent is a bed under a load that bends it far enough to stretch its strings.
type Bent struct {
	// ForceN is the load as a whole, DeflectionMM how far it moves: the mean of the crossings' deflections, each by the
	// load on it.
	ForceN, DeflectionMM float64
	// Secant is the force over the deflection.
	Secant Stiffness
	// HighestN is the highest tension in the bed then.
	HighestN float64
}

// Friction is what strings do at their crossings when a load stretches them.
type Friction bool

// The two ends of what friction can do; a bed lies between them. Free strings slide over each other, so that a string's
// tension is the same all along it. Locked ones neither slide nor move in the plane, so that each span stretches by
// itself: nothing can make a bed stiffer.
const (
	Free   Friction = false
	Locked Friction = true
)

// How a bent bed is sought.
const (
	maxSteps = 60
	settled  = 1e-10 // what is left of the force, as a share of it
)

// Curve is how far a load moves as it grows: the forces in N, each spread as the load says, whose sum is 1. The strings
// stretch by their EAN; crossings move out of the plane only. It fails when a force is not above nought or no balance is
// found.
func (n *Net) Curve(load []float64, f Friction, forces []float64) ([]Bent, error) {
	b := &bend{net: n, z: make([]float64, len(n.nodes)), load: load, locked: f == Locked}
	out := make([]Bent, 0, len(forces))
	for _, f := range forces {
		if !(f > 0) {
			return nil, fmt.Errorf("a load of %g N does not bend the bed; give one above nought", f)
		}
		if err := b.settle(f); err != nil {
			return nil, err
		}
		w := blas64.Dot(vector(b.load), vector(b.z))
		out = append(out, Bent{f, w, Stiffness(f / w), b.highest()})
	}
	return out, nil
}

// bend is a bed in a bent shape, with room for what each step needs.
type bend struct {
	net    *Net
	z      []float64
	load   []float64
	locked bool

	room  []taut    // of the spans of a string
	pulls []float64 // of all strings
}

// taut is the state of a span: its length flat, how much the far end lies deeper than the near one, its length bent, its
// tension, and by how much that grows with its own length.
type taut struct{ flat, dz, long, tension, perMM float64 }

// spans are the states of a string's spans in a shape. What stretches as one, a whole string or a locked span, has the
// tension T + (EA + T)·ΔL/L, with ΔL how much longer it is than flat: it was pulled and clamped, so its unstretched length
// L·EA/(EA + T) stays. They hold until the next string's are asked for.
func (b *bend) spans(t *thread, z []float64) []taut {
	b.room = slices.Grow(b.room[:0], len(t.spans))
	out := b.room[:len(t.spans)]
	last, whole := 0.0, 0.0
	for i, l := range t.spans {
		next := 0.0
		if i < len(t.nodes) {
			next = z[t.nodes[i]]
		}
		dz := next - last
		long := math.Hypot(l, dz)
		longer := dz * dz / (long + l)
		out[i] = taut{l, dz, long, t.TensionN + (t.EAN+t.TensionN)*longer/l, (t.EAN + t.TensionN) / l}
		last, whole = next, whole+longer
	}
	for i := range out {
		if !b.locked {
			out[i].tension, out[i].perMM = t.TensionN+(t.EAN+t.TensionN)*whole/t.length, 0
		}
	}
	return out
}

func (b *bend) highest() (tension float64) {
	for i := range b.net.threads {
		for _, s := range b.spans(&b.net.threads[i], b.z) {
			tension = max(tension, s.tension)
		}
	}
	return tension
}

// energy is what the strings have stored less what the load has given.
func (b *bend) energy(z []float64, force float64) (sum float64) {
	for i := range b.net.threads {
		t := &b.net.threads[i]
		for _, s := range b.spans(t, z) {
			sum += (t.TensionN + s.tension) / 2 * s.dz * s.dz / (s.long + s.flat)
		}
	}
	return sum - force*blas64.Dot(vector(b.load), vector(z))
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
// banded, and for each free string the stretch all along it, a matrix of rank one: the rule of Sherman, Morrison and
// Woodbury takes these in.
func (b *bend) step(force float64) (step []float64, left float64, err error) {
	n := b.net
	size := len(n.nodes)
	k := newBanded(size, n.band)
	rest := make([]float64, size)
	for i := range rest {
		rest[i] = force * b.load[i]
	}
	b.pulls = slices.Grow(b.pulls[:0], len(n.threads)*size)[:len(n.threads)*size]
	clear(b.pulls)
	var pulls [][]float64
	var compliance []float64
	for i := range n.threads {
		t := &n.threads[i]
		pull, bent := b.pulls[i*size:(i+1)*size], false
		for i, s := range b.spans(t, b.z) {
			down, across := s.dz/s.long, s.flat/s.long
			t.spring(k, i, s.tension/s.long*across*across+s.perMM*down*down)
			if i > 0 {
				pull[t.nodes[i-1]] -= down
				rest[t.nodes[i-1]] += s.tension * down
			}
			if i < len(t.nodes) {
				pull[t.nodes[i]] += down
				rest[t.nodes[i]] -= s.tension * down
			}
			bent = bent || s.dz != 0
		}
		if bent && !b.locked && t.EAN+t.TensionN > 0 {
			pulls, compliance = append(pulls, pull), append(compliance, t.length/(t.EAN+t.TensionN))
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

// stiffen corrects a banded solution for the stretch along the strings. Half of each solution, L⁻¹·p, gives the small matrix; the
// other half is needed of one sum alone. It takes the pulls over.
func (b *bend) stiffen(chol *factor, x []float64, pulls [][]float64, compliance []float64) error {
	m := len(pulls)
	if m == 0 {
		return nil
	}
	small, right := mat.NewSymDense(m, nil), mat.NewVecDense(m, nil)
	for i, p := range pulls {
		right.SetVec(i, blas64.Dot(vector(p), vector(x)))
		chol.down(p, slices.IndexFunc(p, func(v float64) bool { return v != 0 }))
		for j := range i + 1 {
			small.SetSym(j, i, blas64.Dot(vector(pulls[j]), vector(p)))
		}
		small.SetSym(i, i, small.At(i, i)+compliance[i])
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
	sum := make([]float64, len(x))
	for i, p := range pulls {
		blas64.Axpy(-right.AtVec(i), vector(p), vector(sum))
	}
	chol.up(sum)
	blas64.Axpy(1, vector(sum), vector(x))
	return nil
}
