package controlchart

import (
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// numbers reads the numbers of a data file from a line on, row by row.
func numbers(t *testing.T, name string, from int) (rows [][]float64) {
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "strd", name+".dat"))
	require.NoError(t, err)
	for _, line := range strings.Split(string(text), "\n")[from:] {
		var row []float64
		for _, word := range strings.Fields(line) {
			v, err := strconv.ParseFloat(word, 64)
			require.NoError(t, err, "%s: %s", name, line)
			row = append(row, v)
		}
		if row != nil {
			rows = append(rows, row)
		}
	}
	return rows
}

// byTurns are 1001 values: one, then two others by turns.
func byTurns(first, low, high float64) []float64 {
	out := []float64{first}
	for range 500 {
		out = append(out, low, high)
	}
	return out
}

// Source: NIST Statistical Reference Datasets, univariate summary statistics, the certified values of all nine sets. The
// figures beside them are how many digits double precision leaves.
func TestUnivariateSets(t *testing.T) {
	for _, c := range []struct {
		name              string
		values            []float64
		mean, sd          float64
		meanError, sdFail float64
	}{
		{"PiDigits", nil, 4.53480000000000, 2.86733906028871, 1e-14, 1e-13},
		{"Lottery", nil, 518.958715596330, 291.699727470969, 1e-14, 1e-13},
		{"Lew", nil, -177.435000000000, 277.332168044316, 1e-14, 1e-13},
		{"Mavro", nil, 2.00185600000000, .000429123454003053, 1e-14, 1e-12},
		{"Michelso", nil, 299.852400000000, .0790105478190518, 1e-14, 1e-12},
		{"NumAcc1", []float64{10000001, 10000003, 10000002}, 10000002, 1, 0, 0},
		{"NumAcc2", byTurns(1.2, 1.1, 1.3), 1.2, .1, 1e-14, 1e-13},
		{"NumAcc3", byTurns(1000000.2, 1000000.1, 1000000.3), 1000000.2, .1, 1e-14, 1e-9},
		{"NumAcc4", byTurns(10000000.2, 10000000.1, 10000000.3), 10000000.2, .1, 1e-14, 1e-7},
	} {
		if c.values == nil {
			for _, row := range numbers(t, c.name, 1) {
				c.values = append(c.values, row...)
			}
		}
		mean, sd := Summarise(c.values)
		assert.InDelta(t, c.mean, mean, c.meanError*math.Abs(c.mean), c.name)
		assert.InDelta(t, c.sd, sd, c.sdFail*c.sd, c.name)
	}
}

// Source: NIST Statistical Reference Datasets, linear regression, Norris: slope and its standard deviation.
func TestNorris(t *testing.T) {
	var x, y []float64
	for _, row := range numbers(t, "Norris", 60) {
		y, x = append(y, row[0]), append(x, row[1])
	}
	require.Len(t, x, 36)
	b, se, p := slope(x, y)
	assert.InEpsilon(t, 1.00211681802045, b, 1e-13)
	assert.InEpsilon(t, .000429796848199937, se, 1e-11)
	assert.Less(t, p, 1e-50)
}

// oneWay is the analysis of variance of groups: the model with one spread for all.
func oneWay(t *testing.T, group []int, y []float64) (f, residual, between float64) {
	groups := group[len(group)-1]
	x := mat.NewDense(len(y), groups, nil)
	for i, g := range group {
		x.Set(i, 0, 1)
		if g > 1 {
			x.Set(i, g-1, 1)
		}
	}
	fit, err := model{y: y, x: x, spread: make([]int, len(y))}.fit()
	require.NoError(t, err)
	effects := mat.NewVecDense(groups-1, fit.beta[1:])
	var solved mat.VecDense
	require.NoError(t, solved.SolveVec(fit.cov.Slice(1, groups, 1, groups), effects))
	f = mat.Dot(effects, &solved) / float64(groups-1)
	variance := fit.theta[0] * fit.scaled * fit.scaled
	assert.InEpsilon(t, fit.within, variance*float64(len(y)-groups), 1e-12)
	return f, math.Sqrt(variance), f * float64(groups-1) * variance
}

// Source: NIST Statistical Reference Datasets, analysis of variance, the certified values. The sets of the higher difficulty
// are the first one moved by 10⁶ and 10¹², where double precision has 10 and 4 digits left of a spread of 0.1.
func TestAnalysisOfVarianceSets(t *testing.T) {
	for _, c := range []struct {
		name                 string
		move                 float64
		f, residual, between float64
		within               float64
	}{
		{"SiRstv", 0, 1.18046237440255, .104076068334656, 5.11462616e-2, 1e-10},
		{"AtmWtAg", 0, 15.9467335677930, 1.51048314446410e-5, 3.638341875e-9, 1e-7},
		{"SmLs01", 0, 21, .1, 1.68, 1e-12},
		{"SmLs04", 0, 21, .1, 1.68, 1e-8},
		{"SmLs01", 1e12, 21, .1, 1.68, 1e-2},
	} {
		var group []int
		var y []float64
		for _, row := range numbers(t, c.name, 60) {
			group, y = append(group, int(row[0])), append(y, row[1]+c.move)
		}
		f, residual, between := oneWay(t, group, y)
		assert.InEpsilon(t, c.f, f, c.within, c.name)
		assert.InEpsilon(t, c.residual, residual, c.within, c.name)
		assert.InEpsilon(t, c.between, between, c.within, c.name)
	}
}
