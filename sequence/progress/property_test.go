package progress

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "pullcard/patterns/sweep" // for what is drawn
	"pullcard/sequence/plan"
)

// anyEvent draws events of which most fit and some do not.
func anyEvent(t *rapid.T, s State) Event {
	kind := rapid.SampledFrom([]Kind{Done, Done, Done, Back, Redo, Redo, Mishap, Note, Why, Resume, Abandon}).Draw(t, "kind")
	step := s.Current()
	switch {
	case rapid.IntRange(0, 9).Draw(t, "other") == 0:
		step = rapid.IntRange(0, s.Steps()+1).Draw(t, "step")
	case kind == Redo && s.Last() > 0:
		step = rapid.IntRange(1, s.Last()).Draw(t, "done step")
	}
	e := Event{Kind: kind, Step: step, What: rapid.SampledFrom([]string{"", Gripper, "A", "S", string(plan.FaultPause)}).Draw(t, "what")}
	if kind == Mishap || kind == Redo && rapid.Bool().Draw(t, "way back") {
		e.Step, e.Plan = s.Current(), anyPlan(t, s)
	}
	return e
}

// anyPlan draws a plan that mostly follows on from a state: the steps that are done, copied, and some others. Now and
// then it differs in one of them or is too short.
func anyPlan(t *rapid.T, s State) *plan.Plan {
	p := &plan.Plan{Steps: slices.Clone(s.Plan().Steps[:s.Last()])}
	for i := range p.Steps {
		p.Steps[i].Ops = slices.Clone(p.Steps[i].Ops)
	}
	if rapid.IntRange(0, 9).Draw(t, "wrong") == 0 && s.Last() > 0 {
		i := rapid.IntRange(0, s.Last()-1).Draw(t, "wrong step")
		if p.Steps[i].Ops[0].Text = "another"; rapid.Bool().Draw(t, "short") {
			p.Steps = p.Steps[:i]
			return p
		}
	}
	for range rapid.IntRange(0, 4).Draw(t, "more") {
		p.Steps = append(p.Steps, plan.Step{Title: fmt.Sprint("New ", rapid.IntRange(0, 99).Draw(t, "title")), Ops: []plan.Op{{Op: plan.Inspect, Text: "again"}}})
		p.Steps[len(p.Steps)-1].Record = len(p.Steps) == s.Last()+1 && rapid.Bool().Draw(t, "record")
	}
	return p
}

func TestAnyEventsKeepTheState(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Start(steps(rapid.IntRange(1, 8).Draw(t, "steps")))
		all := []State{s}
		var accepted []Event
		for range rapid.IntRange(0, 60).Draw(t, "events") {
			e := anyEvent(t, s)
			next, err := s.Apply(e)
			if err != nil {
				require.Equal(t, s, next, "a refused event changes nothing")
				continue
			}
			require.True(t, next.Current() >= 1 && next.Current() <= next.Steps(), "current %d", next.Current())
			require.LessOrEqual(t, next.Last(), next.Steps())
			for _, d := range next.detours {
				require.LessOrEqual(t, d, next.Last(), "a detour leads to a done step")
			}
			switch {
			case e.Kind == Done, e.Kind == Abandon:
				requireUndone(t, s, next)
			case e.Kind == Redo && e.Plan == nil:
				require.Equal(t, e.Step, next.Current())
				require.Equal(t, s.Redos(e.Step)+1, next.Redos(e.Step))
			case e.Kind == Redo:
				require.Equal(t, 1, next.Redos(e.Step), "of what it leads to")
				requireUndone(t, s, next)
				requireFollows(t, s, next, e)
			case e.Kind == Mishap:
				requireUndone(t, s, next)
				requireFollows(t, s, next, e)
			}
			if e.Plan == nil && e.Kind != Back {
				require.Same(t, s.Plan(), next.Plan())
			}
			s = next
			accepted, all = append(accepted, e), append(all, s)
		}
		requireReplay(t, all, accepted)
		requireFinish(t, s)
	})
}

// requireUndone holds that back leads from next to where s stood.
func requireUndone(t *rapid.T, s, next State) {
	undone, err := next.Apply(Event{Kind: Back, Step: next.Current()})
	require.NoError(t, err)
	require.Equal(t, s, undone)
}

// requireFollows holds that the work goes on by the new plan after what is done, and what is counted of that.
func requireFollows(t *rapid.T, s, next State, e Event) {
	p, reported := e.Plan, 0
	if e.Recorded() {
		reported = 1
	}
	require.Same(t, p, next.Plan())
	require.Equal(t, s.Last()+reported, next.Last(), "what has happened is done")
	for n := range max(s.Steps(), next.Steps()) + 2 {
		want := 0
		if e.Kind == Redo && n == e.Step && n > s.Last() {
			want = 1
		}
		if n <= s.Last() {
			want = s.Redos(n)
			require.Equal(t, s.Plan().Steps[:n], p.Steps[:n])
		}
		require.Equal(t, want, next.Redos(n), "step %d", n)
	}
}

// requireReplay holds that every state on the way is what its events lead to, also after later states were made of it, and what of the
// events stands.
func requireReplay(t *rapid.T, all []State, events []Event) {
	past, err := Play(all[0].Plan(), events)
	require.NoError(t, err)
	require.Equal(t, all, past.States)
	require.Equal(t, all[len(events)], past.Now())
	require.Equal(t, append([]int{}, standing(all, events)...), append([]int{}, past.Stand...))
	for i, s := range all {
		again, err := Fold(all[0].Plan(), events[:i])
		require.NoError(t, err)
		require.Equal(t, again, s)
	}
}

// standing finds out what stands by crossing out, with each back, the newest event that it takes back and all that came after.
func standing(before []State, events []Event) (numbers []int) {
	taken := func(n int) bool {
		e := events[n-1]
		return slices.Contains([]Kind{Done, Mishap, Abandon}, e.Kind) || e.Kind == Redo && (e.Plan != nil || e.Step != before[n-1].Current())
	}
	for i, e := range events {
		if e.Kind != Back {
			numbers = append(numbers, i+1)
			continue
		}
		for len(numbers) > 0 && !taken(numbers[len(numbers)-1]) {
			numbers = numbers[:len(numbers)-1]
		}
		numbers = numbers[:len(numbers)-1]
	}
	return slices.DeleteFunc(numbers, func(n int) bool {
		e := events[n-1]
		return e.Kind != Redo && (e.Kind != Mishap || e.What == string(plan.FaultPause))
	})
}

// requireFinish holds that doing the open steps and detours, and no more, finishes the job.
func requireFinish(t *rapid.T, s State) {
	if s.Status() == Abandoned {
		return
	}
	for range s.Steps() - s.Last() + len(s.detours) {
		require.Equal(t, Open, s.Status())
		var err error
		s, err = s.Apply(Event{Kind: Done, Step: s.Current()})
		require.NoError(t, err)
	}
	require.Equal(t, Finished, s.Status())
}
