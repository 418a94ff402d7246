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
	p      projection
	scaled float64 // what the values were divided by
	within float64 // sum of squares that the columns leave, all values weighing alike
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
	p          projection
	beta       []float64
	score      []float64
	info       *mat.SymDense
}

// look reckons the restricted likelihood, its score and its information at some variances; ok is false where they make no
// spread.
func (f *fitted) look(theta []float64) (s state, ok bool) {
	v, ok := f.precision(theta)
	if !ok {
		return s, false
	}
	logDet := 0.0
	if s.p, logDet, ok = v.without(f.x); !ok {
		return s, false
	}
	vy := v.times(f.y)
	s.beta = s.p.estimates(f.y)
	py := s.p.times(f.y, vy)
	s.likelihood = -(v.logDet() + logDet + floats.Dot(f.y, py)) / 2
	f.slopes(&s, py)
	return s, true
}

// slopes fills in score and information: for two parts A and B of the variance (y'PAPy − tr PA)/2 and tr(PAPB)/2. P is the
// precision less a matrix of the columns' rank, so every trace is a sum over values and rackets.
func (f *fitted) slopes(s *state, py []float64) {
	k, p, v := len(f.theta), s.p, s.p.precision
	s.score, s.info = make([]float64, k), mat.NewSymDense(k, nil)
	add := func(i, j int, x float64) { s.info.SetSym(i, j, s.info.At(i, j)+x/2) }
	sums := p.sums(f.spread, f.groups())
	for i, g := range f.spread {
		row, d := p.row(i), v.diagonal(i)
		q := mat.Inner(row, p.c, row)
		s.score[g] += (py[i]*py[i] - (d - q)) / 2
		add(g, g, d*d-2*d*q)
	}
	groups := len(sums.square)
	for g := range groups {
		for h := g; h < groups; h++ {
			add(g, h, trace(p.c, sums.square[g], sums.square[h]))
			for r, rest := range v.rest { // two values of one racket
				share := v.t * rest
				both, through := sums.weights[r][g]*sums.weights[r][h], mat.Inner(sums.weighted[r][g], p.c, sums.weighted[r][h])
				if g == h {
					both, through = both-sums.alone[r*groups+g][0], through-sums.alone[r*groups+g][1]
				}
				add(g, h, share*share*both+2*share*through)
			}
		}
	}
	if f.racket == nil {
		return
	}
	last := k - 1
	all, of := mat.NewSymDense(p.size(), nil), make([]float64, len(v.rest)) // the sum over rackets of q q', and of each one's own
	pull := make([]float64, len(v.rest))
	for i, r := range f.racket {
		pull[r] += py[i]
	}
	for r, q := range sums.racket {
		all.SymRankOne(all, 1, q)
		of[r] = v.sum[r] * v.rest[r]
		own := mat.Inner(q, p.c, q)
		s.score[last] += (pull[r]*pull[r] - (of[r] - own)) / 2
		add(last, last, of[r]*of[r]-2*of[r]*own)
	}
	add(last, last, trace(p.c, all, all))
	for i, d := range v.own {
		r := f.racket[i]
		b := d * v.rest[r]
		add(f.spread[i], last, b*b-2*b*mat.Inner(p.row(i), p.c, sums.racket[r]))
	}
	for g := range sums.square {
		add(g, last, trace(p.c, all, sums.square[g]))
	}
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
	f.beta, f.cov, f.p, f.info = now.beta, mat.DenseCopyOf(now.p.c), now.p, now.info
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
	var cl, a mat.VecDense
	cl.MulVec(f.p.c, l)
	a.MulVec(f.p.vx, &cl)
	weights = a.RawVector().Data
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
			x := v.RawVector().Data
			variance += 2 * w.At(i, j) * floats.Dot(u.RawVector().Data, f.p.times(x, f.p.precision.times(x)))
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
