package cases_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence/cases"
	"pullcard/sequence/plan"
	"pullcard/sequence/sequencetest"
	"pullcard/sequence/shop"
)

// answered answers question after question at random until the case is known.
func answered(t *rapid.T, q cases.Question) cases.Answer {
	for range 9 {
		require.NotEmpty(t, q.Ask)
		require.NotEmpty(t, q.Answers, q.Ask)
		seen := map[string]bool{}
		for _, a := range q.Answers {
			require.NotEmpty(t, a.Say)
			require.False(t, seen[a.Say], "%q tells no two cases apart", a.Say)
			seen[a.Say] = true
		}
		a := rapid.SampledFrom(q.Answers).Draw(t, q.Ask)
		if a.Next == nil {
			return a
		}
		q = a.Next()
	}
	t.Fatal("the questions come to no end")
	return cases.Answer{}
}

// Whatever is asked at whatever moment, also on a way back, and whatever is answered: there is a way back, and the referee
// proves it, or it has to wait until the way back in hand is over.
func TestEveryCaseHasAWayBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, err := sequencetest.Try(t, rapid.SampledFrom(library.Layouts()).Draw(t, "frame"), rapid.SampledFrom(library.Techniques()).Draw(t, "sheet"))
		if err != nil {
			t.Skip(err)
		}
		p, done := w.Plan, 0
		for range rapid.IntRange(1, 2).Draw(t, "mishaps") {
			if done >= len(p.Steps)-1 {
				return
			}
			done = rapid.IntRange(max(done, 1), len(p.Steps)-1).Draw(t, "done")
			m := cases.At(p, done)
			q := m.Wrong()
			if slip := m.Slipped(); rapid.Bool().Draw(t, "slip") && len(slip.Answers) > 0 {
				q = slip
			}
			a := answered(t, q)
			if a.Again {
				return
			}
			next, err := shop.Mend(p, done, a.Trouble)
			if err != nil && strings.Contains(err.Error(), "still slack from before") {
				return // told in words: what is wrong waits until the way back that is in hand is over
			}
			require.NoError(t, err, "%d of %d: %s", done, len(p.Steps), a.Trouble.Words())
			p, done = next, done+1
			if p.Cracked() {
				return
			}
		}
	})
}

// The same case has the same number at whatever step it is listed, can it be or not, and from one on none is missing.
func TestCasesKeepTheirNumbers(t *testing.T) {
	p, numbers := sequencetest.Of(t, "club-sixteen", "two-piece-skip").Plan, map[string]int{}
	for done := range p.Steps {
		if !sweep.Take(done, 3) {
			continue
		}
		m := cases.At(p, done)
		for _, q := range []cases.Question{m.Wrong(), broke(m), m.Slipped(), m.Doubtful()} {
			seen := map[int]bool{}
			same := func(n int, say string) {
				seen[n] = true
				say, _, _ = strings.Cut(say, " on ") // a clamp's place changes
				if is, known := numbers[q.Ask+say]; known {
					require.Equal(t, is, n, say)
				}
				numbers[q.Ask+say] = n
			}
			for i, a := range q.Answers {
				same(q.Number(i), a.Say)
			}
			for _, c := range q.Impossible {
				require.NotEmpty(t, c.Why, c.Say)
				same(c.Number, c.Say)
			}
			for n := range q.Last() {
				require.True(t, seen[n+1], "%s: no %d", q.Ask, n+1)
			}
		}
	}
	require.Equal(t, []int{2, 12, 1, 5}, []int{numbers["What went wrong?the frame is cracked: stop"], numbers["What went wrong?the step in hand is begun: how far?"],
		numbers["What slipped?the gripper slipped"], numbers["What slipped?a knot slipped"]})
}

// broke is what is asked of string that broke, nothing where none can have.
func broke(m cases.Moment) cases.Question {
	if a := m.Wrong().Answers[0]; a.Say == "string broke" {
		return a.Next()
	}
	return cases.Question{}
}

