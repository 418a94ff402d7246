package referee

import (
	"fmt"
	"strings"
	"testing"

	"pullcard/sequence/plan"
)

// The small frame of the tests is invented: 11 holes a side, three mains a side in 1, 2 and 4 at both ends, five crosses in
// 3H, 5H, 6H, 5T and 3T. Its mains loop at the head and end at the throat.
func smallTerms() plan.Terms {
	t := plan.Terms{
		Sport: "tennis", HolesLeft: 11, HolesRight: 11,
		TieMains:   []plan.Hole{"2TL", "2TR"},
		TieCrosses: []plan.Hole{"4HL", "4HR", "4TL", "4TR"},
		Pieces:     2, Fixed: 2, Starting: 1,
		MainsStart: "head", First: "R", Lead: 1, Then: "level", BoostMains: 1,
		From: "head", Side: "L", Start: "clamp", Ahead: true, Repull: "end", CrossClamps: 2,
		Knot: "double half hitch", PrintedRange: "22 kg to 27 kg",
		PullMains:   plan.Tension{Ordered: "24 kg", Boosted: "26.4 kg", Newtons: 235.3596, BoostedNewtons: 258.89556, BoostPercent: 10},
		PullCrosses: plan.Tension{Ordered: "23 kg", Boosted: "25.3 kg", Newtons: 225.55295, BoostedNewtons: 248.108245, BoostPercent: 10},
		Supports:    []string{"head", "throat", "outer arms"},
		Release:     []string{"outer arms", "throat", "head"},
		TailMM:      3,
	}
	for _, m := range []struct {
		n    int
		side string
	}{{4, "L"}, {2, "L"}, {1, "L"}, {1, "R"}, {2, "R"}, {4, "R"}} {
		t.Mains = append(t.Mains, plan.Chord{
			Strand: plan.Strand(fmt.Sprintf("M%d%s", min(m.n, 3), m.side)),
			Ends:   [2]plan.Hole{plan.Hole(fmt.Sprintf("%dH%s", m.n, m.side)), plan.Hole(fmt.Sprintf("%dT%s", m.n, m.side))},
		})
	}
	for i, h := range []string{"3H", "5H", "6H", "5T", "3T"} {
		t.Crosses = append(t.Crosses, plan.Chord{
			Strand: plan.Strand(fmt.Sprintf("C%d", i+1)),
			Ends:   [2]plan.Hole{plan.Hole(h + "L"), plan.Hole(h + "R")},
		})
	}
	return t
}

const mounting = `
# mount
inspect the frame, printed range 22 kg to 27 kg
mount head
mount throat
mount outer arms
`

const dismounting = `
# finish
inspect every crossing
note hours
# finish
dismount outer arms
dismount throat
dismount head
`

// With two fixed clamps and S, the right side first.
const twoPieceMains = `
# mains
thread M1L 1HL 1TL
thread M1R 1HR 1TR after M1L
clamp A M1L 1HL
clamp S M1L 1HL
note leave scraps in 3HL, 3HR, 3TL and 3TR
# mains
pull M1R 1TR
clamp B M1R 1TR
release
# mains
pull M1L 1TL
unclamp S
unclamp A
clamp A M1L 1TL
release
# mains
thread M2R 2TR 2HR after M1R
pull M2R 2HR
unclamp B
clamp B M2R 2HR
release
# mains
thread M2L 2TL 2HL after M1L
pull M2L 2HL
unclamp A
clamp A M2L 2HL
release
# mains
thread M3R 4HR 4TR after M2R covers 3HR
pull M3R 4TR boost
unclamp B
clamp B M3R 4TR
release
# mains
thread M3L 4HL 4TL after M2L covers 3HL
pull M3L 4TL boost
unclamp A
clamp A M3L 4TL
release
# mains
tie M3R 4TR 2TR M2R covers 3TR
unclamp B
trim 2TR
# mains
tie M3L 4TL 2TL M2L covers 3TL
unclamp A
trim 2TL
`

