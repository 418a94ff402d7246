package plan

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// all is the small racket strung in two pieces, a knot at each of the four ends and nothing else on.
const all = started + `
	lay M2R 2TR 2HR after M1R; pull M2R 2HR; off B; on B M2R 2HR; ease
	lay M2L 2TL 2HL after M1L; pull M2L 2HL; off A; on A M2L 2HL; ease
	tie M2R 2HR 3HR anchor M1R; tie M2L 2HL 3HL anchor M1L; off A; off B
	lay C1 3HL 3HR; on S C1 3HL; pull C1 3HR; on A C1 3HR; ease; lay C2 4HR 4HL after C1; pull C2 4HL; off A; on A C2 4HL; ease
	lay C3 4TL 4TR after C2; pull C3 4TR; off A; on A C3 4TR; ease; lay C4 3TR 3TL after C3; pull C4 3TL; off A; on A C4 3TL; ease
	tie C4 3TL 2TL anchor M2L; off A; tie C1 3HL 2HL anchor M2L; off S`

func lowOnes(r *Racket) (out []Strand) {
	for _, s := range r.Spans() {
		if s.Low {
			out = append(out, s.Strand)
		}
	}
	return out
}

// A knot that comes open lets go of its own strand; of its neighbours as many as slack is walked out of, that strand counted, lose
// tension; its corner holds the rest. Common practice of the trade, without a published source.
func TestAKnotComesOpen(t *testing.T) {
	const inOne = started + `; lay C1 3TR 3TL after M1R; pull C1 3TL; off B; lay C2 4TL 4TR after C1; pull C2 4TR; on B C2 4TR; ease; tie C2 4TR 1TR; off B
		fault knot slipped: strand C2 hole 1TR`
	right, left, cross := `; fault knot slipped: strand M2R hole 3HR`, `; fault knot slipped: strand M2L hole 3HL`, `; fault knot slipped: strand C4 hole 2TL`
	for _, c := range []struct {
		what, script string
		walk         *Walk
		low          []Strand
		corners      []Spot
	}{
		{"right", all + right, nil, []Strand{"M2L", "M1L", "M1R"}, []Spot{{"M2R", "2TR"}}},
		{"left", all + left, nil, []Strand{"M1L", "M1R", "M2R"}, []Spot{{"M2L", "2TL"}}},
		{"not so far", all + right, &Walk{Mains: 3, Crosses: 2}, []Strand{"M1L", "M1R"}, []Spot{{"M2R", "2TR"}}},
		{"its own strand alone", all + right, &Walk{Mains: 1, Crosses: 2}, nil, []Spot{{"M2R", "2TR"}}},
		{"nothing is walked", all + right, &Walk{}, nil, []Spot{{"M2R", "2TR"}}},
		{"crosses", all + cross, nil, []Strand{"C3"}, []Spot{{"C4", "3TR"}}},
		{"crosses, farther", all + cross, &Walk{Mains: 4, Crosses: 3}, []Strand{"C2", "C3"}, []Spot{{"C4", "3TR"}}},
		{"as far as the first cross", all + `; fault knot slipped: strand C1 hole 2HL`, nil, []Strand{"C2"}, []Spot{{"C1", "3HR"}}},
		{"the first cross", woven + `; pull C2 4HL; on B C2 4HL; ease; tie C2 4HL 1HL; off B; off A; fault knot slipped: strand C2 hole 1HL`, &Walk{Mains: 4, Crosses: 1},
			nil, []Spot{{"C2", "4HR"}}},
		{"as far as a clamp at the entry", all + `; on A M1L 1HL` + right, nil, []Strand{"M1R"}, []Spot{{"M2R", "2TR"}}},
		{"as far as a clamp at the exit", all + `; on A M1R 1HR` + right, nil, []Strand{"M1R"}, []Spot{{"M2R", "2TR"}}},
		{"a clamp at the neighbour", all + `; on A M1R 1TR` + right, nil, nil, nil},
		{"a clamp at its far hole", all + `; on A M2R 2TR` + right, nil, nil, nil},
		{"a clamp at its tail", all + `; on A M2R 2HR` + right, nil, nil, nil},
		{"a slack strand", `lay M1L 1TL 1HL; lay M2L 2HL 2TL after M1L; tie M2L 2TL 3TL; fault knot slipped: strand M2L hole 3TL`, nil, nil, nil},
		{"a tail that is nowhere", started + `; tie M1R 5TR 3TR; fault knot slipped: strand M1R hole 3TR`, nil, nil, nil},
		{"from crosses into mains", inOne, &Walk{Mains: 4, Crosses: 2}, []Strand{"M1L", "M1R", "C1"}, []Spot{{"C2", "4TL"}}},
		{"not from crosses into mains", inOne, &Walk{Mains: 4, Crosses: 1}, nil, []Spot{{"C2", "4TL"}}},
	} {
		terms := smallTerms()
		terms.Walk = c.walk
		r := do(t, NewRacket(&terms), c.script)
		assert.Equal(t, c.low, lowOnes(r), c.what)
		assert.Equal(t, c.corners, r.Corners(), "%s: %s", c.what, lines(r))
	}
}

