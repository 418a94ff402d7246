package sequence

import (
	"fmt"
	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/patterns/measure"
	"pullcard/patterns/source"
)

// cut reads the allowances for cutting.
func (t *Technique) cut(c *source.Table) {
	t.Cut = grid.Usual()
	t.Walls = map[patterns.Sport]float64{}
	wall := -1.0
	for _, a := range []struct {
		key     string
		mm      *float64
		most    float64
		example string
	}{
		{"wall", &wall, 50, `"12 mm", the way through the wall of the frame`},
		{"margin", &t.Cut.WeaveMM, 1000, `"100 mm", a margin for weaving`},
		{"knot", &t.Cut.KnotMM, 1000, `"200 mm", the tail of a starting knot`},
		{"tape", &t.Cut.TapeMM, 100, `"5 mm", what the tape reads`},
	} {
		t.allowance(c, "cut."+a.key, a.key, a.example, a.most, a.mm)
	}
	if wall >= 0 {
		t.Cut.WallMM = wall
	}
	walls := c.Table("walls")
	for _, sport := range patterns.Sports() {
		mm := grid.UsualWallMM(sport)
		if wall >= 0 {
			mm = wall
		}
		if walls != nil {
			t.allowance(walls, "cut.walls."+string(sport), string(sport), `"12 mm", the way through the wall of such a frame`, 50, &mm)
		}
		t.Walls[sport] = mm
	}
}

// allowance reads one length.
func (t *Technique) allowance(c *source.Table, name, key, example string, most float64, to *float64) {
	if v := c.Text(key); v.Given {
		*to = t.doc.Measured(name, v, measure.ParseLength, 0, most, fmt.Sprintf("write %s, at most %g mm", example, most))
	}
}
