package bench

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/act"
	"pullcard/sequence/cases"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/report"
	"pullcard/sequence/shop"
	"pullcard/tui/internal/golden"
)

// since are the events from one on, as kinds with their steps.
func (r *rig) since(n int) string {
	return strings.Join(strings.Split(r.kinds(), ", ")[n:], ", ")
}

// steps does so many steps; what is pressed is slack.
func (r *rig) steps(n int) *rig {
	for range n {
		if r.press("space"); strings.Contains(r.screen(), feelFirst) {
			r.press("1")
		}
	}
	return r
}

// pressing does steps until one has a strand pressed before a clamp comes off.
func (r *rig) pressing() {
	for range 50 {
		if r.m.scene.pressed.Felt {
			return
		}
		r.press("space")
	}
	require.Fail(r.t, "nothing is pressed")
}

// through does steps until something stands on the screen.
func (r *rig) through(until string) *rig {
	for range 200 {
		if strings.Contains(r.screen(), until) {
			return r
		}
		r.steps(1)
	}
	require.Fail(r.t, "never seen", "%s\n%s", until, r.screen())
	return r
}

// The gripper slipped before a clamp moved: the same pull again, without its threading; why is asked after it.
func TestGripperSlips(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").times(7, "space")
	require.Contains(t, r.screen(), "8/64  M3R")
	r.press("s")
	assert.Contains(t, r.screen(), "What slipped?")
	assert.Contains(t, r.screen(), "1  the gripper slipped on M3R")
	assert.Contains(t, r.screen(), "2  clamp A slipped on M1L")
	assert.Contains(t, r.screen(), "3  clamp B slipped on M2R")
	r.press("1")
	assert.Contains(t, r.screen(), "When did the gripper slip?")
	r.press("1")
	assert.Contains(t, r.screen(), "8/64", "the same pull again")
	assert.Contains(t, r.screen(), "AGAIN (1)")
	assert.NotContains(t, r.screen(), "thread", "it is laid already")
	r.press("space")
	assert.Contains(t, r.screen(), "Why? the gripper slipped · y says why, space goes on")
	assert.Contains(t, r.screen(), "9/64  M4R", "it covers nothing of the card that comes next")
	assert.Contains(t, r.screen(), "PULL M4R at 4TR, 24 kg")
	r.press("y")
	assert.Contains(t, r.screen(), "Why? the gripper slipped")
	r.press("w", "e", "t", "enter")
	assert.Contains(t, r.screen(), "9/64")
	assert.Equal(t, "redo 8, done 8, why 9", r.since(7))
	assert.Equal(t, progress.Event{Kind: progress.Why, Step: 9, Of: 8, Why: "wet", At: r.shelf.events[9].At}, r.shelf.events[9])
}

// After the clamp came off other strands went slack too: they are walked out.
func TestGripperSlipsAfterTheClampCameOff(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").times(7, "space").press("s", "1")
	assert.Contains(t, r.screen(), "2  after clamp B came off")
	r.press("2")
	for _, habit := range []string{"space", "enter"} { // nobody has felt it yet
		assert.Contains(t, r.press(habit).screen(), "Feel M1L, beyond the centre loop")
		assert.NotContains(t, r.screen(), "▶")
		assert.NotContains(t, r.screen(), "this one")
		assert.Contains(t, r.screen(), "feel it first, then press its number")
	}
	r.press("1")
	assert.Contains(t, r.screen(), "WAY BACK: ")
	require.NotNil(t, r.shelf.events[7].Plan)
	assert.Equal(t, []any{progress.Redo, progress.Gripper, 8}, []any{r.shelf.events[7].Kind, r.shelf.events[7].What, r.shelf.events[7].Step})
	assert.Regexp(t, "slack until step [0-9]+: M1L, M1R, M2R, M3R", r.screen())
}

