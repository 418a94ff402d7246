package sequence_test

import (
	"slices"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns"
	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// asked has a sheet for each setting by which ops or notes after the first pull are others than by the usual sheet, or by the one
// that it says; frames differ in what they take.
var asked = []struct{ key, frame, usual, sheet string }{
	{"clamps.flying", "club-sixteen", "", "[clamps]\nflying = 2"},
	{"clamps.fixed", "club-sixteen", "[clamps]\nflying = 2", "[clamps]\nfixed = 2"},
	{"clamps.starting", "club-sixteen", "[crosses]\nstart = \"knot\"", "[clamps]\nstarting = 0\n[crosses]\nstart = \"knot\""},
	{"mains.first", "club-sixteen", "", "[mains]\nfirst = \"L\""},
	{"mains.lead", "club-sixteen", "", "[mains]\nlead = 3"},
	{"mains.then", "club-sixteen", "", "[mains]\nthen = \"overtake\""},
	{"mains.boost", "club-sixteen", "", "[mains]\nboost = 3"},
	{"mains.short", "open-fourteen", "pieces = 1\naround = true", "pieces = 1\naround = true\n[mains]\nshort = \"R\""},
	{"pieces", "open-fourteen", "", "pieces = 1\naround = true"},
	{"crosses.from", "club-sixteen", "", "[crosses]\nfrom = \"throat\""},
	{"crosses.side", "club-sixteen", "", "[crosses]\nside = \"R\""},
	{"crosses.start", "club-sixteen", "", "[crosses]\nstart = \"skip\""},
	{"crosses.repull", "club-sixteen", "", "[crosses]\nrepull = \"end\""},
	{"crosses.ahead", "club-sixteen", "", "[crosses]\nahead = false"},
	{"crosses.clamps", "club-sixteen", "", "[crosses]\nclamps = 1"},
	{"crosses.first", "club-sixteen", "[crosses]\nfirst = \"over\"", "[crosses]\nfirst = \"under\""},
	{"boost.percent", "club-sixteen", "", "[boost]\npercent = 5"},
	{"boost.amount", "club-sixteen", "", "[boost]\namount = \"4 lb\""},
	{"tie.knot", "club-sixteen", "", "[tie]\nknot = \"bulky knot\""},
	{"tie.tail", "club-sixteen", "", "[tie]\ntail = \"5 mm\""},
	{"mount.release", "club-sixteen", "", "[mount]\nrelease = [\"throat\", \"head\", \"outer arms\"]"},
}

// by is a plan by a sheet.
func by(t require.TestingT, f *patterns.Frame, sheet string) *plan.Plan {
	p, err := sequence.Build(f, technique(t, "name = \"t\"\n"+sheet), kg(t, "24 kg"), kg(t, "23 kg"))
	require.NoError(t, err)
	return p
}

// pulled are the places of the steps that pull.
func pulled(p *plan.Plan) (steps []int) {
	for i := range p.Steps {
		if p.Steps[i].Pull() != nil {
			steps = append(steps, i)
		}
	}
	return steps
}

// rest is what a plan has after a step that it had from the start.
func rest(p *plan.Plan, base int) (out []plan.Step) {
	for _, s := range p.Steps {
		if s.Base > base {
			s.N = 0
			out = append(out, s)
		}
	}
	return out
}

// restMended is the rest after a mishap in a step that leaves the racket as it is: what was pulled there had a wrong tension, and stays
// by name. Notes that a way back says once more, as of a loop to leave, are left out.
func restMended(t require.TestingT, p *plan.Plan, at int) []plan.Step {
	base := p.Steps[at].Base
	next, err := sequence.Recover(p, at+1, sequence.Trouble{Fault: plan.FaultTension, Strand: p.Steps[at].Pull().Strand, Choose: plan.Keep})
	require.NoError(t, err)
	was, out := rest(p, base), rest(next, base)
	require.Len(t, out, len(was))
	for i := range out {
		out[i].Ops = slices.DeleteFunc(out[i].Ops, func(o plan.Op) bool {
			return o.Op == plan.Note && !slices.ContainsFunc(was[i].Ops, func(w plan.Op) bool { return w.Op == plan.Note && w.Text == o.Text })
		})
	}
	return out
}

// A way back plans anew, from the terms, what is still to come: whatever the sheet asked for is in it as it was. What a setting
// asks for that is no term would be missing here.
func TestRecoverKeepsTheSheet(t *testing.T) {
	known := map[string]bool{}
	for _, a := range asked {
		known[a.key] = true
		f := layout(t, a.frame)
		p := by(t, f, a.sheet)
		at := pulled(p)[0]
		base := p.Steps[at].Base
		assert.NotEqual(t, rest(by(t, f, a.usual), base), rest(p, base), "%s asks for something", a.key)
		assert.Equal(t, rest(p, base), restMended(t, p, at), a.key)
	}
	rapid.Check(t, sweep.Some(10, func(t *rapid.T) {
		sheet := anySheet(t)
		var tables map[string]any
		require.NoError(t, toml.Unmarshal([]byte(sheet), &tables))
		for table, keys := range tables {
			if keys, ok := keys.(map[string]any); ok {
				for key := range keys {
					require.True(t, known[table+"."+key], "%s.%s is drawn: asked has to have it", table, key)
				}
			}
		}
		p, err := sequence.Build(layout(t, "club-sixteen"), technique(t, sheet), kg(t, "24 kg"), kg(t, "52 lb"))
		require.NoError(t, err)
		at := rapid.SampledFrom(pulled(p)).Draw(t, "step")
		require.Equal(t, rest(p, p.Steps[at].Base), restMended(t, p, at), sheet)
	}))
}
