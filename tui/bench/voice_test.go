package bench

import (
	"errors"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/act"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/shop"
	"pullcard/tui/internal/golden"
)

// speaking is a bench with a voice that remembers what it was to say.
func speaking(t *testing.T, events ...progress.Event) (*rig, *[]string) {
	r := newRig(t, "club-sixteen", "two-piece-skip", events...)
	var said []string
	r.m.set.Say = func(n int, text string) {
		assert.Equal(t, len(said)+1, n, "in order")
		said = append(said, text)
	}
	r.m.set.Spoken = act.Spoken()
	r.carryOut(r.m.saying(1))
	return r, &said
}

// On the straight way each step is said once, as it comes, with its strand, where it is pulled and how hard; a key says it again. So are
// the keys, questions, and what is only looked at.
func TestVoice(t *testing.T) {
	r, said := speaking(t)
	last := func() string { return (*said)[len(*said)-1] }
	assert.True(t, strings.HasPrefix(last(), "eye protection on"), "warnings first")
	assert.True(t, strings.HasSuffix(last(), "space when it is done; r says it again; s, something slipped; w, something else went wrong"), "%s", last())
	r.times(7, "space")
	assert.Len(t, *said, 8)
	assert.Equal(t, "main three right; in at three throat; up at three head; twenty-four; B off; B on; ease", last())
	assert.Contains(t, (*said)[4], "set the machine: twenty-four kilograms", "before the first pull")
	r.press("r")
	assert.Equal(t, (*said)[7], last(), "said again")
	r.press("right")
	assert.Contains(t, last(), "only looking; space leads back; main four right")
	r.press("n")
	assert.Equal(t, "Note; type it, then enter", last())
	r.press("x", "enter")
	assert.Equal(t, (*said)[7], last(), "a note changes nothing")
	r.press("s")
	assert.Equal(t, "What slipped? one: the gripper slipped on main three right at three head right; two: clamp A slipped on main one left at one head left; "+
		"three: clamp B slipped on main two right at two throat right; six: the step in hand is begun: how far? its number, or enter for one; escape leads back", last())
	asked := last()
	r.press("r")
	assert.Equal(t, asked, last(), "said again")
	r.press("down")
	assert.Equal(t, "two: clamp A slipped on main one left at one head left", last())
	r.press("r")
	assert.Contains(t, last(), "its number, or enter for two; ")
	r.press("1")
	assert.True(t, strings.HasPrefix(last(), "one: the gripper slipped on main three right at three head right; When did the gripper slip? one: before a clamp moved; "), "the choice, then what comes of it: %s", last())
	r.press("1")
	assert.Contains(t, last(), "the gripper slipped; again; grip a fresh stretch; pull main three right at three head")
	r.press("space")
	assert.True(t, strings.HasPrefix(last(), "Why? the gripper slipped; y says why, or go on; main four right"), "%s", last())
	r.press("s", "2", "1")
	assert.True(t, strings.HasPrefix(last(), "one: it crept: jaw marks on the string, it still holds; way back: Clamp A crept; "), "%s", last())
	r.press("backspace")
	assert.True(t, strings.HasPrefix(last(), "what was told is taken back; if something did happen, tell it anew first, by s or w; main four right"), "%s", last())
	told := last()
	assert.Equal(t, told, func() string { r.press("r"); return last() }())
	assert.Contains(t, r.screen(), "TAKEN BACK what was told")
	r.press("space", "backspace")
	assert.True(t, strings.HasPrefix(last(), "one step back; main four right"), "%s", last())
	assert.NotContains(t, r.screen(), "TAKEN BACK")
	r.press("s", "2", "1").times(30, "space").press("w")
	r.press("1")
	assert.True(t, strings.HasSuffix(last(), "; enter takes it, or the next figure"), "%s", last())
	r.press("esc", "m")
	assert.Equal(t, "the picture: head up, other side", last())
	r.press("r")
	assert.True(t, strings.HasPrefix(last(), "the other side: left is on the right; "), "%s", last())
	r.press("m")
	r.shelf.refuse = errors.New("the disk is full")
	r.press("space")
	assert.Equal(t, "NOT SAVED, so not counted: the disk is full", last())
	plain := newRig(t, "club-sixteen", "two-piece-skip")
	plain.press("?")
	assert.NotContains(t, plain.screen(), "say it again", "no key without a voice")
}