// How a clamp slipped is told in one question; the way back ends with why, which a pedal passes.
func TestClampSlips(t *testing.T) {
	for i, extent := range []plan.Extent{plan.Crept, plan.Base, plan.Gone} {
		r := newRig(t, "club-sixteen", "two-piece-skip").times(7, "space").press("s", "3")
		assert.Contains(t, r.screen(), "How did clamp B slip?")
		assert.Contains(t, r.screen(), "it holds M2R")
		r.press(fmt.Sprint(i + 1))
		if extent == plan.Gone {
			assert.Contains(t, r.screen(), "Feel M1L, beyond the centre loop")
			r.press("1")
		}
		e := r.shelf.events[7]
		require.NotNil(t, e.Plan)
		assert.Equal(t, []any{progress.Redo, "B", 8}, []any{e.Kind, e.What, e.Step})
		fault := e.Plan.Steps[7].Ops[len(e.Plan.Steps[7].Ops)-1]
		assert.Equal(t, []any{plan.FaultClamp, plan.B, extent}, []any{fault.Fault, fault.Clamp, fault.Extent})
		assert.Contains(t, r.screen(), "9/", "that it slipped has happened")
		r.through("Why? ")
		assert.NotContains(t, r.screen(), "WAY BACK")
		n := len(r.shelf.events)
		r.press("pgdown")
		assert.NotContains(t, r.screen(), "Why?")
		assert.NotContains(t, r.kinds(), "why")
		assert.Regexp(t, `^done \d+$`, r.since(n), "the pedal goes on with the work")
	}
}

// That the gripper slipped where the pull is simply done again is taken back alone: no step that is done comes back for it.
func TestAgainIsTakenBack(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").times(8, "space").press("s", "1", "1", "s", "1", "1")
	require.Contains(t, r.screen(), "AGAIN (2): the gripper slipped")
	r.press("backspace")
	assert.Contains(t, r.screen(), "AGAIN (1)")
	assert.Contains(t, r.screen(), "taken back")
	assert.NotContains(t, r.press("backspace").screen(), "AGAIN")
	assert.Regexp(t, `^ *9/64 `, r.screen())
	assert.Contains(t, r.screen(), "FEED", "all of the step is to be done")
	assert.Contains(t, r.through("This racket is strung.").screen(), "All was done as planned.")
}

// What went wrong is told in three keys; the steps that put it right come next, and can be taken back.
func TestWentWrong(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").times(38, "space")
	require.Contains(t, r.screen(), "39/64")
	r.press("w")
	assert.Contains(t, r.screen(), "3  a cross is woven wrong")
	r.press("3")
	assert.Contains(t, r.screen(), "Which cross?")
	at := -1
	for i, a := range r.m.asked[1].Answers {
		if strings.HasPrefix(a.Say, "C7,") {
			at = i
		}
	}
	require.GreaterOrEqual(t, at, 0)
	r.times(at, "down").press("enter")
	assert.Contains(t, r.screen(), "How far is C10, which is in hand?")
	r.press("1")
	assert.Contains(t, r.screen(), "40/", "that it happened is the 39th")
	assert.Contains(t, r.screen(), "WAY BACK: C7 is woven wrong")
	e := r.shelf.events[38]
	assert.Equal(t, []any{progress.Mishap, string(plan.FaultWeave), "C7 is woven wrong"}, []any{e.Kind, e.What, e.Why})
	r.press("space", "backspace", "1")
	assert.Contains(t, r.screen(), "40/")
	r.press("backspace")
	assert.Contains(t, r.screen(), "39/64", "taken back")
	r.press("w", "3").times(at, "down").press("enter", "1").through("Why? C7 is woven wrong").press("y", "h", "u", "r", "r", "y", "enter")
	last := r.shelf.events[len(r.shelf.events)-1]
	assert.Equal(t, []any{progress.Why, "hurry"}, []any{last.Kind, last.Why})
	assert.Equal(t, progress.Mishap, r.shelf.events[last.Of-1].Kind)
	assert.Contains(t, r.through("This racket is strung.").screen(), "This racket is strung.")
}

