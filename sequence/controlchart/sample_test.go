package controlchart_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/controlchart"
)

// Source: NIST Statistical Reference Datasets, univariate, Michelso: the values are 299 + v/100.
func TestMichelso(t *testing.T) {
	v := []float64{
		85, 74, 90, 107, 93, 85, 95, 98, 98, 88, 100, 98, 93, 65, 76, 81, 100, 100, 96, 96, 96, 94, 96, 94, 88,
		80, 85, 88, 90, 84, 83, 79, 81, 88, 88, 83, 80, 79, 76, 80, 88, 88, 88, 86, 72, 72, 62, 86, 97, 95,
		88, 91, 85, 87, 84, 84, 85, 84, 84, 84, 89, 81, 81, 82, 80, 77, 76, 74, 75, 76, 91, 92, 89, 86, 88,
		72, 84, 85, 85, 78, 89, 84, 78, 81, 76, 81, 79, 81, 82, 85, 87, 87, 81, 74, 81, 94, 95, 80, 81, 87,
	}
	for i := range v {
		v[i] = 299 + v[i]/100
	}
	s, err := controlchart.Summarise(v)
	require.NoError(t, err)
	assert.Equal(t, 100, s.N)
	assert.InEpsilon(t, 299.8524, s.Mean, 1e-14)
	assert.InEpsilon(t, .0790105478190518, s.SD, 1e-11)
}

// Source: NIST Statistical Reference Datasets, univariate, NumAcc1.
func TestNumAcc1(t *testing.T) {
	s, err := controlchart.Summarise([]float64{10000001, 10000003, 10000002})
	require.NoError(t, err)
	assert.Equal(t, controlchart.Sample{N: 3, Mean: 10000002, SD: 1}, s)
}

func TestSummarise(t *testing.T) {
	_, err := controlchart.Summarise(nil)
	assert.Equal(t, controlchart.TooFew{Has: 0, Needs: 1}, err)
	assert.EqualError(t, err, "0 readings are too few; it takes 1")
	_, err = controlchart.Summarise([]float64{1, math.NaN()})
	assert.Error(t, err)
	s, err := controlchart.Summarise([]float64{.87})
	require.NoError(t, err)
	assert.Equal(t, controlchart.Sample{N: 1, Mean: .87}, s)
}
