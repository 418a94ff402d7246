package controlchart

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

func frameOf(s Stringing) string { return s.Frame }

func stringOf(s Stringing) string { return s.String }

// design is the model of a comparison.
type design struct {
	model
	corrections []correction
	factors     []string
	confounded  string // a machine that cannot be told from other factors, empty for none
}

// newDesign has a column for the whole, one for each further frame and string that can be told apart, and the last ones for
// each machine but the first.
func newDesign(list []Stringing, machines []string) *design {
	n := len(list)
	d := &design{model: model{y: make([]float64, n), spread: make([]int, n)}}
	var columns, basis [][]float64
	add := func(column []float64) bool {
		rest := slices.Clone(column)
		for range 2 { // twice is enough to lose no digit
			for _, b := range basis {
				along := dot(rest, b)
				for i := range rest {
					rest[i] -= along * b[i]
				}
			}
		}
		size := math.Sqrt(dot(rest, rest))
		if size < 1e-8*math.Sqrt(dot(column, column)) {
			return false
		}
		for i := range rest {
			rest[i] /= size
		}
		basis, columns = append(basis, rest), append(columns, column)
		return true
	}
	level := func(of func(Stringing) string, name string) []float64 {
		column := make([]float64, n)
		for i, s := range list {
			if of(s) == name {
				column[i] = 1
			}
		}
		return column
	}
	whole := make([]float64, n)
	for i := range whole {
		whole[i] = 1
	}
	add(whole)
	for _, f := range []struct {
		name string
		of   func(Stringing) string
	}{{"frame", frameOf}, {"string", stringOf}} {
		levels := levelsOf(list, f.of)
		if len(levels) > 1 {
			d.factors = append(d.factors, f.name)
		}
		for _, l := range levels[1:] {
			add(level(f.of, l))
		}
	}
	for i, m := range machines {
		for k, s := range list {
			if s.Machine == m {
				d.spread[k] = i
			}
		}
		if i > 0 && !add(level(func(s Stringing) string { return s.Machine }, m)) {
			d.confounded = m
		}
	}
	d.x = mat.NewDense(n, len(columns), nil)
	for j, c := range columns {
		d.x.SetCol(j, c)
	}
	d.rackets(list)
	return d
}

func dot(a, b []float64) float64 {
	return mat.Dot(mat.NewVecDense(len(a), a), mat.NewVecDense(len(b), b))
}

func levelsOf(list []Stringing, of func(Stringing) string) []string {
	var out []string
	for _, s := range list {
		out = append(out, of(s))
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// rackets numbers the rackets, where any was strung repeatedly; one that is not told was strung once.
func (d *design) rackets(list []Stringing) {
	number := map[string]int{}
	racket, again, next := make([]int, len(list)), false, 0
	for i, s := range list {
		n, known := number[s.Racket]
		if !known || s.Racket == "" {
			n = next
			next++
			number[s.Racket] = n
		} else {
			again = true
		}
		racket[i] = n
	}
	if again {
		d.racket, d.factors = racket, append(d.factors, "racket")
	}
}

// estimate is a contrast with what the corrections add to its error.
func (d *design) estimate(fit *fitted, contrast []float64, level float64) Interval {
	value, se, df, weights := fit.estimate(contrast)
	parts := []part{{Interval{value, se, df, level}, 1}}
	for _, f := range d.corrections {
		parts = append(parts, part{Interval{0, f.SE, f.DF, level}, dot(weights, f.values)})
	}
	return combine(level, parts...)
}
