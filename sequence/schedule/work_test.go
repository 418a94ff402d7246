package schedule_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/schedule"
	"pullcard/sequence/sequencetest"
)

const strung = "0 done, 1 done, 3 done, 4 done, 6 done, 9 done, 10 done, 10.5 done"

func TestMeasure(t *testing.T) {
	type minutes map[plan.Phase]float64
	for _, c := range []struct {
		name, script string
		want         minutes
		gaps         []float64 // from, to, …
		finished     bool
	}{
		{"nothing done", "0 note", minutes{}, nil, false},
		{"the first step's time is not known", "0 done", minutes{}, nil, false},
		{"a whole racket", strung, minutes{"mains": 4, "crosses": 6, "finish": 0.5}, nil, true},
		{"words in between are of the step at hand", "0 note, 2 note, 3 done, 4 done", minutes{"mount": 3, "mains": 1}, nil, false},
		{"a pause of just the limit is work", "0 done, 5 done", minutes{"mains": 5}, nil, false},
		{"a longer one is none at all", "0 done, 5.1 done, 6 done", minutes{"mains": 0.9}, []float64{0, 5.1}, false},
		{"a job that was left", "0 done, 2 resume, 3 done", minutes{"mains": 1}, []float64{0, 2}, false},
		{"a step again is of its own phase", "0 done, 1 done, 2 done, 3 done, 4 done, 5 redo 2, 7 done, 8 done",
			minutes{"mains": 5, "crosses": 3}, nil, false},
		{"back", "0 done, 1 done, 2 back, 3 done", minutes{"mains": 3}, nil, false},
		{"the clock set back", "60 done, 62 done, 3 done, 4 done", minutes{"mains": 3}, nil, false},
		{"the clock set forward", "0 done, 62 done, 63 done", minutes{"mains": 1}, []float64{0, 62}, false},
		{"what is said after the end is no work", strung + ", 11 note, 90 note", minutes{"mains": 4, "crosses": 6, "finish": 0.5}, nil, true},
		{"nor after it was given up", "0 done, 1 abandon, 3 note, 4 back, 6 done", minutes{"mains": 3}, nil, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := small()
			w := measure(t, p, events(t, p, c.script, nil))
			got := minutes{}
			for phase, d := range w.Phases {
				got[phase] = d.Minutes()
			}
			assert.InDeltaMapValues(t, c.want, got, 1e-9)
			var gaps []float64
			for _, g := range w.Gaps {
				gaps = append(gaps, g.From.Sub(noon()).Minutes(), g.To.Sub(noon()).Minutes())
			}
			assert.Equal(t, c.gaps, gaps)
			assert.Equal(t, c.finished, w.Finished)
		})
	}
}

func TestMeasureNamesWhereAGapWas(t *testing.T) {
	p := small()
	w := measure(t, p, events(t, p, "0 done, 10 done, 11 done, 12 done, 20 done, 30 done", nil))
	assert.Equal(t, []schedule.Gap{
		{From: minute(0), To: minute(10), Step: 2, Phase: plan.PhaseMains, Strand: "M1R"},
		{From: minute(12), To: minute(20), Step: 5, Phase: plan.PhaseCrosses, Strand: "C1"},
		{From: minute(20), To: minute(30), Step: 6, Phase: plan.PhaseCrosses, Strand: "C1"},
	}, w.Gaps)
}