// A cracked frame is told by one key at any moment; a figure that may be the first of a number waits for the second or enter.
func TestNumbers(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip")
	for done := 1; done < len(r.m.job.Plan.Steps); done++ {
		q := asked{Question: cases.At(r.m.job.Plan, done).Wrong()}
		i := slices.IndexFunc(q.Answers, func(a cases.Answer) bool { return strings.HasPrefix(a.Say, "the frame is cracked") })
		given, _ := q.number(fmt.Sprint(q.Number(i)))
		require.True(t, given, "step %d", done+1)
	}
	r.times(38, "space").press("w", "1")
	assert.Contains(t, r.screen(), "enter 1, or go on to 10–12")
	assert.Contains(t, r.press("2").screen(), "What is done of it?")
	r.press("esc", "1", "down", "enter")
	assert.Contains(t, r.screen(), "Cut out and close the job?", "an arrow ends the number")
	r.press("esc", "1", "enter")
	assert.Contains(t, r.screen(), "Where did it break?")
	assert.Contains(t, r.press("esc", "w", "w", "s", "s").screen(), "What slipped?", "a key that opens a list picks nothing from it")
}

func TestFrameCracked(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").times(20, "space").press("w", "2")
	assert.Contains(t, r.screen(), "Cut out and close the job?")
	r.press("enter")
	assert.Contains(t, r.screen(), "Cut out and close the job?", "enter after a figure gives nothing more")
	assert.Contains(t, r.screen(), "the number was enough; this enter marks nothing")
	r.press("enter")
	assert.Contains(t, r.screen(), "WAY BACK: ")
	r.through("The frame is cracked; it is given up.")
	for n := range r.m.state.Steps() {
		assert.NotContains(t, nextWords(r.m.state.Plan(), n+1, r.m.scene.racket, r.m.scene.racket, r.m.table, false, false), "strung")
	}
	assert.NotContains(t, r.screen(), "strung")
	assert.Equal(t, progress.Abandoned, r.m.state.Status())
}

// Every question and every answer is told in whole at every size, however far the list goes on, and a list scrolls to its end.
func TestListsScroll(t *testing.T) {
	for i, size := range sizes {
		if !sweep.Take(i, 3) {
			continue
		}
		r := newRig(t, "club-sixteen", "two-piece-skip").times(50, "space").press("w", "4", "1", "enter")
		r.m = r.m.SetSize(size[0], size[1])
		q := r.m.asked[len(r.m.asked)-1]
		require.Greater(t, len(q.Answers), 15, "any hole within reach")
		for range q.Answers {
			a := q.Answers[r.m.asked[len(r.m.asked)-1].at]
			assert.Contains(t, r.screen(), a.Say, "%v", size)
			assert.NotContains(t, r.screen(), "…"+a.Say)
			r.press("down")
		}
		assert.Zero(t, r.m.asked[len(r.m.asked)-1].at, "round again")
		r.press("esc")
		assert.Contains(t, r.screen(), "Which strand?", "back to the question before")
	}
}

// In a list only a number, enter and space answer: a page leads on in a long one and nowhere in a short one, as a pedal's own key does, and a nought is no
// number yet.
func TestPagesAnswerNothing(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip")
	r.m.keys = newKeyMap(map[string][]string{"done": {"f13"}})
	r.times(50, "space").press("w")
	asked := func() *asked { return &r.m.asked[len(r.m.asked)-1] }
	for _, pedal := range []string{"f13", "pgdown", "pgdown", "pgdown", "pgup", "pgup", "pgup"} {
		r.press(pedal)
		require.Equal(t, "What went wrong?", asked().Ask, pedal)
	}
	assert.Zero(t, asked().at)
	r.press("0")
	assert.NotContains(t, r.screen(), "▶ ", "none is marked")
	assert.Contains(t, r.press("enter").screen(), "press its number")
	r.press("0", "4", "1", "enter")
	require.Equal(t, "In which hole is C16?", asked().Ask)
	last := len(asked().Answers) - 1
	require.Greater(t, last, 2*page)
	assert.Equal(t, page, r.press("pgdown").m.asked[len(r.m.asked)-1].at)
	assert.Contains(t, r.screen(), "▶ 09  "+asked().Answers[page].Say)
	assert.Equal(t, last, r.times(9, "pgdown").m.asked[len(r.m.asked)-1].at, "not round")
	assert.Zero(t, r.times(9, "pgup").m.asked[len(r.m.asked)-1].at)
}

