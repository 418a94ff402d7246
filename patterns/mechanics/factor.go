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
	wide = 3
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
	sign    []float64 // S
	// below is how many of the matrix's eigenvalues lie below nought or at it, by Sylvester's law of inertia; none where
	// it is positive definite.
	below int
}

// factorize takes a matrix over. Row by row, u_ij = (a_ij − Σ u_ik·l_jk)/l_jj, where u is a row of L times S, in tiles of
// rows and columns; a pivot that is all but nought counts as above it.
func factorize(b *banded) *factor {
	f := &factor{banded: *b, inverse: make([]float64, b.n+1), sign: make([]float64, b.n+1)}
	var room [2][]float64
	for r := range room {
		room[r] = make([]float64, b.ld)
	}
	for i := 0; i < b.n; i += 2 {
		from := max(0, i-b.band) / wide * wide
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
		f.pivot(u, i, from)
		if i+1 < b.n {
			l := f.row(i, from)[:i-from]
			v[i-from] = (v[i-from] - dot(v, l)) * f.inverse[i]
			f.pivot(v, i+1, from)
		}
	}
	return f
}

// panel finishes the entries of two rows in the tile of columns that begins at j.
func (f *factor) panel(u, v []float64, from, j int) {
	n := j - from
	x, y := u[:n], v[:n]
	p, q, r := f.row(j, from)[:n+wide], f.row(j+1, from)[:n+wide], f.row(j+2, from)[:n+wide]
	xp, xq, xr, yp, yq, yr := sums(x, y, p, q, r)
	d := f.inverse[j : j+wide : j+wide]
	u, v = u[n:n+wide:n+wide], v[n:n+wide:n+wide]
	u[0] = (u[0] - xp) * d[0]
	v[0] = (v[0] - yp) * d[0]
	u[1] = (u[1] - xq - u[0]*q[n]) * d[1]
	v[1] = (v[1] - yq - v[0]*q[n]) * d[1]
	u[2] = (u[2] - xr - u[0]*r[n] - u[1]*r[n+1]) * d[2]
	v[2] = (v[2] - yr - v[0]*r[n] - v[1]*r[n+1]) * d[2]
}

// sums are the products of two rows with three; one row more and the compiler keeps a sum in memory, which takes twice as
// long.
func sums(x, y, p, q, r []float64) (xp, xq, xr, yp, yq, yr float64) {
	y, p, q, r = y[:len(x)], p[:len(x)], q[:len(x)], r[:len(x)]
	for k, a := range x {
		b := y[k]
		xp += a * p[k]
		xq += a * q[k]
		xr += a * r[k]
		yp += b * p[k]
		yq += b * q[k]
		yr += b * r[k]
	}
	return xp, xq, xr, yp, yq, yr
}

// pivot finishes a row: its diagonal is worked out and its entries are signed.
func (f *factor) pivot(u []float64, i, from int) {
	l := f.row(i, from)[:i+1-from]
	d := u[i-from]
	for k, x := range u[:i-from] {
		l[k] = x * f.sign[from+k]
		d -= x * l[k]
	}
	f.sign[i] = 1
	if !(d > 0) {
		f.sign[i], f.below = -1, f.below+1
	}
	root := math.Sqrt(max(math.Abs(d), math.SmallestNonzeroFloat64))
	l[i-from], f.inverse[i] = root, 1/root
}

// solve leaves the solution in v.
func (f *factor) solve(v []float64) {
	f.down(v, 0)
	for i := range v {
		v[i] *= f.sign[i]
	}
	f.up(v)
}

// down leaves L⁻¹·v in v, which has nothing before the entry at first.
func (f *factor) down(v []float64, first int) {
	for i := first &^ (tile - 1); i < f.n; i += tile {
		from := max(0, i-f.band)
		y := v[i:min(i+tile, f.n)]
		if i > from {
			blas64.Gemv(blas.NoTrans, -1, f.left(i, from, len(y)), vector(v[from:i]), 1, vector(y))
		}
		for r := range y {
			y[r] = (y[r] - dot(y, f.row(i+r, i)[:r])) * f.inverse[i+r]
		}
	}
}

// up leaves the solution of Lᵀ·x = v in v.
func (f *factor) up(v []float64) {
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
