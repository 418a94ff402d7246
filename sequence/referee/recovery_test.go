package referee

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
)

// A recovery is a way out of the middle of a sample: so many of its steps are done, something goes wrong and is mended
// by a script of its own, and then the sample is played from a step on, perhaps from one that was done already.
type recovery struct {
	name   string
	sample string // "clamp L head ahead" when empty
	terms  func(*plan.Terms)
	edit   func(*plan.Plan) // of the sample
	done   int
	script string
	resume int
	pulls  int  // more than the sample has
	lead   int  // the most by which a side leads, where that is more than in the sample
	idle   bool // nothing goes slack by what went wrong
}

// withoutStarting takes S out of a plan and its stock.
func withoutStarting(p *plan.Plan) {
	p.Terms.Starting = 0
	for i := range p.Steps {
		p.Steps[i].Ops = slices.DeleteFunc(slices.Clone(p.Steps[i].Ops), func(op plan.Op) bool { return op.Clamp == plan.S })
	}
}

// withoutTail leaves away the end of the first cross's tail.
func withoutTail(p *plan.Plan) { p.Steps = slices.Delete(p.Steps, 16, 18) }

func tieMains(h plan.Hole) func(*plan.Terms) {
	return func(t *plan.Terms) { t.TieMains = append(slices.Clone(t.TieMains), h) }
}

// freeTie ties the mains, on the right, in 1TR instead of 2TR, so that 2TR is free.
func freeTie(p *plan.Plan) {
	p.Terms.TieMains = []plan.Hole{"2TL", "1TR"}
	tie := slices.Concat([]plan.Op{{Op: plan.Note, Text: "mind 2TR"}}, p.Steps[8].Ops)
	tie[1].Hole, tie[1].Anchor, tie[3].Hole = "1TR", "M1R", "1TR"
	p.Steps[8].Ops = tie
}

func third(t *plan.Terms) { t.Repull = "third" }

// wide lets slack be walked out of all strands of the small frame.
func wide(t *plan.Terms) { t.Walk = &plan.Walk{Mains: 6, Crosses: 5} }

func tieCrosses(h plan.Hole) func(*plan.Terms) {
	return func(t *plan.Terms) { t.TieCrosses = append(slices.Clone(t.TieCrosses), h) }
}