// A strand that breaks in a hole beside a clamp inside stays tight as far as that: what lies outside is lost, be it the next strand or the
// tail. In its other hole the strand itself goes slack.
func TestBreaksInAHole(t *testing.T) {
	p := sequencetest.Of(t, "club-sixteen", "two-piece-skip").Plan
	done := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Title == "Main 6 right" }) + 1
	for _, c := range []struct{ strand, hole, slack string }{
		{"M6R", "6TR", ""},
		{"M6R", "6HR", "M1L M1R M2L M2R M3L M3R M4L M4R M5L M5R M6L M6R M7L"},
	} {
		q := broke(cases.At(p, done)).Answers
		in := q[slices.IndexFunc(q, func(a cases.Answer) bool { return a.Say == "in a hole" })].Next().Answers
		far := in[slices.IndexFunc(in, func(a cases.Answer) bool { return strings.HasPrefix(a.Say, c.strand+",") })].Next()
		require.Equal(t, "How far is the pull of M7R, which is in hand?", far.Ask)
		holes := far.Answers[0].Next().Answers
		a := holes[slices.IndexFunc(holes, func(a cases.Answer) bool { return strings.HasPrefix(a.Say, c.hole) })]
		next, err := shop.Mend(p, done, a.Trouble)
		require.NoError(t, err)
		var slack []string
		for _, s := range next.After(done + 1).Spans() {
			if s.Laid() && !s.Tight {
				slack = append(slack, string(s.Strand))
			}
		}
		slices.Sort(slack)
		require.Equal(t, c.slack, strings.Join(slack, " "), a.Say)
	}
}

// What breaks in the bed while a pull is in hand mostly breaks under it: whether the gripper holds is asked, for then it is eased first.
func TestBreaksUnderThePull(t *testing.T) {
	p := sequencetest.Of(t, "club-sixteen", "two-piece-skip").Plan
	done := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Title == "Main 6 right" })
	inBed := func(m cases.Moment, strand string) cases.Question {
		q := broke(m).Answers
		in := q[slices.IndexFunc(q, func(a cases.Answer) bool { return a.Say == "in the bed" })].Next().Answers
		return in[slices.IndexFunc(in, func(a cases.Answer) bool { return strings.HasPrefix(a.Say, strand+",") })].Next()
	}
	for _, strand := range []string{"M6R", "M3L"} {
		q := inBed(cases.At(p, done), strand)
		require.Len(t, q.Answers, 3, strand)
		for i, eases := range []bool{false, true, false} {
			a, only := q.Answers[i].Next().Only()
			require.True(t, only)
			require.Equal(t, plan.Strand(strand), a.Trouble.Strand)
			next, err := shop.Mend(p, done, a.Trouble)
			require.NoError(t, err)
			eased := slices.ContainsFunc(next.Steps[done+1:], func(s plan.Step) bool { return s.Title == "Ease the gripper on M6R" })
			require.Equal(t, eases && strand != "M6R", eased, "%s %s", strand, q.Answers[i].Say) // what broke in the gripper fell out of it
		}
	}
}

// Whatever act of a step was the last before an interruption, also in a way back: it can be told, whether the gripper still holds is
// asked where it alone holds something and only there, and referee and state accept the rest of the step and of the plan that follows,
// which is as it was, as they do the way back from a gripper that does not hold.
func TestGoesOnInTheMidstOfAnyStep(t *testing.T) {
	tried, asked, n := 0, 0, 0
	for _, w := range []struct{ frame, sheet, mishap string }{
		{"club-sixteen", "two-piece-clamp", ""}, {"club-sixteen", "one-piece-around", ""}, {"feather-twentyone", "two-piece-skip", "30 string-broke strand=M3L where=bed"},
		{"club-sixteen", sequencetest.Flying, "20 clamp-slipped clamp=A extent=gone"}, {"club-sixteen", "two-piece-knot", "44 misweave strand=C3"},
	} {
		p := sequencetest.Of(t, w.frame, w.sheet).Plan
		if w.mishap != "" {
			var err error
			p, err = shop.MendAll(p, []string{w.mishap})
			require.NoError(t, err)
		}
		for done, step := range p.Steps {
			if n++; step.Record || !sweep.Take(n, 13) {
				continue
			}
			for _, last := range begun(cases.At(p, done).Doubtful()) {
				q := last.Next()
				on := q.Answers[len(q.Answers)-1]
				ops := on.Trouble.Ops
				r := p.AfterOps(done, ops)
				hangs := r.Gripper() != nil && goesSlack(r)
				require.Len(t, q.Answers, map[bool]int{true: 2, false: 1}[hangs], "%s of %s", last.Say, step.Title)
				if tried++; hangs {
					asked++
					no := q.Answers[0]
					if no.Next != nil { // what lies beyond the centre loop
						no = no.Next().Answers[0]
					}
					if !no.Again {
						_, err := shop.Mend(p, done, no.Trouble)
						require.NoError(t, err, "%s of %s", last.Say, step.Title)
					}
				}
				if on.Done {
					continue
				}
				next, err := shop.Mend(p, done, on.Trouble)
				require.NoError(t, err, "%s of %s", last.Say, step.Title)
				rest := next.Steps[done+1:]
				require.Equal(t, step.Ops, slices.Concat(p.Steps[done].Ops[:ops], rest[0].Ops), "not a word of it is another")
				require.Equal(t, step.Base, rest[0].Base)
				require.Len(t, rest, len(p.Steps)-done)
				require.Equal(t, r.Grips(), next.Steps[done].Clamps)
			}
		}
	}
	t.Log(tried, asked)
	require.Greater(t, tried, 100)
	require.Greater(t, asked, 20)
}

