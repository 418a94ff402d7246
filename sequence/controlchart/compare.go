package controlchart

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Comparison is what two samples say of each other, A less B.
type Comparison struct {
	A, B Sample
	// Difference is A's mean less B's, SE its standard error.
	Difference, SE float64
	// DF are the degrees of freedom, T is Difference over SE, and P the chance of a T as far from nought, either way, if the
	// machines were alike.
	DF, T, P float64
	// Low and High bound the difference with confidence Level, as 0.95.
	Level, Low, High float64
	// OrderedKg is the ordered tension that ratios were brought to; 0 for ratios. See At.
	OrderedKg float64
}

// NoSpread says that all readings of both samples are the same, so that nothing can be said of chance.
type NoSpread struct{}

func (NoSpread) Error() string {
	return "readings that do not spread at all cannot be compared; read more finely"
}

// Compare is Welch's t test of two samples, whose spreads may differ; level is above 0 and below 1. It takes what
// Summarise gives or a published n, mean and standard deviation. It fails with TooFew below two values a sample and with
// NoSpread where neither sample spreads; anything that is no finite number is refused too.
// Source: 40 CFR 1065.602(f), NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.3.
func Compare(a, b Sample, level float64) (Comparison, error) {
	if n := min(a.N, b.N); n < 2 {
		return Comparison{}, TooFew{n, 2}
	}
	if a.SD < 0 || b.SD < 0 {
		return Comparison{}, errors.New("a standard deviation is never below nought")
	}
	va, vb := a.SD*a.SD/float64(a.N), b.SD*b.SD/float64(b.N)
	c := Comparison{A: a, B: b, Difference: a.Mean - b.Mean, SE: math.Sqrt(va + vb), Level: level}
	// Welch–Satterthwaite, in shares of the whole so that small variances do not vanish when squared.
	sa, sb := va/(va+vb), vb/(va+vb)
	return c.judge(1 / (sa*sa/float64(a.N-1) + sb*sb/float64(b.N-1)))
}

// Paired compares readings that belong together in pairs, as those of the same control rackets strung on both machines. It
// sees a smaller difference than Compare, because what the rackets differ by drops out. The two are equally long and in the
// same order. It fails as Compare does.
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 7.3.1.1.
func Paired(a, b []float64, level float64) (Comparison, error) {
	if len(a) != len(b) {
		return Comparison{}, fmt.Errorf("%d readings cannot be paired with %d", len(a), len(b))
	}
	if len(a) < 2 {
		return Comparison{}, TooFew{len(a), 2}
	}
	apart := make([]float64, len(a))
	for i := range a {
		apart[i] = a[i] - b[i]
	}
	d, err := Summarise(apart)
	if err != nil {
		return Comparison{}, err
	}
	c := Comparison{Difference: d.Mean, SE: d.SD / math.Sqrt(float64(d.N)), Level: level}
	if c.A, err = Summarise(a); err == nil {
		c.B, err = Summarise(b)
	}
	if err != nil {
		return Comparison{}, err
	}
	return c.judge(float64(d.N - 1))
}

// judge fills in what follows from the difference, its error and the degrees of freedom.
func (c Comparison) judge(df float64) (Comparison, error) {
	if !(c.Level > 0 && c.Level < 1) {
		return Comparison{}, fmt.Errorf("a confidence of %g is not between 0 and 1", c.Level)
	}
	if c.SE == 0 {
		return Comparison{}, NoSpread{}
	}
	c.DF, c.T = df, c.Difference/c.SE
	student := distuv.StudentsT{Sigma: 1, Nu: df}
	// The lower tail keeps its digits where one less the upper would have none left.
	c.P = 2 * student.CDF(-math.Abs(c.T))
	half := student.Quantile((1+c.Level)/2) * c.SE
	c.Low, c.High = c.Difference-half, c.Difference+half
	if math.IsNaN(c.High-c.Low) || math.IsInf(c.High-c.Low, 0) {
		return Comparison{}, errors.New("the samples hold what is no number, or the confidence is too close to 1")
	}
	return c, nil
}

// Apart says whether the interval leaves nought out: at this confidence the samples differ.
func (c Comparison) Apart() bool { return c.Low > 0 || c.High < 0 }

// At tells a comparison of tension ratios in kg at an ordered tension: kg of tension in the bed. T, P and the degrees of
// freedom stay as they are.
func (c Comparison) At(orderedKg float64) Comparison {
	for _, v := range []*float64{&c.A.Mean, &c.A.SD, &c.B.Mean, &c.B.SD, &c.Difference, &c.SE, &c.Low, &c.High} {
		*v *= orderedKg
	}
	c.OrderedKg = orderedKg
	return c
}
