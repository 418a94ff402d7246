package sequence_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
)

// wholeSheets calls use with every setting of a one-piece sheet; every one in a sweep only.
func wholeSheets(use func(text string)) {
	n := 0
	for _, first := range []string{"L", "R"} {
		for _, short := range []string{"L", "R"} {
			for lead := 1; lead <= 3; lead++ {
				for _, then := range []string{"overtake", "level"} {
					for _, from := range []string{"head", "throat"} {
						for _, ahead := range []bool{true, false} {
							for _, around := range []bool{true, false} {
								for clamps := 1; clamps <= 2; clamps++ {
									if n++; !sweep.Take(n, oneSheetIn) {
										continue
									}
									use(fmt.Sprintf("name = \"t\"\npieces = 1\naround = %v\n[mains]\nfirst = %q\nshort = %q\nlead = %d\nthen = %q\n[crosses]\nfrom = %q\nahead = %v\nclamps = %d\n",
										around, first, short, lead, then, from, ahead, clamps))
								}
							}
						}
					}
				}
			}
		}
	}
}

// A frame takes one piece in some way, and what it takes keeps the rules.
func TestBuildOnePieceEveryLayoutByEverySetting(t *testing.T) {
	for _, name := range library.Layouts() {
		f := layout(t, name)
		plans := 0
		wholeSheets(func(text string) {
			p, err := sequence.Build(f, technique(t, text), kg(t, "24 kg"), kg(t, "23 kg"))
			if err != nil {
				assert.Regexp(t, `sheet.toml:\d+:\d+: .*; write (around|pieces|crosses.from) = `, err.Error(), "%s by\n%s", name, text)
				return
			}
			require.Empty(t, referee.Check(p), "%s by\n%s", name, text)
			plans++
		})
		assert.Positive(t, plans, name)
	}
}

func words(p *plan.Plan, do plan.OpKind, format func(o plan.Op) string) string {
	var out []string
	for _, o := range ops(p, do) {
		out = append(out, format(o))
	}
	return strings.Join(out, ", ")
}

func tied(o plan.Op) string { return fmt.Sprintf("%s %s>%s", o.Strand, o.Out, o.Hole) }

func boosts(p *plan.Plan) string {
	var out []string
	for _, o := range ops(p, plan.Pull) {
		if o.BoostPercent > 0 {
			out = append(out, string(o.Strand))
		}
	}
	return strings.Join(out, " ")
}

const whole = "name = \"t\"\npieces = 1\n[mains]\nshort = \"L\"\n"

// Common practice of the trade: one piece on a 16×19 frame from the head, short side left: where it ties, what it
// boosts, what its runs cover.
func TestBuildOnePiece(t *testing.T) {
	p, err := sequence.Build(layout(t, "harbour-sixteen"), technique(t, whole), kg(t, "24 kg"), kg(t, "24 kg"))
	require.NoError(t, err)
	assert.Equal(t, "M8L 10HL>8HL, C19 7TL>6TL", words(p, plan.Tie, tied))
	assert.Equal(t, "M8L C19", boosts(p))
	weaves := ops(p, plan.Weave)
	assert.Equal(t, "M8R", string(weaves[0].After))
	assert.Equal(t, "7HR 7HL", string(weaves[0].From+" "+weaves[0].To))
	assert.Equal(t, []plan.Hole{"9HR"}, weaves[0].Covers)
}

// Common practice of the trade: one piece around the outer main on a 16×20 frame whose mains end at the throat.
func TestBuildAround(t *testing.T) {
	p, err := sequence.Build(layout(t, "long-twenty"), technique(t, strings.Replace(whole, "[mains]", "around = true\n[mains]", 1)), kg(t, "55 lb"), kg(t, "55 lb"))
	require.NoError(t, err)
	assert.Equal(t, "M7L 8HL>6HL, C19 9TR>8TR", words(p, plan.Tie, tied))
	assert.Equal(t, "M7L C19", boosts(p))
	way := func(o plan.Op) string { return fmt.Sprintf("%s %s>%s after %s", o.Strand, o.From, o.To, o.After) }
	weaves := ops(p, plan.Weave)
	assert.Equal(t, "C20 7TR>7TL after M8R", way(weaves[0]))
	assert.Equal(t, "C1 7HL>7HR after M8L", way(weaves[1]))
	threads := ops(p, plan.Thread)
	assert.Equal(t, "M8L 10TL>9HL after C20", way(threads[len(threads)-1]))
	var covered []string
	for _, s := range p.Steps {
		for _, o := range s.Ops {
			for _, h := range o.Covers {
				covered = append(covered, string(h))
			}
		}
	}
	assert.ElementsMatch(t, []string{"7TL", "7TR", "7HL", "9TL", "9TR"}, covered)
}

