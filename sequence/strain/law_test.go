package strain

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"
	"pgregory.net/rapid"

	"pullcard/patterns/assume"
	"pullcard/patterns/grid"
	"pullcard/patterns/hoop"
	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// nothing takes every effect away.
func nothing() (t assume.Table) {
	for _, key := range []assume.Key{assume.EI, assume.Friction, assume.Drawback, assume.Knot, assume.Creep, assume.Weaving, assume.Gap} {
		t = t.With(key, 0, "")
	}
	return t
}

func model(t require.TestingT, g *grid.Grid, table assume.Table, mount string) *Model {
	m, err := New(g, usual(g), table.Of(string(g.Frame.Sport), materials(g), mount, assume.Constant))
	require.NoError(t, err)
	return m
}

func played(t require.TestingT, m *Model, p *plan.Plan) *Course {
	c, err := m.Play(p)
	require.NoError(t, err)
	return c
}

// With a rigid hoop and weaving, friction, drawback, knots and creep at nought every strand has what it was pulled to, to the last
// digit, whatever the order; and nothing moves.
func TestRigidHoopKeepsThePull(t *testing.T) {
	for _, mount := range []string{"2", "4", "6", assume.Free} {
		g, p := strung(t, "club-sixteen", "two-piece-skip", nil)
		c := played(t, model(t, g, nothing(), mount), p)
		for _, s := range c.Strands {
			assert.InEpsilon(t, s.Pulled, s.AfterDay, 1e-12, s.Name)
			assert.InDelta(t, 0, s.Lost.Sum(), 1e-9)
		}
		for _, s := range c.Hoop {
			assert.Equal(t, [2]float64{}, [2]float64{s.LengthMM, s.WidthMM}, s.After)
		}
	}
}

// A string of no stiffness keeps its tension however the hoop gives.
func TestSoftStringKeepsThePull(t *testing.T) {
	g, p := strung(t, "club-sixteen", "two-piece-skip", nil)
	c := played(t, model(t, g, nothing().With(assume.EI, 110, "").With(assume.StringEA, 0, ""), "6"), p)
	for _, s := range c.Strands {
		assert.InEpsilon(t, s.Pulled, s.AfterDay, 1e-4, s.Name)
	}
	assert.Less(t, c.Hoop[1].LengthMM, -.2)
}

// Capstan, textbook: what the gripper pulls arrives behind the turn at the exit hole less by e^−μθ, and, once the string runs on
// from strand to strand round half a turn outside, two neighbours never stand farther apart than e^μπ, or than their profiles do
// where the strands as a whole are alike.
func TestCapstan(t *testing.T) {
	const μ = .2
	g, p := strung(t, "club-sixteen", "two-piece-clamp", nil)
	m := model(t, g, nothing().With(assume.Friction, μ, "").With(assume.Turn, 15, ""), "6")
	y, err := m.begin(p)
	require.NoError(t, err)
	pulls, steepest := 0, 1.0
	for i := range p.Steps {
		for j := range p.Steps[i].Ops {
			_, err := y.op(&p.Steps[i].Ops[j])
			require.NoError(t, err)
			for k := range y.spans {
				if s := &y.spans[k]; s.fixed && m.cords[k].kind == 0 && s.angle == 0 {
					assert.InEpsilon(t, s.pull*math.Exp(-μ*15*math.Pi/180), s.t, 1e-12)
					pulls++
				}
			}
			for _, at := range y.joints {
				a, b := y.tension(at.sides[0]), y.tension(at.sides[1])
				steepest = max(steepest, a/b, b/a)
				of := func(s side) float64 { return y.spans[s.strand].profile[s.end] }
				profiles := of(at.sides[0]) / of(at.sides[1])
				assert.LessOrEqual(t, a/b, max(math.Exp(μ*math.Pi), profiles)*(1+1e-6))
				assert.LessOrEqual(t, b/a, max(math.Exp(μ*math.Pi), 1/profiles)*(1+1e-6))
			}
		}
	}
	assert.Greater(t, pulls, 16)
	t.Logf("neighbours stood as %.3f to 1 at most, half a turn holds %.3f", steepest, math.Exp(μ*math.Pi))

	// A cross: the mean over all its crossings of an exponential, and its ends.
	c := played(t, model(t, g, nothing().With(assume.Friction, μ, "").With(assume.Turn, 0, ""), "6"), p)
	ten := c.Strands[len(p.Terms.Mains)+9]
	x := math.Log(slices.Max(ten.Profile[:]) / slices.Min(ten.Profile[:]))
	assert.InEpsilon(t, x/-math.Expm1(-x), slices.Max(ten.Profile[:]), 1e-9)
	assert.Greater(t, x, .3)
}

