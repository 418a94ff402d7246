package calc_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/patterns/library"
	"pullcard/patterns/mechanics"
	"pullcard/patterns/source"
	"pullcard/sequence"
	"pullcard/sequence/calc"
	"pullcard/sequence/plan"
	"pullcard/sequence/sequencetest"
)

// work is a job on a built-in frame by a built-in sheet; change alters the layout's text.
func work(t testing.TB, frame, sheet, more string, change ...string) calc.Work {
	data, ok := library.Layout(frame)
	require.True(t, ok)
	return calc.Work(sequencetest.Of(t, strings.NewReplacer(change...).Replace(string(data)), sheet, sequencetest.Tension, more))
}

const polyester = "[string.mains]\nmaterial = \"polyester\"\ndiameter = \"1.25 mm\"\n"

// The bed carries the boosts of its plan: one on the last main of each side, two on crosses.
func TestStrungWithBoosts(t *testing.T) {
	w := work(t, "club-sixteen", "two-piece-skip", polyester)
	s, err := w.Strung()
	require.NoError(t, err)
	const kg = 9.80665
	want := map[string]float64{"M8L": 2.4 * kg, "M8R": 2.4 * kg, "C1": 2.3 * kg, "C19": 2.3 * kg}
	require.Len(t, s.Setup.BoostN, len(want))
	for strand, n := range s.Setup.BoostN {
		assert.InDelta(t, want[strand.String()], n, 1e-9, "%s", strand)
	}
	assert.InDelta(t, 24*kg, s.Setup.MainsN, 1e-9)
	assert.InDelta(t, 23*kg, s.Setup.CrossesN, 1e-9)

	// The same net, strung here strand by strand.
	g, err := grid.New(w.Frame, grid.Measured{})
	require.NoError(t, err)
	n, err := mechanics.New(g, func(strand patterns.Strand) mechanics.Cord {
		c := mechanics.Cord{TensionN: 24 * kg, MassGPM: 1380 * math.Pi / 4 * 1.25 * 1.25 / 1000}
		if strand.Kind == patterns.Cross {
			c.TensionN = 23 * kg
		}
		c.TensionN += want[strand.String()]
		return c
	})
	require.NoError(t, err)
	f, err := n.Figures(5)
	require.NoError(t, err)
	assert.InEpsilon(t, float64(f.Stiffness), float64(s.Figures.Stiffness), 1e-9)
	for i := range f.Hz {
		assert.InEpsilon(t, f.Hz[i], s.Figures.Hz[i], 1e-7)
	}
	// A re-pull counts as the last pull of its strand.
	s, err = work(t, "club-sixteen", "two-piece-clamp", polyester).Strung()
	require.NoError(t, err)
	assert.InDelta(t, 2.3*kg, s.Setup.BoostN[patterns.CrossStrand(1)], 1e-9)
}

func TestAssumedString(t *testing.T) {
	for more, want := range map[string]string{
		"":                                     "mains polyester of 1.25 mm, crosses polyester of 1.25 mm",
		polyester:                              "",
		"[string.mains]\nmass = \"1.7 g/m\"\n": "",
		"[string.mains]\nmaterial = \"gut\"\n": "mains gut of 1.25 mm, crosses gut of 1.25 mm",
		"[string.mains]\ndiameter = \"1.3 mm\"\n":                         "mains polyester of 1.3 mm, crosses polyester of 1.3 mm",
		polyester + "[string.crosses]\nname = \"x\"\n":                    "crosses polyester of 1.25 mm",
		"[string.crosses]\nmaterial = \"nylon\"\ndiameter = \"1.3 mm\"\n": "mains polyester of 1.25 mm",
	} {
		s, err := work(t, "club-sixteen", "two-piece-skip", more).Strung()
		require.NoError(t, err)
		assert.Equal(t, want, s.Assumed, more)
	}
	s, err := work(t, "shuttle-twentytwo", "two-piece-throat", "").Strung()
	require.NoError(t, err)
	assert.Equal(t, "mains nylon of 0.68 mm, crosses nylon of 0.68 mm", s.Assumed)
}

// A hoop that is missing or impossible is told at its place by all that need it, each trouble on a line of its own.
func TestWithoutHoop(t *testing.T) {
	hoop := []string{"[hoop]\n", "", "length = \"330 mm\"\n", "", "width  = \"250 mm\"\n", ""}
	small := []string{`length = "330 mm"`, `length = "60 mm"`, `width  = "250 mm"`, `width  = "50 mm"`}
	for _, c := range []struct {
		change []string
		want   string
	}{
		{hoop, "layout.toml:1:1: the layout gives no hoop; add [hoop] with length and width"},
		{small, "layout.toml:14:2: holes collide on a hoop of 60 × 50 mm"},
	} {
		w := work(t, "club-sixteen", "two-piece-skip", polyester, c.change...)
		_, err := w.Lengths()
		var problems source.Problems
		require.ErrorAs(t, err, &problems)
		assert.ErrorContains(t, err, c.want)
		_, err = w.Bed(calc.Options{})
		require.ErrorAs(t, err, &problems)
		assert.Equal(t, strings.Count(err.Error(), "\n")+1, len(problems))
		_, err = w.Ring(600, nil)
		require.ErrorAs(t, err, &problems)
		assert.Empty(t, w.Cautions())
	}
	w := work(t, "club-sixteen", "two-piece-skip", "[string.mains]\nlength = \"12 m\"\n", small...)
	assert.Contains(t, strings.Join(w.Cautions(), "\n"), "pullcard cut says why")
}

