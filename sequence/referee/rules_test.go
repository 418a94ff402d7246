package referee

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
)

// A violation is one change by hand to the correct plan "clamp L head ahead", or to another sample, and something that the
// referee must say of it.
type violation struct {
	rule   int
	name   string
	sample string // "clamp L head ahead" when empty
	from   string // a part of the script
	to     string // what stands there instead
	terms  func(*plan.Terms)
	edit   func(*plan.Plan) // of the plan when it is written
	says   string
}

var violations = []violation{
	{rule: 1, name: "the gripper eases before the clamp is on",
		from: "clamp B M2R 2HR\nrelease", to: "release\nclamp B M2R 2HR",
		says: "step 5, op 4 (release): rule 1: M2R is tensioned and the string outside 2HR is slack, and nothing holds it there"},
	{rule: 1, name: "a clamp leaves before the gripper pulls",
		from: "pull M2R 2HR\nunclamp B", to: "unclamp B\npull M2R 2HR",
		says: "step 5, op 2 (unclamp B): rule 1: M1R is tensioned and the string outside 1TR is slack, and nothing holds it there"},
	{rule: 1, name: "the centre loop is tensioned over a main that nothing holds any more",
		from: "pull M1L 1TL\nunclamp S\nunclamp A", to: "unclamp S\nunclamp A\npull M1L 1TL",
		says: "step 4, op 2 (unclamp A): rule 1: M1L is slack and the string outside 1HL is tensioned, and nothing holds it there"},
	{rule: 1, name: "a cross is pulled with nothing at its start",
		from: "clamp S C1 3HL outside\n", to: "",
		says: "step 11, op 3 (pull C1): rule 1: C1 is tensioned and the string outside 3HL is slack, and nothing holds it there"},
	{rule: 1, name: "a clamp grips the entry, not the exit",
		from: "clamp A C2 5HL", to: "clamp A C2 5HR",
		says: "step 12, op 5 (release): rule 1: C2 is tensioned and the string outside 5HL is slack, and nothing holds it there"},
	{rule: 1, name: "the clamp leaves before the tail is tied",
		from: "tie M3R 4TR 2TR M2R covers 3TR\nunclamp B", to: "unclamp B\ntie M3R 4TR 2TR M2R covers 3TR",
		says: "step 9, op 1 (unclamp B): rule 1: M3R is tensioned and the string outside 4TR is slack, and nothing holds it there"},
	{rule: 1, name: "S leaves a skip start before the first cross is pulled", sample: "skip L head ahead",
		from: "pull C1 3HL boost\nstraighten C1\nunclamp S", to: "unclamp S\npull C1 3HL boost\nstraighten C1",
		says: "step 16, op 1 (unclamp S): rule 1: C2 is tensioned and the string outside 5HR is slack, and nothing holds it there"},

	{rule: 2, name: "one clamp is not enough", terms: func(t *plan.Terms) { t.Fixed = 1 },
		says: "step 3, op 2 (clamp B M1R): rule 2: 2 clamps of this kind would be on, there are 1"},
	{rule: 2, name: "there is no starting clamp", terms: func(t *plan.Terms) { t.Starting = 0 },
		says: "step 2, op 4 (clamp S M1L): rule 2: 1 clamps of this kind would be on, there are 0"},
	{rule: 2, name: "a clamp is in two places",
		from: "unclamp B\nclamp B M2R 2HR", to: "clamp B M2R 2HR",
		says: "step 5, op 3 (clamp B M2R): rule 2: B is on already, at M1R 1TR"},
	{rule: 2, name: "a clamp that is off comes off", from: "unclamp S\nunclamp A", to: "unclamp S\nunclamp S\nunclamp A",
		says: "step 4, op 3 (unclamp S): rule 2: S is not on"},
	{rule: 2, name: "a fixed clamp outside the frame", from: "clamp B M1R 1TR", to: "clamp B M1R 1TR outside",
		says: "step 3, op 2 (clamp B M1R): rule 2: B grips inside the hoop only"},
	{rule: 2, name: "a clamp on a strand that is not there", from: "clamp A M1L 1HL", to: "clamp A M2L 2HL",
		says: "step 2, op 3 (clamp A M2L): rule 2: M2L is not laid yet"},
	{rule: 2, name: "a clamp at another strand's hole", from: "clamp B M1R 1TR", to: "clamp B M1R 2TR",
		says: `step 3, op 2 (clamp B M1R): rule 2: M1R does not pass hole "2TR"`},
	{rule: 2, name: "a clamp without a name", from: "clamp B M1R 1TR", to: "clamp D M1R 1TR",
		says: `step 3, op 2 (clamp D M1R): rule 2: there is no clamp "D"`},
	{rule: 2, name: "two pulls in a step", from: "release\n# mains\npull M1L", to: "release\npull M1L",
		says: "step 3, op 4 (pull M1L): rule 2: a step holds one pull"},
	{rule: 2, name: "the gripper pulls when the step is over", from: "clamp B M1R 1TR\nrelease", to: "clamp B M1R 1TR",
		says: "step 3: rule 2: the gripper still pulls M1R when the step is over"},
	{rule: 2, name: "the gripper eases without a pull", from: "trim 2TR", to: "trim 2TR\nrelease",
		says: "step 9, op 4 (release): rule 2: the gripper does not pull"},
	{rule: 2, name: "a strand is laid with the tail in the gripper", sample: "clamp L head in turn",
		from: "straighten C1", to: "straighten C1\nweave C2 5HR 5HL under 6 after C1",
		says: "step 11, op 5 (weave C2): rule 2: the gripper has hold of the string outside 3HR that is to be laid"},
	{rule: 2, name: "a flying clamp without a neighbour", sample: "flying ahead",
		from: "clamp S M1R 1TR outside", to: "clamp S M1R 1TR outside\nclamp A M1R 1TR with M1L",
		says: "step 2, op 4 (clamp A M1R): rule 2: neither M1R nor M1L is tensioned by itself, a flying clamp needs one that is"},

	{rule: 3, name: "a strand is laid twice", from: "thread M2L 2TL 2HL after M1L", to: "thread M2R 2TR 2HR after M1R",
		says: "step 6, op 1 (thread M2R): rule 3: M2R is laid already"},
	{rule: 3, name: "a strand that the frame does not have", from: "pull M2R 2HR", to: "pull M4R 2HR",
		says: `step 5, op 2 (pull M4R): rule 3: the frame has no strand "M4R"`},
	{rule: 3, name: "a span is pulled twice", from: "clamp A M3L 4TL\nrelease", to: "clamp A M3L 4TL\nrelease\n# mains\npull M3L 4TL boost\nrelease",
		says: "step 9, op 1 (pull M3L): rule 3: M3L is pulled already"},
	{rule: 3, name: "a pull before the strand is laid", from: "thread M2R 2TR 2HR after M1R\npull M2R 2HR", to: "pull M2R 2HR\nthread M2R 2TR 2HR after M1R",
		says: "step 5, op 1 (pull M2R): rule 3: M2R is not laid yet"},
	{rule: 3, name: "a pull from the entry", from: "pull M2R 2HR", to: "pull M2R 2TR",
		says: "step 5, op 2 (pull M2R): rule 3: M2R is not pulled from its exit 2HR"},
	{rule: 3, name: "a slack span behind the pull", sample: "clamp L head ahead",
		from: "pull C1 3HR\nstraighten C1\nclamp B C1 3HR\nrelease\n", to: "",
		says: "step 12, op 2 (pull C2): rule 3: C1 is slack behind it"},
	{rule: 3, name: "a clamp on the strand keeps the pull from it", from: "pull M3R 4TR boost\nunclamp B\nclamp B M3R 4TR",
		to:   "unclamp B\nclamp B M3R 4TR\npull M3R 4TR boost",
		says: "step 7, op 4 (pull M3R): rule 3: B grips M3R at 4TR and keeps the pull from it"},
	{rule: 3, name: "a re-pull of a slack span", from: "pull M2R 2HR", to: "pull M2R 2HR repull",
		says: "step 5, op 2 (pull M2R): rule 3: M2R is slack, its pull is no re-pull"},
	{rule: 3, name: "a re-pull of a tail that is tied", from: "trim 4TR\n", to: "trim 4TR\n# crosses\npull C5 3TR repull boost\nrelease\n",
		says: "step 17, op 1 (pull C5): rule 3: the tail outside 3TR is tied"},
	{rule: 3, name: "a re-pull where the string is tensioned already", from: "trim 4TR\n", to: "trim 4TR\n# crosses\npull C3 6HL repull\nrelease\n",
		says: "step 17, op 1 (pull C3): rule 3: the string outside 6HL is tensioned already"},
	{rule: 3, name: "the wrong piece", from: "thread M2R 2TR 2HR after M1R", to: "thread M2R 2TR 2HR",
		says: `step 5, op 1 (thread M2R): rule 3: piece "mains" has begun already, M2R must follow a strand`},
	{rule: 3, name: "a strand follows one of another piece", from: "weave C1 3HL 3HR over 4", to: "weave C1 3HL 3HR over 4 after M3L",
		says: "step 11, op 1 (weave C1): rule 3: C1 cannot follow M3L, which is not laid with this piece"},
	{rule: 3, name: "a strand follows one that has no tail left", from: "thread M2L 2TL 2HL after M1L", to: "thread M2L 2TL 2HL after M1R",
		says: "step 6, op 1 (thread M2L): rule 3: M2L cannot follow M1R, which has no tail left"},
	{rule: 3, name: "a slack strand is put straight", from: "pull C1 3HR\nstraighten C1", to: "straighten C1\npull C1 3HR",
		says: "step 11, op 4 (straighten C1): rule 3: C1 is slack, it is put straight under tension"},

	{rule: 4, name: "a strand between other holes", from: "thread M2R 2TR 2HR", to: "thread M2R 2TR 3HR",
		says: `step 5, op 1 (thread M2R): rule 4: M2R lies between 2HR and 2TR, not between "2TR" and "3HR"`},
	{rule: 4, name: "two strands in a hole that is not shared", terms: func(t *plan.Terms) { t.Crosses[0].Ends[0] = "2HL" },
		from: "weave C1 3HL 3HR over 4 blocked 3HL,3HR", to: "weave C1 2HL 3HR over 3 blocked 3HR",
		says: "step 11, op 1 (weave C1): rule 4: 2HL would carry 2 strands, it has room for 1"},
	{rule: 4, name: "a main and a cross in a hole that is not shared", sample: "shared ahead", terms: func(t *plan.Terms) { t.Shared = t.Shared[:1] },
		says: "step 11, op 1 (weave C1): rule 4: 4HR would carry 2 strands, it has room for 1"},
	{rule: 4, name: "a strand is left away", from: "weave C5 3TL 3TR over 4 after C4 blocked 3TL,3TR\n", to: "",
		says: "at the end: rule 4: C5 is not laid"},
	{rule: 4, name: "a second knot in a tie-off hole", terms: func(t *plan.Terms) { t.TieMains = append(t.TieMains, "4TR") },
		from: "tie M3R 4TR 2TR M2R covers 3TR\nunclamp B\ntrim 2TR\n", to: "tie M3R 4TR 2TR M2R covers 3TR\nunclamp B\ntrim 2TR\ntie M3R 4TR 2TR M2R covers 3TR\n",
		says: "step 9, op 4 (tie M3R): rule 4: 2TR carries a knot already"},

	{rule: 5, name: "a cross starts on the wrong face", from: "weave C2 5HR 5HL under 6", to: "weave C2 5HR 5HL over 6",
		says: "step 11, op 3 (weave C2): rule 5: over and under do not alternate on M2R where C2 passes it"},
	{rule: 5, name: "a cross meets fewer mains", from: "weave C2 5HR 5HL under 6", to: "weave C2 5HR 5HL under 4",
		says: "step 11, op 3 (weave C2): rule 5: C2 meets 6 mains, not 4"},
	{rule: 5, name: "a face that is none", from: "weave C2 5HR 5HL under 6", to: "weave C2 5HR 5HL beside 6",
		says: `step 11, op 3 (weave C2): rule 5: a cross passes its first main "over" or "under", not "beside"`},
	{rule: 5, name: "a cross is woven before its mains are threaded", sample: "around ahead",
		from: "weave C5 3TR 3TL under 4 after M3R", to: "weave C4 5TR 5TL under 6 after M3R",
		says: "step 8, op 1 (weave C4): rule 5: C4 meets M3L, which is not threaded yet"},
	{rule: 5, name: "a main is threaded after the crosses that it meets", sample: "around ahead",
		from: "weave C5 3TR 3TL under 4 after M3R", to: "weave C4 5TR 5TL under 6 after M3R",
		says: "step 9, op 1 (thread M3L): rule 5: M3L meets C4, which is woven already: a main cannot be woven in"},
	{rule: 5, name: "a cross is threaded", from: "weave C1 3HL 3HR over 4 blocked", to: "thread C1 3HL 3HR blocked",
		says: "step 11, op 1 (thread C1): rule 5: C1 is a cross, it is woven and not threaded"},

	{rule: 6, name: "a run over the bed", from: "thread M2R 2TR 2HR after M1R", to: "thread M2R 2HR 2TR after M1L",
		says: "step 5, op 1 (thread M2R): rule 6: the string outside from 1TL to 2HR passes the centre line"},
	{rule: 6, name: "a knot on the other side", from: "tie M3R 4TR 2TR M2R covers 3TR", to: "tie M3R 4TR 2TL M2L",
		says: "step 9, op 1 (tie M3R): rule 6: the string outside from 4TR to 2TL passes the centre line"},
	{rule: 6, name: "a blocked hole is not announced", from: "weave C1 3HL 3HR over 4 blocked 3HL,3HR", to: "weave C1 3HL 3HR over 4 blocked 3HL",
		says: `step 11, op 1 (weave C1): rule 6: "blocked" says 3HL, but it is 3HL, 3HR`},
	{rule: 6, name: "a hole is called blocked that is not", from: "thread M2R 2TR 2HR after M1R", to: "thread M2R 2TR 2HR after M1R blocked 2TR",
		says: `step 5, op 1 (thread M2R): rule 6: "blocked" says 2TR, but it is no hole`},
	{rule: 6, name: "a hole that is covered is not announced", from: "after M2R covers 3HR", to: "after M2R",
		says: `step 7, op 1 (thread M3R): rule 6: "covers" says no hole, but it is 3HR`},
	{rule: 6, name: "a hole is called covered that is threaded", from: "tie C1 3HL 4HL M3L", to: "tie C1 3HL 4HL M3L covers 2HL",
		says: `step 18, op 1 (tie C1): rule 6: "covers" says 2HL, but it is no hole`},

	{rule: 7, name: "one side runs ahead", from: "# mains\nthread M2L 2TL 2HL after M1L\npull M2L 2HL\nunclamp A\nclamp A M2L 2HL\nrelease\n", to: "",
		says: "step 6, op 2 (pull M3R): rule 7: one side leads by 2 pulls, at most 1 are allowed"},
	{rule: 7, name: "a cross is pulled over a slack main",
		from: "pull M3L 4TL boost\nunclamp A\nclamp A M3L 4TL\nrelease\n", to: "",
		says: "step 12, op 2 (pull C2): rule 7: C2 is pulled over M3L, which is slack"},

	{rule: 8, name: "the next cross is woven after the pull",
		from: "weave C3 6HL 6HR under 6 after C2\npull C2 5HL\nstraighten C2\nclamp A C2 5HL\nrelease\n",
		to:   "pull C2 5HL\nstraighten C2\nclamp A C2 5HL\nrelease\nweave C3 6HL 6HR under 6 after C2\n",
		says: "step 12, op 5 (weave C3): rule 8: C3 must be woven before C2 is pulled"},

	{rule: 9, name: "a knot in a hole that is no tie-off hole", from: "tie M3L 4TL 2TL M2L covers 3TL", to: "tie M3L 4TL 1TL M1L covers 3TL",
		says: "step 10, op 1 (tie M3L): rule 9: 1TL is no tie-off hole for M3L"},
	{rule: 9, name: "a cross in the mains' tie-off hole", from: "tie C5 3TR 4TR M3R", to: "tie C5 3TR 2TR M2R",
		says: "step 16, op 1 (tie C5): rule 9: 2TR is no tie-off hole for C5"},
	{rule: 9, name: "a knot on a strand that passes elsewhere", from: "tie M3L 4TL 2TL M2L", to: "tie M3L 4TL 2TL M1L",
		says: "step 10, op 1 (tie M3L): rule 9: M1L cannot anchor a knot of M3L in 2TL: it takes another strand through that hole, " +
			"under tension, and a main for a main"},
	{rule: 9, name: "a knot on the strand itself", terms: func(t *plan.Terms) { t.TieMains = append(t.TieMains, "4TL") },
		from: "tie M3L 4TL 2TL M2L covers 3TL", to: "tie M3L 4TL 4TL M3L",
		says: "step 10, op 1 (tie M3L): rule 9: M3L cannot anchor a knot of M3L in 4TL: it takes another strand through that hole, " +
			"under tension, and a main for a main"},
	{rule: 9, name: "another tie-off hole is nearer", terms: func(t *plan.Terms) { t.TieMains = append(t.TieMains, "1TL") },
		from: "tie M3L 4TL 2TL M2L covers 3TL", to: "tie M3L 4TL 1TL M1L covers 3TL",
		says: "step 10, op 1 (tie M3L): rule 9: 2TL is nearer to 4TL than 1TL"},
	{rule: 9, name: "at a draw the one nearer the centre", terms: func(t *plan.Terms) { t.TieCrosses = append(t.TieCrosses, "2HL") },
		says: "step 18, op 1 (tie C1): rule 9: 2HL is nearer to 3HL than 4HL"},
	{rule: 9, name: "no tail leaves there", from: "tie M3L 4TL 2TL M2L covers 3TL", to: "tie M3L 4HL 2TL M2L covers 3TL",
		says: "step 10, op 1 (tie M3L): rule 9: no tail leaves at 4HL, the string goes on to M2L"},
	{rule: 9, name: "a slack strand is tied",
		from: "pull M3L 4TL boost\nunclamp A\nclamp A M3L 4TL\nrelease\n", to: "",
		says: "step 10, op 1 (tie M3L): rule 9: M3L is slack"},
	{rule: 9, name: "the tail is in the gripper",
		from: "clamp A M3L 4TL\nrelease", to: "clamp A M3L 4TL\ntie M3L 4TL 2TL M2L covers 3TL\nrelease",
		says: "step 8, op 5 (tie M3L): rule 9: the gripper has hold of the tail outside 4TL"},
	{rule: 9, name: "S sits on the tail",
		from: "unclamp S\nclamp A C1 3HL\nrelease", to: "clamp A C1 3HL\nrelease",
		says: "step 18, op 1 (tie C1): rule 9: S sits on the tail outside 3HL"},
	{rule: 9, name: "a knot is left away", from: "tie M3L 4TL 2TL M2L covers 3TL\nunclamp A\ntrim 2TL\n", to: "note forgotten\n",
		says: "at the end: rule 9: piece 1 of 2 has 1 knots, not two"},
	{rule: 9, name: "a tail is not trimmed", from: "trim 4HL\n", to: "",
		says: "at the end: rule 9: the tail in 4HL is not trimmed"},
	{rule: 9, name: "a tail is trimmed twice", from: "trim 2TR\n", to: "trim 2TR\ntrim 2TR\n",
		says: `step 9, op 4 (trim 2TR): rule 9: no knot in "2TR" has a tail to trim`},
	{rule: 9, name: "a tail is trimmed before it is tied", from: "tie M3R 4TR 2TR M2R covers 3TR\nunclamp B\ntrim 2TR", to: "trim 2TR\ntie M3R 4TR 2TR M2R covers 3TR\nunclamp B",
		says: `step 9, op 1 (trim 2TR): rule 9: no knot in "2TR" has a tail to trim`},
	{rule: 9, name: "a starting knot that the technique does not have", sample: "knot L head ahead", terms: func(t *plan.Terms) { t.Start = "skip" },
		says: "step 11, op 1 (tie C1): rule 9: C1 is not laid yet, and the technique has no starting knot for it"},
	{rule: 9, name: "the string does not come from its starting knot", sample: "knot L head ahead",
		from: "weave C1 3HL 3HR over 4", to: "weave C1 3HR 3HL under 4",
		says: "step 12, op 1 (weave C1): rule 9: C1 must come from its starting knot and enter at 3HL"},

	{rule: 10, name: "a last main without its boost", from: "pull M3R 4TR boost", to: "pull M3R 4TR",
		says: `step 7, op 2 (pull M3R): rule 10: M3R is pulled at "24 kg", 235.3596 N with 0 % boost; it should be "26.4 kg", 258.89556 N with 10 %`},
	{rule: 10, name: "a boost too many", from: "pull M2R 2HR", to: "pull M2R 2HR boost",
		says: `step 5, op 2 (pull M2R): rule 10: M2R is pulled at "26.4 kg", 258.89556 N with 10 % boost; it should be "24 kg", 235.3596 N with 0 %`},
	{rule: 10, name: "two mains a side are to be boosted", terms: func(t *plan.Terms) { t.BoostMains = 2 },
		says: `step 5, op 2 (pull M2R): rule 10: M2R is pulled at "24 kg", 235.3596 N with 0 % boost; it should be "26.4 kg", 258.89556 N with 10 %`},
	{rule: 10, name: "the last cross without its boost", from: "pull C5 3TR boost", to: "pull C5 3TR",
		says: `step 15, op 1 (pull C5): rule 10: C5 is pulled at "23 kg", 225.55295 N with 0 % boost; it should be "25.3 kg", 248.108245 N with 10 %`},
	{rule: 10, name: "the first cross's tail without its boost", from: "pull C1 3HL repull boost", to: "pull C1 3HL repull",
		says: `step 17, op 1 (pull C1): rule 10: C1 is pulled at "23 kg", 225.55295 N with 0 % boost; it should be "25.3 kg", 248.108245 N with 10 %`},
	{rule: 10, name: "the first cross of a skip start without its boost", sample: "skip L head ahead", from: "pull C1 3HL boost", to: "pull C1 3HL",
		says: `step 16, op 1 (pull C1): rule 10: C1 is pulled at "23 kg", 225.55295 N with 0 % boost; it should be "25.3 kg", 248.108245 N with 10 %`},
	{rule: 10, name: "the long side of one piece is boosted", sample: "one piece ahead", from: "pull M3L 4HL", to: "pull M3L 4HL boost",
		says: `step 7, op 2 (pull M3L): rule 10: M3L is pulled at "26.4 kg", 258.89556 N with 10 % boost; it should be "24 kg", 235.3596 N with 0 %`},
	{rule: 10, name: "the short side of one piece without its boost", sample: "one piece ahead", from: "pull M3R 4HR boost", to: "pull M3R 4HR",
		says: `step 6, op 2 (pull M3R): rule 10: M3R is pulled at "24 kg", 235.3596 N with 0 % boost; it should be "26.4 kg", 258.89556 N with 10 %`},
	{rule: 10, name: "the short side around without its boost", sample: "around ahead", from: "pull M2L 2HL boost", to: "pull M2L 2HL",
		says: `step 5, op 2 (pull M2L): rule 10: M2L is pulled at "24 kg", 235.3596 N with 0 % boost; it should be "26.4 kg", 258.89556 N with 10 %`},
	{rule: 10, name: "the last cross around without its boost", sample: "around ahead", from: "pull C4 5TL boost", to: "pull C4 5TL",
		says: `step 13, op 1 (pull C4): rule 10: C4 is pulled at "23 kg", 225.55295 N with 0 % boost; it should be "25.3 kg", 248.108245 N with 10 %`},
	{rule: 10, name: "another figure in the job's unit", edit: func(p *plan.Plan) { p.Steps[2].Ops[0].Tension = "24.5 kg" },
		says: `step 3, op 1 (pull M1R): rule 10: M1R is pulled at "24.5 kg", 235.3596 N with 0 % boost; it should be "24 kg", 235.3596 N with 0 %`},
	{rule: 10, name: "another force", edit: func(p *plan.Plan) { p.Steps[2].Ops[0].Newtons *= 1.00001 },
		says: `step 3, op 1 (pull M1R): rule 10: M1R is pulled at "24 kg", 235.361953596 N with 0 % boost; it should be "24 kg", 235.3596 N with 0 %`},
	{rule: 10, name: "the first cross's tail is never pulled again",
		from: "pull C1 3HL repull boost\nunclamp S\nclamp A C1 3HL\nrelease", to: "clamp A C1 3HL\nunclamp S",
		says: "at the end: rule 10: the tail of C1 was never pulled with its boost"},
	{rule: 10, name: "the crosses begin at the wrong end", terms: func(t *plan.Terms) { t.From = "throat" },
		says: `step 17, op 1 (pull C1): rule 10: C1 is pulled at "25.3 kg", 248.108245 N with 10 % boost; it should be "23 kg", 225.55295 N with 0 %`},

	{rule: 11, name: "a clamp stays on", from: "tie C1 3HL 4HL M3L\nunclamp A", to: "tie C1 3HL 4HL M3L",
		says: "at the end: rule 11: A still grips C1 3HL"},
	{rule: 11, name: "a strand stays slack", sample: "skip L head ahead",
		from: "pull C1 3HL boost\nstraighten C1\nunclamp S\nclamp A C1 3HL\nrelease\n# crosses\ntie C1 3HL 4HL M3L\nunclamp A\ntrim 4HL\n", to: "",
		says: "at the end: rule 11: C1 is slack"},
	{rule: 11, name: "a support is not mounted", from: "mount throat\nmount outer arms\n", to: "mount throat\n",
		says: "step 2, op 1 (thread M1L): rule 11: string is handled with 2 of 3 supports mounted"},
	{rule: 11, name: "supports in another order", from: "mount head\nmount throat", to: "mount throat\nmount head",
		says: `step 1, op 2 (mount throat): rule 11: it is the turn of "head", not of "throat"`},
	{rule: 11, name: "a support too many", from: "mount throat\nmount outer arms\n", to: "mount throat\nmount outer arms\nmount head\n",
		says: `step 1, op 5 (mount head): rule 11: no support is left, "head" least of all`},
	{rule: 11, name: "supports loosened in another order", from: "dismount outer arms\ndismount throat", to: "dismount throat\ndismount outer arms",
		says: `step 20, op 1 (dismount throat): rule 11: it is the turn of "outer arms", not of "throat"`},
	{rule: 11, name: "the frame stays on the machine", from: "dismount head\n", to: "",
		says: "at the end: rule 11: 3 of 3 supports were mounted, 2 of 3 dismounted"},
	{rule: 11, name: "string is cut on a loose frame", from: "trim 4HL\n\n# finish\ninspect every crossing\nnote hours\n# finish\ndismount outer arms",
		to:   "\n# finish\ninspect every crossing\nnote hours\n# finish\ndismount outer arms\ntrim 4HL",
		says: "step 20, op 2 (trim 4HL): rule 11: string is handled while the frame is dismounted"},
	{rule: 11, name: "phases in disorder", from: "# mains\ntie M3L", to: "# mount\nnote x\n# mains\ntie M3L",
		says: `step 10: rule 11: phase "mount" is unknown or comes too late`},
	{rule: 11, name: "a weave among the mains", from: "# crosses\nweave C1", to: "# mains\nweave C1",
		says: `step 11, op 1 (weave C1): rule 11: phase "mains" is no time for it`},
	{rule: 11, name: "a support mounted over the string", from: "trim 2TR\n", to: "trim 2TR\n# mains\nmount head\n",
		says: "step 10, op 1 (mount head): rule 11: string is handled already"},
	{rule: 11, name: "a step's number", edit: func(p *plan.Plan) { p.Steps[4].N = 4 },
		says: "step 5: rule 11: the step's number is 4"},
	{rule: 11, name: "a phase that is none", edit: func(p *plan.Plan) { p.Steps[4].Phase = "main" },
		says: `step 5: rule 11: phase "main" is unknown or comes too late`},
	{rule: 11, name: "an operation that is none", edit: func(p *plan.Plan) { p.Steps[4].Ops[0].Op = "glue" },
		says: `step 5, op 1 (glue M2R): rule 11: no operation is called "glue"`},
	{rule: 11, name: "a note that says nothing", edit: func(p *plan.Plan) { p.Steps[0].Ops[0].Text = "" },
		says: "step 1, op 1 (inspect): rule 11: the text is missing"},
	{rule: 11, name: "a knot without a name", edit: func(p *plan.Plan) { p.Steps[8].Ops[0].Knot = "" },
		says: "step 9, op 1 (tie M3R): rule 11: the knot is missing"},
	{rule: 11, name: "a clamp shown where none is", edit: func(p *plan.Plan) { p.Steps[0].Clamps[plan.A] = &plan.Grip{Strand: "M1L", Hole: "1HL"} },
		says: "step 1: rule 11: A is free when the step is over, not at M1L 1HL"},
	{rule: 11, name: "a clamp not shown", edit: func(p *plan.Plan) { delete(p.Steps[2].Clamps, plan.B) },
		says: "step 3: rule 11: B stands at M1R 1TR when the step is over, not free"},
	{rule: 11, name: "a clamp shown elsewhere", edit: func(p *plan.Plan) { p.Steps[2].Clamps[plan.B] = &plan.Grip{Strand: "M1R", Hole: "1HR"} },
		says: "step 3: rule 11: B stands at M1R 1TR when the step is over, not at M1R 1HR"},
	{rule: 11, name: "S shown inside the hoop", edit: func(p *plan.Plan) { p.Steps[10].Clamps[plan.S].Outside = false },
		says: "step 11: rule 11: S stands at C1 3HL outside the hoop when the step is over, not at C1 3HL"},
	{rule: 11, name: "a fourth clamp", edit: func(p *plan.Plan) { p.Steps[2].Clamps["D"] = nil },
		says: "step 3: rule 11: the step knows of clamps other than A, B and S"},
	{rule: 11, name: "wrong totals", edit: func(p *plan.Plan) { p.Totals.MaxLead = 2 },
		says: "at the end: rule 11: the totals are 11 pulls, 4 knots and a lead of 1, not 11, 4 and 2"},
	{rule: 9, name: "a tail of another length", edit: func(p *plan.Plan) { p.Steps[8].Ops[2].TailMM = 5 },
		says: "step 9, op 3 (trim 2TR): rule 9: 3 mm of tail stay, not 5 mm"},
	{rule: 3, name: "the wrong piece's name", edit: func(p *plan.Plan) { p.Steps[4].Ops[0].Piece = "crosses" },
		says: `step 5, op 1 (thread M2R): rule 3: M2R belongs to piece "mains", not "crosses"`},
	{rule: 5, name: "a main is woven", edit: func(p *plan.Plan) { p.Steps[4].Ops[0].Op = plan.Weave },
		says: "step 5, op 1 (weave M2R): rule 5: M2R is a main, it is threaded and not woven"},
	{rule: 2, name: "a fixed clamp on two strands", from: "clamp B M1R 1TR", to: "clamp B M1R 1TR with M1L",
		says: "step 3, op 2 (clamp B M1R): rule 2: B grips one strand, not M1L as well"},
	{rule: 2, name: "a flying clamp with a strand that is not beside", sample: "flying ahead", from: "clamp B M2R 2HR with M1R", to: "clamp B M2R 2HR with M1L",
		says: `step 3, op 3 (clamp B M2R): rule 2: a flying clamp grips M2R and a strand beside it, not "M1L"`},
	{rule: 3, name: "a pull that does not draw the other strand along", sample: "flying ahead", from: "pull C2 5HL also C1", to: "pull C2 5HL also C3",
		says: "step 9, op 5 (pull C2): rule 3: the pull does not draw C3 along"},
	{rule: 3, name: "a pull of two strands that does not say so", sample: "flying ahead", from: "pull C2 5HL also C1", to: "pull C2 5HL",
		says: "step 9, op 5 (pull C2): rule 3: C1 is slack behind it"},
	{rule: 3, name: "a pull of two strands with fixed clamps", from: "pull M1L 1TL", to: "pull M1L 1TL also M1R",
		says: "step 4, op 1 (pull M1L): rule 3: only with flying clamps one pull draws two strands tight, M1L and M1R"},
	{rule: 3, name: "a pull that names a strand that is tensioned", sample: "flying ahead", from: "pull M2L 2HL", to: "pull M2L 2HL also M2R",
		says: "step 4, op 2 (pull M2L): rule 3: M2R is tensioned already, the pull of M2L does not draw it tight"},
	{rule: 5, name: "the first cross passes its first main on the other face", terms: func(t *plan.Terms) { t.FirstFace = plan.Under },
		says: "step 11, op 1 (weave C1): rule 5: the first cross woven passes its first main under, not over"},
	{rule: 6, name: "a run that is too long", terms: func(t *plan.Terms) { t.Reach = 1 },
		says: "step 7, op 1 (thread M3R): rule 6: the string outside from 4HR takes 2 hole-steps, at most 1 are allowed"},
	{rule: 6, name: "a covered hole that no note names", from: "note leave scraps in 3HL, 3HR, 3TL and 3TR", to: "note leave scraps in 3HL, 3H and 13TR",
		says: "step 7, op 1 (thread M3R): rule 6: 3HR is covered, and no note named it before"},
	{rule: 6, name: "a knot in a covered hole that no note named", terms: func(t *plan.Terms) { t.TieCrosses[3] = "2TR" }, edit: func(p *plan.Plan) {
		freeTie(p)
		p.Steps[8].Ops[0].Text = "mind it"
		p.Steps[15].Ops[0].Hole, p.Steps[15].Ops[0].Anchor, p.Steps[15].Ops[2].Hole = "2TR", "M2R", "2TR"
	}, says: "step 16, op 1 (tie C5): rule 6: 2TR lies under a run since step 9, and no note named it before"},
	{rule: 8, name: "a cross is woven ahead where that is not the technique", terms: func(t *plan.Terms) { t.Ahead = false },
		says: "step 11, op 3 (weave C2): rule 8: C2 is woven before C1 is pulled, and the technique does not weave ahead"},
	{rule: 9, name: "another knot", edit: func(p *plan.Plan) { p.Steps[8].Ops[0].Knot = "reef knot" },
		says: "step 9, op 1 (tie M3R): rule 9: tails are tied with a double half hitch, not with a reef knot"},
	{rule: 9, name: "a tail is tied twice", from: "trim 2TR\n", to: "trim 2TR\ntie M3R 4TR 2TR M2R\n",
		says: "step 9, op 4 (tie M3R): rule 9: the tail outside 4TR is tied already"},
	{rule: 9, name: "a second starting knot", sample: "knot L head ahead", from: "tie C1 3HL 4HL M3L\n", to: "tie C1 3HL 4HL M3L\ntie C1 3HL 4HL M3L\n",
		says: "step 11, op 2 (tie C1): rule 9: C1 has its starting knot already"},
	{rule: 10, name: "a strand that has a tension of its own", terms: func(t *plan.Terms) {
		t.Pulls = map[plan.Strand]plan.Tension{"M2R": {Ordered: "22 kg", Newtons: 215.7463}}
	}, says: `step 5, op 2 (pull M2R): rule 10: M2R is pulled at "24 kg", 235.3596 N with 0 % boost; it should be "22 kg", 215.7463 N with 0 %`},

	{rule: 12, name: "nobody looks at the printed range", from: "inspect the frame, printed range 22 kg to 27 kg", to: "inspect the frame",
		says: "step 2, op 1 (thread M1L): rule 12: nobody has looked at the printed range, 22 kg to 27 kg, before string is handled"},
	{rule: 12, name: "the mains begin at the other end", terms: func(t *plan.Terms) { t.MainsStart = "throat" },
		says: "step 2, op 2 (thread M1R): rule 12: the centre mains loop at the throat, not at the head"},
	{rule: 12, name: "the other side goes first", terms: func(t *plan.Terms) { t.First = "L" },
		says: "step 3, op 1 (pull M1R): rule 12: it is not the turn of M1R: L goes first and leads by 1, then level"},
	{rule: 12, name: "a side may lead by two", terms: func(t *plan.Terms) { t.Lead = 2 },
		says: "step 6, op 2 (pull M2L): rule 12: it is not the turn of M2L: R goes first and leads by 2, then level"},
	{rule: 12, name: "each side overtakes the other", terms: func(t *plan.Terms) { t.Then = "overtake" },
		says: "step 7, op 2 (pull M3R): rule 12: it is not the turn of M3R: R goes first and leads by 1, then overtake"},
	{rule: 12, name: "S does not back the first clamp", from: "clamp A M1L 1HL\nclamp S M1L 1HL\n", to: "clamp A M1L 1HL\n",
		says: "step 3, op 1 (pull M1R): rule 12: S does not stand behind the clamp that holds the centre loop"},
	{rule: 12, name: "S inside the hoop at the start with flying clamps", sample: "flying ahead", from: "clamp S M1R 1TR outside", to: "clamp S M1R 1TR",
		says: "step 2, op 4 (pull M1L): rule 12: S does not stand outside the first main, which flying clamps cannot hold"},
	{rule: 11, name: "a step that writes down what went wrong, and nothing did", edit: func(p *plan.Plan) { p.Steps[4].Record = true },
		says: "step 5: rule 11: the step only writes down what went wrong, but it does not end with that"},
	{rule: 12, name: "the crosses go the other way", sample: "knot L head ahead", terms: func(t *plan.Terms) { t.From = "throat" },
		says: "step 12, op 3 (pull C1): rule 12: it is the turn of C5, not of C1"},
	{rule: 12, name: "the crosses start on the other side", terms: func(t *plan.Terms) { t.Side = "R" },
		says: "step 11, op 1 (weave C1): rule 12: the crosses' string starts on side R, not at 3HL"},
	{rule: 12, name: "no starting knot", terms: func(t *plan.Terms) { t.Start = "knot" },
		says: "step 11, op 4 (pull C1): rule 12: C1 is pulled without the starting knot that the technique has"},
	{rule: 12, name: "a starting knot instead of S", sample: "knot L head ahead", terms: func(t *plan.Terms) { t.Start = "clamp" },
		says: "step 12, op 3 (pull C1): rule 12: C1 is pulled while S does not stand outside the start of C1"},
	{rule: 12, name: "S inside the hoop at the crosses' start", from: "clamp S C1 3HL outside", to: "clamp S C1 3HL",
		says: "step 11, op 4 (pull C1): rule 12: C1 is pulled while S does not stand outside the start of C1"},
	{rule: 12, name: "the first cross's tail is due after the third", terms: func(t *plan.Terms) { t.Repull = "third" },
		says: "step 17, op 1 (pull C1): rule 12: the first cross's tail is pulled again after 3 crosses, not after 5"},
	{rule: 12, name: "one clamp for the crosses", terms: func(t *plan.Terms) { t.CrossClamps = 1 },
		says: "step 12, op 4 (clamp A C2): rule 12: one clamp is free for the crosses, it is moved while the gripper pulls C2"},
	{rule: 12, name: "the old clamp leaves too early", from: "clamp A C2 5HL\nrelease\nunclamp B", to: "unclamp B\nclamp A C2 5HL\nrelease",
		says: "step 12, op 5 (clamp A C2): rule 12: two clamps are free for the crosses, the old one comes off only when C2 is clamped"},
	{rule: 12, name: "S stands at another end than the first clamp", from: "clamp S M1L 1HL\n", to: "clamp S M1R 1HR\n",
		says: "step 3, op 1 (pull M1R): rule 12: S does not stand behind the clamp that holds the centre loop"},
	{rule: 12, name: "two crosses go tight in one pull that names one", sample: "flying ahead", from: "pull C2 5HL also C1", to: "pull C2 5HL",
		says: "step 9, op 5 (pull C2): rule 12: it is the turn of C1, not of C2"},
	{rule: 11, name: "a main goes in among the crosses", from: "# mains\nthread M2R", to: "# crosses\nthread M2R",
		says: `step 5, op 1 (thread M2R): rule 11: phase "crosses" is no time for it`},
	{rule: 11, name: "a clamp is on when the first support comes off", from: "note hours\n", to: "note hours\nclamp A C1 3HL\n",
		says: "step 20, op 1 (dismount outer arms): rule 11: A still grips C1 3HL"},
	{rule: 11, name: "a step that writes down what went wrong, and has no op", edit: func(p *plan.Plan) { p.Steps[4].Record, p.Steps[4].Ops = true, nil },
		says: "step 5: rule 11: the step only writes down what went wrong, but it does not end with that"},
	{rule: 9, name: "a knot in a hole that there is not", from: "tie C1 3HL 4HL M3L", to: "tie C1 3HL 12HL M3L",
		says: `step 18, op 1 (tie C1): rule 9: the frame has no hole "12HL"`},
	{rule: 2, name: "a flying clamp with a strand that is not laid", sample: "flying ahead", from: "clamp A M1L 1TL with M1R", to: "clamp A M1L 1TL with M2L",
		says: `step 2, op 5 (clamp A M1L): rule 2: a flying clamp grips M1L and a strand beside it, not "M2L"`},
	{rule: 2, name: "a flying clamp with a strand that there is not", sample: "flying ahead", from: "clamp A M1L 1TL with M1R", to: "clamp A M1L 1TL with M9R",
		says: `step 2, op 5 (clamp A M1L): rule 2: a flying clamp grips M1L and a strand beside it, not "M9R"`},
	{rule: 12, name: "another strand is put straight", from: "straighten C2", to: "straighten C1",
		says: "step 12, op 3 (straighten C1): rule 12: C1 is put straight, but it was not pulled last"},
}