// From C3's pull on the crosses are the same however they start.
const lastCrosses = `
# crosses
ahead: weave C4 5TR 5TL under 6 after C3
later: weave C3 6HL 6HR under 6 after C2
pull C3 6HR
straighten C3
clamp B C3 6HR
release
unclamp A
# crosses
ahead: weave C5 3TL 3TR over 4 after C4 blocked 3TL,3TR
later: weave C4 5TR 5TL under 6 after C3
pull C4 5TL
straighten C4
clamp A C4 5TL
release
unclamp B
# crosses
later: weave C5 3TL 3TR over 4 after C4 blocked 3TL,3TR
pull C5 3TR boost
straighten C5
clamp B C5 3TR
release
unclamp A
# crosses
tie C5 3TR 4TR M3R
unclamp B
trim 4TR
`

// From C2's pull on, the crosses of a start by clamp and of a start by knot are the same.
const laterCrosses = `
# crosses
ahead: weave C3 6HL 6HR under 6 after C2
later: weave C2 5HR 5HL under 6 after C1
pull C2 5HL
straighten C2
clamp A C2 5HL
release
unclamp B
` + lastCrosses

const clampCrosses = `
# crosses
weave C1 3HL 3HR over 4 blocked 3HL,3HR
clamp S C1 3HL outside
ahead: weave C2 5HR 5HL under 6 after C1
pull C1 3HR
straighten C1
clamp B C1 3HR
release
` + laterCrosses + `
# crosses
pull C1 3HL repull boost
unclamp S
clamp A C1 3HL
release
# crosses
tie C1 3HL 4HL M3L
unclamp A
trim 4HL
`

const knotCrosses = `
# crosses
tie C1 3HL 4HL M3L
trim 4HL
# crosses
weave C1 3HL 3HR over 4 blocked 3HL,3HR
ahead: weave C2 5HR 5HL under 6 after C1
pull C1 3HR
straighten C1
clamp B C1 3HR
release
` + laterCrosses

const skipCrosses = `
# crosses
weave C2 5HR 5HL under 6
weave C1 3HR 3HL under 4 after C2 blocked 3HL,3HR
clamp S C2 5HR outside
ahead: weave C3 6HL 6HR under 6 after C2
pull C2 5HL
straighten C2
clamp A C2 5HL
release
` + lastCrosses + `# crosses
pull C1 3HL boost
straighten C1
unclamp S
clamp A C1 3HL
release
# crosses
tie C1 3HL 4HL M3L
unclamp A
trim 4HL
`

// Flying clamps pair two strands: the first pull loads both centre mains, and later the two first crosses.
const flying = `
# mains
thread M1L 1HL 1TL
thread M1R 1HR 1TR after M1L
clamp S M1R 1TR outside
pull M1L 1TL also M1R
clamp A M1L 1TL with M1R
release
unclamp S
note leave scraps in 3HL, 3HR, 3TL and 3TR
# mains
thread M2R 2TR 2HR after M1R
pull M2R 2HR
clamp B M2R 2HR with M1R
release
# mains
thread M2L 2TL 2HL after M1L
pull M2L 2HL
unclamp A
clamp A M2L 2HL with M1L
release
# mains
thread M3R 4HR 4TR after M2R covers 3HR
pull M3R 4TR boost
unclamp B
clamp B M3R 4TR with M2R
release
# mains
thread M3L 4HL 4TL after M2L covers 3HL
pull M3L 4TL boost
unclamp A
clamp A M3L 4TL with M2L
release
# mains
tie M3R 4TR 2TR M2R covers 3TR
unclamp B
trim 2TR
# mains
tie M3L 4TL 2TL M2L covers 3TL
unclamp A
trim 2TL
# crosses
weave C1 3HL 3HR over 4 blocked 3HL,3HR
clamp S C1 3HL outside
weave C2 5HR 5HL under 6 after C1
ahead: weave C3 6HL 6HR under 6 after C2
pull C2 5HL also C1
clamp A C2 5HL with C1
release
# crosses
ahead: weave C4 5TR 5TL under 6 after C3
later: weave C3 6HL 6HR under 6 after C2
pull C3 6HR
clamp B C3 6HR with C2
release
unclamp A
# crosses
ahead: weave C5 3TL 3TR over 4 after C4 blocked 3TL,3TR
later: weave C4 5TR 5TL under 6 after C3
pull C4 5TL
clamp A C4 5TL with C3
release
unclamp B
# crosses
later: weave C5 3TL 3TR over 4 after C4 blocked 3TL,3TR
pull C5 3TR boost
clamp B C5 3TR with C4
release
unclamp A
# crosses
tie C5 3TR 4TR M3R
unclamp B
trim 4TR
# crosses
pull C1 3HL repull boost
unclamp S
clamp A C1 3HL with C2
release
# crosses
tie C1 3HL 4HL M3L
unclamp A
trim 4HL
`

