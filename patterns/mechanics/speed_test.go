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

// BenchmarkBesideScipy times the same assembled matrices here and in scipy, in the same run: each side inside its own
// process, on one thread, the best of so many rounds. It reports milliseconds of both and how many times as long scipy
// takes. The figures are for the guide; the two must agree in what they find.
func BenchmarkBesideScipy(b *testing.B) {
	const rounds = 25
	for _, n := range []int{10, 20, 30, 40, 50, 60} {
		cord := Cord{TensionN: 230, MassGPM: 1.7}
		net, err := Rect(n, n, 12, 12.5, cord, cord) // pitches that differ, so that no two modes are one
		require.NoError(b, err)
		load := net.Point(net.Nearest(grid.Point{}))
		scipy := timeScipy(b, net, load, rounds)
		b.Run(fmt.Sprintf("solve %dx%d", n, n), func(b *testing.B) {
			var w []float64
			own := best(b, rounds, func(k *banded) {
				w = append(w[:0], load...)
				factorize(k).solve(w)
			}, net.matrix)
			assert.InEpsilon(b, scipy.AtLoad, w[slices.Index(load, 1)], 1e-9)
			beside(b, own, scipy.SolveNs)
		})
		b.Run(fmt.Sprintf("modes %dx%d", n, n), func(b *testing.B) {
			var modes []Mode
			own := best(b, rounds, func(k *banded) {
				net.chol = factorize(k)
				modes, err = net.Modes(5)
				require.NoError(b, err)
			}, net.matrix)
			for i, m := range modes {
				assert.InEpsilon(b, scipy.Squares[i], sq(m), 1e-9, "mode %d", i+1)
			}
			beside(b, own, scipy.ModesNs)
		})
	}
}

func sq(m Mode) float64 { w := 2 * 3.141592653589793 * m.Hz; return w * w / 1e6 }

// best is the least time in ns that something takes on a matrix made for it, which is not counted.
func best(b *testing.B, rounds int, do func(*banded), with func() *banded) (least int64) {
	for b.Loop() {
		for range rounds {
			k := with()
			start := time.Now()
			do(k)
			if t := time.Since(start).Nanoseconds(); least == 0 || t < least {
				least = t
			}
		}
	}
	return least
}

func beside(b *testing.B, own, scipy int64) {
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(float64(own)/1e6, "ms")
	b.ReportMetric(float64(scipy)/1e6, "scipy-ms")
	b.ReportMetric(float64(scipy)/float64(own), "times-scipy")
}

type timed struct {
	SolveNs int64     `json:"solve_ns"`
	ModesNs int64     `json:"modes_ns"`
	AtLoad  float64   `json:"at_load"`
	Squares []float64 `json:"squares"`
}

func timeScipy(b *testing.B, n *Net, load []float64, rounds int) (out timed) {
	const python = "/usr/bin/python3"
	if text, err := exec.Command(python, "-c", "import scipy").CombinedOutput(); err != nil {
		b.Skipf("NOT TIMED beside scipy: %s cannot import it (%v: %s); install python3-scipy", python, err, bytes.TrimSpace(text))
	}
	in := map[string]any{"rounds": rounds, "size": len(n.nodes), "load": load}
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
	in["row"], in["column"], in["value"], in["mass"] = row, column, value, mass
	text, err := json.Marshal(in)
	require.NoError(b, err)
	cmd := exec.Command(python, "testdata/speed.py")
	cmd.Env = append(os.Environ(), "OPENBLAS_NUM_THREADS=1", "OMP_NUM_THREADS=1", "MKL_NUM_THREADS=1")
	var complaint bytes.Buffer
	cmd.Stdin, cmd.Stderr = bytes.NewReader(text), &complaint
	answer, err := cmd.Output()
	require.NoError(b, err, complaint.String())
	require.NoError(b, json.Unmarshal(answer, &out))
	return out
}
