package bed

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pullcard/patterns/grid"
	"pullcard/patterns/mechanics"
	"pullcard/sequence/calc"
	"pullcard/tui/theme"
)

// shades are the marks of the map from the softest to the stiffest.
func shades(ascii bool) []rune {
	if ascii {
		return []rune(".:+*#")
	}
	return []rune("·░▒▓█")
}

// least is the smallest map that still says something, in rows.
const least = 7

// chart is a map of a bed's stiffness in cells, head up, as large as fits into so many columns and rows with a legend
// below; nil where it does not fit. All its lines are equally wide.
func chart(b *calc.Bed, columns, rows int, ascii bool) []string {
	hoop := b.Grid.Frame.Hoop
	height := rows - 2 // the legend
	// A cell is twice as high as wide.
	width := int(math.Round(2 * float64(height) * hoop.WidthMM / hoop.LengthMM))
	if width > columns {
		width = columns
		height = int(float64(width) * hoop.LengthMM / hoop.WidthMM / 2)
	}
	if height < least || len(b.Map) == 0 {
		return nil
	}
	marks := shades(ascii)
	from := steps(b.Map, len(marks))
	var out []string
	for i := range height {
		var line strings.Builder
		for j := range width {
			p := grid.Point{
				X: (float64(j)+0.5)/float64(width)*hoop.WidthMM - hoop.WidthMM/2,
				Y: hoop.LengthMM/2 - (float64(i)+0.5)/float64(height)*hoop.LengthMM,
			}
			if !inside(p, hoop.WidthMM/2, hoop.LengthMM/2, hoop.Exponent) {
				line.WriteByte(' ')
				continue
			}
			line.WriteRune(marks[shade(float64(b.Map[b.Net.Nearest(p)]), from)])
		}
		out = append(out, line.String())
	}
	return append(out, legend(marks, from, width)...)
}

func inside(p grid.Point, a, b, n float64) bool {
	return math.Pow(math.Abs(p.X)/a, n)+math.Pow(math.Abs(p.Y)/b, n) <= 1
}

// steps are the stiffnesses from which each mark stands: every mark for as many crossings as any other, so that the
// middle of the bed shows as well as its rim, where it is many times stiffer.
func steps(stiffness []mechanics.Stiffness, marks int) []float64 {
	sorted := slices.Sorted(slices.Values(stiffness))
	out := make([]float64, marks)
	for i := range out {
		out[i] = float64(sorted[i*len(sorted)/marks])
	}
	return out
}

// shade is the mark of a stiffness.
func shade(v float64, from []float64) int {
	i := len(from) - 1
	for i > 0 && v < from[i]*(1-1e-9) { // mirror images differ by rounding
		i--
	}
	return i
}

// legend says from which stiffness each mark stands, in two lines.
func legend(marks []rune, from []float64, width int) []string {
	first, second := "from", ""
	for i, mark := range marks {
		word := fmt.Sprintf("%c %.3g", mark, from[i])
		if i < 3 {
			first += " " + word
		} else {
			second += word + " "
		}
	}
	return []string{theme.Fill(first, width, false), theme.Fill(second+"N/mm", width, false)}
}
