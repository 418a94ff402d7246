package sequence_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/patterns/library"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
)

// planned is the plan of a job on Club sixteen by a built-in sheet; more goes on in its table of tensions.
func planned(t *testing.T, more string) (*plan.Plan, error) {
	t.Helper()
	p, err := job(t, more).Plan(layout(t, "club-sixteen"), builtIn(t, "two-piece-skip"))
	if err == nil {
		require.Empty(t, referee.Check(p))
	}
	return p, err
}

// altered is a built-in layout with changes in its text.
func altered(t *testing.T, name string, change *strings.Replacer) *patterns.Frame {
	t.Helper()
	data, ok := library.Layout(name)
	require.True(t, ok)
	text := change.Replace(string(data))
	require.NotEqual(t, string(data), text)
	f, _, err := patterns.ReadLayout(name, []byte(text))
	require.NoError(t, err)
	return f
}

// pulledAt are the tensions at which strands are pulled last, and what each has of boost in percent.
func pulledAt(p *plan.Plan) (tension map[string]string, boost map[string]float64) {
	tension, boost = map[string]string{}, map[string]float64{}
	for _, o := range ops(p, plan.Pull) {
		tension[string(o.Strand)], boost[string(o.Strand)] = o.Tension, o.BoostPercent
	}
	return tension, boost
}

// Every strand is pulled in proportion to its length, in steps of the machine; the longest main and cross get what was
// ordered, none less than three quarters of it, and the boost comes on top.
func TestProportional(t *testing.T) {
	p, err := planned(t, "proportional = true\n")
	require.NoError(t, err)
	f := layout(t, "club-sixteen")
	g, err := grid.New(f, f.Measured)
	require.NoError(t, err)
	tension, boost := pulledAt(p)
	assert.Equal(t, "24 kg 24 kg 50 lb", tension["M1L"]+" "+tension["M1R"]+" "+tension["C10"])
	for i, lines := range [][]grid.Line{g.Columns, g.Rows} {
		whole, step, unit := [2]float64{24, 50}[i], [2]float64{.1, .5}[i], [2]string{"kg", "lb"}[i]
		longest := 0.0
		for _, l := range lines {
			longest = max(longest, l.MM())
		}
		for _, l := range lines {
			want := math.Round(whole*l.MM()/longest/step) * step
			if want < .75*whole {
				want = math.Ceil(.75*whole/step) * step
			}
			want *= 1 + boost[l.Strand.String()]/100
			got := kg(t, tension[l.Strand.String()])
			assert.Equal(t, unit, string(got.Unit()))
			assert.InDelta(t, want, got.Value(), 1e-6, "%s", l.Strand)
		}
	}
	assert.Equal(t, map[string]float64{"M8L": 10, "M8R": 10, "C1": 10, "C19": 10}, boosted(boost))
	assert.Equal(t, "24 kg", p.Terms.PullMains.Ordered, "the reference is what was ordered")
	assert.NotContains(t, p.Terms.Pulls, plan.Strand("M1L"), "pulled like its kind")
}

func boosted(boost map[string]float64) map[string]float64 {
	out := map[string]float64{}
	for s, percent := range boost {
		if percent > 0 {
			out[s] = math.Round(percent*1e6) / 1e6
		}
	}
	return out
}

// The step of the machine, the least tension and single strands, by name.
func TestTensionsByStrand(t *testing.T) {
	for _, c := range []struct{ more, want string }{
		{"strands = { M8L = \"23.04 kg\", C19 = \"55 lb\" }\n", "M8L 25.3 kg, M8R 26.4 kg, C18 50 lb, C19 60.5 lb"},
		{"proportional = true\nstrands = { M1L = \"22 kg\" }\n", "M1L 22 kg, M1R 24 kg"},
		{"proportional = true\nleast = \"100 %\"\n", "M7L 24 kg, C2 50 lb"},
		{"proportional = true\nleast = \"90 %\"\n", "M7L 21.6 kg, C2 45 lb"},
		{"proportional = true\nleast = \"89.9 %\"\n", "M7L 21.6 kg, C2 45 lb"},
	} {
		p, err := planned(t, c.more)
		require.NoError(t, err)
		tension, _ := pulledAt(p)
		for want := range strings.SplitSeq(c.want, ", ") {
			s, at, _ := strings.Cut(want, " ")
			assert.Equal(t, at, tension[s], "%s: %s", c.more, s)
		}
	}
	coarse := strings.Replace(bareJob, "50 lb", "23 kg", 1) + "proportional = true\n[machine]\nstep = \"0.5 kg\"\n"
	p, err := readJob(t, coarse).Plan(layout(t, "club-sixteen"), builtIn(t, "two-piece-skip"))
	require.NoError(t, err)
	require.Empty(t, referee.Check(p))
	for s, at := range p.Terms.Pulls {
		half := kg(t, at.Ordered).Value() * 2
		assert.InDelta(t, math.Round(half), half, 1e-9, "%s at %s", s, at.Ordered)
	}
}

// A plan in which no strand is pulled otherwise is the plan that it was, whatever the job says besides.
func TestTensionsByStrandUnused(t *testing.T) {
	plain, err := planned(t, "")
	require.NoError(t, err)
	for _, more := range []string{"least = \"50 %\"\n", "strands = { M3L = \"24 kg\" }\n", "[machine]\nstep = \"0.5 kg\"\n", "proportional = true\nleast = \"100 %\"\n"} {
		p, err := planned(t, more)
		require.NoError(t, err)
		assert.Equal(t, plain.Plan, p.Plan, more)
		assert.NotContains(t, fmt.Sprint(p.Terms.Tensions()), "strand by strand")
	}
	other, err := planned(t, "proportional = true\n")
	require.NoError(t, err)
	assert.NotEqual(t, plain.Plan, other.Plan)
}

