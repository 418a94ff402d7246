package sequence_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/act"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
)

// flyingSheets calls use with every setting of a sheet for two flying clamps that they can do.
func flyingSheets(use func(text string)) {
	for _, first := range []string{"L", "R"} {
		for lead := 1; lead <= 3; lead++ {
			for _, then := range []string{"overtake", "level"} {
				mains := fmt.Sprintf("[clamps]\nflying = 2\n[mains]\nfirst = %q\nlead = %d\nthen = %q\n", first, lead, then)
				for clamps := 1; clamps <= 2; clamps++ {
					for _, ahead := range []bool{true, false} {
						for _, from := range []string{"head", "throat"} {
							crosses := fmt.Sprintf("[crosses]\nfrom = %q\nahead = %v\nclamps = %d\n", from, ahead, clamps)
							for _, start := range []string{`"clamp"`, "\"clamp\"\nrepull = \"end\"", `"knot"`} {
								use("name = \"t\"\n" + mains + "boost = 2\n" + crosses + "side = \"R\"\nstart = " + start + "\n")
							}
						}
					}
				}
			}
		}
	}
	flyingWhole(use)
}

// flyingWhole calls use with every setting of a sheet for one piece and two flying clamps.
func flyingWhole(use func(text string)) {
	for _, first := range []string{"L", "R"} {
		for lead := 1; lead <= 3; lead++ {
			for _, then := range []string{"overtake", "level"} {
				for clamps := 1; clamps <= 2; clamps++ {
					for _, ahead := range []bool{true, false} {
						for _, from := range []string{"head", "throat"} {
							for _, short := range []string{"L", "R"} {
								use(fmt.Sprintf("name = \"t\"\npieces = 1\n[clamps]\nflying = 2\n[mains]\nfirst = %q\nlead = %d\nthen = %q\nshort = %q\n[crosses]\nfrom = %q\nahead = %v\nclamps = %d\n",
									first, lead, then, short, from, ahead, clamps))
							}
						}
					}
				}
			}
		}
	}
}

// The referee finds nothing to object to with flying clamps; every one grips two strands and every plan pulls two pairs.
func TestBuildFlyingEveryLayoutByEverySetting(t *testing.T) {
	plans, tried := 0, 0
	for _, name := range library.Layouts() {
		f := layout(t, name)
		flyingSheets(func(text string) {
			if tried++; !sweep.Take(tried, 23) {
				return
			}
			p, err := sequence.Build(f, technique(t, text), kg(t, "24 kg"), kg(t, "23 kg"))
			if err != nil {
				require.ErrorContains(t, err, "in one piece the crosses follow on")
				return
			}
			require.Empty(t, referee.Check(p), "%s by\n%s", name, text)
			pairs := 0
			for _, o := range ops(p, plan.Pull) {
				if o.Also != "" {
					pairs++
				}
			}
			assert.Equal(t, 2, pairs)
			for _, o := range ops(p, plan.ClampOn) {
				assert.Equal(t, o.Clamp != plan.S, o.With != "", "%s by\n%s", name, text)
			}
			assert.Equal(t, len(f.Columns())+len(f.Crosses)-2, p.Totals.Pulls, "two strands are drawn tight along with others")
			plans++
		})
	}
	t.Logf("%d plans", plans)
	assert.Greater(t, plans, sweep.Share(3000, 23))
}

// Common practice of the trade: how a frame that starts at the head is begun with flying clamps.
func TestBuildFlyingStart(t *testing.T) {
	p, err := sequence.Build(layout(t, "harbour-sixteen"), technique(t, "name = \"t\"\n[clamps]\nflying = 2\n[mains]\nlead = 1\n"), kg(t, "24 kg"), kg(t, "23 kg"))
	require.NoError(t, err)
	said, words := []string(nil), act.Written()
	for _, s := range p.Steps {
		for _, a := range act.Of(p, s.N, nil) {
			if s.Phase == plan.PhaseMains && len(said) < 21 || strings.Contains(s.Title, "together") {
				said = append(said, words.Line(&a))
			}
		}
	}
	assert.Equal(t, []string{
		"CUT TO LENGTH the mains", "FEED M1L from 1HL to 1TL", "FEED M1R from 1HR to 1TR", "LOOK the clamps, tried on this string: each holds, no mark",
		"CLAMP ON S on M1R at 1TR, outside the frame",
		"PULL M1L and M1R at 1TL, 24 kg", "CLAMP ON A on M1L at 1TL and M1R at 1TR", "EASE the gripper on M1L", "CLAMP OFF S from M1R at 1TR",
		"FEED M2R from 2TR to 2HR", "PULL M2R at 2HR, 24 kg", "CLAMP ON B on M2R at 2HR and M1R at 1HR", "EASE the gripper on M2R",
		"FEED M2L from 2TL to 2HL", "PULL M2L at 2HL, 24 kg", "CLAMP OFF A from M1L at 1TL and M1R", "CLAMP ON A on M2L at 2HL and M1L at 1HL", "EASE the gripper on M2L",
		"FEED M3R from 3HR to 3TR", "PULL M3R at 3TR, 24 kg", "CLAMP OFF B from M2R at 2HR and M1R",
		"PULL C2 and C1 at 9HL, 23 kg", "STRAIGHTEN C2 under tension", "CLAMP ON A on C2 at 9HL and C1 at 7HL", "EASE the gripper on C2",
	}, said)
}