// Of the holes of a frame that can be split those are asked first at which hands are, by one figure; any other by end and side, then by the number that
// is its name.
func TestHolesNearHandsFirst(t *testing.T) {
	r, said := speaking(t)
	r.steps(slices.IndexFunc(r.m.job.Plan.Steps, func(s plan.Step) bool { return s.Pull() != nil && s.Pull().Strand == "C8" })).press("w", "1", "1")
	q := r.m.asked[len(r.m.asked)-1]
	require.Equal(t, "Which hole?", q.Ask)
	require.Len(t, q.Answers, 9)
	assert.Equal(t, []string{"16HL, C8 in hand", "17HR, C9"}, []string{q.Answers[0].Say, q.Answers[1].Say})
	assert.Contains(t, (*said)[len(*said)-1], "; nine: another hole; its number")
	r.press("9")
	require.Contains(t, r.screen(), "At which end, on which side?")
	r.press("2", "1", "6")
	assert.Contains(t, r.screen(), "▶ 1  a sleeve goes into it", "nothing is in 16HR")
	r.press("esc", "1", "3")
	assert.Regexp(t, `(?s)1  a sleeve goes into it: .*\(not .*while C5 is tight in it\).*▶ 2  C5 stays tight in it`, r.screen())
	r.press("2", "w", "1", "1", "9", "2", "1", "3")
	assert.Contains(t, r.screen(), "13, 13HR: not now, that is told already")
}

// What was left as it is needs somebody who decided it, and stands on the last screen by name.
func TestLeftAsItIs(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip")
	r.times(len(r.m.job.Plan.Steps)-1, "space").press("w", "3", "1", "enter", "2")
	assert.Contains(t, r.screen(), "it stays so")
	r.press("enter")
	assert.Contains(t, r.screen(), "it stays so", "not without words")
	r.press("Sam: the player wants it today", "enter")
	r.through("This racket is strung.")
	r.m = r.m.SetSize(200, 60)
	assert.Contains(t, r.screen(), "left so: Sam: the player wants it today; such a bed is")
}

// A wrong hole that is kept makes another layout: the question names it with its fingerprint, so does the last screen.
func TestKeptAsALayout(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip")
	for !r.m.scene.racket.Tight("M7R") {
		r.press("space")
	}
	said := func(begins string) {
		i := slices.IndexFunc(r.m.asked[len(r.m.asked)-1].Answers, func(a cases.Answer) bool { return strings.HasPrefix(a.Say, begins) })
		require.GreaterOrEqual(t, i, 0, begins)
		r.times(i, "down").press("enter")
	}
	r.press("w", "4")
	said("M7R")
	said("7HR")
	r.m = r.m.SetSize(200, 60)
	assert.Regexp(t, `keep it: the layout "Club sixteen, M7R in 7HR", fingerprint [0-9a-f]{8}`, r.screen())
	said("keep it")
	r.press("Sam: no other string at hand", "enter")
	r.through("This racket is strung.")
	assert.Contains(t, r.screen(), "Club sixteen, M7R in 7HR · ")
	assert.Contains(t, r.screen(), "left so: Sam: no other string at hand; the layout is now")
	assert.Regexp(t, `fingerprint [0-9a-f]{8}`, r.screen())
	assert.NotContains(t, r.screen(), "not legal")
}

// There is no way back, or it was not saved: nothing is counted, and what was answered can be answered anew.
func TestNoWayBack(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").times(9, "space").press("s", "2")
	r.shelf.refuse = errors.New("the disk is full")
	r.press("1")
	assert.Contains(t, r.screen(), "NOT SAVED")
	r.shelf.refuse = nil
	r.press("enter")
	assert.Contains(t, r.screen(), "How did clamp")
	m, cmd := r.m.answer(cases.Answer{})
	require.NotNil(t, cmd)
	r.m = m
	r.carryOut(cmd)
	assert.NotContains(t, r.kinds(), "mishap")
	assert.NotEmpty(t, r.m.write.failed)
}

