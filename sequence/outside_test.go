package sequence_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/library"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
)

// The hole of the last knot lies under the run from the last main to the first cross: that is told before it is covered.
func TestBuildSparesHolesForKnots(t *testing.T) {
	p := build(t, "long-twenty", "one-piece-around")
	require.Empty(t, referee.Check(p))
	for _, s := range p.Steps {
		for i, o := range s.Ops {
			if o.Op == plan.Weave && o.Strand == "C20" {
				require.Positive(t, i)
				assert.Equal(t, "leave a scrap of string in 8TR before this run covers it: a knot comes there later", s.Ops[i-1].Text)
				assert.Equal(t, "10TR>7TR", string(ops(p, plan.Thread)[14].To+">"+o.From))
				assert.Equal(t, []plan.Hole{"9TR"}, o.Covers, "the holes still to be threaded, as ever")
			}
		}
	}
	assert.Equal(t, "8TR", string(ops(p, plan.Tie)[1].Hole))
}

// In every built-in plan a hole in which a later knot sits is named by a note before a run lies over it.
func TestBuildTellsOfEveryCoveredKnotHole(t *testing.T) {
	covered := 0
	for _, frame := range library.Layouts() {
		for _, sheet := range library.Techniques() {
			p, err := sequence.Build(layout(t, frame), builtIn(t, sheet), kg(t, "24 kg"), kg(t, "23 kg"))
			if err != nil {
				continue
			}
			for _, k := range ops(p, plan.Tie) {
				covered += toldBefore(t, p, k, frame+" "+sheet)
			}
		}
	}
	assert.Positive(t, covered, "else this test proves nothing")
}

// toldBefore holds that the hole of a knot is named before the first run that covers it, and counts such runs: one or none.
func toldBefore(t *testing.T, p *plan.Plan, knot plan.Op, what string) int {
	r := plan.NewRacket(&p.Terms)
	told := ""
	for _, s := range p.Steps {
		for _, o := range s.Ops {
			if o.Op == plan.Tie && o.Hole == knot.Hole && o.Strand == knot.Strand {
				return 0
			}
			if o.Op == plan.Note {
				told += o.Text + " "
			}
			require.NoError(t, r.Apply(&o))
			if r.Blocked(r.At(knot.Hole)) {
				assert.Contains(t, told, string(knot.Hole), "%s: step %d", what, s.N)
				return 1
			}
		}
	}
	return 0
}

// A run outside of more hole-steps than the sheet allows is refused, all at once and with what would work; above three it
// is warned of.
func TestBuildReach(t *testing.T) {
	far := altered(t, "club-sixteen", strings.NewReplacer(`mains   = ["6H", "8T"]`, `mains   = ["2T"]`, `["6H", "6T"]`, `["1H", "6T"]`))
	at := func(reach string) (*plan.Plan, error) {
		return sequence.Build(far, technique(t, "name = \"t\"\n[tie]\n"+reach), kg(t, "24 kg"), kg(t, "24 kg"))
	}
	_, err := at("reach = 5\n")
	assert.EqualError(t, err, "sheet.toml:3:9: the run outside from 10TR to 2TR takes 8 hole-steps, and tie.reach allows 5; name a nearer hole in tie.mains, or write reach = 8 if the frame's maker strings it so\n"+
		"sheet.toml:3:9: the run outside from 10TL to 2TL takes 8 hole-steps, and tie.reach allows 5; name a nearer hole in tie.mains, or write reach = 8 if the frame's maker strings it so\n"+
		"sheet.toml:3:9: the run outside from 7HL to 1HL takes 6 hole-steps, and tie.reach allows 5; name a nearer hole in tie.crosses, or write reach = 6 if the frame's maker strings it so")
	_, err = at("")
	assert.ErrorContains(t, err, "and tie.reach allows 6;")
	assert.NotContains(t, err.Error(), "7HL", "six hole-steps are within the usual reach")
	p, err := at("reach = 8\n")
	require.NoError(t, err)
	require.Empty(t, referee.Check(p))
	assert.Equal(t, 8, p.Terms.ReachSteps())
	assert.Equal(t, "the run outside from 10TR to 2TR is long: it passes more than three holes", p.Warnings[0])
	// In one piece the run from the last main to the first cross counts.
	_, err = sequence.Build(layout(t, "harbour-sixteen"), technique(t, "name = \"t\"\npieces = 1\n[tie]\nreach = 2\n"), kg(t, "24 kg"), kg(t, "24 kg"))
	assert.EqualError(t, err, "sheet.toml:4:9: the run outside from 10HR to 7HR takes 3 hole-steps, and tie.reach allows 2; write pieces = 2, or write reach = 3 if the frame's maker strings it so")
}

// Common practice of the trade: the crosses go from the head to the throat, badminton in two pieces apart.
func TestBuildWarnsOfCrossesTowardsTheHead(t *testing.T) {
	const up = "the crosses go from the throat to the head, "
	for _, c := range []struct{ frame, sheet, want string }{
		{"club-sixteen", "[crosses]\nfrom = \"throat\"\n", up + "with tennis frames: "},
		{"club-sixteen", "pieces = 1\n[crosses]\nfrom = \"throat\"\n", up + "in one piece: "},
		{"feather-twentyone", "pieces = 1\n[crosses]\nfrom = \"throat\"\n", up + "in one piece: "},
		{"feather-twentyone", "[crosses]\nfrom = \"throat\"\n", ""},
		{"club-sixteen", "", ""},
	} {
		p, err := sequence.Build(layout(t, c.frame), technique(t, "name = \"t\"\n"+c.sheet), kg(t, "11 kg"), kg(t, "11 kg"))
		require.NoError(t, err)
		warned := strings.Join(p.Warnings, "\n")
		assert.Contains(t, warned, c.want, c.sheet)
		assert.Equal(t, c.want != "", strings.Contains(warned, up), c.sheet)
	}
}

// A run of three hole-steps is usual, one of more is warned of: common practice of the trade.
func TestRunsOfThreeStepsAreUsual(t *testing.T) {
	p := build(t, "harbour-sixteen", "one-piece")
	r, longest := plan.NewRacket(&p.Terms), 0
	for _, s := range p.Steps {
		require.NoError(t, r.ApplyAll(s.Ops))
		for _, run := range r.Runs() {
			longest = max(longest, r.Steps(r.At(run.From), r.At(run.To)))
		}
	}
	assert.Equal(t, 3, longest)
	assert.NotContains(t, strings.Join(p.Warnings, "\n"), "is long")
}