// A clamp that gives d takes EA·d/L, textbook.
func TestDrawback(t *testing.T) {
	g, p := strung(t, "club-sixteen", "two-piece-clamp", nil)
	m := model(t, g, nothing().With(assume.Drawback, .7, ""), "6")
	c := played(t, m, p)
	yarn, err := usual(g).Mains.Cord(0)
	require.NoError(t, err)
	m3 := slices.IndexFunc(c.Strands, func(s Strand) bool { return s.Name == "M3L" })
	assert.InEpsilon(t, c.Strands[m3].Pulled-yarn.EAN*.7/g.Columns[m3].MM(), c.Strands[m3].AfterDay, 1e-9)
	assert.InEpsilon(t, yarn.EAN*.7/g.Columns[m3].MM(), c.Strands[m3].Lost.Drawback, 1e-9)
}

// Creep and nothing else: what is set is gone by that share a day later, as the pull said.
func TestCreep(t *testing.T) {
	g, p := strung(t, "club-sixteen", "two-piece-clamp", nil)
	c := played(t, model(t, g, nothing().With(assume.Creep, 10, ""), "6"), p)
	for _, s := range c.Strands {
		assert.InEpsilon(t, .9*s.Pulled, s.AfterDay, 1e-9, s.Name)
	}
}

// watched plays a plan and looks after every op that something moved.
func watched(t require.TestingT, m *Model, p *plan.Plan, look func(y *play)) *play {
	y, err := m.begin(p)
	require.NoError(t, err)
	for i := range p.Steps {
		for j := range p.Steps[i].Ops {
			moved, err := y.op(&p.Steps[i].Ops[j])
			require.NoError(t, err, "step %d, op %d", i+1, j+1)
			if moved {
				look(y)
			}
		}
	}
	return y
}

// balanced holds a state against every law: what the tensions do to the hoop, put on it as forces on nodes, moves it by what the
// strands took for granted; supports push and their gaps are not below nought, and one of both is nought; a slack string has
// none; no load is left over.
func balanced(t require.TestingT, y *play) {
	m, acts := y.m, y.m.act(y.m.hoop)
	var all hoop.Action
	for a, n := range y.load {
		for _, l := range acts[a] {
			all = append(all, hoop.Load{Node: l.Node, X: l.X * n, Y: l.Y * n})
		}
	}
	c, err := m.hoop.Condense(append(acts[:2*len(y.spans):2*len(y.spans)], all), []int{0})
	require.NoError(t, err)
	for i := range y.spans {
		s, k := &y.spans[i], m.cords[i].k
		if !s.tight {
			require.Zero(t, s.t)
			continue
		}
		give := 0.0
		for _, a := range s.acts {
			if a >= 0 {
				give += c.Flex.At(a, 2*len(y.spans))
			}
		}
		short := s.e + s.crimp - give
		require.InDelta(t, max(k*short, 0), s.t, 1e-4, "%s", m.cords[i].name)
	}
	for i := range y.contacts {
		if s := &y.contacts[i]; s.mounted {
			gap := s.gap + y.move[m.push(i)] + s.r/m.Numbers.Support
			require.GreaterOrEqual(t, s.r, 0.0)
			require.GreaterOrEqual(t, gap, -1e-7)
			require.InDelta(t, 0, gap*s.r, 1e-4)
		}
	}
}

