package sheet

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/library"
	"pullcard/sequence"
	"pullcard/sequence/contrast"
	"pullcard/sequence/sequencetest"
	"pullcard/sequence/shop"
	"pullcard/tui/draw"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

var update = flag.Bool("update", false, "write the golden files anew")

// rig is a form and somebody who types, a key at a time; what it tries is there at once.
type rig struct {
	t    testing.TB
	m    Model
	text string // that was kept
	why  string
	fail error
	left string // what it said when it was left
}

func newRig(t testing.TB, kept bool) *rig {
	r := &rig{t: t}
	sheet, _ := library.Technique("two-piece-skip")
	on := []string{"club-sixteen", "dense-eighteen"}
	try := func(text []byte, on, against string) (out shop.Tried, err error) {
		frame := sequencetest.Layout(t, on)
		own, err := sequencetest.Make(t, frame, sequencetest.Sheet(t, string(text)))
		if err != nil {
			return out, err
		}
		if against == "as it was" {
			against = string(sheet)
		}
		other, err := sequencetest.Make(t, frame, sequencetest.Sheet(t, against))
		out = shop.Tried{Plan: own.Plan, Totals: []string{"tried"}, Warnings: own.Plan.Warnings, Contrast: contrast.Of(contrast.Way{Plan: own.Plan}, contrast.Way{Plan: other.Plan})}
		return out, errors.Join(err, sequence.Prove(own.Plan, 0))
	}
	keep := func(_ context.Context, _ string, text []byte, why string) error {
		if r.fail == nil {
			r.text, r.why = string(text), why
		}
		return r.fail
	}
	r.m = New(shop.Trial{Name: "house-two", Kept: kept, Text: sheet, On: on, Beside: []string{"as it was", "two-piece-clamp"}, Try: try, Keep: keep},
		golden.Theme(t, theme.Plain, termenv.Ascii), false, draw.View{}).SetSize(120, 40)
	r.answer(r.m.Init())
	return r
}

func (r *rig) answer(cmd tea.Cmd) {
	if cmd == nil {
		return
	}
	switch msg := cmd().(type) {
	case triedMsg, keptMsg:
		m, cmd := r.m.Update(msg)
		r.m = m
		r.answer(cmd)
	case screen.LeaveMsg:
		r.left = "left " + msg.Said
	}
}

func (r *rig) press(keys ...string) *rig {
	for _, k := range keys {
		m, cmd := r.m.Update(golden.Key(k))
		r.m = m
		r.answer(cmd)
	}
	return r
}

func (r *rig) write(text string) *rig { return r.press(strings.Split(text, "")...) }

// down goes to a setting.
func (r *rig) down(key string) *rig {
	for i := 0; i < 60 && (r.m.at >= len(r.m.clauses) || r.m.clauses[r.m.at].Key != key); i++ {
		r.press("down")
	}
	return r
}

func (r *rig) erase() *rig {
	for r.m.input.Value() != "" {
		r.press("backspace")
	}
	return r
}

func (r *rig) screen() string { return ansi.Strip(r.m.View()) }

func (r *rig) shows(texts ...string) *rig {
	r.t.Helper()
	flat := strings.Join(strings.Fields(r.screen()), " ")
	for _, text := range texts {
		require.Contains(r.t, flat, text, r.screen())
	}
	return r
}

// Plan, totals, picture and what is otherwise follow each key; what is typed is kept with why, and nothing else of the sheet changes.
func TestEdited(t *testing.T) {
	r := newRig(t, true).shows("proven: tried", "hands do the same, act by act", "two pieces of string")
	assert.Equal(t, 3, r.m.tried.Plan.Totals.MaxLead)
	r.down("mains.lead").shows("one side runs ahead by 3 pulls at most; 1 or 2 or 3").press("right")
	assert.Equal(t, 1, r.m.tried.Plan.Totals.MaxLead, "after the last word comes the first")
	r.shows("hands do otherwise")
	before := r.screen()
	r.erase().write("7").shows("the racket is as it was before")
	assert.Equal(t, []string{"mains.lead is 7; write 1 to 3, the pulls by which one side may run ahead"}, r.m.wrong["mains.lead"])
	r.press("ctrl+s").shows("not kept: something is wrong here")
	r.press("backspace").write("1 # the hoop is wide").shows("proven")
	r.down("crosses.start").press("right").shows("the starting clamp holds the first cross")
	assert.NotEqual(t, before, r.screen(), "the picture is of another start")
	for r.m.at != r.m.last() {
		r.press("down")
	}
	r.write("it twists").press("ctrl+s")
	was, _ := library.Technique("two-piece-skip")
	want := strings.NewReplacer("lead  = 3\n", "lead  = 1  # the hoop is wide\n", `start = "skip"`, `start = "clamp"`).Replace(string(was))
	assert.Equal(t, want, r.text)
	assert.Equal(t, "it twists", r.why)
	assert.Equal(t, "left kept as house-two", r.left)
}

