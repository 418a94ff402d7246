package lot

import (
	"fmt"
	"strings"
	"testing"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/sequence/shop"
	"pullcard/sequence/verdict"
	"pullcard/tui/draw"
)

// large requires a text in large figures somewhere on the screen, line below line in the same columns.
func large(r *rig, text string, rows int) {
	r.t.Helper()
	lines := strings.Split(r.screen(), "\n")
	figure := draw.Big(text, rows, r.m.ASCII)
	for i := 0; i+rows <= len(lines); i++ {
		for at := range []rune(lines[i]) {
			if stands(lines[i:], figure, at) {
				return
			}
		}
	}
	require.Fail(r.t, "not in large figures", "%s in %d rows\n%s", text, rows, r.screen())
}

func stands(lines, figure []string, at int) bool {
	for j, f := range figure {
		l, want := []rune(lines[j]), []rune(f)
		if at+len(want) > len(l) || string(l[at:at+len(want)]) != f {
			return false
		}
	}
	return true
}

func TestSuggestionIsLarge(t *testing.T) {
	r := newRig(t, moved(t))
	large(r, "24 kg", 3)
	large(r, "23.5 kg", 3)
	r.shows("MOVES DOWN by 0.5 kg for the 4 that wait", "mains and crosses 23.5 kg; judged was 24 kg")
	large(r.size(120, 40), "23.5 kg", 5)
	large(r.size(200, 60), "23.5 kg", 6)
	large(r.size(200, 60), "24 kg", 6)
	large(newRig(t, sheet(suggest(t, past(t, 1, "24 kg/23 kg", "too loose, a bit")))).size(60, 20), "24.5/23.5", 3)
}

func TestOutcomes(t *testing.T) {
	newRig(t, sheet(suggest(t, past(t, 1, "24 kg", "right")))).shows("STAYS for the 4 that wait")
	newRig(t, sheet(suggest(t, past(t, 1, "50 lb", "too loose, plainly")))).shows("MOVES UP by 2 lb")
	against := newRig(t, sheet(suggest(t, past(t, 1, "24 kg", "too tight, a bit"), past(t, 4, "24 kg", "too loose, a bit"))))
	against.shows("THE VERDICTS DO NOT GO TOGETHER: NOTHING CHANGES")
	large(against, "24 kg", 3)
	newRig(t, notYet(t)).shows("NOBODY HAS SAID YET", "string one, let it go").hides("decide", "as suggested")
	newRig(t, shop.LotSheet{None: "the lot has no rackets yet"}).shows("NOTHING IS SUGGESTED", "no rackets yet").hides("keep a verdict")
}

// A warning comes first and has a sign of its own; every kind is told in its word.
func TestEvidence(t *testing.T) {
	r := newRig(t, moved(t)).size(200, 60)
	r.shows("! warning     mains at 23.5 kg lie below", "? ask ", "  said  ", "  reason ", "  computed ", "  assumption ", "  literature ", "WHY 23.5 kg")
	screen := r.screen()
	assert.Less(t, strings.Index(screen, "! warning"), strings.Index(screen, "  said "))
	r.hides("pgdn", "lines 1")
	assert.False(t, r.m.keys.PageDown.Enabled())
}

// All evidence and every racket can be reached by scrolling, no further.
func TestScroll(t *testing.T) {
	s := moved(t)
	for i := range 30 {
		s.Rackets = append(s.Rackets, shop.LotRacket{Name: fmt.Sprintf("more %02d", i), State: "waits"})
	}
	r := newRig(t, s).size(60, 20).shows("and 33 more below the evidence", "lines 1 to", "pgdn")
	first, seen := r.screen(), r.screen()
	for range 40 {
		seen += r.press("pgdown").screen()
	}
	for _, want := range []string{"does the player mean", "THE OTHER RACKETS", "white tape", "more 29"} {
		require.Contains(t, seen, want)
	}
	bottom := r.screen()
	require.Equal(t, bottom, r.press("pgdown").screen())
	for range 40 {
		r.press("pgup")
	}
	require.Equal(t, first, r.screen())
}

