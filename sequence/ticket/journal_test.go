package ticket

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
)

// with is a plain job with events between its steps: those given come when some steps are done.
func with(t *testing.T, after int, events ...progress.Event) Facts {
	f := plain(t)
	for i := range events {
		events[i].At = began()
	}
	f.Events = slices.Concat(f.Events[:after], events, f.Events[after:])
	return f
}

func cautionsOf(t *testing.T, f Facts) []string {
	var out []string
	for _, s := range made(t, f).content().cautions {
		out = append(out, plainSpaces(s))
	}
	return out
}

func TestJournal(t *testing.T) {
	_, p := planned(t, "club-sixteen", "two-piece-skip", "24 kg", "23 kg")
	require.Equal(t, plan.Strand("M2L"), p.Steps[9].Pull().Strand, "step 10 pulls M2L")
	note := progress.Event{Kind: progress.Note, Step: 10, Why: "grommet worn"}
	gripper := progress.Event{Kind: progress.Redo, Step: 10, What: progress.Gripper, Why: "dusty"}
	for _, c := range []struct {
		name   string
		events []progress.Event
		want   string // empty for nothing
	}{
		{"nothing", nil, ""},
		{"a note is the stringer's own", []progress.Event{note}, ""},
		{"the gripper", []progress.Event{gripper}, "done again at the bench: M2L (the gripper slipped)"},
		{"a clamp of an earlier step", []progress.Event{{Kind: progress.Redo, Step: 9, What: "B"}, {Kind: progress.Done, Step: 9}},
			"done again at the bench: M4R (clamp B slipped)"},
		{"without a cause, without a strand", []progress.Event{{Kind: progress.Redo, Step: 2}, {Kind: progress.Done, Step: 2}}, "done again at the bench: step 2"},
		{"a slip that was taken back does not count", []progress.Event{{Kind: progress.Redo, Step: 9}, {Kind: progress.Back, Step: 9}}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := cautionsOf(t, with(t, 9, c.events...))
			require.NotContains(t, got, "note: grommet worn")
			if c.want == "" {
				assert.Equal(t, cautionsOf(t, plain(t)), got)
				return
			}
			assert.Equal(t, append([]string{c.want}, cautionsOf(t, plain(t))...), got, "what is out of the ordinary comes first")
		})
	}
	f := with(t, 9, note, gripper)
	f.Notes = true
	got := cautionsOf(t, f)
	assert.Contains(t, got, "note: grommet worn")
	assert.Contains(t, got, "note: dusty")
}

// A mishap that counts is told, one that was taken back is not; the ticket then follows the plan that was followed.
func TestJournalOfMishaps(t *testing.T) {
	f := plain(t)
	newest := f.Plan.After(40).Newest()
	at := slices.IndexFunc(newest, func(s plan.Span) bool { return s.Strand[0] == 'C' })
	require.GreaterOrEqual(t, at, 0)
	trouble := sequence.Trouble{Fault: plan.FaultWeave, Strand: newest[at].Strand}
	next, err := sequence.Recover(f.Plan, 40, trouble)
	require.NoError(t, err)
	mishap := progress.Event{At: began(), Kind: progress.Mishap, Step: 41, What: string(trouble.Fault), Why: trouble.Words(), Plan: next}

	said := "put right at the bench: " + trouble.Words()
	back := with(t, 40, mishap, progress.Event{Kind: progress.Back, Step: 42})
	assert.NotContains(t, cautionsOf(t, back), said)

	f.Events = append(slices.Clone(f.Events[:40]), mishap)
	f.Events = append(f.Events, done(next, 42)...) // that it happened is reported already
	assert.Contains(t, cautionsOf(t, f), said)
	tk := made(t, f)
	assert.Same(t, next, tk.followed)
	assert.Equal(t, f.Events[len(f.Events)-1].At, tk.at)

	_, err = New(with(t, 40, progress.Event{Kind: progress.Done, Step: 3}))
	assert.ErrorContains(t, err, "event 41")
}

// A slip that took a way back is told by what slipped, unless it was taken back.
func TestJournalOfSlipsWithAWayBack(t *testing.T) {
	f := plain(t)
	slip := func(p *plan.Plan) progress.Event {
		next, err := sequence.Recover(p, 40, sequence.Trouble{Fault: plan.FaultClamp, Clamp: plan.S, Extent: plan.Crept})
		require.NoError(t, err)
		return progress.Event{At: began(), Kind: progress.Redo, Step: 41, What: "S", Plan: next}
	}
	redo := slip(f.Plan)
	f.Events = slices.Concat(f.Events[:40], []progress.Event{redo}, done(redo.Plan, 42), []progress.Event{{At: began(), Kind: progress.Why, Step: len(redo.Plan.Steps), Of: 41, Why: "greasy"}})
	said := "done again at the bench: " + redo.Plan.Steps[40].Title
	assert.Contains(t, cautionsOf(t, f), said)
	f.Notes = true
	assert.Contains(t, cautionsOf(t, f), "note: greasy")
	assert.NotContains(t, cautionsOf(t, with(t, 40, redo, progress.Event{Kind: progress.Back, Step: 42})), said)
}