// A reason that stays while its setting changes says of what it was the reason, until that is back or another is given.
func TestReasonOfAnotherWord(t *testing.T) {
	r := newRig(t, true).down("mains.then").press("right", "down").shows("level # of overtake: R first, lead 3")
	r.press("up", "right", "right", "down").shows("level # of overtake: R first")
	r.press("up", "right", "down").shows("overtake # R first, lead 3")
	r.press("up", "right").press("ctrl+s")
	assert.Contains(t, r.text, "then  = \"level\"  # of overtake: R first, lead 3")
	r = newRig(t, true).down("mains.then").erase().write("level # even").press("down").shows("level # even")
	assert.NotContains(t, r.screen(), "of overtake")
}

// What cannot be strung so says why, and what is usual comes back with an empty row.
func TestRefused(t *testing.T) {
	r := newRig(t, false)
	r.down("clamps.fixed").erase().write("0").shows("clamp").press("ctrl+a").shows("against two-piece-clamp")
	r.press("ctrl+p", "ctrl+p")
	assert.NotContains(t, r.screen(), "(own)", "what was told of another sheet")
	r.press("ctrl+p").erase().shows("proven").press("ctrl+f").shows("on dense-eighteen")
	r.press("esc").shows("esc once more throws away").press("up")
	assert.Empty(t, r.left)
	r.fail = errors.New("sheet 1 is called so already")
	r.press("ctrl+s").shows("sheet 1 is called so already")
	assert.Empty(t, r.left, "and nothing that was typed is lost")
	r.press("esc", "esc")
	assert.Equal(t, "left ", r.left)
}

// An answer to what was typed before comes too late.
func TestLateAnswer(t *testing.T) {
	r := newRig(t, true).down("mains.lead")
	late := r.m.try()
	r.press("right")
	r.m, _ = r.m.Update(late())
	assert.Equal(t, 1, r.m.tried.Plan.Totals.MaxLead)
}

// Words and picture have a page each.
func TestPages(t *testing.T) {
	r := newRig(t, true).press("ctrl+a", "ctrl+p", "ctrl+p").shows("Two pieces, skip start (own) and Two pieces, clamp start (other)", "CLAMP")
	r.press("down", "up", "ctrl+p").shows("▶ pieces")
	assert.True(t, r.m.Once(golden.Key("ctrl+s")))
}

func TestFrames(t *testing.T) {
	for _, s := range []struct {
		name, at string
		keys     []string
	}{{"form", "", nil}, {"changed", "mains.then", []string{"right"}}, {"picture", "", []string{"ctrl+p"}}, {"against", "", []string{"ctrl+a", "ctrl+p", "ctrl+p"}}} {
		r := newRig(t, true)
		if s.at != "" {
			r.down(s.at)
		}
		r.press(s.keys...)
		for _, size := range golden.Sizes() {
			frame := r.m.SetSize(size[0], size[1]).View()
			golden.Exact(t, frame, size[0], size[1])
			golden.Check(t, *update, fmt.Sprintf("sheet_%s_%dx%d", s.name, size[0], size[1]), frame)
		}
	}
}

// The heading names sheet and frame whole on the smallest screen and on the usual one, whatever they are called.
func TestHeadingIsWhole(t *testing.T) {
	for _, width := range []int{60, 80, 120} {
		m := Model{name: "two-piece-throat-late", trial: shop.Trial{On: []string{"shuttle-twentytwo-long"}, Beside: []string{"one-piece-around"}}}
		m.Width, m.Theme = width, golden.Plain(t)
		assert.LessOrEqual(t, lipgloss.Width(m.head()), width-2)
		assert.Contains(t, m.head(), "two-piece-throat-late on shuttle-twentytwo-long")
	}
}