// Every op leaves strings, hoop and supports in equilibrium.
func TestEquilibriumAtEveryOp(t *testing.T) {
	g, p := strung(t, "club-sixteen", "two-piece-clamp", nil)
	m, ops := model(t, g, assume.Table{}.With(assume.Gap, .2, ""), "6"), 0
	y := watched(t, m, p, func(y *play) {
		if ops++; sweep.Take(ops, 12) {
			balanced(t, y)
		}
	})
	t.Logf("%d ops moved something", ops)
	// Off the machine the strings' pull is in balance by itself: nothing is left for the yoke.
	var all hoop.Action
	for a, n := range y.load {
		for _, l := range m.act(m.hoop)[a] {
			all = append(all, hoop.Load{Node: l.Node, X: l.X * n, Y: l.Y * n})
		}
	}
	fx, fy, moment := m.hoop.Turn(all)
	assert.InDelta(t, 0, fx, 1e-9)
	assert.InDelta(t, 0, fy, 1e-9)
	assert.InDelta(t, 0, moment, 1e-6)
}

// Where no string goes slack and no support lifts off, the gripper's work is to the last digit what is stored and what went,
// named, after every op, at any mount, with all effects on.
func TestWork(t *testing.T) {
	for _, mount := range []string{assume.Free, "6"} {
		for _, sheet := range []string{"two-piece-clamp", "two-piece-skip"} {
			g, p := strung(t, "club-sixteen", sheet, nil)
			m, most, lifted := model(t, g, assume.Table{}, mount), 0.0, false
			y := watched(t, m, p, func(y *play) {
				for i := range y.contacts {
					c := &y.contacts[i]
					lifted = lifted || (c.r > 0) != (c.wasR > 0)
				}
				for i := range y.spans {
					lifted = lifted || y.spans[i].tight && y.spans[i].t == 0
				}
				if w := y.work; !lifted && w.Gripper > 0 {
					most = max(most, math.Abs(w.Gripper-w.Stored-w.Gone())/w.Gripper)
				}
			})
			w := y.work
			t.Logf("%s, mount %s: of %.1f J %.1f are stored; friction %.1f, clamps' give %.1f, knots %.1f, creep %.1f, weaving %.1f, clamps off %.1f, supports off %.1f", sheet, mount,
				w.Gripper/1000, w.Stored/1000, w.Friction/1000, w.Drawback/1000, w.Knots/1000, w.Creep/1000, w.Weaving/1000, w.Clamps/1000, w.Machine/1000)
			assert.Less(t, most, 1e-8)
			assert.InEpsilon(t, w.Gripper, w.Stored+w.Gone(), .01, "what lifts off or goes slack leaves the straight line")
			for name, v := range map[string]float64{"friction": w.Friction, "drawback": w.Drawback, "knots": w.Knots, "creep": w.Creep} {
				assert.Positive(t, v, name)
			}
		}
	}
}

// Friction only takes, however rough the string: string never moves to the strand that is the less tight as a whole, which would
// give work back.
func TestFrictionOnlyTakes(t *testing.T) {
	for _, μ := range []float64{1e-3, .15, .3, 1} {
		g, p := strung(t, "shuttle-twentytwo", "two-piece-skip", nil)
		was := 0.0
		watched(t, model(t, g, assume.Table{}.With(assume.Friction, μ, ""), "6"), p, func(y *play) {
			require.GreaterOrEqual(t, y.work.Friction, was-1e-3*y.work.Gripper, "friction %g", μ)
			was = y.work.Friction
		})
		assert.Positive(t, was)
	}
}

