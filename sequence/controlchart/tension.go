package controlchart

import "fmt"

// Kind is what a reading measures.
type Kind string

// The kinds of reading.
const (
	Frequency Kind = "frequency"
	Stiffness Kind = "stiffness"
)

// TensionRatio is the ratio of tensions that a ratio of readings over computed figures stands for. A frequency goes with
// the root of the tension, f = √(T/μ)/(2L), a stiffness with the tension, k = 4T/L: textbook, for one string; a bed's
// figures scale with all its tensions in the same way. The ratio is above nought.
func TensionRatio(k Kind, ratio float64) (float64, error) {
	if !(ratio > 0) {
		return 0, fmt.Errorf("a reading of %g times the computed one is not above nought", ratio)
	}
	switch k {
	case Frequency:
		return ratio * ratio, nil
	case Stiffness:
		return ratio, nil
	}
	return 0, fmt.Errorf("%q is no kind of reading; there are %s and %s", k, Frequency, Stiffness)
}