// A job that was left asks before it goes on, and shows no count of steps until then.
func TestResume(t *testing.T) {
	at := time.Date(2026, 5, 4, 8, 30, 0, 0, time.UTC)
	var events []progress.Event
	for i := range 8 {
		events = append(events, progress.Event{At: at, Kind: progress.Done, Step: i + 1})
	}
	r := newRig(t, "club-sixteen", "two-piece-skip", events...)
	assert.NotRegexp(t, `\d+/\d+`, r.screen())
	assert.Contains(t, r.screen(), "PULL M3R at 3HR, 24 kg")
	assert.Contains(t, r.screen(), "A on M1L at 1HL")
	assert.Contains(t, r.screen(), "B on M3R at 3HR")
	r.press("space", "right", "backspace", "s")
	assert.NotRegexp(t, `\d+/\d+`, r.screen(), "only enter confirms")
	r.press("enter")
	assert.Contains(t, r.screen(), "9/64")
	assert.Equal(t, "resume 9", r.kinds())

	no := newRig(t, "club-sixteen", "two-piece-skip", events...).press("r")
	assert.Contains(t, no.screen(), "What does not hold?")
	assert.Contains(t, no.screen(), "1  the gripper slipped on M3R", "the last pull, not the one to come")
	assert.Contains(t, no.screen(), "3  clamp B slipped on M3R")
	assert.Contains(t, no.press("esc").screen(), "The clamps should stand so:", "the question waits for its answer")
	no.press("r", "1", "1")
	assert.Contains(t, no.screen(), "8/64  M3R")
	assert.Contains(t, no.screen(), "AGAIN")
	assert.Equal(t, "back 9, redo 8", no.kinds(), "it is not done")
	no.press("space")
	assert.Contains(t, no.screen(), "9/64")

	midst := newRig(t, "club-sixteen", "two-piece-skip", events...).press("r", "5", "3")
	assert.Contains(t, midst.screen(), "Does the gripper still hold M4R at 4TR?")
	midst.press("2")
	assert.Contains(t, midst.screen(), "10/65  M4R  4HR – 4TR  CLAMP ON B", "and not what was done before")
	assert.NotContains(t, midst.screen(), "PULL M4R")
	assert.NotContains(t, midst.press("space").screen(), "Why?", "nothing went wrong")
	assert.Contains(t, midst.screen(), "11/65")
	assert.Equal(t, "mishap 9, done 10", midst.kinds())
	all := newRig(t, "club-sixteen", "two-piece-skip", events...).press("r", "5", "5")
	assert.Equal(t, "done 9", all.kinds(), "its last act is done")
}

// A detour that an older book left open is closed, and what had slipped is asked anew.
func TestResumeOnADetour(t *testing.T) {
	var events []progress.Event
	for i := range 8 {
		events = append(events, progress.Event{Kind: progress.Done, Step: i + 1})
	}
	events = append(events, progress.Event{Kind: progress.Redo, Step: 6, What: "A"}, progress.Event{Kind: progress.Redo, Step: 7, What: "B"})
	r := newRig(t, "club-sixteen", "two-piece-skip", events...)
	assert.Contains(t, r.screen(), "Step 7 was to be done again")
	r.press("enter")
	assert.Equal(t, "back 7, back 6", r.kinds())
	assert.Contains(t, r.screen(), "What slipped?")
	r.press("2", "1")
	assert.Equal(t, "back 7, back 6, redo 9", r.kinds())
	assert.Contains(t, r.screen(), "WAY BACK")
}

// A question for which ways back are tried comes from away: until then the screen stands, and no key answers anything.
func TestWaysBackAreTriedAwayFromTheScreen(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").times(7, "space").press("w")
	q := r.m.asked[len(r.m.asked)-1]
	at := slices.IndexFunc(q.Answers, func(a cases.Answer) bool { return a.Say == "a hole is split" })
	r.times(at, "down").press("enter")
	require.Contains(t, r.screen(), "Which hole?")
	var cmd tea.Cmd
	r.m, cmd = r.m.Update(golden.Key("8"))
	assert.Contains(t, r.screen(), "Which hole?")
	before := r.screen()
	assert.Equal(t, before, r.press("enter", "down").screen(), "a key meanwhile")
	r.carryOut(cmd)
	assert.Contains(t, r.screen(), "What is done about")
	assert.Contains(t, r.press("esc").screen(), "Which hole?")
}