// What a pull draws through a corner is low no more; it draws as far as something else holds, and through no clamp.
func TestDrawnThroughCorners(t *testing.T) {
	right, left := all+`; fault knot slipped: strand M2R hole 3HR`, `; fault knot slipped: strand M2L hole 3HL`
	cross := `; fault knot slipped: strand C4 hole 2TL`
	for _, c := range []struct {
		what, script string
		low          []Strand
		corners      []Spot
	}{
		{"drawn through", right + `; pull M2R 2HR repull`, nil, nil},
		{"a clamp keeps the string from the gripper", right + `; on B M2R 2HR; pull M2R 2HR repull`, []Strand{"M2L", "M1L", "M1R"}, []Spot{{"M2R", "2TR"}}},
		{"until it is off", right + `; on B M2R 2HR; pull M2R 2HR repull; off B`, nil, nil},
		{"as far as a clamp, another corner beyond it", all + `; on B M1R 1HR; fault knot slipped: strand M2R hole 3HR` + left + `; pull M2R 2HR repull`,
			[]Strand{"M1L"}, []Spot{{"M2L", "2TL"}}},
		{"the crosses keep theirs", right + cross + `; pull M2R 2HR repull`, []Strand{"C3"}, []Spot{{"C4", "3TR"}}},
		{"the mains keep theirs", right + cross + `; pull C4 3TL repull`, []Strand{"M2L", "M1L", "M1R"}, []Spot{{"M2R", "2TR"}}},
		{"what is clamped meanwhile draws nothing", right + `; on B M2R 2HR`, []Strand{"M2L", "M1L", "M1R"}, []Spot{{"M2R", "2TR"}}},
	} {
		r := do(t, small(), c.script)
		assert.Equal(t, c.low, lowOnes(r), c.what)
		assert.ElementsMatch(t, c.corners, r.Corners(), "%s: %s", c.what, lines(r))
	}
}

// A flying clamp of one pair says nothing of a strand that it does not grip; one that grips the strand lets go of two lines.
func TestLoopBesideAFlyingClamp(t *testing.T) {
	jaw := scripted(t, `fault string broke: strand M1R where jaw choose regrip`)[0]
	crosses := started + `; lay C1 3HL 3HR; lay C2 4HR 4HL after C1; `
	assert.Equal(t, Strand("M1L"), do(t, small(), crosses+`on S C1 3HR with C2`).Loop(&jaw))
	assert.Empty(t, do(t, small(), started+`; on B M2R 2TR with M1R`).Loop(&jaw))
	assert.Empty(t, do(t, small(), started+`; on B M1R 1TR with M2R`).Loop(&jaw))
}

// Jaws that slipped leave their mark where they stood, and nowhere else, until the strand is out; a clamp that slid on its rail
// leaves none.
func TestJawMarks(t *testing.T) {
	marked := func(script string) (out []Spot) {
		r := do(t, small(), script)
		for _, at := range []Spot{{"M1L", "1HL"}, {"M1L", "1TL"}, {"M1R", "1HR"}, {"M1R", "1TR"}} {
			if r.JawMark(at) {
				out = append(out, at)
			}
		}
		return out
	}
	crept, both := started+`; fault clamp slipped: clamp B extent crept`, started+`; fault clamp slipped: clamp B extent crept; fault clamp slipped: clamp A extent gone`
	assert.Empty(t, marked(started))
	assert.Equal(t, []Spot{{"M1R", "1TR"}}, marked(crept))
	assert.Empty(t, marked(started+`; fault clamp slipped: clamp B extent base`))
	assert.Equal(t, []Spot{{"M1L", "1TL"}, {"M1R", "1TR"}}, marked(both))
	assert.Equal(t, []Spot{{"M1L", "1TL"}}, marked(both+`; cut M1R`))
}

// A clamp on a strand that is itself slack holds tension of the run outside: where that is pulled again from is all one.
func TestLowFromAnywhere(t *testing.T) {
	r := do(t, small(), started+`; lay M2R 2TR 2HR after M1R; pull M2R 2HR; off B; on S M2R 2TR; slacken M2R 2HR; fault clamp slipped: clamp S extent crept`)
	assert.Equal(t, []Strand{"M1L", "M1R"}, lowOnes(r))
	assert.Equal(t, Spot{}, r.LowAt("M1R"))
}

// A clamp is not left to the corner at which it stands to hold in its place; a corner elsewhere holds what it held.
func TestCornersAreNoClamps(t *testing.T) {
	slipped := all + `; fault knot slipped: strand M2R hole 3HR`
	for at, spare := range map[string]bool{"M2R 2TR": false, "M2R 2HR": true, "M1R 1TR": true, "M1R 1HR": true, "C1 3HR": true} {
		r := do(t, small(), slipped+`; on B `+at)
		assert.Equal(t, spare, r.CanComeOff(B), at)
		assert.Len(t, r.Corners(), 1, "asking moves nothing")
	}
}
