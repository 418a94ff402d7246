package strain

import (
	"slices"
	"strconv"

	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/assume"
	"pullcard/patterns/grid"
	"pullcard/patterns/mechanics"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/sequencetest"
)

// strung is a built-in layout and the plan by a built-in sheet, at a tension that is usual in its sport.
func strung(t require.TestingT, layout, sheet string, change func(*sequence.Technique)) (*grid.Grid, *plan.Plan) {
	g, p, err := tried(t, layout, sheet, change)
	require.NoError(t, err)
	return g, p
}

// tried is strung where the sheet may not go with the layout.
func tried(t require.TestingT, layout, sheet string, change func(*sequence.Technique)) (*grid.Grid, *plan.Plan, error) {
	f, s := sequencetest.Layout(t, layout), sequencetest.Sheet(t, sheet)
	if change != nil {
		change(s)
	}
	tension := map[patterns.Sport]string{patterns.Tennis: "24 kg", patterns.Badminton: "11 kg", patterns.Squash: "12 kg", patterns.Racquetball: "14 kg"}[f.Sport]
	w, err := sequencetest.Make(t, f, s, "[tension]\nmains = \""+tension+"\"\n")
	g, problems := sequence.Grid(f)
	require.Empty(t, problems)
	return g, w.Plan, err
}

// usual is a string that is usual in a grid's sport.
func usual(g *grid.Grid) Strings {
	y := mechanics.Yarn{Product: mechanics.Product{Material: mechanics.Polyester}, DiameterMM: 1.25}
	if g.Frame.Sport == patterns.Badminton {
		y = mechanics.Yarn{Product: mechanics.Product{Material: mechanics.Nylon}, DiameterMM: .68}
	}
	return Strings{Mains: y, Crosses: y}
}

func materials(g *grid.Grid) [2]string {
	s := usual(g)
	return [2]string{string(s.Mains.Material), string(s.Crosses.Material)}
}

// describe is a net and its plan as the other solver reads it.
func describe(g *grid.Grid, m *Model, p *plan.Plan, n assume.Numbers) map[string]any {
	r := plan.NewRacket(&p.Terms)
	type strand struct {
		Name string    `json:"name"`
		Ends [2]string `json:"ends"`
		K    float64   `json:"k"`
	}
	points := map[string][2]float64{}
	var kinds [2][]strand
	for i, c := range slices.Concat(p.Terms.Mains, p.Terms.Crosses) {
		l, kind := slices.Concat(g.Columns, g.Rows)[i], 0
		if i >= len(p.Terms.Mains) {
			kind = 1
		}
		s := strand{Name: string(c.Strand)}
		y := usual(g)
		cord, _ := [2]mechanics.Yarn{y.Mains, y.Crosses}[kind].Cord(0)
		s.K = cord.EAN / l.MM()
		for e, h := range c.Ends {
			s.Ends[e] = strconv.Itoa(r.At(h))
			points[s.Ends[e]] = [2]float64{l.Ends[e].X, l.Ends[e].Y}
		}
		kinds[kind] = append(kinds[kind], s)
	}
	type support struct {
		X      float64 `json:"x"`
		Y      float64 `json:"y"`
		Inside bool    `json:"inside"`
		Group  string  `json:"group"`
	}
	supports := []support{}
	for _, s := range m.Mounting() {
		supports = append(supports, support{s.X, s.Y, s.Inside, s.Group})
	}
	groups := map[string]string{}
	for _, s := range p.Terms.Supports {
		groups[s] = GroupOf(s)
	}
	h := g.Frame.Hoop
	return map[string]any{
		"mains": kinds[0], "crosses": kinds[1], "holes": points, "places": places(p), "total": r.Total(), "plan": p,
		"a": h.WidthMM / 2, "b": h.LengthMM / 2, "exponent": h.Exponent, "supports": supports, "groups": groups, "most": 1.6,
		"main_across": g.CrossPitchMM, "cross_across": g.MainPitchMM, "high": (usual(g).Mains.DiameterMM + usual(g).Crosses.DiameterMM) / 2,
		"numbers": map[string]any{"ei": n.EI, "ea": n.EA, "friction": n.Friction, "turn": n.Turn, "drawback": n.Drawback, "knot": n.Knot, "creep": n.Creep,
			"pace": n.Pace, "weaving": n.Weaving, "support": n.Support, "hold": n.Hold, "gap": n.Gap},
	}
}
