package referee

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/sequence/plan"
)

// The bounds of terms, each at its edge: the last that is right and the first that is not.
func TestTermsAtTheirBounds(t *testing.T) {
	for _, c := range []struct {
		name string
		rule int // 0 where the terms are right
		edit func(*plan.Terms)
	}{
		{"as they are", 0, func(*plan.Terms) {}},
		{"a right side without holes", ruleHole, func(t *plan.Terms) { t.HolesRight = 0 }},
		{"a left side without holes", ruleHole, func(t *plan.Terms) { t.HolesLeft = 0 }},
		{"999 holes on the left", 0, func(t *plan.Terms) { headOnly(t); t.HolesLeft = 999 }},
		{"1000 holes on the left", ruleHole, func(t *plan.Terms) { headOnly(t); t.HolesLeft = 1000 }},
		{"999 holes on the right", 0, func(t *plan.Terms) { headOnly(t); t.HolesRight = 999 }},
		{"1000 holes on the right", ruleHole, func(t *plan.Terms) { headOnly(t); t.HolesRight = 1000 }},
		{"no main on the left", 0, func(t *plan.Terms) { t.Mains = t.Mains[3:] }},
		{"one main", 0, func(t *plan.Terms) { t.Mains = t.Mains[2:3] }},
		{"one cross", 0, func(t *plan.Terms) { t.Crosses = t.Crosses[:1] }},
		{"no lead", ruleLead, func(t *plan.Terms) { t.Lead = 0 }},
		{"a lead of one", 0, func(t *plan.Terms) { t.Lead = 1 }},
		{"a lead of three", 0, func(t *plan.Terms) { t.Lead = 3 }},
		{"a lead of four", ruleLead, func(t *plan.Terms) { t.Lead = 4 }},
		{"one clamp for the crosses", 0, func(t *plan.Terms) { t.CrossClamps = 1 }},
		{"three clamps for the crosses", ruleStock, func(t *plan.Terms) { t.CrossClamps = 3 }},
		{"fewer clamps than none", ruleStock, func(t *plan.Terms) { t.Fixed = -1 }},
		{"no clamp", 0, func(t *plan.Terms) { t.Fixed = 0 }},
		{"one clamp", 0, func(t *plan.Terms) { t.Fixed = 1 }},
		{"three fixed clamps", ruleStock, func(t *plan.Terms) { t.Fixed = 3 }},
		{"two flying clamps", 0, func(t *plan.Terms) { t.Fixed, t.Flying = 0, 2 }},
		{"three flying clamps", ruleStock, func(t *plan.Terms) { t.Fixed, t.Flying = 0, 3 }},
		{"fewer flying clamps than none", ruleStock, func(t *plan.Terms) { t.Fixed, t.Flying = 2, -1 }},
		{"a fixed and a flying clamp", ruleStock, func(t *plan.Terms) { t.Fixed, t.Flying = 1, 1 }},
		{"no starting clamp", 0, func(t *plan.Terms) { t.Starting = 0 }},
		{"two starting clamps", ruleStock, func(t *plan.Terms) { t.Starting = 2 }},
		{"fewer starting clamps than none", ruleStock, func(t *plan.Terms) { t.Starting = -1 }},
		{"no mains", ruleHole, func(t *plan.Terms) { t.Mains = nil }},
		{"no crosses", ruleHole, func(t *plan.Terms) { t.Crosses = nil }},
		{"no piece", ruleOnce, func(t *plan.Terms) { t.Pieces = 0 }},
		{"a main's second hole is none", ruleHole, func(t *plan.Terms) { t.Mains[0].Ends[1] = "12HL" }},
		{"a cross without its second hole", ruleHole, func(t *plan.Terms) { t.Crosses[0].Ends[1] = "" }},
		{"a cross on one side", ruleHole, func(t *plan.Terms) { t.Crosses[0].Ends[1] = "4HL" }},
		{"a cross on the other side", ruleHole, func(t *plan.Terms) { t.Crosses[0].Ends[0] = "4HR" }},
		{"a cross called M", ruleOnce, func(t *plan.Terms) { t.Crosses[0].Strand = "M1" }},
		{"a main without a number", ruleOnce, func(t *plan.Terms) { t.Mains[0].Strand = "ML" }},
		{"C1 missing", ruleOnce, func(t *plan.Terms) { t.Crosses = t.Crosses[1:2] }},
		{"a re-pull without a clamp start", 0, func(t *plan.Terms) { t.Start, t.Repull = "knot", "" }},
		{"no word for the re-pull", ruleTension, func(t *plan.Terms) { t.Repull = "" }},
		{"a tie-off hole for crosses that is none", ruleKnot, func(t *plan.Terms) { t.TieCrosses = []plan.Hole{"40TL"} }},
	} {
		terms := smallTerms()
		c.edit(&terms)
		_, breaches := read(&terms, "")
		if c.rule == 0 {
			assert.Empty(t, breaches, c.name)
		} else {
			assert.Equal(t, []int{c.rule}, rules(breaches), c.name)
		}
	}
	for _, side := range []func(*plan.Terms) *int{func(t *plan.Terms) *int { return &t.HolesLeft }, func(t *plan.Terms) *int { return &t.HolesRight }} {
		terms := smallTerms()
		*side(&terms) = 1
		_, breaches := read(&terms, "")
		assert.NotContains(t, breaches[0].What, "a side has", "one hole is a side, and too few for these strands")
	}
	for mains, want := range map[string]string{`"12HL" and "3TL"`: "12HL", `"3HL" and "0TL"`: "0TL"} {
		terms := smallTerms()
		terms.Mains[0].Ends = [2]plan.Hole{"3HL", "3TL"}
		terms.Mains[0].Ends[strings.Count(mains, "0TL")] = plan.Hole(want)
		_, breaches := read(&terms, "")
		require.NotEmpty(t, breaches)
		assert.Contains(t, breaches[0].What, "cannot lie between "+mains)
	}
}