// begun are the acts that can be told to be the last that was done.
func begun(q cases.Question) []cases.Answer {
	for _, a := range q.Answers {
		if strings.HasPrefix(a.Say, "the step in hand is begun") {
			return a.Next().Answers
		}
	}
	return nil
}

// goesSlack says whether something would, if the gripper let go.
func goesSlack(r *plan.Racket) bool {
	is := r.Clone()
	_ = is.Apply(&plan.Op{Op: plan.Fault, Fault: plan.FaultGripper})
	return slices.ContainsFunc(r.Spans(), func(s plan.Span) bool { return s.Tight && !is.Tight(s.Strand) })
}

// A knot that gave a little is kept by name, and nothing of the string counts as slack; one that came open is not.
func TestKnotsThatGaveALittle(t *testing.T) {
	p := sequencetest.Of(t, "club-sixteen", "two-piece-skip").Plan
	done := 0
	for ; len(p.After(done).Knots()) < 2; done++ {
	}
	q := cases.At(p, done).Wrong()
	at := 0
	for q.Answers[at].Say != "a knot slipped" {
		at++
	}
	how := q.Answers[at].Next().Answers[0].Next()
	require.Len(t, how.Answers, 2)
	require.Contains(t, how.Hint, "M8L loses most of what it had, M7L some")
	keep := how.Answers[1]
	require.NotEmpty(t, keep.Words)
	next, err := shop.Mend(p, done, keep.Trouble)
	require.NoError(t, err)
	require.Equal(t, len(p.Steps)+1, len(next.Steps), "it is only written down")
	require.True(t, next.After(done+1).Tight("M8L"))
	open, err := shop.Mend(p, done, how.Answers[0].Trouble)
	require.NoError(t, err)
	require.False(t, open.After(done+1).Tight("M8L"))
}

// A strand in a wrong hole can stay where the frame can be strung so; the layout's name and fingerprint are said before anybody
// decides. Where it cannot, nothing is asked.
func TestWrongHolesKept(t *testing.T) {
	p := sequencetest.Of(t, "club-sixteen", "two-piece-skip").Plan
	done := 0
	for ; !p.After(done).Tight("M7R"); done++ {
	}
	in := func(hole string) cases.Question {
		for _, a := range cases.At(p, done).Wrong().Answers {
			if a.Say != "string in a wrong hole" {
				continue
			}
			for _, s := range a.Next().Answers {
				if !strings.HasPrefix(s.Say, "M7R") {
					continue
				}
				for _, h := range s.Next().Answers {
					if h.Say == hole {
						return h.Next()
					}
				}
			}
		}
		return cases.Question{}
	}
	_, only := in("10HR").Only()
	require.True(t, only, "it is M8R's")
	q := in("7HR")
	require.Len(t, q.Answers, 2)
	keep := q.Answers[1]
	next, err := shop.Mend(p, done, keep.Trouble)
	require.NoError(t, err)
	is := next.After(len(next.Steps))
	require.Equal(t, fmt.Sprintf("keep it: the layout %q, fingerprint %s", "Club sixteen, M7R in 7HR", is.LayoutFingerprint(&next.Terms)), keep.Say)
	require.Equal(t, next.Frame, "Club sixteen, M7R in 7HR")
	require.NotEmpty(t, keep.Words)
}

// Where a main that stays in a wrong hole leaves the only hole of a later knot empty, the nearest that can have a knot is asked for, with what it costs.
func TestStrandStaysOutOfAKnotsHole(t *testing.T) {
	p := sequencetest.Of(t, "court-sixteen", "two-piece-throat").Plan
	var keep cases.Answer
	done := len(p.Steps) - 12
	for _, a := range cases.At(p, done).Wrong().Answers {
		if a.Say != "string in a wrong hole" {
			continue
		}
		for _, s := range a.Next().Answers {
			if strings.HasPrefix(s.Say, "M6L") {
				for _, h := range s.Next().Answers {
					if h.Say == "5HL" {
						q := h.Next()
						keep = q.Answers[len(q.Answers)-1]
					}
				}
			}
		}
	}
	require.Equal(t, "leave it as it is; who decided it is kept with it: such a bed is not legal in play; the knot of C1 then goes into 4HL; one step more", keep.Say)
	next, err := shop.Mend(p, done, keep.Trouble)
	require.NoError(t, err)
	is := next.After(len(next.Steps))
	require.Equal(t, plan.Strand("C1"), is.KnotIn("4HL").Strand)
	require.Nil(t, is.KnotIn("6HL"))
}