func TestTensionsByStrandProblems(t *testing.T) {
	for more, want := range map[string]string{
		"least = \"75\"":                                              `job.toml:6:9: tension.least: "75" is no percentage; `,
		"least = \"110 %\"":                                           `job.toml:6:9: tension.least is "110 %"; write 0 to 100 %, as "75 %"`,
		"strands = \"24 kg\"":                                         `job.toml:6:11: tension.strands is not of the right kind; write a table, [tension.strands]`,
		"strands = { m8l = \"23 kg\" }":                               `job.toml:6:13: tension.strands: "m8l" is no strand; write M, the number from the centre and the side, as "M3L", or C and the number from the head, as "C1"`,
		"strands = { M8 = \"23 kg\" }":                                `"M8" is no strand`,
		"strands = { M8L = \"23\" }":                                  `job.toml:6:19: tension.strands.M8L: "23" has no unit; `,
		"strands = { M8L = \"1200 N\" }":                              `no racket is pulled above 1000 N`,
		"strands = { M8L = \"2.4 kg\" }":                              `job.toml:6:19: tension.strands.M8L is 2.4 kg, less than 75 % of 24 kg; write 18 kg or more, or a lower tension.least`,
		"[machine]\nstep = \"0.1\"":                                   `job.toml:7:8: machine.step: "0.1" has no unit; `,
		"[machine]\nstep = \"5 kg\"":                                  `job.toml:7:8: machine.step is 5 kg; write what its tension is set in, as "0.1 kg"`,
		"proportional = true\n[machine]\nstep = \"0.1 kg\"":           `job.toml:5:11: tension.crosses is in lb and machine.step in kg; write both in the unit that the machine is set in`,
		"strands = { M8L = \"52 lb\" }\n[machine]\nstep = \"0.1 kg\"": `job.toml:6:19: tension.strands.M8L is in lb and machine.step in kg; `,
	} {
		_, _, err := sequence.ReadJob("job.toml", []byte(bareJob+more+"\n"))
		assert.ErrorContains(t, err, want, more)
	}
	_, _, err := sequence.ReadJob("job.toml", []byte(bareJob+"least = \"x\"\nstrands = { M8 = \"23 kg\", C1 = \"2\" }\n[machine]\nstep = \"x\"\n"))
	assert.Equal(t, 4, strings.Count(err.Error(), "\n")+1, "all at once: %v", err)

	// What only the frame tells: all at once with what does not fit of the sheet.
	_, err = planned(t, "strands = { M9L = \"23 kg\", C20 = \"55 lb\" }\n")
	assert.EqualError(t, err, "job.toml:6:13: tension.strands names M9L, which Club sixteen has not: its mains go to M8 on each side, its crosses to C19\n"+
		"job.toml:6:28: tension.strands names C20, which Club sixteen has not: its mains go to M8 on each side, its crosses to C19")
	bare := altered(t, "club-sixteen", strings.NewReplacer("[hoop]\n", "", "length = \"330 mm\"\n", "", "width  = \"250 mm\"\n", ""))
	_, err = job(t, "proportional = true\nstrands = { C20 = \"55 lb\" }\n").Plan(bare, technique(t, "name = \"t\"\naround = true\n"))
	assert.EqualError(t, err, "club-sixteen:1:1: tension.proportional goes by the lengths of the strands: the layout gives no hoop; add [hoop] with length and width\n"+
		"job.toml:7:13: tension.strands names C20, which Club sixteen has not: its mains go to M8 on each side, its crosses to C19\n"+
		"sheet.toml:2:10: around = true is a way of stringing with one piece; write pieces = 1, or around = false")
}

// The largest pull shall not lie above the printed range, what was ordered not below: a strand's own tension counts for the
// first and not for the second.
func TestPrintedRangeByStrand(t *testing.T) {
	for _, c := range []struct{ more, want string }{
		{"", ""},
		{"proportional = true\n", ""},
		{"strands = { M3L = \"27.1 kg\" }\n", "M3L is pulled at 27.1 kg, above the frame's printed range, 22 kg to 27 kg: the frame may break"},
		{"strands = { M8L = \"24.6 kg\" }\n", "boosted mains are pulled at 27.06 kg, above the frame's printed range, 22 kg to 27 kg"},
		{"strands = { M8L = \"18 kg\" }\n", ""},
		{"strands = { M8L = \"55 kg\" }\n", "M8L at 55 kg: the unit looks wrong for tennis; is 55 lb meant?\nboosted mains are pulled at 60.5 kg, above the frame's printed range, 22 kg to 27 kg"},
	} {
		p, err := planned(t, c.more)
		require.NoError(t, err)
		assert.Equal(t, c.want, strings.Join(p.Warnings, "\n"), c.more)
	}
	// Nothing is boosted, so nothing boosted is above the range.
	f := layout(t, "club-sixteen")
	p, err := sequence.Build(f, technique(t, "name = \"t\"\n[mains]\nboost = 0\n"), kg(t, "26 kg"), kg(t, "24 kg"))
	require.NoError(t, err)
	assert.Empty(t, p.Warnings)
}