// As many low crosses come first, an odd number, as leave a run of three hole-steps at most from the last of them to the outer main;
// one where no number does.
func TestBuildAroundLowCrosses(t *testing.T) {
	for skip, want := range map[string]int{`"7T"`: 1, `"5T"`: 1, `"5T", "7T", "9T"`: 3, `"7T", "9T", "10T"`: 3, `"4T", "5T", "6T", "7T", "10T"`: 5, `"4T", "5T", "6T", "7T", "9T"`: 1} {
		f, _, err := patterns.ReadLayout("low", []byte("name = \"Low\"\nsport = \"tennis\"\nmains = 16\ncrosses = 20\nskip = ["+skip+"]\nstart = \"throat\"\n[tie]\nmains = [\"6H\", \"8T\"]\ncrosses = [\"6H\", \"8T\"]\n"))
		require.NoError(t, err)
		p, err := sequence.Build(f, technique(t, "name = \"t\"\npieces = 1\naround = true\n[tie]\nreach = 30\n"), kg(t, "24 kg"), kg(t, "24 kg"))
		require.NoError(t, err, skip)
		require.Empty(t, referee.Check(p))
		low := slices.IndexFunc(ops(p, plan.Weave), func(o plan.Op) bool { return o.Strand == "C1" })
		assert.Equal(t, want, low, skip)
	}
}

func TestBuildWaysThatDoNotFit(t *testing.T) {
	for _, c := range []struct{ frame, sheet, want string }{
		{"club-sixteen", "pieces = 1", `sheet.toml:2:10: in one piece the crosses follow on where the mains end, and those of Club sixteen end at the throat, not at the head; write around = true, or pieces = 2, or crosses.from = "throat" if the frame allows that`},
		{"harbour-sixteen", "pieces = 1\naround = true", `sheet.toml:3:10: the mains of Harbour sixteen end at the head, where the crosses begin; write around = false`},
		{"harbour-sixteen", "pieces = 1\ncrosses.from = \"throat\"", `sheet.toml:3:16: in one piece the crosses follow on where the mains end, and those of Harbour sixteen end at the head`},
		{"club-sixteen", "around = true", `sheet.toml:2:10: around = true is a way of stringing with one piece; write pieces = 1, or around = false`},
	} {
		_, err := sequence.Build(layout(t, c.frame), technique(t, "name = \"t\"\n"+c.sheet+"\n"), kg(t, "24 kg"), kg(t, "24 kg"))
		assert.ErrorContains(t, err, c.want)
	}
}

// Invented: the left side's holes differ from the right's, so that a cross slants and meets more mains on one side.
const lopsided = `name    = "Lopsided"
sport   = "tennis"
mains   = 16
crosses = 19
skip    = ["7HL", "9HL", "8HR", "10HR", "7T", "9T"]
start   = "throat"

[tie]
mains   = ["6H", "8T"]
crosses = ["5H", "6H", "6T"]
`

// Invented: one hole more on the left, where a main passes none.
const uneven = `name    = "Uneven"
sport   = "tennis"
mains   = 16
crosses = 19
start   = "head"
holes       = 36
holes_right = 35
mains_head         = ["1H", "2H", "3H", "4H", "5H", "6H", "8H", "10H"]
mains_throat       = ["1T", "2T", "3T", "4T", "5T", "6T", "8T", "10T"]
crosses_left       = ["7H", "9H", "11H", "12H", "13H", "14H", "15H", "16H", "17H", "19H", "20H", "21H", "22H", "23H", "24H", "25H", "26H", "28H", "30H"]
crosses_right      = ["7H", "9H", "11H", "12H", "13H", "14H", "15H", "16H", "17H", "18H", "17T", "16T", "15T", "14T", "13T", "12T", "11T", "9T", "7T"]

[tie]
mains   = ["8H", "8T"]
crosses = ["6H", "6T"]
`

// Frames whose sides differ are strung in every way that they take.
func TestBuildAsymmetric(t *testing.T) {
	f, _, err := patterns.ReadLayout("lopsided", []byte(lopsided))
	require.NoError(t, err)
	assert.Len(t, f.Met(f.Cross(1)), 13, "six on the left, seven on the right")
	plans := 0
	try := func(text string) {
		p, err := sequence.Build(f, technique(t, text), kg(t, "24 kg"), kg(t, "23 kg"))
		if err != nil {
			return
		}
		require.Empty(t, referee.Check(p), text)
		plans++
	}
	sheets(try)
	wholeSheets(try)
	assert.Greater(t, plans, 400/oneSheetIn)
	_, _, err = patterns.ReadLayout("uneven", []byte(uneven))
	assert.ErrorContains(t, err, "hole 18HL carries no string")
	// Of one hole more on the right, as a main and a cross share one on the left.
	const shared = "name = \"Shared\"\nsport = \"tennis\"\nmains = 6\ncrosses = 5\nstart = \"head\"\nshared = [\"3HL\"]\n[tie]\nmains = [\"2H\", \"3H\", \"2T\"]\ncrosses = [\"2H\", \"3H\", \"3T\"]\n"
	f, _, err = patterns.ReadLayout("shared", []byte(shared))
	require.NoError(t, err)
	p, err := sequence.Build(f, technique(t, "name = \"t\"\n"), kg(t, "24 kg"), kg(t, "23 kg"))
	require.NoError(t, err)
	assert.Equal(t, [2]int{10, 11}, [2]int{p.Terms.HolesLeft, p.Terms.HolesRight})
	assert.Equal(t, []plan.Hole{"3HL"}, p.Terms.Shared)
	require.Empty(t, referee.Check(p))
	r, done := plan.NewRacket(&p.Terms), slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Title == "Cross 3" })
	assert.Equal(t, 21, r.Total())
	proven(t, p, done, sequence.Trouble{Fault: plan.FaultLate, Strand: "C1"})
}
