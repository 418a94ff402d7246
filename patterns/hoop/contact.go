package hoop

import (
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// Contact is a complementarity problem: which x, none below nought, leave w = M·x − b with no w below nought and no x·w other
// than nought? The x are what strings pull and supports push with, the w by how much a string is slack and a support stands off.
// M must be symmetric and above nought everywhere, which a flexibility is; then there is one answer and no more (Cottle, Pang and
// Stone, The Linear Complementarity Problem, theorem 3.3.7, from memory).
//
// It is kept between calls: the answer of one op is where the next op's begins, and as long as the same x are at work M is
// factored once.
type Contact struct {
	Matrix *mat.SymDense
	// Free are the x that may be below nought: their w is nought always. Nil is none.
	Free []bool

	at       []int // the x that are at work
	chol     blas64.Triangular
	kept     bool // chol is of M for the x in at
	on       []bool
	factored int
	within   []float64
	v        []float64
}

// New takes another M; which x were at work is remembered by on, one for each.
func (c *Contact) New(m *mat.SymDense, free, on []bool) {
	c.Matrix, c.Free, c.on, c.kept = m, free, on, false
}

// Factored counts how often M was factored: as long as it stays, Respond says the same.
func (c *Contact) Factored() int { return c.factored }

// slight is how far below nought rounding may leave an x or a w, as a share of the largest.
const slight = 1e-11

// errNoAnswer is that of a matrix that is no flexibility.
var errNoAnswer = errors.New("the contact of strings, hoop and supports has no answer")

// Solve finds x and w for a b. It turns all the wrong ones at a time, and when that does not lead on the last of them alone,
// which always ends (Judice and Pires, block principal pivoting, 1994; Murty 1974; from memory).
func (c *Contact) Solve(b, x, w []float64) error {
	n := len(b)
	best, patience := n+1, 3
	for round := 0; round < 50*n+50; round++ {
		if err := c.split(b, x, w); err != nil {
			return err
		}
		wrong, last := c.wrong(x, w)
		switch {
		case wrong == 0:
			return nil
		case wrong < best:
			best, patience = wrong, 3
			c.turn(x, w)
		case patience > 0:
			patience--
			c.turn(x, w)
		default:
			c.on[last] = !c.on[last]
		}
		c.kept = false
	}
	return errNoAnswer
}

// split solves for the x at work and says what w the others have.
func (c *Contact) split(b, x, w []float64) error {
	if !c.kept {
		c.at = c.at[:0]
		for i, on := range c.on {
			if on || c.free(i) {
				c.at = append(c.at, i)
			}
		}
		if len(c.at) > 0 && !c.factor() {
			return errNoAnswer
		}
		c.kept = true
	}
	clear(x)
	if len(c.at) > 0 {
		c.v = slices.Grow(c.v[:0], len(c.at))[:len(c.at)]
		for k, i := range c.at {
			c.v[k] = b[i]
		}
		c.back()
		for k, i := range c.at {
			x[i] = c.v[k]
		}
	}
	raw, n := c.Matrix.RawSymmetric(), len(b)
	for i := range n {
		if w[i] = -b[i]; c.on[i] || c.free(i) {
			w[i] = 0
			continue
		}
		for _, j := range c.at {
			w[i] += raw.Data[min(i, j)*raw.Stride+max(i, j)] * x[j]
		}
	}
	return nil
}

// Respond says by how much each x changes with the i-th b, as long as the same x are at work as in the last answer; not at all
// when the i-th is not.
func (c *Contact) Respond(i int, x []float64) {
	clear(x)
	k := slices.Index(c.at, i)
	if k < 0 {
		return
	}
	c.v = slices.Grow(c.v[:0], len(c.at))[:len(c.at)]
	clear(c.v)
	c.v[k] = 1
	c.back()
	for l, j := range c.at {
		x[j] = c.v[l]
	}
}

// back solves for the one right-hand side in v.
func (c *Contact) back() {
	v := blas64.Vector{N: len(c.v), Inc: 1, Data: c.v}
	blas64.Trsv(blas.Trans, c.chol, v)
	blas64.Trsv(blas.NoTrans, c.chol, v)
}

func (c *Contact) factor() (ok bool) {
	n, raw := len(c.at), c.Matrix.RawSymmetric()
	c.factored++
	c.within = slices.Grow(c.within[:0], n*n)[:n*n]
	for k, i := range c.at {
		for l := k; l < n; l++ {
			c.within[k*n+l] = raw.Data[i*raw.Stride+c.at[l]] // at is in order
		}
	}
	c.chol, ok = lapack64.Potrf(blas64.Symmetric{Uplo: blas.Upper, N: n, Stride: n, Data: c.within})
	return ok
}

func (c *Contact) free(i int) bool { return c.Free != nil && c.Free[i] }

// bad says whether an x pulls the wrong way or a w gapes the wrong way.
func (c *Contact) bad(i int, x, w []float64, ofX, ofW float64) bool {
	return !c.free(i) && (c.on[i] && x[i] < -ofX || !c.on[i] && w[i] < -ofW)
}

func (c *Contact) wrong(x, w []float64) (count, last int) {
	ofX, ofW := scale(x), scale(w)
	for i := range x {
		if c.bad(i, x, w, ofX, ofW) {
			count, last = count+1, i
		}
	}
	return count, last
}

func (c *Contact) turn(x, w []float64) {
	ofX, ofW := scale(x), scale(w)
	for i := range x {
		if c.bad(i, x, w, ofX, ofW) {
			c.on[i] = !c.on[i]
		}
	}
}

func scale(v []float64) float64 {
	most := 0.0
	for _, x := range v {
		most = math.Max(most, math.Abs(x))
	}
	return slight * most
}
