package run_test

import (
	"fmt"
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
	"pullcard/sequence/run"
)

// sheets are the built-in sheets, and ways that none of them has: without a starting clamp, with one clamp for the crosses.
func sheets(t require.TestingT) map[string]string {
	all := map[string]string{
		"knot without S":      "name = \"t\"\nclamps.starting = 0\ncrosses.start = \"knot\"\n",
		"one piece without S": "name = \"t\"\npieces = 1\nclamps.starting = 0\n",
		"around, one clamp":   "name = \"t\"\npieces = 1\naround = true\ncrosses.clamps = 1\n",
		"pulled again last":   "name = \"t\"\n[crosses]\nstart = \"clamp\"\nrepull = \"end\"\n",
	}
	for _, name := range library.Techniques() {
		data, ok := library.Technique(name)
		require.True(t, ok, name)
		all[name] = string(data)
	}
	return all
}

func build(t require.TestingT, frame, sheet string) (*plan.Plan, error) {
	data, ok := library.Layout(frame)
	require.True(t, ok, frame)
	f, _, err := patterns.ReadLayout(frame, data)
	require.NoError(t, err)
	technique, _, err := sequence.ReadTechnique("sheet.toml", []byte(sheet))
	require.NoError(t, err)
	mains, err := measure.ParseTension("24 kg")
	require.NoError(t, err)
	crosses, err := measure.ParseTension("23 kg")
	require.NoError(t, err)
	return sequence.Build(f, technique, mains, crosses)
}

// slipped is a slip on the referee's table.
type slipped struct {
	run.Slip
	plan   *plan.Plan
	before run.State
	table  *referee.Table // before the slip
	state  run.State      // with the redo that reports it
}

// played are the breaches when a state's detours are done, the first of them with the ops given, and the work goes on to
// the end.
func (s *slipped) played(t require.TestingT, state run.State, ops []plan.Op) (breaches []referee.Breach) {
	last, table := state.Last(), s.table.Clone()
	n := last
	play := func(step plan.Step) {
		n++
		step.N = n
		breaches = append(breaches, table.Step(&step)...)
	}
	rest := s.plan.Steps[last:]
	again := plan.Step{Phase: s.plan.Steps[last-1].Phase, Ops: ops, Clamps: run.Where(state)}
	if s.Step > last { // it slipped on the way: this is the step
		again.Phase, again.Clamps, rest = rest[0].Phase, rest[0].Clamps, rest[1:]
	}
	play(again)
	for state.Detour() {
		if state = done(t, state); state.Detour() {
			again.Ops = run.AgainOps(state, state.Current())
			play(again)
		}
	}
	for _, step := range rest {
		play(step)
	}
	return append(breaches, table.Finish(s.plan.Totals)...)
}

func (s *slipped) words() string {
	return fmt.Sprintf("%s of step %d slips after step %d", s.What, s.Step, s.before.Last())
}

// slip is what happens to the string: a clamp lets go; in the gripper a strand that is laid already.
func (s *slipped) slip() (ops []plan.Op) {
	if s.What != run.Gripper {
		return []plan.Op{{Op: plan.Fault, Fault: plan.FaultClamp, Clamp: plan.Clamp(s.What), Text: "the jaws slid"}}
	}
	if s.Step > s.state.Last() {
		for _, op := range s.plan.Steps[s.Step-1].Ops {
			if op.Op == plan.Thread || op.Op == plan.Weave {
				ops = append(ops, op)
			}
		}
	}
	return ops
}

// everySlip calls use with whatever can slip now and after each of so many further steps.
func everySlip(t require.TestingT, state run.State, steps int, use func(s *slipped)) {
	p := state.Plan()
	table, breaches := referee.From(&p.Terms, p.Steps[:state.Last()])
	require.Empty(t, breaches)
	for range steps {
		for _, slip := range run.Slips(state) {
			again, err := state.Apply(run.Event{Kind: run.Redo, Step: slip.Step, What: slip.What})
			require.NoError(t, err)
			use(&slipped{slip, p, state, table, again})
		}
		if state.Status() != run.Open {
			return
		}
		require.Empty(t, table.Step(&p.Steps[state.Last()]))
		state = done(t, state)
	}
}

// done does the current step.
func done(t require.TestingT, s run.State) run.State {
	next, err := s.Apply(run.Event{Kind: run.Done, Step: s.Current()})
	require.NoError(t, err)
	return next
}

func repulls(ops []plan.Op) bool {
	return slices.ContainsFunc(ops, func(o plan.Op) bool { return o.Op == plan.Pull && o.Repull })
}

// Whatever slips after whatever step of any built-in racket, what a step asks for the second time mends it, and of a clamp
// nothing less does.
func TestAgainOpsMendEverySlip(t *testing.T) {
	mended, set := 0, 0
	for _, frame := range library.Layouts() {
		for name, sheet := range sheets(t) {
			p, err := build(t, frame, sheet)
			if err != nil {
				continue // not every frame takes every way of one piece
			}
			everySlip(t, run.Start(p), len(p.Steps), func(s *slipped) {
				what := fmt.Sprintf("%s by %s: %s", frame, name, s.words())
				ops := run.AgainOps(s.state, s.Step)
				require.Empty(t, s.played(t, s.state, append(s.slip(), ops...)), what)
				mended++
				if s.What == run.Gripper {
					planned := p.Steps[s.Step-1].Pull().Repull
					assert.Equal(t, planned || s.Step <= s.state.Last(), repulls(ops), "%s: only what was pulled is pulled again", what)
					return
				}
				only := plan.Op{Op: plan.Grab, Clamp: plan.Clamp(s.What), Strand: s.Strand, Hole: s.Hole, Outside: s.Outside}
				alone := s.played(t, s.before, append(s.slip(), plan.Op{Op: plan.Unclamp, Clamp: only.Clamp}, only))
				assert.Equal(t, len(alone) > 0, repulls(ops), "%s: pulled again where setting the clamp again is not enough", what)
				if !repulls(ops) {
					set++
				}
			})
		}
	}
	t.Logf("%d slips, %d of them only a clamp to set again", mended, set)
	assert.Greater(t, set, 100)
}

// The same on the way back from a mishap and after it.
func TestAgainOpsMendSlipsAfterAMishap(t *testing.T) {
	all, mended := sheets(t), 0
	names := slices.Sorted(maps.Keys(all))
	rapid.Check(t, func(t *rapid.T) {
		frame := rapid.SampledFrom(library.Layouts()).Draw(t, "frame")
		p, err := build(t, frame, all[rapid.SampledFrom(names).Draw(t, "sheet")])
		if err != nil {
			t.Skip(err)
		}
		s := run.Start(p)
		for range rapid.IntRange(1, len(p.Steps)-1).Draw(t, "done") {
			s = done(t, s)
		}
		trouble := rapid.SampledFrom(sequence.Troubles(p, s.Last())).Draw(t, "trouble")
		next, err := sequence.Recover(p, s.Last(), trouble)
		if err != nil || trouble.Fault == plan.FaultFrame {
			t.Skip("no way back")
		}
		s, err = s.Apply(run.Event{Kind: run.Mishap, Step: s.Current(), Plan: next})
		require.NoError(t, err)
		everySlip(t, s, 20, func(slip *slipped) {
			breaches := slip.played(t, slip.state, append(slip.slip(), run.AgainOps(slip.state, slip.Step)...))
			require.Empty(t, breaches, "%s: %s", trouble.Text, slip.words())
			mended++
		})
	})
	t.Logf("%d slips", mended)
	assert.Greater(t, mended, 100)
}
