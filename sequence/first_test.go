package sequence_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/library"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
)

// The first cross woven passes its first main as the sheet says, whatever is woven first, from whichever side; the grid
// goes by it, as it is or exchanged all over, and where the sheet says what the grid has anyway, the plan is the same.
func TestBuildFirstFace(t *testing.T) {
	exchanged := map[plan.Face]plan.Face{plan.Over: plan.Under, plan.Under: plan.Over}
	flips := 0
	for _, name := range library.Layouts() {
		f := layout(t, name)
		for _, sheet := range []string{"[crosses]\n", "[crosses]\nstart = \"skip\"\n", "[crosses]\nside = \"R\"\n", "[crosses]\nfrom = \"throat\"\n", "pieces = 1\n[crosses]\n", "pieces = 1\naround = true\n[crosses]\n"} {
			plain, err := sequence.Build(f, technique(t, "name = \"t\"\n"+sheet), kg(t, "24 kg"), kg(t, "23 kg"))
			if err != nil {
				continue // the frame does not take the sheet
			}
			for _, face := range []plan.Face{plan.Over, plan.Under} {
				p, err := sequence.Build(f, technique(t, fmt.Sprintf("name = \"t\"\n%sfirst = %q\n", sheet, face)), kg(t, "24 kg"), kg(t, "23 kg"))
				require.NoError(t, err)
				require.Empty(t, referee.Check(p))
				was, is := ops(plain, plan.Weave), ops(p, plan.Weave)
				assert.Equal(t, face, is[0].First, "%s by %s", name, sheet)
				if was[0].First == face {
					assert.Equal(t, plain.Plan, p.Plan)
					continue
				}
				flips++
				assert.NotEqual(t, plain.Plan, p.Plan)
				assert.Equal(t, face, p.Terms.FirstFace)
				for i := range was {
					assert.Equal(t, exchanged[was[i].First], is[i].First, "%s", is[i].Strand)
				}
			}
		}
	}
	assert.Greater(t, flips, 50)
}

// Settings that only ways back and the referee read go into a plan's terms; what is usual stays out.
func TestTechniqueTerms(t *testing.T) {
	terms := func(text string) plan.Terms {
		p, err := sequence.Build(layout(t, "club-sixteen"), technique(t, "name = \"t\"\n"+text), kg(t, "24 kg"), kg(t, "24 kg"))
		require.NoError(t, err)
		return p.Terms
	}
	usual := terms("[tie]\nreach = 6\n[redo]\nwalk = { mains = 4, crosses = 2 }\n")
	assert.Equal(t, terms(""), usual)
	assert.Zero(t, usual.Reach)
	assert.Nil(t, usual.Walk)
	assert.Equal(t, plan.Walk{Mains: 4, Crosses: 2}, usual.WalkStrands())
	other := terms("[tie]\nreach = 5\n[redo]\nwalk = { mains = 3 }\n")
	assert.Equal(t, 5, other.ReachSteps())
	assert.Equal(t, plan.Walk{Mains: 3, Crosses: 2}, other.WalkStrands())
	assert.Equal(t, plan.Walk{}, func() plan.Walk { t := terms("[redo.walk]\nmains = 0\ncrosses = 0\n"); return t.WalkStrands() }())
}

func TestTechniqueNewKeysProblems(t *testing.T) {
	for text, want := range map[string]string{
		"[crosses]\nfirst = \"up\"\n":     `sheet.toml:3:9: crosses.first is "up"; write "over" or "under"`,
		"[tie]\nreach = 0\n":              `sheet.toml:3:9: tie.reach is 0; write 1 to 30, the hole-steps that a run outside may take`,
		"[tie]\nreach = \"6\"\n":          `sheet.toml:3:9: tie.reach is not of the right kind; write a whole number`,
		"[redo]\nwalk = 4\n":              `sheet.toml:3:8: redo.walk is not of the right kind; write a table, [redo.walk]`,
		"[redo]\nwalk = { mains = 40 }\n": `sheet.toml:3:18: redo.walk.mains is 40; write 0 to 20, the strands that slack is walked out of`,
		"[redo]\nwalk = { cross = 4 }\n":  `sheet.toml:3:10: redo.walk.cross is not known; did you mean "crosses"?`,
		"[redo]\nwork = { mains = 4 }\n":  `sheet.toml:3:1: redo.work is not known; did you mean "walk"?`,
	} {
		_, _, err := sequence.ReadTechnique("sheet.toml", []byte("name = \"t\"\n"+text))
		assert.ErrorContains(t, err, want, text)
	}
}