// Of a number of a list both figures may be alike, however fast they are typed; a figure that gives an answer counts once.
func TestFiguresAlike(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").times(38, "space").press("w")
	assert.True(t, r.m.Once(golden.Key("1")), "the first figure")
	r.press("1")
	assert.False(t, r.m.Once(golden.Key("1")), "the second")
	assert.Contains(t, r.press("1").screen(), "Which hole?")
	assert.True(t, r.m.Once(golden.Key("1")))
}

// The last screen leads to all that happened at the bench, also to what was taken back and noted.
func TestJournalOfTheLastScreen(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").times(8, "space").press("s", "2", "1", "backspace", "n", "d", "u", "s", "t", "enter", "s", "1", "1")
	r.through("This racket is strung.")
	assert.Contains(t, r.screen(), "j journal")
	var lines strings.Builder
	report.Write(&lines, r.m.journal()...)
	assert.Regexp(t, `(?s)step 9  clamp A crept: taken back\n.*step 9  noted: dust\n.*step 9  the gripper slipped\n$`, lines.String())
}

// Where a strand is pressed before a clamp comes off, what hands felt has keys of its own: the key of every step marks nothing there. A tight
// strand keeps its clamp, and what was told wrong is taken back as a whole.
func TestPressedIsAnswered(t *testing.T) {
	r, said := speaking(t)
	r.times(8, "space").press("s", "1", "2", "1")
	r.pressing()
	at := len(r.shelf.events)
	assert.Regexp(t, "press main .* beside clamp A: is it slack on both sides\\? one: slack; two: tight: leave the clamp", (*said)[len(*said)-1])
	for _, habit := range []string{"space", "enter", "pgdown", "3"} {
		r.press(habit)
		require.Len(t, r.shelf.events, at, habit)
	}
	assert.Equal(t, feelFirst, (*said)[len(*said)-1])
	r.m = r.m.SetSize(200, 60)
	for _, says := range []string{"PRESS M1L at 1HL beside clamp A: is it slack on both sides?", "1 it is slack", "1 slack", "2 tight",
		"2 it is tight: leave the clamp: take back what was told, and say that M1L is tight", "1 2 what you felt"} {
		assert.Contains(t, r.screen(), says)
	}

	slack := r.press("1").shelf.events[at]
	assert.Equal(t, []any{progress.Done, progress.Slack}, []any{slack.Kind, slack.What})
	assert.Contains(t, r.screen(), "CLAMP OFF A")
	assert.Contains(t, fmt.Sprint(r.m.journal()), "pressed: slack")

	r.press("backspace", "2")
	assert.Contains(t, r.screen(), "M1L at 1HL is tight: A stays on")
	assert.Len(t, r.press("space", "enter").shelf.events, at+2, "nobody chose anything")
	r.press("1")
	assert.Contains(t, r.screen(), " 9/64 ")
	assert.Empty(t, r.m.past.Stand, "the slip that was told wrong did not happen")
}

// What is still tight where a clamp is to come off is cut there with the clamp on; that is in the journal too.
func TestPressedIsTight(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").times(7, "space").press("w")
	r.times(slices.IndexFunc(r.m.asked[0].Answers, func(a cases.Answer) bool { return strings.HasPrefix(a.Say, "the frame is cracked") }), "down").press("enter", "enter")
	r.pressing()
	assert.Contains(t, r.press("2").screen(), "with the clamp on, face away")
	far := r.m
	far.far = true
	assert.Contains(t, strings.Join(largeWords(ansi.Strip(far.View())), " "), "STAYS ON: FACE AWAY, CUT IT ON THE BED SIDE 1 IT IS CUT: PRESS AGAIN")
	at := len(r.shelf.events)
	assert.Contains(t, r.press("1").screen(), "1  it is slack", "it is pressed again before the clamp comes off")
	assert.Len(t, r.press("space", "2", "1").shelf.events, at, "still tight")
	assert.Contains(t, r.press("1").screen(), "CLAMP OFF")
	assert.Contains(t, fmt.Sprint(r.m.journal()), "pressed: tight")
	for r.steps(1); r.m.scene.face.lead.Verb != act.Cut; {
		r.steps(1)
	}
}