// What is wrong with a chord is told with both of its holes.
func TestWhatIsWrongWithAChord(t *testing.T) {
	for want, c := range map[string]plan.Chord{
		"C1 has one hole, 3HL, for both ends":                                 {Strand: "C1", Ends: [2]plan.Hole{"3HL", "3HL"}},
		"C1 goes from 3HR to 3HL, not from the left side to the right":        {Strand: "C1", Ends: [2]plan.Hole{"3HR", "3HL"}},
		"C1 goes from 3HL to 4HL, not from the left side to the right":        {Strand: "C1", Ends: [2]plan.Hole{"3HL", "4HL"}},
		`C1 cannot lie between "3HL" and "99HR": the frame has no such holes`: {Strand: "C1", Ends: [2]plan.Hole{"3HL", "99HR"}},
		`C1 cannot lie between "0HL" and "3HR": the frame has no such holes`:  {Strand: "C1", Ends: [2]plan.Hole{"0HL", "3HR"}},
		`"M1L" is no name for a strand of this kind`:                          {Strand: "M1L", Ends: [2]plan.Hole{"3HL", "3HR"}},
		`"C0" is no name for a strand of this kind`:                           {Strand: "C0", Ends: [2]plan.Hole{"3HL", "3HR"}},
	} {
		terms := smallTerms()
		terms.Crosses[0] = c
		_, breaches := read(&terms, "")
		if assert.NotEmpty(t, breaches, want) {
			assert.Equal(t, want, breaches[0].What)
		}
	}
	terms := smallTerms()
	terms.Shared = []plan.Hole{"3HL"}
	_, breaches := read(&terms, "")
	assert.Equal(t, "a shared hole carries a main and a cross, 3HL 0 and 1", breaches[0].What)
	terms = smallTerms()
	terms.Mains[0], terms.Mains[1] = terms.Mains[1], terms.Mains[0]
	_, breaches = read(&terms, "")
	assert.Equal(t, []string{"M2L is out of its place in the list", "M3L is out of its place in the list"}, []string{breaches[0].What, breaches[1].What})
}

// headOnly leaves strands that lie in holes counted from the head, so that a side can have any number of them.
func headOnly(t *plan.Terms) {
	t.Mains = []plan.Chord{{Strand: "M1L", Ends: [2]plan.Hole{"1HL", "1TL"}}, {Strand: "M1R", Ends: [2]plan.Hole{"1HR", "1TR"}}}
	t.Crosses = []plan.Chord{{Strand: "C1", Ends: [2]plan.Hole{"3HL", "3HR"}}}
	t.Shared, t.TieMains, t.TieCrosses = nil, nil, nil
}

