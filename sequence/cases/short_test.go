package cases_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pullcard/sequence/act"
	"pullcard/sequence/cases"
	"pullcard/sequence/plan"
	"pullcard/sequence/sequencetest"
	"pullcard/sequence/shop"
)

// chosen answers a question by what an answer begins with.
func chosen(t *testing.T, q cases.Question, say string) cases.Answer {
	for _, a := range q.Answers {
		if strings.HasPrefix(a.Say, say) {
			return a
		}
	}
	require.Fail(t, "not offered", "%s: %s", q.Ask, say)
	return cases.Answer{}
}

// Where a tail is short at its knot, holes are offered only that are nearer than that of the plan, and the cards ask for no tail that is
// not there.
func TestTailIsShortAtItsKnot(t *testing.T) {
	p := sequencetest.Of(t, "club-sixteen", "two-piece-clamp").Plan
	done := 0
	for ; p.Steps[done].Tie() == nil; done++ {
	}
	tie := p.Steps[done].Tie()
	m := cases.At(p, done)
	q := chosen(t, chosen(t, m.Wrong(), "the string is too short").Next(), string(tie.Strand)).Next()
	r := p.After(done)
	for _, a := range q.Answers {
		if _, h, nearer := strings.Cut(a.Say, "a nearer hole: "); nearer {
			h, _, _ = strings.Cut(h, ",")
			require.Less(t, r.Steps(r.At(tie.Out), r.At(plan.Hole(h))), r.Steps(r.At(tie.Out), r.At(tie.Hole)), a.Say)
		}
	}
	next, err := shop.Mend(p, done, chosen(t, q, "all that it is still for, hardly: a scrap").Trouble)
	require.NoError(t, err)
	var lines []string
	for n := done + 1; n <= done+4; n++ {
		for _, a := range act.Of(next, n, next.After(n-1)) {
			lines = append(lines, act.Written().Line(&a))
		}
	}
	words := strings.Join(lines, "\n")
	require.Contains(t, words, "a scrap of string is joined to the tail of "+string(tie.Strand))
	require.Contains(t, words, "TIE "+string(tie.Strand))
	require.NotRegexp(t, "TIE "+tie.Strand+".* 20 cm", words)
}

// A kink that is told before its strand is fed is worked past while that is fed: the card that feeds it stays.
func TestKinkBeforeItIsFed(t *testing.T) {
	p := sequencetest.Of(t, "club-sixteen", "two-piece-clamp").Plan
	done := 0
	for ; p.Steps[done].Lay() == nil || p.Steps[done].Lay().Strand != "M4R"; done++ {
	}
	q := chosen(t, chosen(t, cases.At(p, done).Wrong(), "a kink").Next(), "M4R").Next()
	next, err := shop.Mend(p, done, chosen(t, q, "it can be worked past").Trouble)
	require.NoError(t, err)
	require.False(t, next.After(done+1).Laid("M4R"))
}

// What a new piece costs is said before it is chosen.
func TestANewPieceSaysWhatComesOut(t *testing.T) {
	p := sequencetest.Of(t, "club-sixteen", "two-piece-clamp").Plan
	ask := func(title, strand string) string {
		done := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Title == title })
		m := cases.At(p, done)
		q := chosen(t, chosen(t, m.Wrong(), "the string is too short").Next(), strand).Next()
		return chosen(t, q, "nothing: ").Say
	}
	require.Equal(t, "nothing: a new piece; all 19 crosses come out", ask("Tie off cross 19", "C19"))
	require.Equal(t, "nothing: a new piece; all of its string comes out", ask("Tie off the mains, left", "M8L"))
}
