package controlchart

import "gonum.org/v1/gonum/stat"

// Summarise is the mean of values and the sample's standard deviation, with n − 1; 0 for a single value.
func Summarise(values []float64) (mean, sd float64) {
	if len(values) == 1 {
		return values[0], 0
	}
	return stat.MeanStdDev(values, nil)
}
