package controlchart

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// What is reckoned value by value is what the whole matrices say: likelihood, estimates, score and information of any model.
func TestPrecisionIsTheInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, columns, groups := rapid.IntRange(4, 12).Draw(t, "n"), rapid.IntRange(1, 3).Draw(t, "columns"), rapid.IntRange(1, 3).Draw(t, "groups")
		f := &fitted{model: model{x: mat.NewDense(n, columns, nil)}}
		rackets := rapid.Bool().Draw(t, "rackets")
		for i := range n {
			f.y = append(f.y, rapid.Float64Range(-2, 2).Draw(t, "y"))
			f.spread = append(f.spread, i%groups)
			if rackets {
				f.racket = append(f.racket, rapid.IntRange(0, n/2).Draw(t, "racket"))
			}
			f.x.Set(i, 0, 1)
			for j := 1; j < columns; j++ {
				f.x.Set(i, j, float64((i*i+j*i)%(3+j)))
			}
		}
		theta, of := make([]float64, groups, groups+1), []*mat.Dense{}
		for g := range groups {
			theta[g] = rapid.Float64Range(.01, 3).Draw(t, "variance")
			part := mat.NewDense(n, n, nil)
			for i := g; i < n; i += groups {
				part.Set(i, i, 1)
			}
			of = append(of, part)
		}
		if rackets {
			theta = append(theta, rapid.Float64Range(0, 3).Draw(t, "between"))
			part := mat.NewDense(n, n, nil)
			for i := range n {
				for j := range n {
					if f.racket[i] == f.racket[j] {
						part.Set(i, j, 1)
					}
				}
			}
			of = append(of, part)
		}
		f.theta = theta
		s, ok := f.look(theta)

		v := mat.NewDense(n, n, nil)
		for k, part := range of {
			var scaled mat.Dense
			scaled.Scale(theta[k], part)
			v.Add(v, &scaled)
		}
		var inverse, vx, xvx, c, p, fit mat.Dense
		require.NoError(t, inverse.Inverse(v))
		vx.Mul(&inverse, f.x)
		xvx.Mul(f.x.T(), &vx)
		if columns > 1 && mat.Det(&xvx) < 1e-6 || c.Inverse(&xvx) != nil {
			t.Skip("the columns are not independent")
		}
		require.True(t, ok)
		fit.Product(&vx, &c, vx.T())
		p.Sub(&inverse, &fit)
		y := mat.NewVecDense(n, f.y)
		var py mat.VecDense
		py.MulVec(&p, y)
		logDet, _ := mat.LogDet(v)
		logInner, _ := mat.LogDet(&xvx)
		near := func(want, got float64) { require.InDelta(t, want, got, 1e-7*(1+max(want, -want))) }
		near(-(logDet+logInner+mat.Dot(y, &py))/2, s.likelihood)
		for a := range of {
			var pa mat.Dense
			pa.Mul(&p, of[a])
			near((mat.Inner(&py, of[a], &py)-mat.Trace(&pa))/2, s.score[a])
			for b := a; b < len(of); b++ {
				var pb, both mat.Dense
				pb.Mul(&p, of[b])
				both.Mul(&pa, &pb)
				near(mat.Trace(&both)/2, s.info.At(a, b))
			}
		}
	})
}
