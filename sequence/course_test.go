package sequence_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/patterns/library"
	"pullcard/sequence"
	"pullcard/sequence/plan"
)

func courses(t require.TestingT, frame, sheet string) []grid.Course {
	f := layout(t, frame)
	p, err := sequence.Build(f, builtIn(t, sheet), kg(t, "24 kg"), kg(t, "23 kg"))
	require.NoError(t, err)
	out, err := sequence.Courses(f, p)
	require.NoError(t, err)
	return out
}

// layOf writes a course down: the loop, then each arm with its spans and runs.
func layOf(f *patterns.Frame, c grid.Course) string {
	var b strings.Builder
	b.WriteString(c.Name)
	if c.Loop != nil {
		fmt.Fprintf(&b, " loop %s-%s", f.HoleName(c.Loop[0]), f.HoleName(c.Loop[1]))
	}
	for _, a := range c.Arms {
		fmt.Fprintf(&b, " | %s:", a.Name)
		for i, s := range a.Spans {
			if i > 0 {
				fmt.Fprintf(&b, " (%s-%s)", f.HoleName(a.Runs[i-1][0]), f.HoleName(a.Runs[i-1][1]))
			}
			fmt.Fprintf(&b, " %s", s)
		}
		if a.Knotted {
			b.WriteString(" knotted")
		}
	}
	return b.String()
}

// The pieces of a 4 × 3 bed, by hand.
func TestCourses(t *testing.T) {
	const small = `name = "small"
sport = "tennis"
mains = 4
crosses = 3
start = "head"
[tie]
mains = ["1H", "1T"]
crosses = ["1H", "2H", "1T", "2T"]
`
	f, _, err := patterns.ReadLayout("small", []byte(small))
	require.NoError(t, err)
	const mains = "mains loop 1HL-1HR | left: M1L (1TL-2TL) M2L | right: M1R (1TR-2TR) M2R"
	for start, want := range map[string][]string{
		`start = "clamp"`:                 {mains, "crosses | long end: C1 (3HR-4HR) C2 (4HL-3TL) C3 | start:"},
		`start = "knot"`:                  {mains, "crosses | long end: C1 (3HR-4HR) C2 (4HL-3TL) C3 | start: knotted"},
		`start = "skip"`:                  {mains, "crosses loop 4HR-3HR | long end: C2 (4HL-3TL) C3 | short end: C1"},
		"start = \"clamp\"\nside = \"R\"": {mains, "crosses | long end: C1 (3HL-4HL) C2 (4HR-3TR) C3 | start:"},
		"from = \"throat\"":               {mains, "crosses | long end: C3 (3TR-4HR) C2 (4HL-3HL) C1 | start:"},
	} {
		p, err := sequence.Build(f, technique(t, "name = \"t\"\n[crosses]\n"+start+"\n"), kg(t, "20 kg"), kg(t, "20 kg"))
		require.NoError(t, err, start)
		got, err := sequence.Courses(f, p)
		require.NoError(t, err)
		var lines []string
		for _, c := range got {
			lines = append(lines, layOf(f, c))
		}
		assert.Equal(t, want, lines, start)
	}
}

// In one piece the short side comes first, whichever side it is, and the long side runs on into the crosses.
func TestCoursesOfOnePiece(t *testing.T) {
	f := layout(t, "harbour-sixteen")
	data, _ := library.Technique("one-piece")
	for _, short := range []string{"L", "R"} {
		sheet := technique(t, strings.Replace(string(data), `short = "L"`, fmt.Sprintf("short = %q", short), 1))
		p, err := sequence.Build(f, sheet, kg(t, "24 kg"), kg(t, "24 kg"))
		require.NoError(t, err)
		got, err := sequence.Courses(f, p)
		require.NoError(t, err)
		require.Len(t, got, 1)
		c := got[0]
		assert.Equal(t, "whole", c.Name)
		assert.Equal(t, "short side", c.Arms[0].Name)
		assert.Len(t, c.Arms[0].Spans, 8)
		assert.Len(t, c.Arms[1].Spans, 8+19)
		assert.Equal(t, short, c.Arms[0].Spans[0].Side.String())
		assert.Equal(t, c.Loop[0].Side, c.Arms[0].Spans[0].Side)
		assert.Equal(t, "10H", strings.TrimRight(f.HoleName(c.Arms[1].Runs[7][0]), "LR"), "from the last main")
		assert.Equal(t, "7H", strings.TrimRight(f.HoleName(c.Arms[1].Runs[7][1]), "LR"), "to the first cross")
	}
}