var recoveries = []recovery{
	{name: "a clamp lets go on a main", done: 5, resume: 6, script: `
# mains
fault clamp B extent gone
unclamp B
press M1L tight leave
walk M1L,M1R,M2R
pull M2R 2HR repull
clamp B M2R 2HR
release`},
	{name: "the work is interrupted while the gripper alone holds a main, and goes on", done: 5, resume: 7, script: `
# mains
thread M2L 2TL 2HL after M1L
pull M2L 2HL
unclamp A
fault interrupted
# mains
clamp A M2L 2HL
release`},
	{name: "a clamp lets go, and the other side of the centre loop is tight: it is held, and what slipped alone is pulled", done: 5, resume: 6, script: `
# mains
fault clamp B extent gone with M1L
clamp S M1L 1HL
unclamp B
walk M1R,M2R
pull M2R 2HR repull
clamp B M2R 2HR
release
unclamp S`},
	{name: "a clamp lets go of the centre main, and that beyond the loop is tight", done: 4, resume: 5, script: `
# mains
fault clamp B extent gone with M1L
unclamp B
pull M1R 1TR repull
clamp B M1R 1TR
release`},
	{name: "the same, and only corners hold it", done: 5, resume: 6, script: `
# mains
fault clamp B extent gone with M1L
unclamp B
walk M1R,M2R
pull M2R 2HR repull
clamp B M2R 2HR
release`},
	{name: "a clamp lets go and is opened under the pull", done: 5, resume: 6, script: `
# mains
fault clamp B extent gone
press M1L
walk M1L,M1R,M2R
pull M2R 2HR repull
unclamp B
clamp B M2R 2HR
release`},
	{name: "a clamp lets go and all mains go slack, back to the knot of the other side", terms: wide, done: 9, resume: 10, script: `
# mains
fault clamp A
unclamp A
press M1R
walk M3R,M2R,M1R,M1L,M2L,M3L
pull M3L 4TL repull boost
clamp A M3L 4TL
release`},
	{name: "slack of more mains than may be walked is undone", done: 8, resume: 7, pulls: 2, script: `
# mains
fault clamp B extent gone
unclamp B
unthread M3R 4HR 4TR
unclamp A
unthread M3L 4HL 4TL
clamp A M2L 2HL
press M1L
walk M2L,M1L,M1R,M2R
pull M2R 2HR repull
clamp B M2R 2HR
release`},
	{name: "slack mains are drawn tight part by part", done: 8, resume: 9, script: `
# mains
fault clamp B
unclamp B
# mains
press M1L
walk M3L,M2L,M1L,M1R
pull M1R 1TR repull
clamp B M1R 1TR
release
# mains
pull M2R 2HR repull
unclamp B
clamp B M2R 2HR
release
# mains
pull M3R 4TR repull boost
unclamp B
clamp B M3R 4TR
release`},
	{name: "the first clamp slips, S behind it holds", idle: true, done: 3, resume: 4, script: `
# mains
fault clamp A
unclamp A
clamp A M1L 1HL`},
	{name: "the first clamp slips, with no S behind it", sample: "knot L head ahead", edit: withoutStarting, done: 3, resume: 4, script: `
# mains
fault clamp A
pull M1L 1HL repull
unclamp A
clamp A M1L 1HL
release`},
	{name: "the same, drawn from the other side of the loop", sample: "knot L head ahead", edit: withoutStarting, done: 3, resume: 4, script: `
# mains
fault clamp A
unclamp A
pull M1R 1HR repull
clamp A M1R 1HR
release`},
	{name: "the first flying clamp slips and lets go of both mains", sample: "flying ahead", done: 2, resume: 3, script: `
# mains
fault clamp A
clamp S M1R 1TR outside
pull M1L 1TL repull also M1R
unclamp A
clamp A M1L 1TL with M1R
release
unclamp S`},
	{name: "S slips on the first cross's tail", terms: wide, done: 13, resume: 14, script: `
# crosses
fault clamp S
unclamp S
walk C3,C2,C1
pull C1 3HL repull
clamp S C1 3HL outside
release`},
	{name: "the clamp slips after the tail was pulled again", terms: wide, done: 17, resume: 18, script: `
# crosses
fault clamp A
unclamp A
walk C5,C4,C3,C2,C1
pull C1 3HL repull boost
clamp A C1 3HL
release`},
	{name: "S slips on the loop of a skip start", sample: "skip L head ahead", terms: wide, done: 13, resume: 14, script: `
# crosses
fault clamp S
unclamp S
walk C4,C3,C2
pull C2 5HR repull
clamp S C2 5HR outside
release`},
	{name: "a slip on the first cross loosens the mains of the same piece", sample: "one piece ahead", terms: wide, done: 9, resume: 10, script: `
# crosses
fault clamp B
unclamp B
press M1R
walk M3R,M2R,M1R,M1L,M2L,M3L,C1
pull C1 3HR repull
clamp B C1 3HR
release`},
	{name: "the same, and the second main behind it is tight", sample: "one piece ahead", done: 9, resume: 10, script: `
# crosses
fault clamp B extent gone with M2L
unclamp B
walk M3L,C1
pull C1 3HR repull
clamp B C1 3HR
release`},

	{name: "a slip on the mains is found a pull late", done: 6, resume: 7, pulls: 2, script: `
# mains
fault late M2R
pull M2L 2HL repull
unclamp A
clamp A M1L 1TL
slacken M2L 2HL
# mains
pull M2R 2HR repull
unclamp B
clamp B M1R 1TR
slacken M2R 2HR
# mains
pull M2R 2HR
unclamp B
clamp B M2R 2HR
release
# mains
pull M2L 2HL
unclamp A
clamp A M2L 2HL
release`},
	{name: "a slip on the last main, which is boosted once more", done: 8, resume: 9, pulls: 1, script: `
# mains
fault late M3L
pull M3L 4TL repull boost
unclamp A
clamp A M2L 2HL
slacken M3L 4TL
# mains
pull M3L 4TL boost
unclamp A
clamp A M3L 4TL
release`},
	{name: "a slip on a cross is found a pull late", done: 13, resume: 14, pulls: 2, script: `
# crosses
fault late C2
clamp A C2 5HL
pull C3 6HR repull
unclamp B
slacken C3 6HR
# crosses
clamp B C1 3HR
pull C2 5HL repull
unclamp A
slacken C2 5HL
# crosses
pull C2 5HL
clamp A C2 5HL
release
unclamp B
# crosses
pull C3 6HR
clamp B C3 6HR
release
unclamp A`},
	{name: "a clamp lets go behind woven crosses: the newest comes out, the others are pulled again one by one", done: 13, resume: 14, pulls: 0, script: `
# crosses
fault clamp B extent gone
unclamp B
unweave C4 5TR 5TL
# crosses
pull C1 3HR repull
clamp B C1 3HR
release
# crosses
pull C2 5HL repull
clamp A C2 5HL
release
unclamp B
# crosses
weave C4 5TR 5TL under 6 after C3
pull C3 6HR repull
clamp B C3 6HR
release
unclamp A`},
	{name: "the load is taken behind what slipped: the pull does not go outwards", done: 13, resume: 14, script: `
# crosses
clamp A C2 5HL
fault clamp B extent gone
# crosses
unclamp B
pull C2 5HL repull
unclamp A
clamp A C2 5HL
release
# crosses
pull C3 6HR repull
clamp B C3 6HR
release
unclamp A`},
	{name: "the load is taken while the other side is slack: no side leads by more than before", done: 6, resume: 7, lead: 2, script: `
# mains
fault clamp B extent gone with M1L
clamp S M1L 1HL
fault clamp A extent crept
pull M2L 2HL repull
unclamp A
clamp A M2L 2HL
release
# mains
unclamp B
walk M1R,M2R
pull M2R 2HR repull
clamp B M2R 2HR
release
unclamp S`},
	{name: "of mains that are all cut out one is let go, whichever side leads then", done: 6, resume: 2, pulls: 5, lead: 2, script: `
# mains
clamp S M1L 1HL
thread M3R 4HR 4TR after M2R covers 3HR
pull M3R 4TR boost
fault break M1R where bed
slacken M3R 4TR
press M2R 2HR tight cut
unclamp B
cut M1L
press M2L 2HL tight cut
unclamp A
cut M1R
cut M2L
cut M2R
cut M3R`},
	{name: "the first cross is pulled again against the knot of its tail, for which alone it had its boost", terms: third, edit: withoutTail, done: 13, resume: 14, pulls: 3, script: `
# crosses
pull C1 3HL repull boost
unclamp S
clamp A C1 3HL
release
# crosses
tie C1 3HL 4HL M3L
unclamp A
trim 4HL
# crosses
fault late C1
clamp A C2 5HL
pull C3 6HR repull
unclamp B
slacken C3 6HR
# crosses
clamp B C1 3HR
pull C2 5HL repull
unclamp A
slacken C2 5HL
# crosses
pull C1 3HR repull
unclamp B
slacken C1 3HR
# crosses
pull C1 3HR
clamp B C1 3HR
release
# crosses
pull C2 5HL
clamp A C2 5HL
release
unclamp B
# crosses
pull C3 6HR
clamp B C3 6HR
release
unclamp A`},
	{name: "a slip on the last cross, whose boost is due again", done: 15, resume: 15, pulls: 1, script: `
# crosses
fault late C5
clamp A C4 5TL
pull C5 3TR repull boost
unclamp B
slacken C5 3TR`},
	{name: "a slip on the cross around", sample: "around ahead", done: 8, resume: 9, pulls: 1, script: `
# mains
fault late C5
pull C5 3TL repull
unclamp A
clamp B M3R 4TR
slacken C5 3TL
# mains
pull C5 3TL
unclamp B
clamp A C5 3TL
release`},

	{name: "a slack cross was woven wrongly", done: 12, resume: 13, script: `
# crosses
fault weave C3
unweave C3 6HL 6HR
weave C3 6HL 6HR under 6 after C2`},
	{name: "a pulled cross was woven wrongly", done: 12, resume: 12, pulls: 1, script: `
# crosses
fault weave C2
unweave C3 6HL 6HR
clamp B C1 3HR
pull C2 5HL repull
unclamp A
slacken C2 5HL
unweave C2 5HR 5HL
weave C2 5HR 5HL under 6 after C1`},
	{name: "the first cross of a starting knot was woven wrongly", sample: "knot L head ahead", done: 12, resume: 12, pulls: 1, script: `
# crosses
fault weave C1
unweave C2 5HR 5HL
pull C1 3HR repull
unclamp B
slacken C1 3HR
unweave C1 3HL 3HR`},
	{name: "the first cross of a skip start was woven wrongly", sample: "skip L head ahead", done: 13, resume: 14, script: `
# crosses
fault weave C1
unweave C1 3HR 3HL
note leave a scrap of string in 3HR and 3HL
weave C1 3HR 3HL under 4 after C2 blocked 3HL,3HR`},
	{name: "the crosses are cut out for a misweave", done: 14, resume: 11, pulls: 4, script: `
# crosses
fault weave C2
cut C3
unclamp A
cut C2
unclamp S
cut C4
cut C5
cut C1`},
	{name: "a main went through a wrong hole", done: 5, resume: 5, pulls: 1, script: `
# mains
fault hole M2R 3HR
pull M2R 2HR repull
unclamp B
clamp B M1R 1TR
slacken M2R 2HR
unthread M2R 2TR 2HR`},
	{name: "the end of a slack cross is in a wrong hole", done: 12, resume: 13, script: `
# crosses
fault hole C3 5TR from 6HR
move C3 5TR 6HR`},
	{name: "the end of a tight cross is in a wrong hole", done: 13, resume: 13, pulls: 1, script: `
# crosses
fault hole C3 5TR from 6HR
unweave C4 5TR 5TL
clamp A C2 5HL
pull C3 5TR repull
unclamp B
slacken C3 5TR
move C3 5TR 6HR`},
	{name: "a cross is cut out whose end is in a wrong hole", done: 13, resume: 11, pulls: 3, script: `
# crosses
fault hole C3 5TR from 6HR
cut C2
unclamp B
unclamp S
cut C3
cut C1
cut C4`},
	{name: "the end of a cross stays in a wrong hole", done: 18, resume: 19, script: `
# crosses
fault hole C3 5TR from 6HR
waive C3`},
	{name: "a centre main went through a wrong hole", done: 2, resume: 3, script: `
# mains
fault hole M1R 2TR
unthread M1R 1HR 1TR
thread M1R 1HR 1TR after M1L`},

	{name: "a knot slips before it is trimmed", terms: wide, done: 8, resume: 9, script: `
# mains
tie M3R 4TR 2TR M2R covers 3TR
unclamp B
# mains
fault knot M3R 2TR
untie M3R 4TR 2TR
pull M3R 4TR repull boost
clamp B M3R 4TR
release`},
	{name: "the knot of the first cross's tail slips before it is trimmed", terms: wide, done: 17, resume: 18, script: `
# crosses
tie C1 3HL 4HL M3L
unclamp A
# crosses
fault knot C1 4HL
untie C1 3HL 4HL
pull C1 3HL repull boost
clamp A C1 3HL
release`},
	{name: "a knot slips while the clamp is still on", idle: true, done: 8, resume: 9, script: `
# mains
tie M3R 4TR 2TR M2R covers 3TR
fault knot M3R 2TR
untie M3R 4TR 2TR`},
	{name: "a knot slips that was trimmed: the mains are cut out", done: 9, resume: 2, pulls: 6, script: `
# mains
fault knot M3R 2TR
cut M1L
cut M1R
cut M2R
cut M2L
unclamp A
cut M3R
cut M3L`},
	{name: "a tie-off hole splits that has no knot yet", terms: tieCrosses("5TR"), done: 15, resume: 17, script: `
# crosses
fault split 4TR
tie C5 3TR 5TR C4
unclamp B
trim 5TR`},
	{name: "a tie-off hole splits under a knot", terms: tieMains("1TR"), done: 8, resume: 10, script: `
# mains
tie M3R 4TR 2TR M2R covers 3TR
unclamp B
# mains
fault split 2TR
clamp B M3R 4TR
untie M3R 4TR 2TR
# mains
tie M3R 4TR 1TR M1R covers 3TR
unclamp B
trim 1TR`},
	{name: "a tie-off hole splits under a starting knot", sample: "knot L head ahead", terms: tieCrosses("1HL"), done: 11, resume: 12, script: `
# crosses
fault split 4HL
untie C1 3HL 4HL
tie C1 3HL 1HL M1L
trim 1HL`},

	{name: "the crosses' string breaks", done: 12, resume: 11, pulls: 2, script: `
# crosses
fault break C2 where bed
press C1
unclamp S
press C2
unclamp A
cut C2
cut C3
cut C1`},
	{name: "the crosses' string breaks, and what was never pulled is drawn out", done: 12, resume: 11, pulls: 2, script: `
# crosses
fault break C2 where bed
unweave C3 6HL 6HR
press C1
unclamp S
press C2
unclamp A
cut C2
cut C1`},
	{name: "the mains' string breaks under the crosses", done: 11, resume: 2, pulls: 7, script: `
# crosses
fault break M2L where bed
cut M1R
cut C1
unclamp B
cut M1L
cut C2
cut M2L
cut M2R
cut M3R
cut M3L`},
	{name: "the mains' string breaks over a starting knot", sample: "knot L head ahead", done: 11, resume: 2, pulls: 6, script: `
# crosses
fault break M2L
untie C1 3HL 4HL
cut M1R
cut M1L
cut M2L
cut M2R
cut M3R
cut M3L`},
	{name: "the one string breaks", sample: "around ahead", done: 8, resume: 2, pulls: 6, script: `
# mains
fault break M3R where jaw
press C5
unclamp A
cut C5
cut M1L
cut M1R
cut M2R
cut M2L
cut M3R`},
	{name: "one breaks while the other is cut out", done: 14, resume: 2, pulls: 10, script: `
# crosses
fault weave C4
cut C3
unclamp A
cut C4
# crosses
fault break M1L
cut C2
unclamp S
cut M1L
cut C5
cut M1R
cut C1
cut M2L
cut M2R
cut M3L
cut M3R`},
	{name: "a string breaks in the gripper and is gripped again", done: 6, resume: 8, script: `
# mains
thread M3R 4HR 4TR after M2R covers 3HR
pull M3R 4TR boost
unclamp B
fault break M3R where gripper choose regrip
# mains
press M1L
walk M2L,M1L,M1R,M2R,M3R
pull M3R 4TR repull boost
clamp B M3R 4TR
release`, terms: wide},
	{name: "a string breaks in the gripper before the old clamp is off", done: 6, resume: 8, script: `
# mains
thread M3R 4HR 4TR after M2R covers 3HR
pull M3R 4TR boost
fault break M3R where gripper choose regrip
release
# mains
pull M3R 4TR repull boost
unclamp B
clamp B M3R 4TR
release`},
	{name: "a string breaks at the jaws and is gripped again", done: 5, resume: 6, script: `
# mains
fault break M2R where jaw choose regrip
unclamp B
press M1L
walk M1L,M1R,M2R
pull M2R 2HR repull
clamp B M2R 2HR
release`},
	{name: "the mains' string breaks while they go in", done: 6, resume: 2, pulls: 4, script: `
# mains
fault break M1R where hole
press M2R 2HR
unclamp B
cut M1L
press M2L 2HL
unclamp A
cut M1R
cut M2R
cut M2L`},
	{name: "the gripper slips before the old clamp is off", done: 5, resume: 7, script: `
# mains
thread M2L 2TL 2HL after M1L
pull M2L 2HL
fault gripper
# mains
pull M2L 2HL repull
unclamp A
clamp A M2L 2HL
release`},
	{name: "the gripper slips when the old clamp is off", done: 5, resume: 7, script: `
# mains
thread M2L 2TL 2HL after M1L
pull M2L 2HL
unclamp A
fault gripper
# mains
inspect the jaws of the gripper
# mains
press M1R
walk M2R,M1R,M1L,M2L
pull M2L 2HL repull
clamp A M2L 2HL
release`},
	{name: "the gripper slips when the new clamp is on", idle: true, done: 5, resume: 7, script: `
# mains
thread M2L 2TL 2HL after M1L
pull M2L 2HL
unclamp A
clamp A M2L 2HL
fault gripper
release`},
	{name: "a step is interrupted under the pull", done: 5, resume: 7, script: `
# mains
thread M2L 2TL 2HL after M1L
pull M2L 2HL
fault clamp B extent crept
# mains
unclamp A
clamp A M2L 2HL
release
# mains
pull M2R 2HR repull
unclamp B
clamp B M2R 2HR
release`},
	{name: "a clamp crept", done: 5, resume: 6, script: `
# mains
fault clamp B extent crept
pull M2R 2HR repull
unclamp B
clamp B M2R 2HR
release`},
	{name: "a base slid that is redone by and by", done: 13, resume: 14, script: `
# crosses
fault clamp B extent base
note rail and base are cleaned
# crosses
pull C3 6HR repull
unclamp B
clamp B C3 6HR
release`},
	{name: "S crept on the first cross's tail", done: 13, resume: 14, script: `
# crosses
fault clamp S extent crept
pull C1 3HL repull
unclamp S
clamp S C1 3HL outside
release`},
	{name: "the first clamp crept with S behind it", idle: true, done: 3, resume: 4, script: `
# mains
fault clamp A extent crept
unclamp A
clamp A M1L 1HL`},
	{name: "the first clamp crept with no S behind it: the next pull draws the loop", sample: "knot L head ahead", edit: withoutStarting, done: 3, resume: 4, script: `
# mains
fault clamp A extent crept`},

	{name: "two crosses lie in each other's place", done: 12, resume: 12, pulls: 1, script: `
# crosses
fault swapped C2 with C3
unweave C3 6HL 6HR
clamp B C1 3HR
pull C2 5HL repull
unclamp A
slacken C2 5HL
unweave C2 5HR 5HL
weave C2 5HR 5HL under 6 after C1`},
	{name: "a kink in a cross that is not pulled is worked past", done: 12, resume: 13, script: `
# crosses
fault kink C3 choose past
note the kink lies outside now`},
	{name: "a kink inside the span of a main: the piece is strung anew", done: 5, resume: 2, pulls: 3, script: `
# mains
fault kink M2R
cut M1R
unclamp A
unclamp B
cut M1L
cut M2R`},
	{name: "two mains were pulled at a wrong setting and are pulled again", done: 8, resume: 9, script: `
# mains
fault tension M3R
pull M3R 4TR repull boost
unclamp B
clamp B M3R 4TR
release
# mains
pull M3L 4TL repull boost
unclamp A
clamp A M3L 4TL
release`},
	{name: "two mains were pulled at a wrong setting and are kept by name", done: 8, resume: 9, script: `
# mains
fault tension M3R
waive M3R
waive M3L`},
	{name: "a misweave found after the knots is left as it is", done: 18, resume: 19, script: `
# crosses
fault weave C3
waive C3`},
	{name: "a wrong hole is kept as another layout", done: 18, resume: 19, script: `
# crosses
fault hole M3R 3HR from 4HR
waive M3R from 4HR to 3HR`},
	{name: "a wrong hole and a wrong place are left as they are", done: 18, resume: 19, script: `
# crosses
fault hole C3 5HL
fault swapped C4 with C5
waive C3
waive C4
waive C5`},
	{name: "a tail too short for the gripper is bridged", done: 14, resume: 15, script: `
# crosses
fault short C5 choose bridge`},
	{name: "a tail too short for its knot goes into a nearer hole", done: 15, resume: 17, script: `
# crosses
fault short C5 choose 2TR
tie C5 3TR 2TR M2R
unclamp B
trim 2TR`, edit: freeTie},
	{name: "a tail too short for anything: the crosses are strung anew", done: 15, resume: 11, pulls: 5, script: `
# crosses
fault short C5 choose new
cut C3
cut C2
unclamp S
cut C4
unclamp B
cut C1
cut C5`},
	{name: "a sleeve mends a split hole", done: 15, resume: 16, script: `
# crosses
fault split 4TR choose sleeve`},
	{name: "a knot goes where a main lies alone, instead of into a split hole", done: 15, resume: 17, script: `
# crosses
fault split 4TR choose 1TR
tie C5 3TR 1TR M1R
unclamp B
trim 1TR`},
	{name: "a split hole's stand-in splits too", done: 15, resume: 17, script: `
# crosses
fault split 4TR choose 5TR
fault split 5TR choose 1TR
tie C5 3TR 1TR M1R
unclamp B
trim 1TR`},
	{name: "the frame cracks", done: 11, resume: 21, pulls: -4, script: `
# crosses
fault frame
cut C1
unclamp B
cut M1R
cut C2
cut M1L
cut M2L
cut M2R
cut M3R
cut M3L
# finish
note the owner is told
dismount outer arms
dismount throat
dismount head`},
	{name: "the frame cracks while the crosses are cut out", done: 14, resume: 21, pulls: -1, script: `
# crosses
fault weave C4
cut C3
unclamp A
# crosses
fault frame
cut C4
cut M1L
cut C2
unclamp S
cut M1R
cut C1
cut M2L
cut C5
cut M2R
cut M3L
cut M3R
# finish
dismount outer arms
dismount throat
dismount head`},
	{name: "the frame cracks at the first look", done: 0, resume: 21, pulls: -11, script: `
# mount
fault frame
note the owner is told`},
}