func TestWithoutCrosses(t *testing.T) {
	p := small()
	broken := plan.Step{Phase: plan.PhaseCrosses, Title: "It broke", Ops: []plan.Op{{Op: plan.Fault, Fault: plan.FaultBreak, Strand: "C1"}}}
	misweave := plan.Step{Phase: plan.PhaseCrosses, Title: "It is wrong", Ops: []plan.Op{{Op: plan.Fault, Fault: plan.FaultWeave, Strand: "C1"}}}
	cut := func(clamps ...plan.Op) plan.Step { // which stand on their rails, and are taken off
		return plan.Step{Phase: plan.PhaseCrosses, Title: "Cut", Ops: append([]plan.Op{{Op: plan.Cut, Strand: "C1"}, {Op: plan.Cut, Strand: "C2"}}, clamps...)}
	}
	anew := plan.Step{Phase: plan.PhaseCrosses, Title: "Anew", Ops: slices.Concat(p.Steps[4].Ops, p.Steps[5].Ops)}
	slack := plan.Step{Phase: plan.PhaseMains, Title: "Release M1L", Ops: []plan.Op{{Op: plan.Pull, Strand: "M1L", Hole: "1TL", Repull: true},
		grab(plan.S, "M1L", "1HL"), off(plan.A), {Op: plan.Slacken, Strand: "M1L", Hole: "1TL"}}}
	for _, c := range []struct {
		name, script string
		mishap       *plan.Plan
		want         float64
		bare         float64 // since, 0 for never
	}{
		{"mains not all in", "0 done, 1 done, 50 note", nil, 0, 0},
		{"from the last main to the first cross", strung, nil, 6, 0},
		{"pauses count", "0 done, 1 done, 3 done, 4 done, 44 resume, 45 done, 46 done, 90 note", nil, 43, 0},
		{"they stand so still", "0 done, 1 done, 3 done, 33 note", nil, 30, 3},
		{"on a job that was given up", "0 done, 1 done, 3 done, 8 abandon, 99 note", nil, 5, 3},
		{"the last main again is no new beginning", "0 done, 1 done, 3 done, 10 redo 3, 13 done, 14 done, 15 done, 16 done", nil, 13, 0},
		{"a main that was not in", "0 done, 1 done, 3 done, 13 back, 15 done, 16 done, 17 done, 18 done", nil, 3, 0},
		{"a cross that was not in", "0 done, 1 done, 3 done, 4 done, 5 done, 6 done, 7 back, 20 done, 21 done", nil, 17, 0},
		{"the crosses were cut out on purpose", "0 done, 1 done, 3 done, 4 done, 6 done, 9 done, 10 done, 30 mishap, 31 done, 40 done, 41 done",
			followed(p, 7, cut(off(plan.A), off(plan.B)), anew, p.Steps[7]), 9, 0},
		{"a misweave takes no tension away", "0 done, 1 done, 3 done, 4 done, 6 done, 9 done, 10 mishap, 11 done, 40 done",
			followed(p, 6, misweave, p.Steps[7]), 6, 0},
		{"the crosses broke", "0 done, 1 done, 3 done, 4 done, 6 done, 9 done, 30 mishap, 31 done, 32 done, 55 done",
			followed(p, 6, broken, cut(off(plan.A)), anew, p.Steps[7]), 24, 0},
		{"a main was let go meanwhile", "0 done, 1 done, 3 done, 5 mishap, 7 done, 30 done, 31 done",
			followed(p, 3, slack, p.Steps[2], anew, p.Steps[7]), 4, 0},
		{"what the mishap did was taken back", "0 done, 1 done, 3 done, 5 mishap, 7 done, 8 back, 9 back, 20 done, 21 done, 22 done",
			followed(p, 3, slack, p.Steps[2], anew, p.Steps[7]), 19, 0},
		{"the clock set back meanwhile", "60 done, 61 done, 63 done, 4 done, 5 done, 7 done", nil, 3, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := measure(t, p, events(t, p, c.script, c.mishap))
			assert.InDelta(t, c.want, w.WithoutCrosses.Minutes(), 1e-9)
			if c.bare > 0 {
				assert.Equal(t, minute(c.bare), w.Bare)
			} else {
				assert.Zero(t, w.Bare)
			}
		})
	}
	one := small()
	one.Terms.Pieces = 1
	w := measure(t, one, events(t, one, "0 done, 1 done, 3 done, 4 done, 5 done, 6 done, 7 mishap, 8 done, 99 note",
		followed(one, 6, broken, cut(off(plan.A)))))
	assert.Equal(t, 91*time.Minute, w.WithoutCrosses, "the mains of one piece stand until they are cut out too")
	none := &plan.Plan{Steps: []plan.Step{p.Steps[0], p.Steps[7]}}
	w = measure(t, none, events(t, none, "0 done, 3 done", nil))
	assert.Zero(t, w.WithoutCrosses, "where there are no mains none stand")
}

