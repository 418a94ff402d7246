package mechanics

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/grid"
)

// BenchmarkBesideScipy times the same beds here and in scipy, in the same run: each side inside its own process, on one
// thread, round by round in turn so that whatever else the machine does meets both, the best of so many rounds. It reports
// milliseconds of both and how many times as long scipy takes. The figures are for the guide; the two must agree in what
// they find.
func BenchmarkBesideScipy(b *testing.B) {
	const rounds = 60
	for _, n := range []int{10, 20, 30, 40, 50, 60} {
		net, err := Fan(n)
		require.NoError(b, err)
		load := net.Point(net.Nearest(grid.Point{}))
		round := scipy(b, net, load)
		b.Run(fmt.Sprintf("%dx%d", n, n), func(b *testing.B) {
			var own, other timed
			for b.Loop() {
				for range rounds {
					other.best(round())
					own.best(timeOwn(b, net, load))
				}
			}
			assert.InEpsilon(b, other.AtLoad, own.AtLoad, 1e-9)
			for i, square := range own.Squares {
				assert.InEpsilon(b, other.Squares[i], square, 1e-9, "mode %d", i+1)
			}
			b.ReportMetric(0, "ns/op")
			for name, ns := range map[string][2]int64{"solve": {own.SolveNs, other.SolveNs}, "modes": {own.ModesNs, other.ModesNs}} {
				b.ReportMetric(float64(ns[0])/1e6, name+"-ms")
				b.ReportMetric(float64(ns[1])/1e6, name+"-scipy-ms")
				b.ReportMetric(float64(ns[1])/float64(ns[0]), name+"-times")
			}
		})
	}
}

// timed is how long factor and one solve, and five modes, took in ns, and what came out.
type timed struct {
	SolveNs int64     `json:"solve_ns"`
	ModesNs int64     `json:"modes_ns"`
	AtLoad  float64   `json:"at_load"`
	Squares []float64 `json:"squares"`
}

func (t *timed) best(round timed) {
	if t.Squares != nil {
		round.SolveNs, round.ModesNs = min(t.SolveNs, round.SolveNs), min(t.ModesNs, round.ModesNs)
	}
	*t = round
}

// timeOwn is a round here. The modes assemble and factor a matrix of their own.
func timeOwn(b *testing.B, net *Net, load []float64) (t timed) {
	k, w := net.matrix(), slices.Clone(load)
	start := time.Now()
	factorize(k).solve(w)
	t.SolveNs, t.AtLoad = time.Since(start).Nanoseconds(), w[slices.Index(load, 1)]
	start = time.Now()
	modes, err := net.Modes(5)
	t.ModesNs = time.Since(start).Nanoseconds()
	require.NoError(b, err)
	for _, m := range modes {
		w := 2 * 3.141592653589793 * m.Hz
		t.Squares = append(t.Squares, w*w/1e6)
	}
	return t
}

// scipy gives a function that times a round there.
func scipy(b *testing.B, n *Net, load []float64) func() timed {
	const python = "/usr/bin/python3"
	if text, err := exec.Command(python, "-c", "import scipy").CombinedOutput(); err != nil {
		b.Skipf("NOT TIMED beside scipy: %s cannot import it (%v: %s); install python3-scipy", python, err, bytes.TrimSpace(text))
	}
	cmd := exec.Command(python, "testdata/speed.py")
	cmd.Env = append(os.Environ(), "OPENBLAS_NUM_THREADS=1", "OMP_NUM_THREADS=1", "MKL_NUM_THREADS=1")
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	require.NoError(b, err)
	out, err := cmd.StdoutPipe()
	require.NoError(b, err)
	require.NoError(b, cmd.Start())
	b.Cleanup(func() {
		assert.NoError(b, in.Close())
		assert.NoError(b, cmd.Wait())
	})
	answers := json.NewDecoder(out)
	require.NoError(b, json.NewEncoder(in).Encode(matrices(n, load)))
	return func() (t timed) {
		_, err := fmt.Fprintln(in)
		require.NoError(b, err)
		require.NoError(b, answers.Decode(&t))
		return t
	}
}

// matrices are a bed's lower half of the stiffness, its masses and a load.
func matrices(n *Net, load []float64) map[string]any {
	var row, column []int
	var value, mass []float64
	k := n.matrix()
	for i, node := range n.nodes {
		mass = append(mass, node.MassG)
		for j := max(0, i-k.band); j <= i; j++ {
			if v := *k.at(i, j); v != 0 {
				row, column, value = append(row, i), append(column, j), append(value, v)
			}
		}
	}
	return map[string]any{"size": len(n.nodes), "load": load, "row": row, "column": column, "value": value, "mass": mass}
}
