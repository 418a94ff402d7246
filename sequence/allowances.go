package sequence

import (
	"pullcard/patterns/grid"
	"pullcard/patterns/measure"
	"pullcard/patterns/source"
)

// cut reads the allowances for cutting.
func (t *Technique) cut(c *source.Table) {
	t.Cut = grid.Usual()
	for _, a := range []struct {
		key     string
		mm      *float64
		most    float64
		example string
	}{
		{"wall", &t.Cut.WallMM, 50, `"12 mm", the way through the wall of the frame`},
		{"margin", &t.Cut.WeaveMM, 1000, `"100 mm", a margin for weaving`},
		{"knot", &t.Cut.KnotMM, 1000, `"200 mm", the tail of a starting knot`},
		{"tape", &t.Cut.TapeMM, 100, `"5 mm", what the tape reads`},
	} {
		v := c.Text(a.key)
		if !v.Given {
			continue
		}
		mm, err := measure.ParseLength(v.S)
		if err != nil {
			t.doc.Problem(v.Pos, "cut.%s: %v", a.key, err)
		} else if mm > a.most {
			t.doc.Problem(v.Pos, "cut.%s is %q; write %s, at most %g mm", a.key, v.S, a.example, a.most)
		}
		*a.mm = mm
	}
}
