package controlchart

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// precision is the inverse of the values' variances, which are a diagonal and what the values of one racket share: the rule of
// Sherman, Morrison and Woodbury leaves two numbers a value.
type precision struct {
	own    []float64 // of each value, without its racket
	racket []int     // of each value; nil where none was strung twice
	sum    []float64 // of each racket: of own
	rest   []float64 // of each racket: 1/(1 + t·sum), without the loss of digits that 1 less a share would have
	t      float64   // the variance between rackets
}

// precision is that at some variances; ok is false where one is none.
func (f *fitted) precision(theta []float64) (v precision, ok bool) {
	v = precision{own: make([]float64, len(f.y)), racket: f.racket}
	for i, g := range f.spread {
		if v.own[i] = 1 / theta[g]; !(theta[g] > 0) || math.IsInf(v.own[i], 0) {
			return v, false
		}
	}
	if f.racket == nil {
		return v, true
	}
	v.t = theta[len(theta)-1]
	for i, r := range f.racket {
		for r >= len(v.sum) {
			v.sum = append(v.sum, 0)
		}
		v.sum[r] += v.own[i]
	}
	for _, s := range v.sum {
		v.rest = append(v.rest, 1/(1+v.t*s))
	}
	return v, true
}

// diagonal is the precision's own entry for a value: own less what its racket takes of it.
func (v precision) diagonal(i int) float64 {
	if v.racket == nil {
		return v.own[i]
	}
	r := v.racket[i]
	return v.own[i] * (1 + v.t*(v.sum[r]-v.own[i])) * v.rest[r]
}

// times is the precision times a vector: each value less its racket's mean, and of the mean what the rackets' variance leaves. The
// mean is reckoned from the racket's first value, so that one alone keeps all its digits.
func (v precision) times(x []float64) []float64 {
	out := make([]float64, len(x))
	if v.racket == nil {
		for i, d := range v.own {
			out[i] = d * x[i]
		}
		return out
	}
	first, mean := make([]float64, len(v.sum)), make([]float64, len(v.sum))
	for i := len(x) - 1; i >= 0; i-- {
		first[v.racket[i]] = x[i]
	}
	for i, r := range v.racket {
		mean[r] += v.own[i] / v.sum[r] * (x[i] - first[r])
	}
	for i, r := range v.racket {
		m := first[r] + mean[r]
		out[i] = v.own[i] * (x[i] - m + m*v.rest[r])
	}
	return out
}

// logDet is the logarithm of the determinant of the variances.
func (v precision) logDet() (sum float64) {
	for _, d := range v.own {
		sum -= math.Log(d)
	}
	for _, s := range v.sum {
		sum += math.Log1p(v.t * s)
	}
	return sum
}

// projection is a precision with the columns of a model taken out: P = V⁻¹ − V⁻¹X·C·X'V⁻¹, C the covariance of the estimates.
type projection struct {
	precision
	vx *mat.Dense
	c  *mat.SymDense
}

// without takes the columns out, and says the logarithm of the determinant of X'V⁻¹X; ok is false where they are not independent.
func (v precision) without(x *mat.Dense) (p projection, logDet float64, ok bool) {
	n, columns := x.Dims()
	p = projection{v, mat.NewDense(n, columns, nil), mat.NewSymDense(columns, nil)}
	for j := range columns {
		p.vx.SetCol(j, v.times(mat.Col(nil, j, x)))
	}
	var inner mat.Dense
	inner.Mul(x.T(), p.vx)
	for i := range columns {
		for j := i; j < columns; j++ {
			p.c.SetSym(i, j, (inner.At(i, j)+inner.At(j, i))/2)
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(p.c) || chol.InverseTo(p.c) != nil {
		return p, 0, false
	}
	return p, chol.LogDet(), true
}

func (p projection) size() int { return p.c.SymmetricDim() }

// row is how a value goes into the columns.
func (p projection) row(i int) mat.Vector { return p.vx.RowView(i) }

// estimates are those of the columns for some values.
func (p projection) estimates(y []float64) []float64 {
	var xy, b mat.VecDense
	xy.MulVec(p.vx.T(), mat.NewVecDense(len(y), y))
	b.MulVec(p.c, &xy)
	return b.RawVector().Data
}

// times is P times a vector, of which vx is the precision times it.
func (p projection) times(x, vx []float64) []float64 {
	var fit mat.VecDense
	fit.MulVec(p.vx, mat.NewVecDense(p.size(), p.estimates(x)))
	for i := range vx {
		vx[i] -= fit.AtVec(i)
	}
	return vx
}

// sums are the rows of a projection added up.
type sums struct {
	square   []*mat.SymDense   // by group: of row·row'
	racket   []*mat.VecDense   // by racket: of the rows
	weighted [][]*mat.VecDense // by racket and group: of the rows, each by its precision
	weights  [][]float64       // by racket and group: of the squares of the precisions
	alone    [][2]float64      // by racket and group as in weights, in one row: of their squares, and of each times row·c·row
}

func (p projection) sums(spread []int, groups int) (s sums) {
	for range groups {
		s.square = append(s.square, mat.NewSymDense(p.size(), nil))
	}
	for range p.sum {
		s.racket, s.weights = append(s.racket, mat.NewVecDense(p.size(), nil)), append(s.weights, make([]float64, groups))
		s.alone = append(s.alone, make([][2]float64, groups)...)
		by := make([]*mat.VecDense, groups)
		for g := range by {
			by[g] = mat.NewVecDense(p.size(), nil)
		}
		s.weighted = append(s.weighted, by)
	}
	for i, d := range p.own {
		g, row := spread[i], p.row(i)
		s.square[g].SymRankOne(s.square[g], 1, row)
		if p.racket == nil {
			continue
		}
		r := p.racket[i]
		s.racket[r].AddVec(s.racket[r], row)
		s.weighted[r][g].AddScaledVec(s.weighted[r][g], d, row)
		s.weights[r][g] += d * d
		s.alone[r*groups+g][0] += d * d * d * d
		s.alone[r*groups+g][1] += d * d * mat.Inner(row, p.c, row)
	}
	return s
}

// trace is that of c·a·c·b.
func trace(c, a, b *mat.SymDense) float64 {
	var ca, cb mat.Dense
	ca.Mul(c, a)
	cb.Mul(c, b)
	sum := 0.0
	n := c.SymmetricDim()
	for i := range n {
		for j := range n {
			sum += ca.At(i, j) * cb.At(j, i)
		}
	}
	return sum
}
