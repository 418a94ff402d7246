package shop

import (
	"context"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/sequence"
	"pullcard/sequence/book"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// A job whose way back was made by older rules, which let a clamp come off tight string, is taken up all the same: what is done
// stays, what is to come is made anew, proven, and in the book, so that it is so the next time too.
func TestOlderWaysBackGoOn(t *testing.T) {
	ctx := context.Background()
	for _, into := range []int{0, 1, 3} { // steps of the old way back that are done
		s := newShop(t)
		w, err := s.Demo()
		require.NoError(t, err)
		id, err := s.Book.NewJob(ctx, book.Draft{Job: records.Job{}, Source: w.Source, Plan: w.Plan, At: time.Now()})
		require.NoError(t, err)
		done := slices.IndexFunc(w.Plan.Steps, func(s plan.Step) bool { return s.Title == "Cross 8" })
		p, err := sequence.Recover(w.Plan, done, sequence.Trouble{Fault: plan.FaultLate, Strand: "C4"})
		require.NoError(t, err)
		old := *p
		held := slices.IndexFunc(old.Steps[done+1+into:], func(s plan.Step) bool { return s.Ops[0].Op == plan.ClampOn })
		require.Positive(t, held+1)
		old.Steps = slices.Delete(slices.Clone(old.Steps), done+1+into+held, done+2+into+held)
		for i := range old.Steps {
			old.Steps[i].N = i + 1
		}
		require.Error(t, sequence.Prove(&old, 0))
		var events []progress.Event
		for n := range done {
			events = append(events, progress.Event{At: time.Now(), Kind: progress.Done, Step: n + 1})
		}
		events = append(events, progress.Event{At: time.Now(), Kind: progress.Mishap, Step: done + 1, Plan: &old})
		for n := range into {
			events = append(events, progress.Event{At: time.Now(), Kind: progress.Done, Step: done + 2 + n})
		}
		for i, e := range events {
			require.NoError(t, s.Book.Append(ctx, id, i, e))
		}
		for range 2 {
			b, err := s.resume(ctx, id)
			require.NoError(t, err)
			require.Len(t, b.Events, len(events)+1, "made anew once")
			state, err := progress.Fold(b.Plan, b.Events)
			require.NoError(t, err)
			require.Equal(t, done+1+into, state.Last())
			require.NoError(t, sequence.Prove(state.Plan(), state.Last()))
			next, err := Mend(state.Plan(), state.Last(), sequence.Trouble{Fault: plan.FaultWeave, Strand: "C3"})
			require.NoError(t, err, "and from another mishap")
			require.NoError(t, sequence.Prove(next, state.Last()))
		}
	}
}

// Where the way back that undoes least is not proven, all of the string comes out and the racket is strung anew; a mishap that is refused is
// refused at once.
func TestNobodyIsLeftWithoutAWay(t *testing.T) {
	w, err := newShop(t).Demo()
	require.NoError(t, err)
	done := slices.IndexFunc(w.Plan.Steps, func(s plan.Step) bool { return s.Title == "Cross 8" })
	trouble := sequence.Trouble{Fault: plan.FaultLate, Strand: "C4"}
	wrong := func(p *plan.Plan, done int, trouble sequence.Trouble) (*plan.Plan, error) { // it lets go of what nothing holds
		next, err := sequence.Recover(p, done, trouble)
		require.NoError(t, err)
		next.Steps[done+1].Ops = slices.Insert(next.Steps[done+1].Ops, 0, plan.Op{Op: plan.Unclamp, Clamp: plan.S})
		return nil, sequence.Unproven{Err: sequence.Prove(next, done)}
	}
	_, err = firstProven(w.Plan, done, trouble, wrong)
	require.ErrorContains(t, err, "keeps the rules")
	next, err := firstProven(w.Plan, done, trouble, wrong, sequence.StringAnew)
	require.NoError(t, err)
	bare := slices.IndexFunc(next.Steps, func(s plan.Step) bool { return s.Title == "Take the pieces out" })
	r := next.After(bare)
	require.Empty(t, r.Newest(), "all of it is out")
	_, err = firstProven(w.Plan, done, sequence.Trouble{Fault: plan.FaultLate, Strand: "C9"}, sequence.Recover, sequence.StringAnew)
	require.ErrorContains(t, err, "C9")
}
