package tui

import (
	"fmt"
	"maps"
	"runtime/debug"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"pullcard/patterns/sweep"
	"pullcard/tui/internal/golden"
)

// gust is one thing that happens in a storm: a key, a terminal of another size, or a minute that passes.
type gust struct {
	key  string
	size [2]int
}

func (g gust) String() string {
	if g.key != "" {
		return g.key
	}
	return fmt.Sprintf("%d×%d", g.size[0], g.size[1])
}

const minute = "a minute"

// stormKeys lead to every screen and do something on each; scrollKeys move what does not fit, or show it alone.
func stormKeys() []string {
	return []string{"enter", "enter", "space", "space", "space", "esc", "esc", "q", "b", "c", "f", "v", "p", "s", "n", "w", "o", "e", "a", "?",
		"1", "2", "+", "left", "right", "tab", "backspace", "ctrl+n", "ctrl+s", minute}
}

func scrollKeys() []string {
	return []string{"up", "down", "down", "pgup", "pgdown", "pgdown", "space", "ctrl+p", minute}
}

func sizes(least, most [2]int) *rapid.Generator[[2]int] {
	return rapid.Custom(func(t *rapid.T) [2]int {
		return [2]int{rapid.IntRange(least[0], most[0]).Draw(t, "width"), rapid.IntRange(least[1], most[1]).Draw(t, "height")}
	})
}

// gusts are keys, with up to three other sizes before the one in which each is typed.
func gusts(keys []string, others, typed *rapid.Generator[[2]int]) *rapid.Generator[[]gust] {
	return rapid.Custom(func(t *rapid.T) (list []gust) {
		for _, size := range rapid.SliceOfN(others, 0, 3).Draw(t, "sizes") {
			list = append(list, gust{size: size})
		}
		return append(list, gust{size: typed.Draw(t, "size")}, gust{key: rapid.SampledFrom(keys).Draw(t, "key")})
	})
}

// blow lets a gust come over a program.
func (g gust) blow(r *rig) {
	switch g.key {
	case "":
		r.send(tea.WindowSizeMsg{Width: g.size[0], Height: g.size[1]})
	case minute:
		r.settle()
	default:
		r.send(golden.Key(g.key))
	}
}

// TestStorm types and lets the terminal change its size, anywhere in the program. Every frame fits, and in the end the
// program stands as for somebody who typed the same on a terminal that had the last size from the start: a frame depends
// on what was typed and on the size now, never on the sizes before. The keys are typed where the screens have the room
// that they ask for; below that, what a key can choose is not in sight.
func TestStorm(t *testing.T) {
	c := newCupboard(t)
	least, most := [2]int{60, 20}, [2]int{220, 70}
	rapid.Check(t, sweep.Some(20, func(rt *rapid.T) {
		start := rapid.SampledFrom(slices.Sorted(maps.Keys(screens()))).Draw(rt, "start")
		last := sizes(least, most).Draw(rt, "last")
		list := rapid.SliceOfN(gusts(stormKeys(), sizes([2]int{1, 1}, most), sizes(least, most)), 1, 7).Draw(rt, "storm")
		storm(t, rt, c, screens()[start], last, append(slices.Concat(list...), gust{size: last}))
	}))
}

// TestStormOverScrolledText does the same with keys that move what does not fit, all of them typed in one size and with
// smaller sizes between them: a text that was shown whole meanwhile begins at its top again, rightly. On a page of the book
// a line is only chosen while it is in sight.
func TestStormOverScrolledText(t *testing.T) {
	c := newCupboard(t)
	rapid.Check(t, sweep.Some(20, func(rt *rapid.T) {
		start := rapid.SampledFrom(slices.Sorted(maps.Keys(screens()))).Filter(func(s string) bool { return s != "page" }).Draw(rt, "start")
		home := sizes([2]int{1, 1}, [2]int{100, 32}).Draw(rt, "home")
		list := rapid.SliceOfN(gusts(scrollKeys(), sizes([2]int{1, 1}, home), rapid.Just(home)), 1, 4).Draw(rt, "storm")
		storm(t, rt, c, screens()[start], home, slices.Concat(list...))
	}))
}

// storm lets gusts come over a program, and those that are no sizes over one that has its size from the start.
func storm(t *testing.T, rt *rapid.T, c cupboard, start []string, home [2]int, list []gust) {
	begun := rapid.IntRange(0, 64).Draw(rt, "steps done before")
	var wrong complaints
	inBubble(t, func(t *testing.T) {
		defer func() { wrong.panicked(recover()) }()
		tossed, calm := newRig(t, newShop(c).work("job-1", begun)), newRig(t, newShop(c).work("job-1", begun))
		for _, r := range []*rig{tossed, calm} {
			r.size(home[0], home[1]).press(start...)
		}
		at := home
		for _, g := range list {
			time.Sleep(g.pause())
			if g.blow(tossed); g.key != "" {
				g.blow(calm)
			} else {
				at = g.size
			}
			if tossed.quit || len(wrong) > 0 {
				break
			}
			if exact(&wrong, tossed.m.View(), at[0], at[1]); at == home {
				assert.Equal(&wrong, calm.screen(), tossed.screen(), g.String())
			}
		}
		assert.Equal(&wrong, calm.quit, tossed.quit)
		assert.Equal(&wrong, calm.shop.racket("job-1").events, tossed.shop.racket("job-1").events)
	})
	if len(wrong) > 0 {
		rt.Fatal(strings.Join(wrong, "\n"))
	}
}

// pause is how long a gust is in coming.
func (g gust) pause() time.Duration {
	switch g.key {
	case "":
		return 0
	case minute:
		return time.Minute
	}
	return stroke
}

// complaints are what was wrong inside a bubble, which a test of rapid cannot be told of from there.
type complaints []string

// Errorf notes what is wrong.
func (c *complaints) Errorf(format string, args ...any) {
	*c = append(*c, fmt.Sprintf(format, args...))
}

func (c *complaints) panicked(what any) {
	if what != nil {
		c.Errorf("panic: %v\n%s", what, debug.Stack())
	}
}
