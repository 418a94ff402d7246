package controlchart

import (
	"fmt"
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

// cells are the sets SmLs01 to 09: nine treatments of so many responses each, one in the middle and then by turns 0.1 below and
// above it. leading are the digits before their last two, none for the sets of the lower difficulty.
func cells(t *testing.T, responses int, leading string) (rows [][]float64) {
	for i, middle := range []int{4, 3, 5, 3, 5, 3, 5, 3, 5} {
		units := "1"
		if leading != "" {
			units = leading + "0"
		}
		for k := range responses {
			digit := middle
			if k > 0 {
				digit += 1 - 2*(k%2)
			}
			v, err := strconv.ParseFloat(fmt.Sprintf("%s.%d", units, digit), 64)
			require.NoError(t, err)
			rows = append(rows, []float64{float64(i + 1), v})
		}
	}
	return rows
}

// The sets that are made are those of NIST's files, where those are kept here. The others differ by the number of responses and the
// constant digits, as NIST describes them; what is certified of each holds for what is made.
func TestCellsAreTheFiles(t *testing.T) {
	assert.Equal(t, numbers(t, "SmLs01", 60), cells(t, 21, ""))
	assert.Equal(t, numbers(t, "SmLs04", 60), cells(t, 21, "100000"))
}

// Source: NIST Statistical Reference Datasets, analysis of variance, the certified values of all eleven sets. The sets of the
// average and the higher difficulty have 7 and 13 constant leading digits, which leave double precision 10 and 4 digits of a
// spread of 0.1.
func TestAnalysisOfVarianceSets(t *testing.T) {
	const lower, average, higher = "", "100000", "100000000000"
	for _, c := range []struct {
		name                 string
		rows                 [][]float64
		f, residual, between float64
		within               float64
	}{
		{"SiRstv", numbers(t, "SiRstv", 60), 1.18046237440255, .104076068334656, 5.11462616e-2, 1e-10},
		{"AtmWtAg", numbers(t, "AtmWtAg", 60), 15.9467335677930, 1.51048314446410e-5, 3.638341875e-9, 1e-7},
		{"SmLs01", cells(t, 21, lower), 21, .1, 1.68, 1e-12},
		{"SmLs02", cells(t, 201, lower), 201, .1, 16.08, 1e-12},
		{"SmLs03", cells(t, 2001, lower), 2001, .1, 160.08, 1e-12},
		{"SmLs04", cells(t, 21, average), 21, .1, 1.68, 1e-8},
		{"SmLs05", cells(t, 201, average), 201, .1, 16.08, 1e-8},
		{"SmLs06", cells(t, 2001, average), 2001, .1, 160.08, 1e-8},
		{"SmLs07", cells(t, 21, higher), 21, .1, 1.68, 1e-2},
		{"SmLs08", cells(t, 201, higher), 201, .1, 16.08, 1e-2},
		{"SmLs09", cells(t, 2001, higher), 2001, .1, 160.08, 1e-2},
	} {
		var group []int
		var y []float64
		for _, row := range c.rows {
			group, y = append(group, int(row[0])), append(y, row[1])
		}
		f, residual, between := oneWay(t, group, y)
		assert.InEpsilon(t, c.f, f, c.within, c.name)
		assert.InEpsilon(t, c.residual, residual, c.within, c.name)
		assert.InEpsilon(t, c.between, between, c.within, c.name)
	}
}
