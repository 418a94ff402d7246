package controlchart

import (
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

// model is a linear model of values: fixed columns, a spread of its own for each group, and a random effect that values of
// one racket share. The spreads are estimated by restricted maximum likelihood.
//
// With one factor and no racket twice a contrast is exactly Welch's; with the same rackets in both groups it is the paired t;
// with one spread for all it is the analysis of variance.
// Sources: Patterson and Thompson, Biometrika 58 (1971), for the likelihood; Searle, Casella and McCulloch, Variance
// Components (1992), 6.6, for its score and information; both from memory.
type model struct {
	y      []float64
	x      *mat.Dense // of full column rank
	spread []int      // the group of each value, from 0 on
	racket []int      // the racket of each value, from 0 on; nil where none was strung twice
}

// fitted is a model with its estimates.
type fitted struct {
	model
	beta   []float64
	cov    *mat.Dense    // of beta
	theta  []float64     // a variance for each group, then that between rackets
	info   *mat.SymDense // on theta
	vinv   *mat.SymDense
	p      *mat.Dense // takes the columns out
	scaled float64    // what the values were divided by
	within float64    // sum of squares that the columns leave, all values weighing alike
}

// errNoSpread says that nothing can be said of chance.
var errNoSpread = errors.New("readings that do not spread at all cannot be compared; read more finely")

// errSpreads says that a group's values are all used up by the columns.
var errSpreads = errors.New("a group has too few stringings to tell its spread")

const (
	mostSteps = 200
	leastPart = 1e-10 // a group's variance, in the whole one, below which it counts as none
)

// fit estimates the spreads and then the columns.
func (m model) fit() (*fitted, error) {
	f := &fitted{model: m}
	n, p := m.x.Dims()
	if n <= p {
		return nil, errSpreads
	}
	// Values are brought to a size of one, so that no digit is lost far from nought.
	f.y = append([]float64(nil), m.y...)
	first := f.y[0]
	floats.AddConst(-first, f.y)
	floats.AddConst(-stat.Mean(f.y, nil), f.y)
	if f.within = m.rest(f.y); !(f.within > 1e-24*floats.Dot(f.y, f.y)) {
		return nil, errNoSpread
	}
	f.scaled = math.Sqrt(f.within / float64(n-p))
	floats.Scale(1/f.scaled, f.y)
	f.theta = make([]float64, f.groups()+f.random())
	for i := range f.theta {
		f.theta[i] = 1
	}
	if err := f.climb(); err != nil {
		return nil, err
	}
	floats.Scale(f.scaled, f.beta)
	f.cov.Scale(f.scaled*f.scaled, f.cov)
	return f, nil
}

func (m model) groups() int {
	n := 0
	for _, g := range m.spread {
		n = max(n, g+1)
	}
	return n
}

func (m model) random() int {
	if m.racket == nil {
		return 0
	}
	return 1
}

// rest is the sum of squares that the columns leave of some values.
func (m model) rest(y []float64) float64 {
	var q mat.QR
	q.Factorize(m.x)
	var b mat.Dense
	v := mat.NewDense(len(y), 1, append([]float64(nil), y...))
	if q.SolveTo(&b, false, v) != nil {
		return 0
	}
	var fit mat.Dense
	fit.Mul(m.x, &b)
	fit.Sub(v, &fit)
	return mat.Dot(fit.ColView(0), fit.ColView(0))
}

// state is what one set of variances comes to.
type state struct {
	likelihood float64
	vinv       *mat.SymDense
	p          *mat.Dense // takes the columns out
	cov        *mat.Dense
	beta       []float64
	score      []float64
	info       *mat.SymDense
}

// variance is the matrix of the values' variances.
func (f *fitted) variance(theta []float64) *mat.SymDense {
	n := len(f.y)
	v := mat.NewSymDense(n, nil)
	for i := range n {
		v.SetSym(i, i, theta[f.spread[i]])
	}
	if f.racket != nil {
		t := theta[len(theta)-1]
		for i := range n {
			for j := i; j < n; j++ {
				if f.racket[i] == f.racket[j] {
					v.SetSym(i, j, v.At(i, j)+t)
				}
			}
		}
	}
	return v
}

// look reckons the restricted likelihood, its score and its information at some variances; ok is false where they make no
// spread.
func (f *fitted) look(theta []float64) (s state, ok bool) {
	n, p := f.x.Dims()
	var chol, inner mat.Cholesky
	if !chol.Factorize(f.variance(theta)) {
		return s, false
	}
	s.vinv = mat.NewSymDense(n, nil)
	if chol.InverseTo(s.vinv) != nil {
		return s, false
	}
	var vx, xvx mat.Dense
	vx.Mul(s.vinv, f.x)
	xvx.Mul(f.x.T(), &vx)
	sym := mat.NewSymDense(p, nil)
	for i := range p {
		for j := i; j < p; j++ {
			sym.SetSym(i, j, (xvx.At(i, j)+xvx.At(j, i))/2)
		}
	}
	if !inner.Factorize(sym) {
		return s, false
	}
	inv := mat.NewSymDense(p, nil)
	if inner.InverseTo(inv) != nil {
		return s, false
	}
	s.cov = mat.DenseCopyOf(inv)
	var a mat.Dense // how each value goes into each estimate
	a.Mul(s.cov, vx.T())
	y := mat.NewVecDense(n, f.y)
	var beta, py mat.VecDense
	beta.MulVec(&a, y)
	s.beta = append([]float64(nil), beta.RawVector().Data...)
	s.p = mat.NewDense(n, n, nil)
	s.p.Mul(&vx, &a)
	s.p.Sub(s.vinv, s.p)
	py.MulVec(s.p, y)
	s.likelihood = -(chol.LogDet() + inner.LogDet() + mat.Dot(y, &py)) / 2
	f.slopes(&s, py.RawVector().Data)
	return s, true
}

// slopes fills in score and information.
func (f *fitted) slopes(s *state, py []float64) {
	n, k := len(f.y), len(f.theta)
	s.score, s.info = make([]float64, k), mat.NewSymDense(k, nil)
	add := func(i, j int, v float64) { s.info.SetSym(i, j, s.info.At(i, j)+v/2) }
	for i := range n {
		g := f.spread[i]
		s.score[g] += (py[i]*py[i] - s.p.At(i, i)) / 2
		for j := range n {
			if h := f.spread[j]; h >= g {
				add(g, h, s.p.At(i, j)*s.p.At(i, j))
			}
		}
	}
	if f.racket == nil {
		return
	}
	last, rackets := k-1, 0
	for _, r := range f.racket {
		rackets = max(rackets, r+1)
	}
	w, u := mat.NewDense(n, rackets, nil), make([]float64, rackets) // P Z and Z' P y
	for i := range n {
		u[f.racket[i]] += py[i]
		for j := range n {
			w.Set(i, f.racket[j], w.At(i, f.racket[j])+s.p.At(i, j))
		}
	}
	z := mat.NewDense(rackets, rackets, nil) // Z' P Z
	for i := range n {
		for r := range rackets {
			z.Set(f.racket[i], r, z.At(f.racket[i], r)+w.At(i, r))
			add(f.spread[i], last, w.At(i, r)*w.At(i, r))
		}
	}
	for r := range rackets {
		s.score[last] += (u[r]*u[r] - z.At(r, r)) / 2
	}
	add(last, last, mat.Dot(flat(z), flat(z)))
}

func flat(m *mat.Dense) mat.Vector {
	return mat.NewVecDense(len(m.RawMatrix().Data), m.RawMatrix().Data)
}

// climb goes to the largest likelihood by scoring; a variance that wants to go below its least stays there.
func (f *fitted) climb() error {
	now, ok := f.look(f.theta)
	if !ok {
		return errNoSpread
	}
	for range mostSteps {
		step, err := f.step(now)
		if err != nil {
			return err
		}
		next, moved := f.along(step, &now)
		largest := 0.0
		for i := range next {
			largest = max(largest, math.Abs(next[i]-f.theta[i])/(f.theta[i]+leastPart))
		}
		f.theta = next
		if !moved || largest < 1e-11 {
			break
		}
	}
	f.beta, f.cov, f.vinv, f.p, f.info = now.beta, now.cov, now.vinv, now.p, now.info
	return nil
}

// least is the least that a variance can be: that between rackets nought, a group's next to nothing.
func (f *fitted) least(i int) float64 {
	if i < f.groups() {
		return leastPart
	}
	return 0
}

// step is the step of scoring among the variances that are free to move.
func (f *fitted) step(now state) ([]float64, error) {
	var free []int
	for i, v := range f.theta {
		if v > f.least(i) || now.score[i] > 0 {
			free = append(free, i)
		}
	}
	step := make([]float64, len(f.theta))
	for len(free) > 0 {
		w, ok := doubt(now.info, free)
		if !ok {
			return nil, errSpreads
		}
		stuck := -1
		for a, i := range free {
			step[i] = 0
			for b, j := range free {
				step[i] += w.At(a, b) * now.score[j]
			}
			if f.theta[i] <= f.least(i) && step[i] < 0 {
				stuck = a
			}
		}
		if stuck < 0 {
			break
		}
		step[free[stuck]] = 0
		free = slices.Delete(free, stuck, stuck+1)
	}
	return step, nil
}

// doubt is the variance of some of the variances, from the information on them: each in its own size, as one may be next to
// nothing.
func doubt(info *mat.SymDense, of []int) (*mat.SymDense, bool) {
	size := make([]float64, len(of))
	for a, i := range of {
		if info.At(i, i) <= 0 {
			return nil, false
		}
		size[a] = 1 / math.Sqrt(info.At(i, i))
	}
	scaled, out := mat.NewSymDense(len(of), nil), mat.NewSymDense(len(of), nil)
	each := func(set *mat.SymDense, v func(a, b int) float64) {
		for a := range of {
			for b := a; b < len(of); b++ {
				set.SetSym(a, b, v(a, b)*size[a]*size[b])
			}
		}
	}
	each(scaled, func(a, b int) float64 { return info.At(of[a], of[b]) })
	var chol mat.Cholesky
	if !chol.Factorize(scaled) || chol.InverseTo(out) != nil {
		return nil, false
	}
	each(out, out.At)
	return out, true
}

// along goes a step, or the part of it that makes the likelihood no smaller.
func (f *fitted) along(step []float64, now *state) (next []float64, moved bool) {
	for part := 1.0; part > 1e-8; part /= 2 {
		next = append([]float64(nil), f.theta...)
		for i := range next {
			next[i] = max(next[i]+part*step[i], f.least(i))
		}
		if s, ok := f.look(next); ok && s.likelihood >= now.likelihood-1e-12*math.Abs(now.likelihood) {
			*now = s
			return next, true
		}
	}
	return f.theta, false
}

// estimate is a contrast of the estimates: its value, its standard error, its degrees of freedom after Satterthwaite, and how
// each value goes into it. The error has in it that the weights of the values are estimated too.
// Sources: Satterthwaite, Biometrics Bulletin 2 (1946), with the variance of the variances from their information; Kenward
// and Roger, Biometrics 53 (1997), for the error, from memory. Neither changes what Welch and the paired t say.
func (f *fitted) estimate(contrast []float64) (value, se, df float64, weights []float64) {
	l := mat.NewVecDense(len(contrast), contrast)
	var cl, xcl, a mat.VecDense
	cl.MulVec(f.cov, l)
	cl.ScaleVec(1/(f.scaled*f.scaled), &cl)
	xcl.MulVec(f.x, &cl)
	a.MulVec(f.vinv, &xcl)
	weights = append([]float64(nil), a.RawVector().Data...)
	variance := mat.Dot(l, &cl)
	parts := f.parts(weights)
	slope := mat.NewVecDense(len(parts), nil)
	for i, u := range parts {
		slope.SetVec(i, mat.Dot(&a, u))
	}
	all := make([]int, len(parts))
	for i := range all {
		all[i] = i
	}
	w, ok := doubt(f.info, all)
	if !ok {
		return floats.Dot(contrast, f.beta), math.Sqrt(variance) * f.scaled, 1, weights
	}
	df = max(1, 2*variance*variance/mat.Inner(slope, w, slope))
	for i, u := range parts {
		for j, v := range parts {
			variance += 2 * w.At(i, j) * mat.Inner(u, f.p, v)
		}
	}
	return floats.Dot(contrast, f.beta), math.Sqrt(variance) * f.scaled, df, weights
}

// parts are the weights as each variance of the model takes them.
func (f *fitted) parts(weights []float64) []*mat.VecDense {
	out := make([]*mat.VecDense, len(f.theta))
	for i := range out {
		out[i] = mat.NewVecDense(len(weights), nil)
	}
	sums := map[int]float64{}
	for i, w := range weights {
		out[f.spread[i]].SetVec(i, w)
		if f.racket != nil {
			sums[f.racket[i]] += w
		}
	}
	for i, r := range f.racket {
		out[len(out)-1].SetVec(i, sums[r])
	}
	return out
}