// From afar the question and the answer that is marked are as large as there is room for, a racket that was left with where its clamps
// stand, and that one is strung; below stands all of it.
func TestFarAsks(t *testing.T) {
	for i, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}} {
		if !sweep.Take(i, 3) {
			continue
		}
		r := newRig(t, "club-sixteen", "two-piece-skip").press("f").times(30, "space").press("w")
		large := func(want string) {
			r.m = r.m.SetSize(size[0], size[1])
			lines := strings.Split(r.screen(), "\n")
			figures, _, torn := readCard(strings.Join(lines[1:], "\n"), 0, far())
			var said []string
			for _, f := range figures {
				said = append(said, f.text)
			}
			assert.Zero(t, torn)
			assert.Contains(t, strings.Join(said, " "), want, "%v\n%s", size, r.screen())
			assert.NotContains(t, r.screen(), "…")
		}
		large("WHAT WENT WRONG? 1, THEN ENTER: STRING BROKE")
		r.press("down")
		large("WHAT WENT WRONG? 2 THE FRAME IS CRACKED: STOP")
		assert.Contains(t, r.screen(), "▶ 02  the frame is cracked: stop", "in its list")
		assert.False(t, r.press("f").m.far, "also while something is asked")
		r.press("f", "esc", "w", "1", "2")
		large("WHAT IS DONE OF IT? 1 DONE: ")
		for r.press("esc", "esc", "w", "0", "9"); !strings.HasPrefix(r.m.asked[len(r.m.asked)-1].Ask, "What was set?"); {
			r.press("enter")
		}
		large("WHAT WAS SET? ORDERED: 23 KG 1 LESS THAN THAT")
		r.press("w", "esc").times(40, "space")
		large("THIS RACKET IS STRUNG")
		assert.Contains(t, r.screen(), "Tell the player: ")
		var events []progress.Event
		for i := range 8 {
			events = append(events, progress.Event{Kind: progress.Done, Step: i + 1})
		}
		r = newRig(t, "club-sixteen", "two-piece-skip", events...)
		r.m.far = true
		large("DO THE CLAMPS STAND SO? A M1L 1HL B M3R 3HR FREE S ENTER YES, N NO")
		r.press("enter").press("s", "1", "2")
		large("FEEL M1L: SLACK? 1 SLACK 2 TIGHT")
	}
}

