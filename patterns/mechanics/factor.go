package mechanics

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
)

// banded is a symmetric matrix whose entries lie within band of the diagonal, its lower half by rows. Each row has room
// for ld entries before its diagonal, some more than band, so that the rows of a tile can be read from one column on, as
// a dense matrix.
type banded struct {
	n, band, ld int
	a           []float64
}

// How much is worked out at a time: rows of a solution, and columns of two rows of the factor, whose sums stay in the
// registers.
const (
	tile = 4
	wide = 4
)

func newBanded(n, band int) *banded {
	rows, ld := (n+tile-1)/tile*tile, band+2*tile
	return &banded{n, band, ld, make([]float64, (rows+1)*ld+rows)}
}

// row is a row's room from a column on, which lies at most ld before the diagonal.
func (b *banded) row(i, from int) []float64 { return b.a[(i+1)*b.ld+from:] }

// at is the entry of a row and a column, which are in either order.
func (b *banded) at(i, j int) *float64 { return &b.a[(max(i, j)+1)*b.ld+min(i, j)] }

// left are the entries of some rows from a column on, before their own.
func (b *banded) left(i, from, rows int) blas64.General {
	return blas64.General{Rows: rows, Cols: i - from, Stride: b.ld, Data: b.row(i, from)}
}

// factor is a banded matrix as L·S·Lᵀ, L a lower triangle in the same band and S a diagonal of signs.
type factor struct {
	banded
	inverse []float64 // of the diagonal of L
	// below is how many of the matrix's eigenvalues lie below nought or at it, by Sylvester's law of inertia; none where
	// it is positive definite.
	below int
}

// factorize takes a matrix over. Row by row, u_ij = (a_ij − Σ u_ik·l_jk)/l_jj, where u is a row of L times S, in tiles of
// rows and columns; a pivot that is all but nought counts as above it.
func factorize(b *banded) *factor {
	f := &factor{banded: *b, inverse: make([]float64, b.n+1)}
	sign := make([]float64, b.n+1)
	var room [2][]float64
	for r := range room {
		room[r] = make([]float64, b.ld)
	}
	for i := 0; i < b.n; i += 2 {
		from := max(0, i-b.band) &^ (wide - 1)
		u, v := room[0][:i+2-from], room[1][:i+2-from]
		copy(u, f.row(i, from)[:i+1-from])
		copy(v, f.row(i+1, from)[:i+2-from])
		j := from
		for ; j+wide <= i; j += wide {
			f.panel(u, v, from, j)
		}
		for ; j < i; j++ {
			l := f.row(j, from)[:j-from]
			u[j-from] = (u[j-from] - dot(u, l)) * f.inverse[j]
			v[j-from] = (v[j-from] - dot(v, l)) * f.inverse[j]
		}
		f.pivot(u, i, from, sign)
		if i+1 < b.n {
			l := f.row(i, from)[:i-from]
			v[i-from] = (v[i-from] - dot(v, l)) * f.inverse[i]
			f.pivot(v, i+1, from, sign)
		}
	}
	return f
}

// panel finishes the entries of two rows in the tile of columns that begins at j.
func (f *factor) panel(u, v []float64, from, j int) {
	n := j - from
	a, b := u[:n], v[:n]
	p, q, r, s := f.row(j, from)[:n+4], f.row(j+1, from)[:n+4], f.row(j+2, from)[:n+4], f.row(j+3, from)[:n+4]
	var ap, aq, ar, as, bp, bq, br, bs float64
	b = b[:len(a)]
	pp, qq, rr, ss := p[:len(a)], q[:len(a)], r[:len(a)], s[:len(a)]
	for k, x := range a {
		y := b[k]
		ap += x * pp[k]
		aq += x * qq[k]
		ar += x * rr[k]
		as += x * ss[k]
		bp += y * pp[k]
		bq += y * qq[k]
		br += y * rr[k]
		bs += y * ss[k]
	}
	d := f.inverse[j : j+4 : j+4]
	u, v = u[n:n+4:n+4], v[n:n+4:n+4]
	u[0] = (u[0] - ap) * d[0]
	v[0] = (v[0] - bp) * d[0]
	u[1] = (u[1] - aq - u[0]*q[n]) * d[1]
	v[1] = (v[1] - bq - v[0]*q[n]) * d[1]
	u[2] = (u[2] - ar - u[0]*r[n] - u[1]*r[n+1]) * d[2]
	v[2] = (v[2] - br - v[0]*r[n] - v[1]*r[n+1]) * d[2]
	u[3] = (u[3] - as - u[0]*s[n] - u[1]*s[n+1] - u[2]*s[n+2]) * d[3]
	v[3] = (v[3] - bs - v[0]*s[n] - v[1]*s[n+1] - v[2]*s[n+2]) * d[3]
}

// pivot finishes a row: its diagonal is worked out and its entries are signed.
func (f *factor) pivot(u []float64, i, from int, sign []float64) {
	l := f.row(i, from)[:i+1-from]
	d := u[i-from]
	for k, x := range u[:i-from] {
		l[k] = x * sign[from+k]
		d -= x * l[k]
	}
	sign[i] = 1
	if !(d > 0) {
		sign[i], f.below = -1, f.below+1
	}
	root := math.Sqrt(max(math.Abs(d), math.SmallestNonzeroFloat64))
	l[i-from], f.inverse[i] = root, 1/root
}

// solve leaves the solution in v; the matrix is positive definite.
func (f *factor) solve(v []float64) {
	for i := 0; i < f.n; i += tile {
		from := max(0, i-f.band)
		y := v[i:min(i+tile, f.n)]
		if i > from {
			blas64.Gemv(blas.NoTrans, -1, f.left(i, from, len(y)), vector(v[from:i]), 1, vector(y))
		}
		for r := range y {
			y[r] = (y[r] - dot(y, f.row(i+r, i)[:r])) * f.inverse[i+r]
		}
	}
	for i := (f.n - 1) &^ (tile - 1); i >= 0; i -= tile {
		from := max(0, i-f.band)
		y := v[i:min(i+tile, f.n)]
		for r := len(y) - 1; r >= 0; r-- {
			y[r] *= f.inverse[i+r]
			for k, l := range f.row(i+r, i)[:r] {
				y[k] -= l * y[r]
			}
		}
		if i > from {
			blas64.Gemv(blas.Trans, -1, f.left(i, from, len(y)), vector(y), 1, vector(v[from:i]))
		}
	}
}

func vector(v []float64) blas64.Vector { return blas64.Vector{N: len(v), Inc: 1, Data: v} }

func dot(a, b []float64) (sum float64) {
	for k, x := range b {
		sum += a[k] * x
	}
	return sum
}