// String that is out stays out, and in a way back clamps and string stay where hands put them, whatever the verb that leads: a step back over that
// asks whether it was done, and no key of habit says that it was not. A step of the plan is taken back at once.
func TestStepBackOverWhatHandsDid(t *testing.T) {
	for _, c := range []struct {
		done int
		told sequence.Trouble
		out  bool
	}{
		{38, sequence.Trouble{Fault: plan.FaultFrame}, true},
		{38, sequence.Trouble{Fault: plan.FaultWeave, Strand: "C5"}, true},
		{38, sequence.Trouble{Fault: plan.FaultBreak, Strand: "M5L", Where: plan.InBed}, true},
		{10, sequence.Trouble{Fault: plan.FaultSwapped, Strand: "M1L", With: "M2L"}, true},
		{10, sequence.Trouble{Fault: plan.FaultClamp, Clamp: plan.B, Extent: plan.Gone}, false},
	} {
		r := newRig(t, "club-sixteen", "two-piece-skip").times(c.done, "space").press("backspace")
		require.Equal(t, c.done-1, r.m.state.Last(), "at once")
		assert.Contains(t, r.screen(), "if it is done, space says so")
		r.press("space")
		r.m, _ = r.m.mend(c.told)
		r.carryOut(func() tea.Msg {
			next, err := shop.Mend(r.m.state.Plan(), r.m.state.Last(), c.told)
			require.NoError(t, err)
			return mendedMsg{c.told, next, nil}
		})
		out, moved := 0, 0
		for range 25 {
			if r.m.finished() {
				break
			}
			s := r.m.step()
			at := r.steps(1).m.state.Last()
			switch {
			case s.TakesOut():
				out++
			case s.Base == 0 && s.Regrips():
				moved++
			default:
				continue
			}
			r.press("backspace", "space", "enter", "pgdown")
			require.Contains(t, r.screen(), "Is this done: ")
			assert.Equal(t, !s.TakesOut(), strings.Contains(r.screen(), "put it back"), s.Title)
			require.Equal(t, at, r.m.state.Last(), s.Title)
			assert.Contains(t, r.press("2").screen(), "nothing is taken back")
			require.Equal(t, at, r.m.state.Last(), s.Title)
			r.press("backspace", "1")
			require.Equal(t, at-1, r.m.state.Last(), s.Title)
			r.steps(1)
		}
		assert.Equal(t, c.out, out > 0, "%v", c.told)
		assert.Positive(t, moved, "%v", c.told)
	}
}

// What was told is not taken back any more once string is cut for it.
func TestPressedAfterACut(t *testing.T) {
	p, err := shop.Mend(planOf(t, "club-sixteen", "two-piece-skip"), 33, sequence.Trouble{Fault: plan.FaultBreak, Strand: "M5L", Where: plan.InBed})
	require.NoError(t, err)
	cut, asked := false, 0
	for n := 33; n < len(p.Steps); n++ {
		if q := cases.At(p, n).Pressed(); q.Felt {
			asked++
			undo := slices.ContainsFunc(q.Answers[1].Next().Answers, func(a cases.Answer) bool { return a.Undo })
			assert.Equal(t, !cut, undo, p.Steps[n].Title)
		}
		cut = cut || slices.ContainsFunc(p.Steps[n].Ops, func(o plan.Op) bool { return o.Op == plan.Cut || o.Op == plan.Unweave })
	}
	assert.Positive(t, asked)
	assert.True(t, cut)
	p, err = shop.Mend(planOf(t, "club-sixteen", "two-piece-skip"), 9, sequence.Trouble{Fault: plan.FaultClamp, Clamp: plan.B, Extent: plan.Gone})
	require.NoError(t, err)
	asked = 0
	for n := 10; n < len(p.Steps); n++ {
		if q := cases.At(p, n).Pressed(); q.Felt {
			asked++
			assert.Contains(t, q.Answers[1].Next().Answers[0].Say, "first put back by hand what was moved since", "the clamp that let go is off")
		}
	}
	assert.Positive(t, asked)
}