// sharedHoles moves C1 into M3's head holes: no run lies over them, and in 4HL two strands and a knot meet.
var sharedHoles = strings.NewReplacer(" covers 3HL", "", " covers 3HR", "", " blocked 3HL,3HR", "", "3HL", "4HL", "3HR", "4HR")

type sample struct {
	name string
	*plan.Plan
}

// samples are correct plans for the small frame: every start, from both ends and both sides, with and without weaving
// ahead, with a hole shared by a main and a cross, in one piece, around the outer main, and with flying clamps.
func samples(t testing.TB) []sample {
	var all []sample
	add := func(name string, terms plan.Terms, script string, totals plan.Totals) {
		all = append(all, sample{name, write(t, terms, mounting+script+dismounting, totals)})
	}
	for _, ahead := range []bool{true, false} {
		how := map[bool]string{true: "ahead", false: "in turn"}[ahead]
		for i, crosses := range []string{clampCrosses, knotCrosses, skipCrosses} {
			start := []string{"clamp", "knot", "skip"}[i]
			for _, side := range []string{"L", "R"} {
				for _, from := range []string{"head", "throat"} {
					terms := smallTerms()
					terms.Start, terms.Side, terms.From, terms.Ahead = start, side, from, ahead
					script := crosses
					if side == "R" {
						script = mirror(script)
					}
					if from == "throat" {
						script = upend(script, 5)
					}
					name := strings.Join([]string{start, side, from, how}, " ")
					add(name, terms, twoPieceMains+script, plan.Totals{Pulls: 11, Knots: 4, MaxLead: 1})
				}
			}
		}
		shared := smallTerms()
		shared.Ahead, shared.Shared = ahead, []plan.Hole{"4HL", "4HR"}
		shared.Crosses[0].Ends = [2]plan.Hole{"4HL", "4HR"}
		add("shared "+how, shared, sharedHoles.Replace(twoPieceMains+clampCrosses), plan.Totals{Pulls: 11, Knots: 4, MaxLead: 1})

		one := smallTerms()
		one.Pieces, one.Short, one.Ahead = 1, "R", ahead
		one.MainsStart, one.TieMains = "throat", []plan.Hole{"2HL", "2HR"}
		add("one piece "+how, one, onePiece, plan.Totals{Pulls: 11, Knots: 2, MaxLead: 1})

		one.Around, one.Short = true, "L"
		one.MainsStart, one.TieMains = "head", []plan.Hole{"1HL", "1HR"}
		add("around "+how, one, around, plan.Totals{Pulls: 11, Knots: 2, MaxLead: 1})

		fly := smallTerms()
		fly.Fixed, fly.Flying, fly.Ahead = 0, 2, ahead
		add("flying "+how, fly, flying, plan.Totals{Pulls: 9, Knots: 4, MaxLead: 1})
	}
	return all
}

// find returns the sample of that name.
func find(t testing.TB, all []sample, name string) *plan.Plan {
	for _, s := range all {
		if s.name == name {
			return s.Plan
		}
	}
	t.Fatalf("no sample is called %q", name)
	return nil
}
