package sequence_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
)

func lost(p *plan.Plan, done int, c plan.Clamp) string {
	var out []string
	for _, s := range p.After(done).Behind(c) {
		out = append(out, string(s))
	}
	return strings.Join(out, " ")
}

// Common practice of the trade: what slips loses its tension back to the next hold.
func TestLost(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-skip")
	assert.Equal(t, "", lost(p, 5, plan.A), "S holds at the same place")
	assert.Equal(t, "M1R M1L", lost(p, 6, plan.B), "through the centre loop to A")
	assert.Equal(t, "M1L M1R M2R M3R M4R", lost(p, 9, plan.A))
	done := 0
	for p.Steps[done].Title != "Cross 4" {
		done++
	}
	assert.Equal(t, "C4 C3 C2", lost(p, done+1, plan.A), "back to the starting clamp")
	assert.Equal(t, "C2 C3 C4", lost(p, done+1, plan.S))
	assert.Equal(t, "", lost(p, done+1, plan.B), "it is off")
	c := build(t, "harbour-sixteen", "two-piece-clamp")
	for done = 0; c.Steps[done].Title != "Cross 4"; done++ {
	}
	assert.Equal(t, "C4 C3 C2 C1", lost(c, done+1, plan.A), "back to the knot of the first cross")
}

// The referee, which follows the string by itself, has the same strands slack after a slip: it refuses their loss at the
// end, and takes it when each of them is pulled again.
func TestLostIsWhatTheRefereeLoses(t *testing.T) {
	n := 0
	for _, name := range library.Layouts() {
		for _, sheet := range []string{"two-piece-skip", "two-piece-clamp", "two-piece-knot"} {
			p := build(t, name, sheet)
			for done := 1; done < len(p.Steps); done += 3 {
				if n++; !sweep.Take(n, 4) {
					continue
				}
				for _, c := range plan.Clamps() {
					table, breaches := referee.From(&p.Terms, p.Steps[:done])
					require.Empty(t, breaches)
					want := p.After(done).Behind(c)
					if p.Steps[done-1].Clamps[c] == nil {
						require.Empty(t, want)
						continue
					}
					slip := p.Steps[done-1]
					slip.N, slip.Ops = done+1, []plan.Op{{Op: plan.Fault, Fault: plan.FaultClamp, Clamp: c, Text: "slipped"}}
					table.Step(&slip)
					var slack []plan.Strand
					for _, b := range table.Finish(p.Totals) {
						if s, ok := strings.CutSuffix(b.What, " is slack"); ok {
							slack = append(slack, plan.Strand(s))
						}
					}
					before, _ := referee.From(&p.Terms, p.Steps[:done])
					was := map[plan.Strand]bool{}
					for _, b := range before.Finish(p.Totals) {
						if s, ok := strings.CutSuffix(b.What, " is slack"); ok {
							was[plan.Strand(s)] = true
						}
					}
					var more []plan.Strand
					for _, s := range slack {
						if !was[s] {
							more = append(more, s)
						}
					}
					require.ElementsMatch(t, want, more, "%s by %s, clamp %s after step %d", name, sheet, c, done)
				}
			}
		}
	}
}

// Where a main breaks under crosses nothing is woven out by hand: the bed is relieved, and what is cut away anyway is cut. Where the
// crosses alone come out, those that hang free are drawn out.
func TestTheBedIsRelievedFirst(t *testing.T) {
	p := tinyPlan(t, "", 6)
	done := slices.IndexFunc(p.Steps, func(s plan.Step) bool { o := s.Pull(); return o != nil && o.Strand.IsCross() }) + 1
	drawn := func(strand plan.Strand) int {
		next := proven(t, p, done, sequence.Trouble{Fault: plan.FaultBreak, Strand: strand, Where: plan.InBed})
		return did(next, done, plan.Unweave)
	}
	assert.Zero(t, drawn("M2L"))
	assert.NotZero(t, drawn(p.Steps[done-1].Pull().Strand))
}
