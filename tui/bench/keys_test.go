package bench

import (
	"context"
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
	"pgregory.net/rapid"

	"pullcard/patterns/sweep"
	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

// What could not be saved is not shown as done, says so until that was acknowledged, and then can be done again.
func TestNotSavedIsNotDone(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").press("space")
	r.shelf.refuse = errors.New("the disk is full; make room and press the key again")
	const said = "NOT SAVED, so not counted: the disk is full"
	r.press("space")
	assert.Contains(t, r.screen(), "2/64")
	assert.Contains(t, r.screen(), said)
	r.shelf.refuse = nil
	r.send(golden.Key("enter"))
	assert.Contains(t, r.screen(), said, "a key that was on its way has not seen it")
	assert.Contains(t, r.press("s", "w", "n", "p", "v", "f", "f", "?", "esc").screen(), said, "no other key takes it off")
	assert.Contains(t, r.press("right").screen(), "3/64", "looking around works")
	r.press("left")
	assert.NotContains(t, r.press("space").screen(), "NOT SAVED")
	assert.Equal(t, "done 1", r.kinds(), "the key that acknowledges marks nothing")
	assert.Contains(t, r.press("space").screen(), "3/64")
}

// What a disk may have kept all the same is not said to be lost, and does not count either.
func TestPerhapsNotSaved(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").press("space")
	r.shelf.refuse = fmt.Errorf("the disk failed: %w", &book.UnsureError{Err: errors.New("sync")})
	r.press("space")
	assert.Contains(t, r.screen(), "2/64")
	assert.Contains(t, r.screen(), "PERHAPS NOT SAVED, so not counted: the disk failed: sync")
}

// Why it failed is told in whole on the narrowest screen, however long it is, and the frame keeps its size.
func TestNotSavedIsToldInWhole(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}, {120, 40}, {200, 60}} {
		r := newRig(t, "club-sixteen", "two-piece-skip").press("space")
		r.m = r.m.SetSize(size[0], size[1])
		for _, n := range []int{1, 30, 1000} {
			r.shelf.refuse = errors.New(strings.Repeat("the disk is full ", n) + "so make room")
			r.press("enter")
			lines := strings.Split(r.screen(), "\n")
			require.Len(t, lines, size[1])
			for _, l := range lines {
				require.Equal(t, size[0], ansi.StringWidth(l))
			}
			text := strings.Join(strings.Fields(r.screen()), " ")
			assert.True(t, strings.HasSuffix(text, "so make room · space: seen"), "%s", text)
			assert.Equal(t, n < 1000, strings.Contains(text, "NOT SAVED, so not counted: "+r.shelf.refuse.Error()), "%s", text)
			assert.Contains(t, lines[0], "2/64")
			r.press("enter")
		}
	}
}

// A note, a reason and an answer that could not be saved are still there after that.
func TestNotSavedIsNotLost(t *testing.T) {
	full := errors.New("the disk is full")
	r := newRig(t, "club-sixteen", "two-piece-skip").times(7, "space")
	r.shelf.refuse = full
	r.press("n", "the awl is blunt", "enter")
	assert.Contains(t, r.screen(), "NOT SAVED")
	r.shelf.refuse = nil
	assert.Contains(t, r.press("enter").screen(), "› the awl is blunt")
	assert.Contains(t, r.press("enter").screen(), "noted: the awl is blunt")

	r.shelf.refuse = full
	r.press("s", "1", "1")
	r.shelf.refuse = nil
	r.press("enter", "1", "space")
	r.shelf.refuse = full
	r.press("y", "wet", "enter")
	r.shelf.refuse = nil
	assert.Contains(t, r.press("enter").screen(), "› wet")
	r.press("enter")
	assert.Equal(t, "wet", r.shelf.events[len(r.shelf.events)-1].Why)

	left := newRig(t, "club-sixteen", "two-piece-skip", r.shelf.events...)
	left.shelf.refuse = full
	assert.Contains(t, left.press("enter").screen(), "TAKE UP AGAIN")
	left.shelf.refuse = nil
	assert.Contains(t, left.press("enter").screen(), "TAKE UP AGAIN", "acknowledged, and not answered")
	assert.NotContains(t, left.press("enter").screen(), "TAKE UP AGAIN")
}

// waiter is a recorder that answers when it is told to.
type waiter struct {
	shelf
	answer chan struct{} // closed when it may
}

func (w *waiter) Record(ctx context.Context, e progress.Event) error {
	<-w.answer
	return w.shelf.Record(ctx, e)
}

// While a write waits nothing is marked and nothing answered, whatever is typed: when it arrives the journal has what was
// sent and no more, and what is looked at goes back to the work.
func TestNothingIsMarkedWhileAWriteWaits(t *testing.T) {
	keys := []string{"space", "enter", "pgdown", "backspace", "pgup", "s", "w", "n", "p", "1", "r", "y", "esc", "left", "right", "v", "f", "?", "b"}
	rapid.Check(t, sweep.Some(4, func(rt *rapid.T) {
		r := newRig(t, "club-sixteen", "two-piece-skip").times(7, "space")
		w := &waiter{shelf: *r.shelf, answer: make(chan struct{})}
		r.m.job.Recorder = w
		r.clock = r.clock.Add(time.Second)
		var cmd tea.Cmd
		r.m, cmd = r.m.Update(golden.Key("space"))
		slow := rapid.Bool().Draw(rt, "slow")
		if slow {
			answer := make(chan tea.Msg, 1)
			write := cmd
			r.m, cmd = r.m.Update(slowMsg{answer})
			assert.Contains(rt, r.screen(), "saving…")
			wait := cmd
			cmd = func() tea.Msg { answer <- write(); return wait() }
		}
		for _, k := range rapid.SliceOfN(rapid.SampledFrom(keys), 0, 30).Draw(rt, "keys") {
			r.clock = r.clock.Add(time.Second)
			var more tea.Cmd
			r.m, more = r.m.Update(golden.Key(k))
			if more != nil {
				_, numbers := more().(screen.OpenMsg)
				require.True(rt, numbers, "only the numbers lead anywhere, not %q", k)
			}
		}
		failed := rapid.Bool().Draw(rt, "fails")
		if failed {
			w.refuse = errors.New("the disk is full")
		}
		close(w.answer)
		for cmd != nil {
			next := cmd()
			if _, ok := next.(recordedMsg); !ok {
				break
			}
			r.m, cmd = r.m.Update(next)
		}
		if failed {
			require.Contains(rt, ansi.Strip(strings.Join(r.m.foot(80), " ")), "NOT SAVED")
			require.Equal(rt, 8, r.m.state.Current())
			require.Len(rt, w.events, 7)
			return
		}
		require.Equal(rt, 9, r.m.state.Current())
		require.Len(rt, w.events, 8)
	}))
}

// Who leaves while a write waits leaves when it has arrived, and stays when it has not.
func TestLeavingWaits(t *testing.T) {
	for _, err := range []error{nil, errors.New("the disk is full")} {
		s := newShop(t, nil)
		s.press("space")
		var cmd tea.Cmd
		s.m, cmd = s.m.Update(golden.Key("enter"))
		var none tea.Cmd
		s.m, none = s.m.Update(golden.Key("q"))
		require.Nil(t, none)
		s.m, _ = s.m.Update(slowMsg{})
		assert.Contains(t, s.view(), "saving… then leaving")
		msg := cmd().(recordedMsg)
		msg.err = err
		s.send(msg)
		assert.Equal(t, err == nil, slices.Contains(s.said, tea.Msg(screen.LeaveMsg{})))
	}
}