// On a plan of the planner, whose crosses break: its mains stand twice without crosses.
func TestWithoutCrossesOnABuiltPlan(t *testing.T) {
	p := sequencetest.Of(t, "club-sixteen", "two-piece-skip").Plan
	pulled := func(p *plan.Plan, s plan.Strand, after int) int {
		for n := after; n < len(p.Steps); n++ {
			if o := p.Steps[n].Pull(); o != nil && o.Strand == s {
				return n
			}
		}
		require.Fail(t, "no pull", s)
		return 0
	}
	mains, c2 := max(pulled(p, "M8L", 0), pulled(p, "M8R", 0)), pulled(p, "C2", 0) // C1 is pulled last in a skip start
	whole := measure(t, p, worked(p, len(p.Steps)))
	assert.Equal(t, time.Duration(c2-mains)*time.Minute, whole.WithoutCrosses)
	assert.Equal(t, time.Duration(len(p.Steps)-1)*time.Minute, whole.Hands())
	for _, phase := range plan.Phases() {
		assert.Positive(t, whole.Phases[phase], phase)
	}

	done := c2 + 5
	next, err := sequence.Recover(p, done, sequence.Trouble{Fault: plan.FaultBreak, Strand: "C3", Text: "the crosses broke"})
	require.NoError(t, err)
	list := append(worked(p, done), progress.Event{At: minute(float64(done)), Kind: progress.Mishap, Step: done + 1, Plan: next})
	for n := done + 1; n < len(next.Steps); n++ {
		list = append(list, progress.Event{At: minute(float64(n + 60)), Kind: progress.Done, Step: n + 1})
	}
	w := measure(t, p, list)
	assert.True(t, w.Finished)
	require.Zero(t, next.After(done+1).Load().Crosses, "the break takes the tension of all crosses, for nothing holds between them")
	assert.Equal(t, time.Duration(60+pulled(next, "C2", done)-done)*time.Minute, w.WithoutCrosses, "from the break, reported an hour before the cure, to the new crosses")
}

// anyWork draws what may happen at a bench, with a clock that is now and then set.
func anyWork(t *rapid.T, p *plan.Plan) (list []progress.Event) {
	s, at := progress.Start(p), noon()
	for range rapid.IntRange(0, 40).Draw(t, "events") {
		at = at.Add(time.Duration(rapid.IntRange(-20, 600).Draw(t, "seconds")) * time.Second)
		kind := rapid.SampledFrom([]progress.Kind{progress.Done, progress.Done, progress.Done, progress.Done, progress.Back, progress.Redo, progress.Mishap, progress.Note, progress.Resume}).Draw(t, "kind")
		e := progress.Event{At: at, Kind: kind, Step: s.Current()}
		if kind == progress.Redo && s.Last() > 0 {
			e.Step = rapid.IntRange(1, s.Last()).Draw(t, "again")
		}
		if kind == progress.Mishap {
			e.Plan = followed(s.Plan(), s.Last(), rapid.Permutation(p.Steps).Draw(t, "steps")...)
		}
		next, err := s.Apply(e)
		if err != nil {
			continue
		}
		s, list = next, append(list, e)
	}
	return list
}

func TestAnyWorkAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := small()
		list := anyWork(t, p)
		w := measure(t, p, list)
		sum := w.Hands()
		for _, d := range w.Phases {
			require.Positive(t, d)
		}
		for _, g := range w.Gaps {
			require.True(t, g.To.After(g.From))
			sum += g.To.Sub(g.From)
		}
		require.Equal(t, w.Elapsed, sum)
		forward := time.Duration(0) // by the clock, without what it was set back
		for i := 1; i < len(list); i++ {
			forward += max(0, list[i].At.Sub(list[i-1].At))
		}
		require.LessOrEqual(t, w.Elapsed, forward)
		require.GreaterOrEqual(t, w.WithoutCrosses, time.Duration(0))
		require.LessOrEqual(t, w.WithoutCrosses, w.Elapsed)

		past, err := progress.Play(p, list)
		require.NoError(t, err)
		patient, racket := schedule.Measure(past, 2*schedule.UsualPause)
		require.Equal(t, past.Now().Racket(), racket)
		require.GreaterOrEqual(t, patient.Hands(), w.Hands(), "a longer pause is more work")
		require.Equal(t, w.WithoutCrosses, patient.WithoutCrosses, "the frame does not care who works")
		if len(list) > 0 {
			shorter := measure(t, p, list[:len(list)-1])
			require.LessOrEqual(t, shorter.Hands(), w.Hands())
			require.LessOrEqual(t, shorter.Elapsed, w.Elapsed)
		}
	})
}

func BenchmarkMeasure(b *testing.B) {
	p := sequencetest.Of(b, "club-sixteen", "two-piece-skip").Plan
	list := worked(p, len(p.Steps))
	for b.Loop() {
		measure(b, p, list)
	}
	b.ReportMetric(float64(len(list)), "steps")
}