// From afar stands large what hands would do wrong without it: which way round the frame goes on, where the face must not be and what the cutters must
// not touch, that a tale that was taken back is told anew; string that slipped out of the gripper is gripped elsewhere, a clamp that slipped is
// cleaned and set, and goes on beside its mark.
func TestFarSaysWhatIsMissed(t *testing.T) {
	var r *rig
	slips := func(keys ...string) {
		r = newRig(t, "club-sixteen", "two-piece-skip").times(11, "space").press(keys...)
	}
	large := func() string {
		far := r.m
		far.far = true
		return strings.Join(largeWords(ansi.Strip(far.View())), " ")
	}
	slips()
	assert.NotContains(t, large(), "FRESH")
	slips("s", "1", "1")
	assert.Contains(t, large(), "GRIP FRESH STRING")
	slips("s", "1", "2", "1") // after a clamp came off
	assert.Contains(t, large(), "LOOK AT THE GRIPPER")
	r.through("M4L  4HL → 4TL  24 kg")
	assert.Contains(t, large(), "GRIP FRESH STRING")
	slips("s", "3", "1", "space", "space")
	assert.Contains(t, large(), "CLEAN CLAMP B, SET ITS JAWS")
	r.press("space", "space")
	assert.Contains(t, large(), "4TR BESIDE THE MARK")
	slips("s", "3", "2", "space", "space")
	assert.Contains(t, large(), "CLEAN BASE OF CLAMP B")
	slips("s", "3", "2", "backspace")
	assert.True(t, strings.HasPrefix(large(), "TELL IT ANEW: S OR W PULL M4L"), "%s", func() string { f := r.m; f.far = true; return f.View() }())
	r.m = r.m.SetSize(120, 40)
	afar := r.m
	afar.far = true
	figures, _, _ := readCard(strings.Join(strings.Split(ansi.Strip(afar.View()), "\n")[1:], "\n"), 0, far())
	assert.Equal(t, "TELL", figures[0].text)
	assert.Greater(t, figures[0].rows, figures[len(figures)-1].rows, "what is told comes before what is done")
	r.press("space")
	assert.NotContains(t, large(), "ANEW")

	for r = newRig(t, "club-sixteen", "two-piece-skip"); r.m.scene.face.acts[0].Verb != act.Mount; {
		r.press("space")
	}
	assert.True(t, strings.HasPrefix(large(), "BUTT-CAP MARK UP, HEAD TO THE LEFT SET "), "%s", large())

	r = newRig(t, "club-sixteen", "two-piece-skip").times(38, "space")
	broke := sequence.Trouble{Fault: plan.FaultBreak, Strand: "C5", Where: plan.InBed}
	next, err := shop.Mend(r.m.state.Plan(), r.m.state.Last(), broke)
	require.NoError(t, err)
	r.m, _ = r.m.meanwhile(nil)
	for r.send(mendedMsg{broke, next, nil}); r.m.scene.face.lead.Verb != act.Cut; {
		r.steps(1)
	}
	assert.Contains(t, large(), "FACE AWAY")
	assert.Contains(t, large(), "MIND THE TIGHT MAINS")
}

// largeWords are the figures of a screen in the far view, in order.
func largeWords(screen string) (said []string) {
	figures, _, _ := readCard(strings.Join(strings.Split(screen, "\n")[1:], "\n"), 0, far())
	for _, f := range figures {
		said = append(said, f.text)
	}
	return said
}

// A racket that was left is asked about aloud, with where the clamps stand, and the last screen is told.
func TestVoiceAtBothEnds(t *testing.T) {
	var events []progress.Event
	for i := range 8 {
		events = append(events, progress.Event{Kind: progress.Done, Step: i + 1})
	}
	r, said := speaking(t, events...)
	assert.Equal(t, "this racket was left; the last thing done: Main three right; does all stand so? trust the clamps, never the gripper: A on main one left at one head; "+
		"B on main three right at three head; S free; enter: yes, go on; n: no", (*said)[0])
	r.press("n")
	assert.True(t, strings.HasPrefix((*said)[1], "What does not hold? one: "), "%s", (*said)[1])
	r.press("esc", "enter").through("This racket is strung.")
	assert.Equal(t, "this racket is strung; all was done as planned; tell the player: the tension ordered, what differed, and that the bed softens most on the first day; q leaves", (*said)[len(*said)-1])
}

// By voice alone the whole straight way is told: every pull's strand and hole, every weave's face, every knot.
func TestVoiceTellsAll(t *testing.T) {
	r, said := speaking(t)
	r.m = r.m.SetTheme(golden.Plain(t))
	words, tension := act.Spoken(), ""
	for !r.m.finished() {
		n, f := len(*said), r.m.scene.face
		if f.led {
			text := (*said)[n-1]
			assert.Contains(t, text, words.Strand(f.lead.Strand))
			switch a := &f.lead; {
			case a.Pulls():
				if a.Tension != tension {
					tension = a.Tension
					assert.Contains(t, text, "set the machine: ", "step %d", r.m.step().N)
				}
				assert.Contains(t, text, words.Hole(a.To))
			case a.Face != "":
				assert.Contains(t, text, string(a.Face)+" first")
			case a.Verb == act.Tie:
				assert.Contains(t, text, "on "+words.Strand(a.Anchor))
			}
		}
		r.press("space")
	}
	assert.Len(t, *said, len(r.m.job.Plan.Steps)+1, "and the last screen")
}