// The frame and the sheet seen in a mirror give the tensions in a mirror.
func TestMirror(t *testing.T) {
	right, p := strung(t, "club-sixteen", "two-piece-clamp", nil)
	_, q := strung(t, "club-sixteen", "two-piece-clamp", func(s *sequence.Technique) {
		s.Mains.First, s.Cross.Side = s.Mains.First.Other(), s.Cross.Side.Other()
	})
	m := model(t, right, assume.Table{}, "6")
	one, other := played(t, m, p), played(t, m, q)
	n := len(p.Terms.Mains)
	for i, s := range one.Strands {
		j := i
		if i < n {
			j = n - 1 - i
		}
		assert.InDelta(t, s.AfterDay, other.Strands[j].AfterDay, 1e-4, s.Name)
	}
	assert.InDelta(t, one.Hoop[1].LengthMM, other.Hoop[1].LengthMM, 1e-6)
}

// Whatever the layout, the sheet, the mount and the numbers: it can be played, supports push, nothing is below nought, and what a
// strand is short of was named to the last newton.
func TestAnyPlanPlays(t *testing.T) {
	layouts, sheets := library.Layouts(), library.Techniques()
	rapid.Check(t, sweep.Some(12, func(t *rapid.T) {
		layout, sheet := rapid.SampledFrom(layouts).Draw(t, "layout"), rapid.SampledFrom(sheets).Draw(t, "sheet")
		g, p := anyPlan(t, layout, sheet)
		if p == nil {
			return
		}
		table := assume.Table{}.With(assume.Friction, rapid.OneOf(rapid.Just(0.), rapid.Map(rapid.Float64Range(-5, 0), func(p float64) float64 { return math.Pow(10, p) })).Draw(t, "friction"), "").
			With(assume.Drawback, rapid.Float64Range(0, .7).Draw(t, "drawback"), "").With(assume.Knot, rapid.Float64Range(0, 3).Draw(t, "knot"), "").
			With(assume.Weaving, rapid.Float64Range(0, 1).Draw(t, "weaving"), "").With(assume.Gap, rapid.Float64Range(0, .5).Draw(t, "gap"), "").
			With(assume.EI, rapid.Float64Range(50, 300).Draw(t, "ei"), "").WithPull(rapid.SampledFrom([]string{assume.Constant, assume.Lockout}).Draw(t, "pull"), "")
		c := played(t, model(t, g, table, rapid.SampledFrom([]string{"2", "4", "6", assume.Free}).Draw(t, "mount")), p)
		for _, s := range c.Strands {
			require.GreaterOrEqual(t, s.AfterDay, 0.0)
			require.InDelta(t, s.Pulled-s.AfterDay, s.Lost.Sum(), 1e-4*s.Pulled, "%s %+v", s.Name, s)
			require.Positive(t, s.Pulled, s.Name)
		}
		for _, s := range c.Supports {
			require.Positive(t, s.Newtons)
			require.Positive(t, s.Step)
		}
		require.Equal(t, "dismount", c.Hoop[len(c.Hoop)-1].After)
		require.False(t, floats.HasNaN(c.At[len(c.At)-1].Newtons))
	}))
}

// With friction so high that whole lines are slack in between, how far string slips has many answers; none of them makes string.
func TestSlackLinesKeepTheirLength(t *testing.T) {
	g, p := strung(t, "teardrop-sixteen", "two-piece-skip", nil)
	table := assume.Table{}.With(assume.Friction, .99995, "").With(assume.Drawback, .391, "").With(assume.Knot, 0, "").With(assume.Weaving, 0, "").
		With(assume.Gap, .27, "").With(assume.EI, 73.8, "")
	for _, s := range played(t, model(t, g, table, "2"), p).Strands {
		assert.InDelta(t, s.Pulled-s.AfterDay, s.Lost.Sum(), 1e-4*s.Pulled, s.Name)
	}
}

// anyPlan is a built-in layout strung by a built-in sheet, no plan where the one cannot take the other.
func anyPlan(t *rapid.T, layout, sheet string) (*grid.Grid, *plan.Plan) {
	g, p, err := tried(t, layout, sheet, func(s *sequence.Technique) {
		s.Mains.Lead, s.Mains.Overtake = rapid.IntRange(1, 3).Draw(t, "lead"), rapid.Bool().Draw(t, "overtake")
	})
	if err != nil {
		return nil, nil
	}
	return g, p
}