// script returns a sample's terms, totals and script.
func script(t testing.TB, all []sample, name string) (plan.Terms, plan.Totals, string) {
	p := find(t, all, name)
	parts := map[string]string{
		"clamp L head ahead": twoPieceMains + clampCrosses, "clamp L head in turn": twoPieceMains + clampCrosses,
		"shared ahead":      sharedHoles.Replace(twoPieceMains + clampCrosses),
		"knot L head ahead": twoPieceMains + knotCrosses, "skip L head ahead": twoPieceMains + skipCrosses,
		"one piece ahead": onePiece, "around ahead": around, "flying ahead": flying,
	}
	text := mounting + parts[name] + dismounting
	ahead := map[bool]string{true: "ahead: ", false: "later: "}
	var lines []string
	for _, line := range strings.Split(text, "\n") {
		if !strings.HasPrefix(line, ahead[!p.Terms.Ahead]) {
			lines = append(lines, strings.TrimPrefix(line, ahead[p.Terms.Ahead]))
		}
	}
	terms := p.Terms // with chords of its own, since a test may move them
	terms.Mains, terms.Crosses = slices.Clone(terms.Mains), slices.Clone(terms.Crosses)
	return terms, p.Totals, strings.Join(lines, "\n")
}

// plan makes the whole plan of a violation.
func (v violation) plan(t testing.TB, all []sample) *plan.Plan {
	if v.sample == "" {
		v.sample = "clamp L head ahead"
	}
	terms, totals, text := script(t, all, v.sample)
	if v.terms != nil {
		v.terms(&terms)
	}
	if v.from != "" {
		require.Equal(t, 1, strings.Count(text, v.from), "the part to change: %s", v.name)
		text = strings.Replace(text, v.from, v.to, 1)
	}
	p := write(t, terms, text, totals)
	if v.edit != nil {
		v.edit(p)
	}
	return p
}