func TestChange(t *testing.T) {
	r := newRig(t, sheet(suggest(t, past(t, 1, "24 kg/23 kg", "too tight, a bit"))))
	assert.False(t, r.m.keys.Same.Enabled())
	r.hides("as suggested").press("+", "right", "-").shows("YOU SAY 24 kg / 23 kg", "suggested is 23.5 kg / 22.5 kg", "0 as suggested")
	r.press("left", "left").shows("YOU SAY 23 kg / 22 kg").press("0").shows("MOVES DOWN").hides("YOU SAY")
	for unit, want := range map[string]string{"50 lb": "1 lb", "240 N": "5 N", "24 kg": "0.5 kg"} {
		assert.Equal(t, want, hundredths(newRig(t, sheet(suggest(t, past(t, 1, unit, "right")))).m.step()))
	}
	s := sheet(suggest(t, past(t, 1, "10.5 kg", "right")))
	s.Sport = patterns.Badminton // common practice of the trade: half of the usual step
	newRig(t, s).press("-").shows("YOU SAY 10.25 kg")
	low := newRig(t, sheet(suggest(t, past(t, 1, "0.9 kg", "right")))).press("-")
	low.shows("YOU SAY 0.4 kg").press("-").shows("YOU SAY 0.4 kg")
	assert.False(t, low.m.keys.Less.Enabled())
}

func TestDecide(t *testing.T) {
	r := newRig(t, moved(t)).press("enter").shows("enter again: 23.5 kg for the 4 that wait; esc: leave it").hides("why, may").asked()
	r.write("xyz").press("esc").hides("enter again").asked()
	r.press("enter", "enter").asked("decide", "23.5 kg", "23.5 kg", "")
	r.shows("decided: 23.5 kg for the 4 that wait").press("pgup").hides("decided:")
}

// A reason can be given where it is not as suggested, and what was decided stays in sight.
func TestDecideOtherwise(t *testing.T) {
	r := newRig(t, moved(t)).press("+", "enter").shows("why, may stay empty:", "enter again: 24 kg")
	r.write(" wants q+v= ").press("enter").asked("decide", "24 kg", "24 kg", "wants q+v=")
	r.shows("decided: 24 kg for the 4 that wait, suggested was 23.5", "because: wants q+v=")
	large(r, "24 kg", 3)
	r.press("0", "=", "enter", "enter").asked("decide", "24 kg", "24 kg", "")
	again := newRig(t, moved(t)).press("+")
	again.book.next = sheet(suggest(t, past(t, 1, "22 kg", "right")))
	large(again.press("enter", "enter"), "22 kg", 3) // another suggestion begins anew
}

func TestDecideFails(t *testing.T) {
	r := newRig(t, moved(t)).press("+", "enter").write("bite")
	r.book.fail = errFull
	r.press("enter").shows("! the disk is full", "enter again", "bite")
	r.press("enter").asked("decide", "24 kg", "24 kg", "bite").shows("decided:")
}

// What is doubted of a decision is said, and nothing is decided without a reason; also where it is as suggested.
func TestDecideDoubted(t *testing.T) {
	r := newRig(t, moved(t)).press("enter")
	r.book.fail = shop.Doubts{{Key: "tension", Text: "mains at 23.5 kg lie below the printed range", Reason: true}}
	r.press("enter").asked("decide", "23.5 kg", "23.5 kg", "").shows("mains at 23.5 kg lie below the printed range", "is it meant so?", "why: ").hides("may stay empty")
	require.True(t, r.m.Typing())
	r.write("an old frame").press("enter").asked("decide", "23.5 kg", "23.5 kg", "an old frame").shows("decided: 23.5 kg", "because: an old frame")
}

