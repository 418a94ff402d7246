package mechanics_test

import (
	"bytes"
	"encoding/json"
	"os/exec"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/patterns/grid/gridtest"
	"pullcard/patterns/mechanics"
	"pullcard/patterns/sweep"
)

const python = "/usr/bin/python3"

// needScipy skips with the reason where the independent solver is not installed.
func needScipy(t *testing.T) {
	out, err := exec.Command(python, "-c", "import scipy").CombinedOutput()
	if err != nil {
		t.Skipf("NOT CHECKED against the independent solver: %s cannot import scipy (%v: %s); install python3-scipy", python, err, bytes.TrimSpace(out))
	}
}

// The net against a solver that shares no code with it: it finds the crossings, builds the matrices by incidence and
// solves by sparse LU and dense LAPACK.
func TestAgainstIndependentSolver(t *testing.T) {
	needScipy(t)
	for i, f := range threeNets() {
		if !sweep.Take(i, 3) {
			continue
		}
		s := sixteen()
		s.Frame, s.CrossesN = f, s.CrossesN-10
		s.BoostN = map[patterns.Strand]float64{f.Crosses[len(f.Crosses)-1].Strand: 22, f.Mains[0][len(f.Mains[0])-1].Strand: 23.5}
		g, n, err := s.Net()
		require.NoError(t, err)
		var want solved
		ask(t, "testdata/solve.py", stringsOf(t, g, s, func(c mechanics.Cord) float64 { return c.MassGPM }), &want)
		stiffness := map[[2]int]float64{}
		for i, at := range want.Nodes {
			stiffness[at] = want.Stiffness[i]
		}
		require.Len(t, n.Nodes(), len(stiffness), f.Name)
		own := n.Map()
		for i, node := range n.Nodes() {
			require.InEpsilon(t, stiffness[[2]int{node.Main, node.Cross}], float64(own[i]), 1e-9, "%s, crossing %d of column %d", f.Name, node.Cross+1, node.Main+1)
		}
		for i, m := range modes(t, n, 5) {
			assert.InEpsilon(t, want.Hz[i], m.Hz, 1e-9, "%s, mode %d", f.Name, i+1)
		}
	}
}

type solved struct {
	Nodes     [][2]int  `json:"nodes"`
	Stiffness []float64 `json:"stiffness"`
	Hz        []float64 `json:"hz"`
}

// The least energy that a solver of another kind finds, which shares no code with the net: of strings that slide, of
// crossings that are locked in their places, and, between the two, of locked ones that may shift in the plane.
func TestLoadedAgainstIndependentSolver(t *testing.T) {
	sweep.Only(t)
	needScipy(t)
	for _, f := range threeNets() {
		s := sixteen()
		s.Frame, s.CrossesN = f, s.CrossesN-10
		s.Crosses.Material = mechanics.Nylon
		g, n, err := s.Net()
		require.NoError(t, err)
		in := stringsOf(t, g, s, func(c mechanics.Cord) float64 { return c.EAN })
		in["ball"] = []float64{4, -3, 30, 400}
		var want struct{ Free, Locked, Shifting float64 }
		ask(t, "testdata/loaded.py", in, &want)
		load := n.Press(grid.Point{X: 4, Y: -3}, 30)
		free, err := n.Curve(load, mechanics.Free, []float64{400})
		require.NoError(t, err)
		locked, err := n.Curve(load, mechanics.Locked, []float64{400})
		require.NoError(t, err)
		t.Logf("%s: %.5f mm free, %.5f locked, %.5f locked and shifting", f.Name, want.Free, want.Locked, want.Shifting)
		assert.InEpsilon(t, want.Free, free[0].DeflectionMM, 1e-5, f.Name)
		assert.InEpsilon(t, want.Locked, locked[0].DeflectionMM, 1e-5, f.Name)
		assert.Less(t, want.Shifting, free[0].DeflectionMM, f.Name)
		assert.Greater(t, want.Shifting, locked[0].DeflectionMM, f.Name)
	}
}

// stringsOf are the strands of a bed with their ends, tension and something more of each.
func stringsOf(t *testing.T, g *grid.Grid, s mechanics.Setup, more func(mechanics.Cord) float64) map[string]any {
	line := func(l grid.Line, y mechanics.Yarn, newtons float64) [6]float64 {
		c, err := y.Cord(newtons + s.BoostN[l.Strand])
		require.NoError(t, err)
		return [6]float64{l.Ends[0].X, l.Ends[0].Y, l.Ends[1].X, l.Ends[1].Y, c.TensionN, more(c)}
	}
	var mains, crosses [][6]float64
	for _, l := range g.Columns {
		mains = append(mains, line(l, s.Mains, s.MainsN))
	}
	for _, l := range g.Rows {
		crosses = append(crosses, line(l, s.Crosses, s.CrossesN))
	}
	return map[string]any{"mains": mains, "crosses": crosses}
}

// ask gives a script its input and takes its answer.
func ask(t *testing.T, script string, in, out any) {
	text, err := json.Marshal(in)
	require.NoError(t, err)
	cmd := exec.Command(python, script)
	var complaint bytes.Buffer
	cmd.Stdin, cmd.Stderr = bytes.NewReader(text), &complaint
	answer, err := cmd.Output()
	require.NoError(t, err, complaint.String())
	require.NoError(t, json.Unmarshal(answer, out))
}

// threeNets are a symmetric one, one whose head and throat differ, and one with shared holes.
func threeNets() []*patterns.Frame {
	return []*patterns.Frame{gridtest.Sixteen(tennis), gridtest.Twenty(tennis), gridtest.Shuttle(gridtest.Ellipse(250, 185))}
}

// The crossings of the three layouts, counted from their lists of holes: 292, 310 and 436.
func TestCrossingsOfLayouts(t *testing.T) {
	for f, want := range map[*patterns.Frame]int{gridtest.Sixteen(tennis): 292, gridtest.Twenty(tennis): 310, gridtest.Shuttle(gridtest.Ellipse(250, 185)): 436} {
		s := sixteen()
		s.Frame = f
		assert.Len(t, net(t, s).Nodes(), want, f.Name)
		met := 0
		for _, c := range f.Crosses {
			met += len(f.Met(c))
		}
		assert.Equal(t, want, met, f.Name)
	}
}