// By the trade's rule k from the throat is N+1−k from the head; the name of a position counts from the nearer end.
func TestHolesByName(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := ring{rapid.IntRange(1, 40).Draw(t, "left"), rapid.IntRange(1, 40).Draw(t, "right")}
		for side, n := range map[string]int{"L": r.left, "R": r.right} {
			k := rapid.IntRange(1, n).Draw(t, "hole")
			want := k
			if side == "R" {
				want = r.total() + 1 - k
			}
			pos := r.hole(plan.Hole(fmt.Sprintf("%dH%s", k, side)))
			assert.Equal(t, want, pos)
			assert.Equal(t, pos, r.hole(plan.Hole(fmt.Sprintf("%dT%s", n+1-k, side))))
			assert.Equal(t, min(k, n+1-k), r.centre(pos))
			assert.Equal(t, pos, r.hole(r.name(pos)))
			if 2*k <= n+1 {
				assert.Equal(t, plan.Hole(fmt.Sprintf("%dH%s", k, side)), r.name(pos))
			} else {
				assert.Equal(t, plan.Hole(fmt.Sprintf("%dT%s", n+1-k, side)), r.name(pos))
			}
			assert.Zero(t, r.hole(plan.Hole(fmt.Sprintf("%dH%s", n+1, side))))
			assert.Zero(t, r.hole(plan.Hole(fmt.Sprintf("%dT%s", n+1, side))))
		}
		// A run goes along its side or the shorter way round: its ends and what lies under it are walked one by one.
		a, b := rapid.IntRange(1, r.total()).Draw(t, "a"), rapid.IntRange(1, r.total()).Draw(t, "b")
		u := r.run(a, b)
		if r.onLeft(a) == r.onLeft(b) {
			assert.Equal(t, max(a-b, b-a), u.steps)
		} else {
			assert.Equal(t, r.distance(a, b), u.steps)
		}
		var under []int
		for i := 1; i < u.steps; i++ {
			under = append(under, r.under(u, i))
		}
		end := r.under(u, u.steps)
		if u.steps == 0 {
			end = u.start
		}
		assert.ElementsMatch(t, []int{a, b}, []int{u.start, end})
		for i, p := 0, u.start; i < u.steps-1; i++ {
			p = p%r.total() + 1
			assert.Equal(t, p, under[i])
		}
	})
	for _, h := range []plan.Hole{"", "L", "HL", "0HL", "01HL", "1XL", "1HX", "xHL", "/HL", ":HL", "1/HL", "1:HL", "1111HL"} {
		assert.Zero(t, ring{2000, 2000}.hole(h), h)
	}
	assert.Equal(t, 999, ring{2000, 2000}.hole("999HL"))
}

// Two chords cross when their four ends take turns around the hoop: walked round from the first end of one.
func TestInterleave(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hole := rapid.IntRange(1, 8)
		a, b := [2]int{hole.Draw(t, "a"), hole.Draw(t, "b")}, [2]int{hole.Draw(t, "c"), hole.Draw(t, "d")}
		if a[0] == a[1] || b[0] == b[1] {
			return
		}
		turns := ""
		for i := range 8 {
			p := (a[0]-1+i)%8 + 1
			if p == a[0] || p == a[1] {
				turns += "a"
			}
			if p == b[0] || p == b[1] {
				turns += "b"
			}
		}
		shared := a[0] == b[0] || a[0] == b[1] || a[1] == b[0] || a[1] == b[1]
		assert.Equal(t, !shared && turns == "abab", interleave(a, b), "%v %v", a, b)
	})
}

func TestStrandsByName(t *testing.T) {
	for name, want := range map[plan.Strand]string{
		"M3L": "M 3 L", "M12R": "M 12 R", "C1": "C 1 ", "C19": "C 19 ",
		"": "", "M": "", "C": "", "L": "", "ML": "", "M3": "", "C3L": "", "C0": "", "X1": "", "M0L": "", "C01": "", "C1000": "",
	} {
		s, got := parse(name), ""
		if s.number > 0 && (s.kind == 'M' || s.kind == 'C') {
			got = fmt.Sprintf("%c %d %s", s.kind, s.number, strings.Trim(string(s.side), "\x00"))
		}
		assert.Equal(t, want, got, name)
	}
}