func TestNoRacketWaits(t *testing.T) {
	s := moved(t)
	s.Waiting = 0
	r := newRig(t, s).shows("and no racket waits").hides("decide", "+ - by 0.5 kg")
	r.press("+", "enter", "enter").hides("enter again", "YOU SAY").asked()
	s.Waiting = 1
	newRig(t, s).press("enter").shows("for the one that waits")
}

func TestJudge(t *testing.T) {
	for i, a := range answers() {
		r := newRig(t, moved(t)).press("v").shows("what did the player say of blue dot?", fmt.Sprintf("%d %s", i+1, a))
		r.press(fmt.Sprint(i+1), "enter").asked("judge", "job-1", a.String(), "").shows("kept: blue dot, " + a.String())
		again, err := verdict.Parse(a.String())
		require.NoError(t, err)
		assert.Equal(t, a, again)
	}
	r := newRig(t, moved(t)).press("v").shows("▶ 4 right").press("up", "up", "up", "up", "up").shows("▶ 1 too tight, far")
	r.press("down", "enter").write(" hits q7 ").press("enter").asked("judge", "job-1", "too tight, plainly", "hits q7")
}

// Of several rackets one is chosen, the newest first, and esc leads back question by question.
func TestJudgeOneOfSeveral(t *testing.T) {
	s := moved(t)
	s.Judgeable = append(s.Judgeable, shop.LotChoice{UID: "job-2", Name: "red dot"})
	r := newRig(t, s).press("v").shows("which racket did the player judge?", "▶ red dot")
	r.press("7").shows("which racket").press("up", "up", "enter").shows("say of blue dot?")
	r.press("5").shows("own words").press("esc").shows("▶ 5 too loose, a bit").press("esc").shows("which racket").press("esc").shows("LOT")
	assert.False(t, r.asked().left)
	r.press("v", "enter", "enter", "enter").asked("judge", "job-2", "right", "")
}

func TestJudgeFails(t *testing.T) {
	r := newRig(t, notYet(t)).press("v", "2").write("hard")
	r.book.fail = errFull
	r.press("enter").shows("! the disk is full", "hard", "▶ 2 too tight, plainly")
	r.book.next = moved(t)
	r.press("enter").shows("MOVES DOWN", "kept: blue dot").asked("judge", "job-1", "too tight, plainly", "hard")
}

func TestNothingToJudge(t *testing.T) {
	s := notYet(t)
	s.Judgeable = nil
	r := newRig(t, s).hides("keep a verdict").press("v").shows("LOT")
	assert.False(t, r.m.keys.Judge.Enabled())
}

// Nothing is sent twice while the book has not answered.
func TestSentOnce(t *testing.T) {
	m := newRig(t, moved(t)).press("enter").m
	m, first := m.Update(tea.KeyMsg{Type: tea.KeyEnter})
	require.NotNil(t, first)
	assert.Contains(t, m.View(), "on its way into the book")
	_, second := m.Update(tea.KeyMsg{Type: tea.KeyEnter})
	assert.Nil(t, second)
}

func TestLeave(t *testing.T) {
	for _, k := range []string{"q", "esc"} {
		assert.True(t, newRig(t, moved(t)).press(k).left, k)
	}
	assert.Nil(t, newRig(t, moved(t)).m.Init())
	assert.False(t, newRig(t, moved(t)).press("v", "q").left)
}

// What the foot shows can act, and what cannot act is not there.
func TestFootShowsWhatActs(t *testing.T) {
	for name, r := range states(t, false) {
		for _, b := range r.m.shown() {
			assert.True(t, b.Enabled(), "%s: %s", name, b.Help().Key)
		}
	}
	keys := newRig(t, moved(t)).m.keys
	assert.True(t, key.Matches(tea.KeyMsg{Type: tea.KeyRight}, keys.More))
	assert.False(t, key.Matches(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("1")}, keys.Number), "only in the list of answers")
}
