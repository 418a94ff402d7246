package strain

import (
	"bytes"
	"encoding/json"
	"os/exec"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/assume"
	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/plan"
)

const python = "/usr/bin/python3"

// Three nets and two orders each, after every step, against a solver that shares nothing but the description of the model: it
// reads the plan's JSON by itself, builds the hoop as one dense frame with nodes of its own, and solves strings, weaving, friction,
// contact and sharing of an op at one go as a nonlinear complementarity problem.
func TestAgainstIndependentSolver(t *testing.T) {
	sweep.Only(t)
	if out, err := exec.Command(python, "-c", "import numpy").CombinedOutput(); err != nil {
		t.Skipf("NOT CHECKED against the independent solver: %s cannot import numpy (%v: %s); install python3-numpy", python, err, bytes.TrimSpace(out))
	}
	ahead := func(s *sequence.Technique) { s.Mains.Lead, s.Mains.Overtake = 3, true }
	var cases []netCase
	for _, layout := range []string{"club-sixteen", "long-twenty", "shuttle-twentytwo"} {
		cases = append(cases, netCase{layout, "two-piece-clamp", "6", nil}, netCase{layout, "two-piece-skip", "2", ahead})
	}
	for _, c := range cases {
		t.Run(c.layout+" "+c.sheet, func(t *testing.T) { c.check(t) })
	}
}

type netCase struct {
	layout, sheet, mount string
	change               func(*sequence.Technique)
}

func (c netCase) check(t *testing.T) {
	g, p := strung(t, c.layout, c.sheet, c.change)
	n := assume.Table{}.With(assume.Gap, .1, "").Of(string(g.Frame.Sport), materials(g), c.mount, assume.Constant)
	m, err := New(g, usual(g), n)
	require.NoError(t, err)
	course, err := m.Play(p)
	require.NoError(t, err)
	var want []struct {
		T             []float64
		Length, Width float64
	}
	ask(t, describe(g, m, p, n), &want)
	require.Len(t, want, len(course.At))
	most := 0.0
	for i, at := range course.At {
		for j, newtons := range at.Newtons {
			most = max(most, abs(want[i].T[j]-newtons))
			require.InDelta(t, want[i].T[j], newtons, .05, "step %d, %s", i+1, course.Strands[j].Name)
		}
		require.InDelta(t, want[i].Length, at.LengthMM, .003, "step %d", i+1)
		require.InDelta(t, want[i].Width, at.WidthMM, .003, "step %d", i+1)
	}
	t.Logf("%s by %s: the farthest of %d tensions at %d steps is %.4f N off", c.layout, c.sheet, len(course.Strands), len(course.At), most)
}

func abs(v float64) float64 { return max(v, -v) }

// ask gives the script its input and takes its answer.
func ask(t *testing.T, in, out any) {
	text, err := json.Marshal(in)
	require.NoError(t, err)
	cmd := exec.Command(python, "testdata/strain.py")
	cmd.Env = append(cmd.Environ(), "OMP_NUM_THREADS=1", "OPENBLAS_NUM_THREADS=1")
	var complaint bytes.Buffer
	cmd.Stdin, cmd.Stderr = bytes.NewReader(text), &complaint
	answer, err := cmd.Output()
	require.NoError(t, err, complaint.String())
	require.NoError(t, json.Unmarshal(answer, out))
	assert.Empty(t, complaint.String())
}

// places are the places of all holes that a plan names, as text.
func places(p *plan.Plan) map[plan.Hole]string {
	r, out := plan.NewRacket(&p.Terms), map[plan.Hole]string{}
	for i := range p.Steps {
		for _, o := range p.Steps[i].Ops {
			for _, h := range [4]plan.Hole{o.From, o.To, o.Hole, o.Out} {
				if h != "" {
					out[h] = strconv.Itoa(r.At(h))
				}
			}
		}
	}
	return out
}
