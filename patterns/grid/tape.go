package grid

import (
	"fmt"
	"math"
	"strings"

	"pullcard/patterns/measure"
)

// hair is what rounding up overlooks, in mm, so that a length that a tape reads exactly stays as it is.
const hair = 1e-6

// RoundUp rounds a length up to a multiple of step; a step of nought or less leaves it.
func RoundUp(mm, step float64) float64 {
	if step <= 0 {
		return mm
	}
	return math.Ceil((mm-hair)/step) * step
}

// FeetInches writes a length in feet and inches, rounded up to the quarter inch that a tape reads, as 20 ft 3 1/4 in.
func FeetInches(mm float64) string {
	quarters := int(math.Ceil((mm - hair) / measure.MillimetresPerIn * 4))
	feet, inches := quarters/48, quarters%48/4
	text := fmt.Sprint(inches)
	if fraction := [4]string{"", "1/4", "1/2", "3/4"}[quarters%4]; fraction != "" {
		text = strings.TrimPrefix(text+" ", "0 ") + fraction
	}
	if feet == 0 {
		return text + " in"
	}
	return fmt.Sprintf("%d ft %s in", feet, text)
}