// The other side of the centre loop, whose slack is walked out next, is asked for likewise.
func TestLoopIsAnswered(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").times(7, "space").press("s", "1", "2", "1")
	r.pressing()
	assert.Contains(t, r.screen(), "PRESS M1L")
	assert.Contains(t, r.press("2").screen(), "leave it, and begin with what is slack")
	assert.Contains(t, r.press("1").screen(), " 8/64 ", "it is told anew")
}

// Of a strung racket nothing goes wrong any more: the keys that tell it say where they do, and the notice of the last step is not on another.
func TestToldAfterTheLastStep(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").times(64, "space")
	require.True(t, r.m.finished())
	for _, k := range []string{"w", "s"} {
		assert.Contains(t, r.press(k).screen(), "⌫ leads back to the last step; there "+k+" tells what went wrong")
	}
	r.m.foreseen = foreseenMsg{r.m.state.Plan(), map[int][]string{64: {"the hoop against before"}}}
	assert.Contains(t, r.press("backspace").screen(), "the hoop against before")
	another := *r.m.state.Plan()
	r.m.foreseen.of = &another
	assert.NotContains(t, r.screen(), "the hoop against before", "it is of another plan")
}

// A racket that was left amid cuts is taken up with the strands of the last one by name, and all of a cut stand in figures.
func TestCutsByName(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").times(25, "space").press("w")
	r.times(slices.IndexFunc(r.m.asked[0].Answers, func(a cases.Answer) bool { return strings.HasPrefix(a.Say, "the frame is cracked") }), "down").press("enter", "enter")
	for range 40 {
		if r.m.scene.face.lead.Verb == act.Cut {
			break
		}
		r.steps(1)
	}
	cut := plan.Names(r.m.scene.face.lead.Strands)
	for _, size := range sizes[1:] {
		r.m = r.m.SetSize(size[0], size[1])
		for _, far := range []bool{false, true} {
			r.m.far = far
			assert.NotRegexp(t, `first \d of \d`, r.screen(), "%v", size)
		}
	}
	r.steps(1)
	left := newRig(t, "club-sixteen", "two-piece-skip", r.shelf.events...)
	assert.Contains(t, strings.Join(card(left.m), " "), "CUT "+cut)
}

// From afar a sleeve is as large as its two words allow, and what it is stands below.
func TestASleeveIsReadFromAfar(t *testing.T) {
	p := planOf(t, "shuttle-twentytwo", "two-piece-throat")
	told := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Title == "Weave cross 14" })
	p, err := shop.Mend(p, told, sequence.Trouble{Fault: plan.FaultSplit, Hole: "17TL", Choose: plan.Sleeve})
	require.NoError(t, err)
	m, err := New(Job{Plan: p, Recorder: &shelf{}}, Settings{Now: func() time.Time { return time.Unix(0, 0) }, Theme: golden.Plain(t)})
	require.NoError(t, err)
	for m.scene.face.lead.Verb != act.Sleeve {
		m.state, err = m.state.Apply(progress.Event{Kind: progress.Done, Step: m.state.Current()})
		require.NoError(t, err)
		m.refresh()
	}
	m.far = true
	screen := ansi.Strip(m.SetSize(120, 40).View())
	figures, text, _ := readCard(strings.Join(strings.Split(screen, "\n")[1:], "\n"), 0, far())
	require.Len(t, figures, 2, screen)
	for i, word := range []string{"SLEEVE", "17TL"} {
		assert.Equal(t, word, figures[i].text)
		assert.Greater(t, figures[i].rows, 6, screen)
	}
	assert.Contains(t, text, "a bit of tubing")
}