// play makes the whole plan of a recovery; ops, which may be changed, are in its steps after the done ones.
func (r recovery) play(t testing.TB, all []sample) (p *plan.Plan, steps int) {
	t.Helper()
	if r.sample == "" {
		r.sample = "clamp L head ahead"
	}
	c := *find(t, all, r.sample)
	c.Steps = slices.Clone(c.Steps)
	if r.terms != nil {
		r.terms(&c.Terms)
	}
	if r.edit != nil {
		r.edit(&c)
	}
	c.Totals.Pulls, c.Totals.MaxLead = c.Totals.Pulls+r.pulls, max(c.Totals.MaxLead, r.lead)
	between := write(t, c.Terms, r.script, c.Totals).Steps
	p = spliced(&c, r.done, between, r.resume)
	if r.resume > len(c.Steps) { // the end of a frame
		p.Totals.Knots, p.Totals.MaxLead = 0, min(1, p.Totals.Pulls)
	}
	return p, len(between)
}

func TestRecoveriesAreProven(t *testing.T) {
	all := samples(t)
	met := map[plan.Mishap]bool{}
	for _, r := range recoveries {
		t.Run(r.name, func(t *testing.T) {
			p, n := r.play(t, all)
			assert.Empty(t, Check(p))

			// The same from the state that the racket is in.
			table, breaches := From(&p.Terms, p.Steps[:r.done])
			require.Empty(t, breaches)
			for i := r.done; i < len(p.Steps); i++ {
				require.Empty(t, table.Step(&p.Steps[i]))
			}
			require.Empty(t, table.Finish(p.Totals))

			for _, s := range p.Steps[r.done : r.done+n] {
				for _, op := range s.Ops {
					met[op.Fault] = true
				}
			}
		})
	}
	assert.Len(t, met, len(plan.Mishaps())+1, "every mishap, and ops without any")
}