// What flying clamps cannot do is refused, with what works.
func TestBuildFlyingThatDoesNotFit(t *testing.T) {
	for _, c := range []struct{ sheet, want string }{
		{"[clamps]\nflying = 1", "sheet.toml:3:10: the mains take two flying clamps; write flying = 2, or fixed = 2"},
		{"[clamps]\nflying = 2\nstarting = 0", `sheet.toml:4:12: crosses.start = "clamp" takes a starting clamp; write starting = 1, or start = "knot"`},
		{"[clamps]\nflying = 2\nstarting = 0\n[crosses]\nstart = \"knot\"", "sheet.toml:4:12: with flying clamps the first two mains are pulled together against a starting clamp; write starting = 1"},
		{"pieces = 1\n[clamps]\nflying = 2\nstarting = 0\n[crosses]\nfrom = \"throat\"", "sheet.toml:5:12: with flying clamps the first two mains are pulled together against a starting clamp; write starting = 1"},
		{"[clamps]\nflying = 2\n[crosses]\nstart = \"skip\"", `sheet.toml:5:9: flying clamps cannot hold the second cross while the first is slack; write start = "clamp" or "knot", or fixed = 2`},
		{"pieces = 1\naround = true\n[clamps]\nflying = 2", "sheet.toml:3:10: flying clamps cannot hold the lowest cross, beside which nothing is tight yet; write around = false and pieces = 2, or fixed = 2"},
		{"[clamps]\nfixed = 1", "sheet.toml:3:9: the mains take two fixed clamps, one on each side; write fixed = 2, or flying = 2"},
	} {
		_, err := sequence.Build(layout(t, "club-sixteen"), technique(t, "name = \"t\"\n"+c.sheet+"\n"), kg(t, "24 kg"), kg(t, "24 kg"))
		assert.EqualError(t, err, c.want, c.sheet)
	}
	_, _, err := sequence.ReadTechnique("sheet.toml", []byte("name = \"t\"\n[clamps]\nfixed = 2\nflying = 2\n"))
	assert.ErrorContains(t, err, "clamps names fixed and flying clamps")
}

// Strands that are pulled together are pulled at one tension, which the plan's terms say; a job that names two is wrong.
func TestFlyingTensionsByStrand(t *testing.T) {
	sheet := technique(t, "name = \"t\"\n[clamps]\nflying = 2\n")
	p, err := job(t, "proportional = true\nstrands = { M1L = \"22 kg\", M1R = \"22 kg\" }\n").Plan(layout(t, "club-sixteen"), sheet)
	require.NoError(t, err)
	require.Empty(t, referee.Check(p))
	assert.Equal(t, p.Terms.PullOf("C2"), p.Terms.PullOf("C1"))
	assert.Equal(t, "22 kg 22 kg", p.Terms.PullOf("M1R").Ordered+" "+p.Terms.PullOf("M1L").Ordered)
	for from, want := range map[string]string{"head": "C1 and C2", "throat": "C19 and C18"} {
		sheet := technique(t, "name = \"t\"\n[clamps]\nflying = 2\n[crosses]\nfrom = \""+from+"\"\n")
		for _, own := range []string{"C1", "C2", "C3", "C17", "C18", "C19"} {
			_, err := job(t, "strands = { "+own+" = \"45 lb\" }\n").Plan(layout(t, "club-sixteen"), sheet)
			if slices.Contains(strings.Fields(want), own) {
				assert.ErrorContains(t, err, want+" be pulled together", own)
			} else {
				assert.NoError(t, err, own)
			}
		}
	}
	_, err = job(t, "strands = { M1L = \"22 kg\", C3 = \"45 lb\" }\n").Plan(layout(t, "club-sixteen"), sheet)
	assert.EqualError(t, err, "job.toml:6:19: tension.strands.M1L is 22 kg, and flying clamps let M1R and M1L be pulled together, at one tension; name both alike")
}