func TestCautions(t *testing.T) {
	w := work(t, "club-sixteen", "two-piece-skip", "[string.mains]\nlength = \"11 m\"\n[machine]\nkind = \"lockout\"\n")
	c := w.Cautions()
	require.Len(t, c, 2)
	assert.Contains(t, c[0], "lockout")
	assert.Contains(t, c[1], "job.toml:7:10: the set holds 11000 mm")
	_, err := w.Lengths()
	assert.EqualError(t, err, c[1])
	assert.Empty(t, work(t, "club-sixteen", "two-piece-skip", "[string.mains]\nlength = \"12 m\"\n").Cautions())
}

// What is measured wins over what is worked out.
func TestMeasuredPitch(t *testing.T) {
	w := work(t, "club-sixteen", "two-piece-skip", polyester, "[tie]", "[measured]\nmain_pitch = \"12 mm\"\n\n[tie]")
	l, err := w.Lengths()
	require.NoError(t, err)
	assert.Equal(t, 12.0, l.Grid.MainPitchMM)
	s, err := w.Strung()
	require.NoError(t, err)
	assert.Equal(t, 12.0, s.Grid.MainPitchMM)
	_, off := calc.Farthest(l.Grid)
	assert.Equal(t, !l.Grid.Even(), off)
}

// A bed whose strands are pulled by their length carries the plan's pulls, so it is softer; the table, the settings and the
// bed say the same.
func TestBedByStrand(t *testing.T) {
	const gauge = "[machine]\nname = \"window\"\ngauge = { set = \"24 kg\", read = \"23.5 kg\" }\n"
	plain, err := work(t, "club-sixteen", "two-piece-skip", polyester).Bed(calc.Options{LossPercent: 30})
	require.NoError(t, err)
	w := work(t, "club-sixteen", "two-piece-skip", "proportional = true\n"+polyester+gauge)
	drawn, err := w.Bed(calc.Options{LossPercent: 30})
	require.NoError(t, err)
	assert.Empty(t, plain.ByStrand)
	assert.Nil(t, plain.Map)
	assert.Less(t, drawn.Figures.Hz[0], plain.Figures.Hz[0])
	assert.Less(t, drawn.Figures.Stiffness, plain.Figures.Stiffness)

	settings := map[string]string{}
	for _, s := range drawn.Settings {
		for name := range strings.SplitSeq(s.What, " ") {
			settings[name] = s.Ordered.String()
			assert.InDelta(t, s.Ordered.Value()-0.5, s.Gauge.Value(), 1e-9)
		}
	}
	require.Len(t, drawn.ByStrand, 35)
	require.Len(t, settings, 35)
	pulls := map[string]*plan.Op{}
	for i := range w.Plan.Steps {
		if o := w.Plan.Steps[i].Pull(); o != nil {
			pulls[string(o.Strand)] = o
		}
	}
	for _, s := range drawn.ByStrand {
		o := pulls[s.Strand.String()]
		shown := s.Ordered
		if s.Boost {
			shown = s.Boosted
		}
		assert.Equal(t, o.Tension, shown, "%s", s.Strand)
		assert.Equal(t, o.Tension, settings[s.Strand.String()])
		assert.Equal(t, o.BoostPercent > 0, s.Boost)
		ordered := drawn.Setup.MainsN
		if s.Strand.Kind == patterns.Cross {
			ordered = drawn.Setup.CrossesN
		}
		assert.InDelta(t, o.Newtons, ordered+drawn.Setup.BoostN[s.Strand], 1e-9)
	}
	l, err := w.Lengths()
	require.NoError(t, err)
	assert.Equal(t, drawn.ByStrand, l.ByStrand)

	// With flying clamps one pull draws two strands tight.
	w.Technique, _, err = sequence.ReadTechnique("sheet.toml", []byte("name = \"t\"\n[clamps]\nflying = 2\n[crosses]\nstart = \"knot\"\n"))
	require.NoError(t, err)
	w.Plan, err = w.Job.Plan(w.Frame, w.Technique)
	require.NoError(t, err)
	pairs, err := w.Bed(calc.Options{LossPercent: 30})
	require.NoError(t, err)
	assert.Equal(t, "M1L M1R", pairs.Settings[0].What)
	second := pairs.Setup.BoostN[patterns.CrossStrand(2)]
	assert.Negative(t, second)
	assert.Equal(t, second, pairs.Setup.BoostN[patterns.CrossStrand(1)], "the first cross is pulled with the second")
}

// A bed that rings as computed has kept all of its tension; at the root of 0.7 of that frequency it has kept 70 %.
func TestRing(t *testing.T) {
	w := work(t, "club-sixteen", "two-piece-skip", polyester)
	s, err := w.Strung()
	require.NoError(t, err)
	r, err := w.Ring(s.Figures.Hz[0], nil)
	require.NoError(t, err)
	assert.InDelta(t, 100, r.KeptPercent, 1e-9)
	assert.Equal(t, s.Figures.Hz[0], r.ComputedHz)
	r, err = w.Ring(r.LossHz, nil)
	require.NoError(t, err)
	assert.InDelta(t, 70, r.KeptPercent, 1e-9)
	assert.InDelta(t, 23.5*9.80665, r.OrderedN, 1e-9)
	assert.InEpsilon(t, .7*r.OrderedN, r.MeanN, 0.1, "the rule of thumb agrees with the net to a few per cent")
}

func BenchmarkBed(b *testing.B) {
	w := work(b, "dense-eighteen", "two-piece-skip", polyester)
	for b.Loop() {
		_, err := w.Bed(calc.Options{LossPercent: 30})
		require.NoError(b, err)
	}
}

func BenchmarkLengths(b *testing.B) {
	w := work(b, "dense-eighteen", "two-piece-skip", polyester)
	for b.Loop() {
		_, err := w.Lengths()
		require.NoError(b, err)
	}
}
