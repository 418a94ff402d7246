package bed

import (
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// factor is the Cholesky factor of a banded matrix. LAPACK's routines are called as they are, because mat.BandCholesky
// estimates the condition of every matrix as well, which takes as long as all the rest.
type factor struct{ t blas64.TriangularBand }

// factorize takes the matrix over; ok is false when it is not positive definite.
func factorize(k *mat.SymBandDense) (f factor, ok bool) {
	f.t, ok = lapack64.Pbtrf(k.RawSymBand())
	return f, ok
}

// solve leaves the solution in v.
func (f factor) solve(v []float64) {
	lapack64.Pbtrs(f.t, blas64.General{Rows: len(v), Cols: 1, Stride: 1, Data: v})
}