func TestEveryRuleIsGuarded(t *testing.T) {
	all, guarded := samples(t), map[int]int{}
	for _, v := range violations {
		t.Run(fmt.Sprintf("%d %s", v.rule, v.name), func(t *testing.T) {
			breaches := Check(v.plan(t, all))
			require.NotEmpty(t, breaches)
			assert.Contains(t, rules(breaches), v.rule)
			var said []string
			for _, b := range breaches {
				said = append(said, b.String())
			}
			assert.Contains(t, said, v.says)
		})
		guarded[v.rule]++
	}
	for rule := 1; rule <= 12; rule++ {
		assert.NotZero(t, guarded[rule], "rule %d", rule)
	}
}

func TestBreachesSayWhere(t *testing.T) {
	for want, b := range map[string]Breach{
		"step 12, op 3 (pull M3L): rule 3: M2L is slack behind it": {12, 3, "pull M3L", 3, "M2L is slack behind it"},
		"step 12: rule 11: the step's number is 3":                 {12, 0, "", 11, "the step's number is 3"},
		"at the end: rule 4: C1 is not laid":                       {0, 0, "", 4, "C1 is not laid"},
		"terms: rule 7: too far":                                   {0, 0, "terms", 7, "too far"},
	} {
		assert.Equal(t, want, b.String())
	}
}

// A cross can carry the knot of a cross, but not that of a main.
func TestAnchors(t *testing.T) {
	terms := smallTerms()
	table, breaches := New(&terms)
	require.Empty(t, breaches)
	m3, m2, c1, c2 := table.bed.find("M3L"), table.bed.find("M2L"), table.bed.find("C1"), table.bed.find("C2")
	for _, s := range []int{m3, m2, c1, c2} {
		table.spans[s].laid, table.spans[s].tense = true, true
		table.ends[2*s].hole = 7
	}
	assert.True(t, table.anchors(m2, m3, 7), "a main on a main")
	assert.True(t, table.anchors(m2, c1, 7), "a cross on a main")
	assert.True(t, table.anchors(c2, c1, 7), "a cross on a cross")
	assert.False(t, table.anchors(c1, m2, 7), "a main on a cross")
	assert.False(t, table.anchors(m2, m2, 7), "a main on itself")
	assert.False(t, table.anchors(m2, m3, 8), "a main that passes elsewhere")
	table.spans[m2].tense = false
	assert.False(t, table.anchors(m2, m3, 7), "a slack main")
}
