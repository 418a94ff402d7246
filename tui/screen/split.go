package screen

import (
	"math"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/bubbles/viewport"

	"pullcard/patterns/grid"
	"pullcard/tui/theme"
)

// Split is words that scroll, and a picture at their right.
type Split struct {
	viewport.Model
	picture []string
}

// Lay divides a screen below a head and above a foot of a line each: a picture that is as wide as half the screen at most, nil
// for none, and the words in what is left. The keys scroll them.
func (l Look) Lay(s *Split, picture *Cells, words func(width int) []string, up, down *key.Binding) {
	s.Height, s.Width, s.picture = max(l.Height-2, 1), l.Room(), nil
	if picture != nil {
		s.picture = picture.Lines(l)
		s.Width = max(l.Room()-picture.W-2, 1)
	}
	Fill(&s.Model, words(s.Width), up, down)
}

// Body is both, line by line.
func (s Split) Body() []string {
	body := strings.Split(s.View(), "\n")
	for i, line := range s.picture {
		body[i] = theme.Fill(body[i], s.Width+1, false) + line
	}
	return body
}

// Cells is a picture in characters of things that lie in a plane, in mm, up is up. A cell is twice as high as wide.
type Cells struct {
	// W and H are its columns and rows, without the legend below it.
	W, H   int
	lo, hi grid.Point
	signs  [][]rune
	roles  [][]theme.Role
}

// legendRows is how many rows a legend has below the picture.
const legendRows = 2

// Picture is room for a box of the plane beside words, as large as it fits with two rows for a legend; nil where that has fewer
// than so many rows.
func (l Look) Picture(lo, hi grid.Point, least int) *Cells {
	c := &Cells{H: max(l.Height-2, 1) - legendRows, lo: lo, hi: hi}
	wide, high := hi.X-lo.X, hi.Y-lo.Y
	if c.W = int(math.Round(2 * float64(c.H) * wide / high)); c.W > l.Width/2-1 {
		c.W = l.Width/2 - 1
		c.H = int(float64(c.W) * high / wide / 2)
	}
	if c.H < least {
		return nil
	}
	for range c.H + legendRows {
		c.signs, c.roles = append(c.signs, []rune(strings.Repeat(" ", c.W))), append(c.roles, make([]theme.Role, c.W))
	}
	return c
}

// At is the middle of a cell in the plane.
func (c *Cells) At(column, row int) grid.Point {
	return grid.Point{X: c.lo.X + (float64(column)+.5)/float64(c.W)*(c.hi.X-c.lo.X), Y: c.hi.Y - (float64(row)+.5)/float64(c.H)*(c.hi.Y-c.lo.Y)}
}

// Set sets a cell's sign.
func (c *Cells) Set(column, row int, sign rune, r theme.Role) {
	c.signs[row][column], c.roles[row][column] = sign, r
}

// Line sets the signs along a line; one that is thin lets every other row show what is there.
func (c *Cells) Line(a, b grid.Point, sign rune, r theme.Role, thin bool) {
	n := int(a.To(b)*2) + 1 // steps of half a millimetre
	for i := range n + 1 {
		t := float64(i) / float64(n)
		column := int((a.X + t*(b.X-a.X) - c.lo.X) / (c.hi.X - c.lo.X) * float64(c.W-1) * (1 - 1e-9))
		row := int((c.hi.Y - a.Y - t*(b.Y-a.Y)) / (c.hi.Y - c.lo.Y) * float64(c.H-1) * (1 - 1e-9))
		if !thin || row%2 == 0 || c.signs[row][column] == ' ' {
			c.Set(column, row, sign, r)
		}
	}
}

// Legend writes words one behind the other below the picture, in a further row where one is full.
func (c *Cells) Legend(row, column int, text string, r theme.Role) (endRow, endColumn int) {
	signs := []rune(text)
	if column+len(signs) > c.W && row == 0 {
		row, column = 1, 0
	}
	for i, sign := range signs[:max(min(len(signs), c.W-column), 0)] {
		c.Set(column+i, c.H+row, sign, r)
	}
	return row, column + len(signs)
}

// Lines are its rows and those of the legend.
func (c *Cells) Lines(l Look) []string {
	out := make([]string, len(c.signs))
	for i, signs := range c.signs {
		for from := 0; from < c.W; {
			to := from
			for to < c.W && c.roles[i][to] == c.roles[i][from] {
				to++
			}
			out[i] += l.Style(c.roles[i][from], string(signs[from:to]))
			from = to
		}
	}
	return out
}
