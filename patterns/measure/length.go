package measure

import (
	"fmt"
	"math"
	"strings"
)

// ParseLength reads "330 mm", "33 cm", "0.33 m" or "13 in" as millimetres, to a millionth; it must not be below nought.
func ParseLength(text string) (mm float64, err error) {
	m, unit, err := number(text)
	if err != nil {
		return 0, fmt.Errorf(`%q is no length; write a number and its unit, as "330 mm" or "13 in"`, text)
	}
	per, ok := map[string]float64{"mm": 1, "cm": 10, "m": 1000, "in": MillimetresPerIn, "ft": 12 * MillimetresPerIn}[unit]
	if unit == "" {
		return 0, fmt.Errorf(`%q has no unit; write "%s mm" or "%s in"`, text, trim(m), trim(m))
	}
	if !ok {
		return 0, fmt.Errorf(`%q is no unit of length; mm, cm, m, in and ft are`, unit)
	}
	if m < 0 {
		return 0, fmt.Errorf(`a length is not below nought, as %q is; write it as "330 mm"`, text)
	}
	return math.Round(float64(m)*per) / micro, nil
}

// ParseSides reads "330 x 250 mm" as the length and the width inside a hoop in millimetres, each from 50 to 1000; the unit may be
// left away.
func ParseSides(text string) (length, width float64, err error) {
	parts := strings.FieldsFunc(strings.TrimSuffix(strings.TrimSpace(text), "mm"), func(r rune) bool { return r == 'x' || r == '×' })
	var mm [2]float64
	for i, part := range parts {
		var v float64
		if v, err = ParseLength(strings.TrimSpace(part) + " mm"); err == nil && v >= 50 && v <= 1000 && i < 2 {
			mm[i] = v
		}
	}
	if len(parts) != 2 || mm[0] == 0 || mm[1] == 0 {
		return 0, 0, fmt.Errorf(`%q is no length and width of a hoop; write them in mm, as "330 x 250 mm"`, text)
	}
	return mm[0], mm[1], nil
}

// ParseLinearMass reads "1.7 g/m" as grams per metre; it must be above nought.
func ParseLinearMass(text string) (gramsPerMetre float64, err error) {
	m, unit, err := number(text)
	if err != nil || unit != "g/m" || m <= 0 {
		return 0, fmt.Errorf(`%q is no mass per length; write it as "1.7 g/m"`, text)
	}
	return float64(m) / micro, nil
}

// ParsePercent reads "10 %" as 10.
func ParsePercent(text string) (float64, error) {
	m, unit, err := number(text)
	if err != nil || unit != "%" {
		return 0, fmt.Errorf(`%q is no percentage; write it as "10 %%"`, text)
	}
	return float64(m) / micro, nil
}
