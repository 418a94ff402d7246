package controlchart

import (
	"fmt"
	"math"
	"slices"
	"time"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// ReferenceAge is the age after the last pull to which readings are brought: this program's own choice, about when a shop
// reads a bed.
const ReferenceAge = 30 * time.Minute

// Dwell is how long a machine holds the tension before the clamp: 2 to 5 s, common practice of the trade.
const Dwell = 3 * time.Second

// Decay is how a bed of a material loses tension at rest: kept(t) = k₀ − PerDecade·log₁₀(1 + t/T0), with t from the last
// pull, as shares of the ordered tension. Play takes a step of its own.
type Decay struct {
	Material string
	// PerDecade is lost in each tenfold of the time, SE its standard error and DF the degrees of freedom of that, infinite
	// where it is not fitted.
	PerDecade, SE, DF float64
	T0                time.Duration
	// Play is the step that play takes, PlaySE its standard error; 0 where no reading tells it.
	Play, PlaySE float64
	// Jobs is how many jobs it was fitted to, 0 for a usual one.
	Jobs int
}

// LeastFit is how many jobs, each read at ages a decade apart, it takes to fit a decay: this program's own choice.
const LeastFit = 5

// Usual is the decay of a material that nothing is read of. Common practice of the trade, no published source: a bed loses 5
// to 10 % in its first day, polyester up to 15 %; the spans by material are from memory. The span is taken for 95 % of beds.
func Usual(material string) Decay {
	low, high := .05, .10
	switch material {
	case "polyester":
		low, high = .08, .15
	case "gut":
		low, high = .03, .07
	case "aramid":
		low, high = .04, .10
	}
	decades := math.Log10(1 + (24*time.Hour).Seconds()/Dwell.Seconds())
	return Decay{Material: material, PerDecade: (low + high) / 2 / decades, SE: (high - low) / 2 / 1.96 / decades, DF: math.Inf(1), T0: Dwell}
}

// Lost is what a bed has lost at rest by an age.
func (d Decay) Lost(age time.Duration) float64 {
	return d.PerDecade * decades(age, d.T0)
}

func decades(age, t0 time.Duration) float64 {
	return math.Log10(1 + max(age.Seconds(), 0)/t0.Seconds())
}

// later is how many decades later than the reference age a stringing was read; 0 where its age is not known.
func (d Decay) later(s Stringing) float64 {
	if !s.Aged {
		return 0
	}
	return decades(s.Age, d.T0) - decades(ReferenceAge, d.T0)
}

// AtReference is what a stringing had kept at the reference age; where its age is not known, what was read.
func (d Decay) AtReference(s Stringing) float64 { return s.Kept + d.PerDecade*d.later(s) }

// Interval bounds PerDecade with confidence level.
func (d Decay) Interval(level float64) (low, high float64) {
	half := quantile(d.DF, (1+level)/2) * d.SE
	return d.PerDecade - half, d.PerDecade + half
}

// String tells it with its interval.
func (d Decay) String() string {
	low, high := d.Interval(.95)
	source := "usual, from memory"
	if d.Jobs > 0 {
		source = fmt.Sprintf("fitted to %d jobs", d.Jobs)
	}
	name := d.Material
	if name == "" {
		name = "a string that is not told"
	}
	play := ""
	if d.PlaySE > 0 {
		half := quantile(d.DF, .975) * d.PlaySE
		play = fmt.Sprintf("; play takes %.1f %% once (95 %% between %.1f and %.1f %%)", 100*d.Play, 100*(d.Play-half), 100*(d.Play+half))
	}
	return fmt.Sprintf("%s loses %.1f %% of the ordered tension in each tenfold of the time (95 %% between %.1f and %.1f %%; %s)%s",
		name, 100*d.PerDecade, 100*low, 100*high, source, play)
}

// FitDecay fits a decay to a house's stringings of one material: jobs that were read more than once at rest. Each job keeps
// its own k₀ and each instrument its own scale; what jobs differ by in their decay is in the standard error. T0 stays the
// dwell unless the ages span three decades and tell it apart from that. ok is false with fewer than LeastFit jobs that were
// read at ages a decade apart.
func FitDecay(material string, list []Stringing) (d Decay, ok bool) {
	series := seriesOf(material, list)
	wide, least, most := 0, math.Inf(1), 0.0
	for _, s := range series {
		first, last := s[0].Age.Seconds(), s[len(s)-1].Age.Seconds()
		least, most = min(least, first), max(most, last)
		if last >= 10*first {
			wide++
		}
	}
	if wide < LeastFit {
		return d, false
	}
	d, rest, df := fitDecay(series, Dwell)
	if math.Log10(most/max(least, 1)) >= 3 {
		if at, free := bestT0(series, most); df > 1 && (rest-free)/(free/(df-1)) > math.Pow(quantile(df-1, .975), 2) {
			d, _, _ = fitDecay(series, at)
		}
	}
	d.Material = material
	return d, d.DF >= LeastFit-1
}

// seriesOf are the readings of each job by one instrument, where there is more than one, by age.
func seriesOf(material string, list []Stringing) [][]Stringing {
	type key struct {
		job        int64
		instrument string
	}
	at, out := map[key]int{}, [][]Stringing{}
	for _, s := range list {
		if s.Material != material || !s.Aged || s.Age <= 0 {
			continue
		}
		k := key{s.Job, s.Instrument}
		i, known := at[k]
		if !known {
			i = len(out)
			at[k], out = i, append(out, nil)
		}
		out[i] = append(out[i], s)
	}
	out = slices.DeleteFunc(out, func(s []Stringing) bool { return len(s) < 2 })
	for _, s := range out {
		slices.SortFunc(s, func(a, b Stringing) int { return int(a.Age - b.Age) })
	}
	return out
}

// fitDecay fits with a fixed T0: least squares within each series, its errors from how the series disagree, which allows for
// beds that decay otherwise (Liang and Zeger, Biometrika 73 (1986); clusters over clusters less one).
func fitDecay(series [][]Stringing, t0 time.Duration) (d Decay, rest, df float64) {
	columns, played := 1, false
	for _, s := range series {
		played = played || s[0].Played != s[len(s)-1].Played
	}
	if played {
		columns = 2
	}
	xx := mat.NewDense(columns, columns, nil)
	xy := mat.NewVecDense(columns, nil)
	rows := make([][][]float64, len(series))
	values := make([][]float64, len(series))
	for i, s := range series {
		rows[i], values[i] = within(s, t0, columns)
		for j, r := range rows[i] {
			for a := range columns {
				xy.SetVec(a, xy.AtVec(a)+r[a]*values[i][j])
				for b := range columns {
					xx.Set(a, b, xx.At(a, b)+r[a]*r[b])
				}
			}
		}
		df += float64(len(s) - 1)
	}
	var inv mat.Dense
	if inv.Inverse(xx) != nil {
		return d, math.Inf(1), 0
	}
	var b mat.VecDense
	b.MulVec(&inv, xy)
	meat := mat.NewDense(columns, columns, nil)
	for i := range series {
		score := mat.NewVecDense(columns, nil)
		for j, r := range rows[i] {
			e := values[i][j]
			for a := range columns {
				e -= r[a] * b.AtVec(a)
			}
			rest += e * e
			for a := range columns {
				score.SetVec(a, score.AtVec(a)+r[a]*e)
			}
		}
		meat.RankOne(meat, 1, score, score)
	}
	var cov mat.Dense
	cov.Product(&inv, meat, &inv)
	n := float64(len(series))
	cov.Scale(n/(n-1), &cov)
	d = Decay{PerDecade: -b.AtVec(0), SE: math.Sqrt(cov.At(0, 0)), DF: n - 1, T0: t0, Jobs: len(series)}
	if played {
		d.Play, d.PlaySE = -b.AtVec(1), math.Sqrt(cov.At(1, 1))
	}
	return d, rest, df - float64(columns)
}

// within are the decades, the play and the values of a series, each less its mean.
func within(s []Stringing, t0 time.Duration, columns int) (rows [][]float64, values []float64) {
	rows, values = make([][]float64, len(s)), make([]float64, len(s))
	means, mean := make([]float64, columns), 0.0
	for i, r := range s {
		rows[i] = []float64{decades(r.Age, t0), 0}[:columns]
		if columns > 1 && r.Played {
			rows[i][1] = 1
		}
		for a := range columns {
			means[a] += rows[i][a] / float64(len(s))
		}
		values[i] = r.Kept
		mean += r.Kept / float64(len(s))
	}
	for i := range s {
		for a := range columns {
			rows[i][a] -= means[a]
		}
		values[i] -= mean
	}
	return rows, values
}

// bestT0 is the T0 that leaves the least, in steps of a tenth of a decade from a second on.
func bestT0(series [][]Stringing, most float64) (t0 time.Duration, rest float64) {
	rest = math.Inf(1)
	for e := 0.0; e <= math.Log10(most); e += .1 {
		at := time.Duration(math.Pow(10, e) * float64(time.Second))
		if _, r, _ := fitDecay(series, at); r < rest {
			t0, rest = at, r
		}
	}
	return t0, rest
}

// quantile is that of Student's t, of the normal distribution with infinitely many degrees of freedom.
func quantile(df, p float64) float64 {
	if math.IsInf(df, 1) || df > 1e7 {
		return distuv.UnitNormal.Quantile(p)
	}
	return distuv.StudentsT{Sigma: 1, Nu: df}.Quantile(p)
}