// Where what lets go would leave the mains beyond the centre loop slack they are felt first, and where they are tight none of them is
// let go or pulled again.
func TestOtherSideIsFelt(t *testing.T) {
	p := sequencetest.Of(t, "club-sixteen", "two-piece-clamp").Plan
	done := 0
	for ; p.Steps[done].Title != "Main 5 right"; done++ {
	}
	for _, q := range []cases.Question{
		cases.At(p, done).Slipped().Answers[2].Next().Answers[2].Next(), // clamp B let go
		cases.At(p, done).Slipped().Answers[0].Next().Answers[1].Next(), // the gripper, after clamp B came off
	} {
		require.Equal(t, "Feel M1L, beyond the centre loop: is it slack?", q.Ask)
		for i, want := range []bool{true, false} {
			next, err := shop.Mend(p, done, q.Answers[i].Trouble)
			require.NoError(t, err)
			again := false
			for _, s := range next.Steps[done+1:] {
				if o := s.Pull(); o != nil && o.Repull && strings.HasSuffix(string(o.Strand), "L") && o.Strand[0] == 'M' {
					again = true
				}
			}
			require.Equal(t, want, again, q.Answers[i].Say)
		}
	}
	crept := cases.At(p, done).Slipped().Answers[2].Next().Answers[0]
	require.Nil(t, crept.Next, "it holds")
}

// Where a tie-off hole is split, with a main tight in it over which no sleeve goes, those that the layout names come first, then those beside a tight main, each as far away as the run
// from where the string leaves is long, with a warning over three hole-steps, and with the knot that has to give way for it.
func TestSplitHoleIsPassedOn(t *testing.T) {
	p := sequencetest.Of(t, "club-sixteen", "two-piece-clamp").Plan
	done := 0
	for ; p.Steps[done].Tie() == nil; done++ {
	}
	q := cases.At(p, done).Wrong()
	ask := func(say string) {
		for _, a := range q.Answers {
			if strings.HasPrefix(a.Say, say) {
				q = a.Next()
				return
			}
		}
		require.Fail(t, "not offered", say)
	}
	ask("a hole is split")
	ask("8TR")
	var say []string
	for _, a := range q.Answers {
		say = append(say, a.Say)
		next, err := shop.Mend(p, done, a.Trouble)
		require.NoError(t, err, a.Say)
		require.Nil(t, next.After(len(next.Steps)).KnotIn("8TR"))
	}
	require.Equal(t, []string{
		"the knot goes into 6TR, 4 holes away, a long run; the knot of C19 then goes into 5TR; one step more",
		"the knot goes into 5TR, 5 holes away, a long run; not made for a knot: a blunt awl, beside M5R; one step more",
		"the knot goes into 4TR, 6 holes away, a long run; not made for a knot: a blunt awl, beside M4R; one step more",
	}, say, "no sleeve: M7R is tight in it")
}

// The knot in hand is asked about too, and how far it is: with its clamp on it is tied again, with the clamp off its tail is pulled
// again before.
func TestKnotInHandSlips(t *testing.T) {
	p := sequencetest.Of(t, "club-sixteen", "two-piece-clamp").Plan
	done := len(p.Steps) - 1
	for ; p.Steps[done].Tie() == nil; done-- {
	}
	tie := p.Steps[done].Tie()
	q := cases.At(p, done).Wrong()
	for _, a := range q.Answers {
		if a.Say == "a knot slipped" {
			q = a.Next()
		}
	}
	require.Equal(t, fmt.Sprintf("the knot of %s in %s, in hand", tie.Strand, tie.Hole), q.Answers[0].Say)
	q = q.Answers[0].Next()
	require.Len(t, q.Answers, 3)
	for i, want := range []struct {
		say    string
		pulled bool
	}{{"it is tied, and the clamp still on", false}, {"the clamp came off, its tail is not trimmed", true}} {
		require.Equal(t, want.say, q.Answers[i].Say)
		next, err := shop.Mend(p, done, q.Answers[i].Next().Answers[0].Trouble)
		require.NoError(t, err)
		pulled := false
		for _, s := range next.Steps[done+1:] {
			pulled = pulled || s.Pull() != nil && s.Pull().Strand == tie.Strand
		}
		require.Equal(t, want.pulled, pulled, want.say)
	}
}
