package bed

import (
	"fmt"
	"math"
	"slices"

	"pullcard/patterns/grid"
	"pullcard/patterns/mechanics"
	"pullcard/tui/screen"
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

// chart is a map of a bed's stiffness, head up, with a legend; nil where it does not fit.
func (m Model) chart() *screen.Cells {
	b := m.sheet.Bed
	if b == nil || len(b.Map) == 0 {
		return nil
	}
	corner := grid.Point{X: b.Grid.Frame.Hoop.WidthMM / 2, Y: b.Grid.Frame.Hoop.LengthMM / 2}
	c := m.Picture(grid.Point{X: -corner.X, Y: -corner.Y}, corner, least)
	if c == nil {
		return nil
	}
	marks := shades(m.ASCII)
	from := steps(b.Map, len(marks))
	for row := range c.H {
		for column := range c.W {
			if p := c.At(column, row); 2*math.Abs(p.Y) <= b.Grid.Shape.MainMM(p.X) {
				c.Set(column, row, marks[shade(float64(b.Map[b.Net.Nearest(p)]), from)], theme.Main)
			}
		}
	}
	row, column := c.Legend(0, 0, "from", theme.Main)
	for i, mark := range marks {
		word := fmt.Sprintf("%c %.3g", mark, from[i])
		if i == len(marks)-1 {
			word += " N/mm"
		}
		row, column = c.Legend(row, column+1, word, theme.Main)
	}
	return c
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
