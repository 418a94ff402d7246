// Package measure holds quantities as they are written and ordered: a number with its unit. The ordered value stays
// in its own unit; conversions are exact and only for display and computation.
//
// Start with ParseTension, ParseLength and ParseLinearMass.
package measure

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Exact conversion factors.
// Source: NIST Special Publication 811 (2008), Appendix B: the international pound is 0.45359237 kg, the inch is
// 25.4 mm, standard gravity is 9.80665 m/s².
const (
	KilogramsPerPound = 0.45359237
	NewtonsPerKgf     = 9.80665
	NewtonsPerLbf     = 4.4482216152605
	MillimetresPerIn  = 25.4
)

// micro is the resolution of a written number: a millionth of its unit.
const micro = 1_000_000

// number splits a text like "24.5 kg" into its number in millionths and its unit.
func number(text string) (int64, string, error) {
	at := strings.IndexFunc(text, func(r rune) bool { return r != '.' && r != '-' && (r < '0' || r > '9') })
	if at < 0 {
		at = len(text)
	}
	digits, unit := text[:at], strings.TrimSpace(text[at:])
	v, err := strconv.ParseFloat(digits, 64)
	if err != nil || math.Abs(v) > 1e9 {
		return 0, unit, fmt.Errorf("%q does not begin with a number", text)
	}
	return int64(math.Round(v * micro)), unit, nil
}

// Signed is a number with so many decimals and its sign, by which something is more or less, as people read it: "+0.5", "−1.8". What is
// typed or read by programs has an ASCII sign.
func Signed(v float64, decimals int) string {
	return strings.Replace(fmt.Sprintf("%+.*f", decimals, v), "-", "−", 1)
}

// trim writes millionths as the shortest decimal.
func trim(m int64) string {
	return strconv.FormatFloat(float64(m)/micro, 'f', -1, 64)
}