// Around the outer main: the long side crosses at the bottom, goes up the short side's last main and over to the head.
func TestCoursesAround(t *testing.T) {
	c := courses(t, "long-twenty", "one-piece-around")[0]
	assert.Len(t, c.Arms[0].Spans, 7)
	var at []string
	for _, s := range c.Arms[1].Spans {
		at = append(at, s.String())
	}
	i := slices.Index(at, "M8L")
	assert.Equal(t, []string{"M8R", "C20", "M8L", "C1", "C2"}, at[i-2:i+3])
}

// Every plan's string passes every span once, and each run leaves the hole where a span ends.
func TestCoursesOfAnyPlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, _, err := patterns.ReadLayout("any", []byte(anyLayout(t)))
		require.NoError(t, err)
		p, err := sequence.Build(f, technique(t, anySheet(t)), kg(t, "24 kg"), kg(t, "23 kg"))
		require.NoError(t, err)
		got, err := sequence.Courses(f, p)
		require.NoError(t, err)
		ends := map[patterns.Strand][2]patterns.Hole{}
		for _, c := range append(f.Columns(), f.Crosses...) {
			ends[c.Strand] = c.Ends
		}
		seen := map[patterns.Strand]bool{}
		for _, c := range got {
			for arm, a := range c.Arms {
				var at patterns.Hole
				if c.Loop != nil {
					at = c.Loop[arm]
				}
				for i, s := range a.Spans {
					if i > 0 {
						require.Equal(t, at, a.Runs[i-1][0])
						at = a.Runs[i-1][1]
					}
					require.False(t, seen[s], s)
					seen[s] = true
					e := ends[s]
					if at == (patterns.Hole{}) {
						at = e[0]
						if i+1 < len(a.Spans) && a.Runs[0][0] == e[0] {
							at = e[1]
						}
					}
					require.Contains(t, e, at)
					if at == e[0] {
						at = e[1]
					} else {
						at = e[0]
					}
				}
			}
		}
		require.Len(t, seen, len(ends))
	})
}

func TestCoursesOfAnotherFrame(t *testing.T) {
	p := build(t, "dense-eighteen", "two-piece-skip")
	_, err := sequence.Courses(layout(t, "club-sixteen"), p)
	assert.ErrorContains(t, err, "of the frame Club sixteen")
	_, err = sequence.Courses(layout(t, "open-fourteen"), p)
	assert.Error(t, err)
	for i := range p.Steps {
		for j := range p.Steps[i].Ops {
			if o := &p.Steps[i].Ops[j]; o.Op == plan.Weave && o.Strand == "C5" {
				o.After = "C2"
			}
		}
	}
	_, err = sequence.Courses(layout(t, "dense-eighteen"), p)
	assert.ErrorContains(t, err, "C5 follows C2, which is no end of the string")
}

// The loads of a plan whose order is known: R1 L1 R2 R3 R4, then L2 to L7, then R5 to R8, L8, the last of each boosted.
func TestLoads(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-skip")
	const main = 24 * 9.80665
	l := p.Loads
	assert.InDelta(t, 3*main, l.PeakSideNewtons, 1e-9, "three mains ahead")
	assert.Equal(t, "R", l.PeakSide)
	assert.Equal(t, "Main 4 right", p.Steps[l.PeakSideStep-1].Title)
	assert.InDelta(t, 16*main+2*.1*main, l.MainsAloneNewtons, 1e-6, "all mains, the last two with 10 % more")
	first, crossed := 0, 0
	for _, s := range p.Steps {
		if o := s.Pull(); o != nil && o.Strand[0] == 'M' && first == 0 {
			first = s.N
		} else if o != nil && o.Strand[0] == 'C' && crossed == 0 {
			crossed = s.N
		}
	}
	assert.Equal(t, crossed-first, l.MainsAloneSteps)

	loads := p.SideLoads()
	last := loads[len(loads)-1]
	assert.InDelta(t, last.Left, last.Right, 1e-9)
	assert.InDelta(t, 19*23*9.80665+2*2.3*9.80665, last.Crosses, 1e-6, "two crosses boosted")

	turns := build(t, "club-sixteen", "two-piece-knot").Loads
	assert.InDelta(t, 1.1*main, turns.PeakSideNewtons, 1e-9, "turn by turn one main is ahead, at last a boosted one")
	assert.Equal(t, plan.Loads{}, plan.SumLoads(nil))
}
