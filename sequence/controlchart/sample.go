package controlchart

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
)

// Sample is what a lot of values comes to. SD is the sample's standard deviation, with n − 1; 0 for a single value.
type Sample struct {
	N        int
	Mean, SD float64
}

// Summarise makes a sample of values. It fails with TooFew without any, and with a value that is no finite number.
func Summarise(values []float64) (Sample, error) {
	if len(values) == 0 {
		return Sample{}, TooFew{0, 1}
	}
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return Sample{}, fmt.Errorf("%g among the readings is no number", v)
		}
	}
	s := Sample{N: len(values), Mean: stat.Mean(values, nil)}
	if s.N > 1 {
		s.Mean, s.SD = stat.MeanStdDev(values, nil)
	}
	return s, nil
}
