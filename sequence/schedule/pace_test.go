package schedule_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/schedule"
)

// took is a finished racket with so many minutes in each phase.
func took(mount, mains, crosses, finish int) schedule.Work {
	m := func(n int) time.Duration { return time.Duration(n) * time.Minute }
	return schedule.Work{Finished: true, Phases: map[plan.Phase]time.Duration{
		plan.PhaseMount: m(mount), plan.PhaseMains: m(mains), plan.PhaseCrosses: m(crosses), plan.PhaseFinish: m(finish)}}
}

func span(low, mid, high float64) schedule.Span {
	m := func(n float64) time.Duration { return time.Duration(n * float64(time.Minute)) }
	return schedule.Span{Low: m(low), Mid: m(mid), High: m(high)}
}

func TestPaces(t *testing.T) {
	open := took(1, 1, 1, 1)
	open.Finished = false
	for _, c := range []struct {
		name   string
		works  []schedule.Work
		jobs   int
		known  bool
		whole  schedule.Span
		phases map[plan.Phase]schedule.Span
		text   string
	}{
		{"nothing", nil, 0, false, span(25, 32.5, 40), nil, "about 33 min (25 to 40), a guess until 3 rackets are done"},
		{"two", []schedule.Work{took(2, 9, 14, 2), took(2, 9, 14, 2), open}, 2, false, span(25, 32.5, 40), nil,
			"about 33 min (25 to 40), a guess until 3 rackets are done"},
		{"three, one of them slow", []schedule.Work{took(2, 9, 14, 2), took(3, 30, 15, 2), took(2, 8, 13, 1), open}, 3, true,
			span(24, 27, 50), map[plan.Phase]schedule.Span{plan.PhaseMount: span(2, 2, 3), plan.PhaseMains: span(8, 9, 30),
				plan.PhaseCrosses: span(13, 14, 15), plan.PhaseFinish: span(1, 2, 2)}, "about 27 min (24 to 50), from 3 rackets"},
		{"four", []schedule.Work{took(1, 1, 1, 1), took(2, 2, 2, 2), took(3, 3, 3, 3), took(4, 4, 4, 4)}, 4, true,
			span(4, 8, 12), map[plan.Phase]schedule.Span{plan.PhaseMount: span(1, 2, 3), plan.PhaseMains: span(1, 2, 3),
				plan.PhaseCrosses: span(1, 2, 3), plan.PhaseFinish: span(1, 2, 3)}, "about 8 min (4 to 12), from 4 rackets"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := schedule.Paces(noon(), c.works)[""]
			assert.Equal(t, c.jobs, p.Jobs)
			assert.Equal(t, c.phases, p.Phases)
			assert.Equal(t, c.whole, p.Whole)
			assert.Equal(t, c.known, p.Known())
			assert.Equal(t, c.text, p.String())
		})
	}
}

func TestLeft(t *testing.T) {
	p := small() // 1 step to mount, 3 of mains, 3 of crosses, 1 to finish
	known, guess := schedule.Paces(noon(), []schedule.Work{took(2, 9, 12, 1), took(2, 9, 12, 1), took(2, 9, 12, 1)})[""], schedule.Paces(noon(), nil)[""]
	again := plan.Step{Phase: plan.PhaseCrosses, Title: "Cut", Ops: []plan.Op{{Op: plan.Cut, Strand: "C1"}}}
	mishap := followed(p, 6, append([]plan.Step{again}, p.Steps[4:]...)...)
	for _, c := range []struct {
		name, script string
		known, guess float64 // of 24 in the middle, and of all steps
	}{
		{"nothing done", "0 note", 24, 1},
		{"mounted", "0 done", 22, 7. / 8},
		{"in the mains", "0 done, 1 done, 2 done", 16, 5. / 8},
		{"mains done", "0 done, 1 done, 2 done, 3 done", 13, .5},
		{"a main again", "0 done, 1 done, 2 done, 3 done, 4 redo 2", 16, 5. / 8},
		{"a cross left", "0 done, 1 done, 2 done, 3 done, 4 done, 5 done", 5, .25},
		{"the crosses anew", "0 done, 1 done, 2 done, 3 done, 4 done, 5 done, 6 mishap", 17, 5. / 8},
		{"strung", strung, 0, 0},
		{"given up", "0 done, 1 abandon", 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := progress.Fold(p, events(t, p, c.script, mishap))
			require.NoError(t, err)
			assert.InDelta(t, c.known/24, known.Left(p, s), 1e-6)
			assert.InDelta(t, c.guess, guess.Left(p, s), 1e-6)
		})
	}
	assert.InDelta(t, 1, schedule.Pace{}.Left(p, progress.Start(p)), 0)
	nothing := schedule.Paces(noon(), []schedule.Work{took(0, 0, 0, 0), took(0, 0, 0, 0), took(0, 0, 0, 0)})[""]
	assert.False(t, nothing.Known(), "jobs that were only clicked through, or entered afterwards, are no pace")
}

func anyPace(t *rapid.T) schedule.Pace {
	var works []schedule.Work
	for range rapid.IntRange(0, 8).Draw(t, "jobs") {
		m := rapid.SliceOfN(rapid.IntRange(0, 40), 4, 4).Draw(t, "minutes")
		works = append(works, took(m[0], m[1], m[2], m[3]))
	}
	return schedule.Paces(noon(), works)[""]
}

func requireOrdered(t *rapid.T, s schedule.Span) {
	require.True(t, 0 <= s.Low && s.Low <= s.Mid && s.Mid <= s.High, "%v", s)
}

// Each step that is done leaves less to do, and the last one nothing.
func TestLeftFalls(t *testing.T) {
	p := small()
	rapid.Check(t, func(t *rapid.T) {
		bench := anyPace(t)
		s := progress.Start(p)
		left := bench.Left(p, s)
		require.InDelta(t, 1, left, 1e-9)
		for s.Status() == progress.Open {
			var err error
			s, err = s.Apply(progress.Event{Kind: progress.Done, Step: s.Current()})
			require.NoError(t, err)
			next := bench.Left(p, s)
			require.LessOrEqual(t, next, left)
			left = next
		}
		require.Zero(t, left)
	})
}

// A job that takes longer makes no pace faster.
func TestPacesRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var works []schedule.Work
		for range rapid.IntRange(schedule.Enough, 8).Draw(t, "jobs") {
			works = append(works, took(2, rapid.IntRange(1, 40).Draw(t, "mains"), 12, 1))
		}
		before := schedule.Paces(noon(), works)[""]
		requireOrdered(t, before.Whole)
		slow := &works[rapid.IntRange(0, len(works)-1).Draw(t, "which")]
		slow.Phases[plan.PhaseMains] += time.Duration(rapid.IntRange(0, 60).Draw(t, "more")) * time.Minute
		after := schedule.Paces(noon(), works)[""]
		for _, pair := range [][2]schedule.Span{{before.Whole, after.Whole}, {before.Phases[plan.PhaseMains], after.Phases[plan.PhaseMains]}} {
			b, a := pair[0], pair[1]
			require.True(t, b.Low <= a.Low && b.Mid <= a.Mid && b.High <= a.High, "%v, then %v", b, a)
		}
	})
}