// What was left as it lies stands on the ticket by name.
func TestWaivedOnTheTicket(t *testing.T) {
	f := plain(t)
	last := len(f.Plan.Steps) - 1
	next, err := sequence.Recover(f.Plan, last, sequence.Trouble{Fault: plan.FaultWeave, Strand: "C5", Choose: plan.Keep, Text: "C5 is woven wrong"})
	require.NoError(t, err)
	f.Events = append(f.Events[:last:last], progress.Event{At: began(), Kind: progress.Mishap, Step: last + 1, Plan: next})
	f.Events = append(f.Events, done(next, last+2)...)
	assert.Contains(t, cautionsOf(t, f), "C5 left as it is: C5 is woven wrong; such a bed is not legal in play")
}

func TestAboveThePrintedRange(t *testing.T) {
	f := plain(t) // 24 kg and 26.4 kg, below 27 kg
	assert.NotContains(t, made(t, f).Text(48), "printed range, 22 kg")
	for _, c := range []struct{ mains, crosses, want string }{
		{"25 kg", "23 kg", "2 pulls lie above the frame's printed range, 22 kg to 27 kg: 27.5 kg at the most"}, // M8R, M8L boosted
		{"28 kg", "23 kg", "16 pulls lie above the frame's printed range, 22 kg to 27 kg: 30.8 kg at the most"},
		{"50 lb", "56 lb", "2 pulls lie above the frame's printed range, 22 kg to 27 kg: 61.6 lb or 27.9 kg at the most"},
		{"200 N", "241 N", "2 pulls lie above the frame's printed range, 22 kg to 27 kg: 265.1 N or 27 kg at the most"}, // 264.8 N are 27 kg
	} {
		_, f.Plan = planned(t, "club-sixteen", "two-piece-skip", c.mains, c.crosses)
		f.Events = done(f.Plan, 1)
		assert.Contains(t, cautionsOf(t, f), c.want)
	}
}

// Common practice of the trade: a bed loses 5 to 10 % in the first day, polyester up to 15 %.
func TestFirstDay(t *testing.T) {
	f := plain(t)
	for _, c := range []struct {
		mains, crosses sequence.Material
		want           string
	}{
		{"polyester", "polyester", "lose up to 15 % of"}, {"nylon", "gut", "lose 5 to 10 % of"},
		{"polyester", "gut", "lose 5 to 10 %, polyester up to 15 %, of"}, {"", "gut", "lose 5 to 10 %, polyester up to 15 %, of"},
	} {
		f.Mains.Material, f.Crosses.Material = c.mains, c.crosses
		assert.Contains(t, plainSpaces(made(t, f).firstDay()), c.want)
	}
}

// Common practice of the trade: as many times a year as one plays in a week.
func TestRestring(t *testing.T) {
	f := plain(t)
	for plays, want := range map[float64]string{.5: "2032-05-03", 1: "2032-05-03", 2: "2031-11-03", 3: "2031-09-03", 7: "2031-06-25"} {
		f.PlaysAWeek = plays
		date, ok := made(t, f).Restring()
		assert.True(t, ok)
		assert.Equal(t, want, date.Format(time.DateOnly), "%g times a week", plays)
	}
	f.PlaysAWeek = 0
	_, ok := made(t, f).Restring()
	assert.False(t, ok)
	assert.NotContains(t, made(t, f).Text(48), "restring")
}

// The tensions stand as ordered and as set: a machine that pulls 0.6 kg low is set that much higher, if the job says so.
func TestSetTo(t *testing.T) {
	f := plain(t)
	read := func(text string) measure.Tension {
		v, err := measure.ParseTension(text)
		require.NoError(t, err)
		return v
	}
	f.Machine.GaugeSet, f.Machine.GaugeRead = read("24 kg"), read("23.4 kg")
	assert.Contains(t, made(t, f).content().rows, row{"set to", "as ordered"})
	f.Machine.Corrected = true
	c := made(t, f).content()
	assert.Equal(t, "24 kg", plainSpaces(c.strung[0].tension))
	assert.Equal(t, row{"set to", "mains 24.6 kg, crosses 23.6 kg"}, row{c.rows[0].name, plainSpaces(c.rows[0].value)})
	assert.Equal(t, "27 kg (+10 %): M8R, M8L; 25.9 kg (+10 %): C19, C1", plainSpaces(c.rows[1].value), "26.4 kg and 25.3 kg, and what it lacks")
}
