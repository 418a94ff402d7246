package tui

import (
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/tui/bench"
	"pullcard/tui/internal/golden"
	"pullcard/tui/rack"
)

// usually is the hold that a house has which chose none.
func usually(o *bench.Settings) { o.Hold = 700 * time.Millisecond }

// hold sends a key some times, each a time after the one before.
func (r *rig) hold(key string, times int, apart time.Duration) *rig {
	for range times {
		time.Sleep(apart)
		r.send(golden.Key(key))
	}
	return r
}

func paste(text string) tea.KeyMsg {
	return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(text), Paste: true}
}

func TestHeldKeyCountsOnce(t *testing.T) {
	c := newCupboard(t)
	inBubble(t, func(t *testing.T) {
		r := newRig(t, newShop(c), usually).press("enter").shows("1/64")
		r.hold("space", 1, time.Second).shows("2/64")
		r.hold("space", 100, 30*time.Millisecond).shows("2/64")
		r.hold("enter", 1, 10*time.Millisecond).shows("3/64") // a different key never is a held one
		for range 100 {
			r.hold("space", 1, 5*time.Millisecond).hold("enter", 1, 5*time.Millisecond)
		}
		r.shows("3/64") // two keys held in turn
		for range 100 {
			r.hold("space", 1, 5*time.Millisecond).hold("x", 1, 5*time.Millisecond)
		}
		r.shows("3/64")
		r.hold("enter", 1, 699*time.Millisecond).shows("4/64")
		r.hold("enter", 1, 699*time.Millisecond).shows("4/64")
		r.hold("enter", 1, 700*time.Millisecond).shows("5/64")
		r.hold("right", 3, 30*time.Millisecond).shows("8/64") // looking may repeat
	})
}

// Whatever keys come however quickly, a step is marked by a key only when the same key was quiet for the hold before.
func TestHoldByProperty(t *testing.T) {
	names := []string{"space", "enter", "pgdown", "x", "j", "f"}
	rapid.Check(t, func(t *rapid.T) {
		var c recent
		before := map[string]time.Time{}
		at := time.Date(2031, 5, 4, 9, 0, 0, 0, time.UTC)
		for range rapid.IntRange(1, 200).Draw(t, "keys") {
			at = at.Add(time.Duration(rapid.IntRange(0, 800).Draw(t, "apart")) * time.Millisecond)
			name := rapid.SampledFrom(names).Draw(t, "key")
			var held bool
			c, held = c.press(golden.Key(name), at, 700*time.Millisecond)
			last, known := before[name]
			if want := known && at.Sub(last) < 700*time.Millisecond; held != want {
				t.Fatalf("%s at %v after %v: held is %v", name, at, last, held)
			}
			before[name] = at
		}
	})
}

// A key held on one screen answers nothing on the next: enter on the rack is not the answer to what is asked on the bench.
func TestKeyHeldAcrossScreens(t *testing.T) {
	c := newCupboard(t)
	for _, w := range []struct {
		what   string
		before []string
		key    string
		says   string
	}{
		{"take up again", []string{"enter", "space", "q"}, "enter", "TAKE UP AGAIN"},
		{"the numbers come and stay", []string{"enter"}, "b", "NUMBERS"},
		{"a way back is chosen by one answer", []string{"enter", "space", "space", "space", "space", "space", "space", "space"}, "s", "What slipped?"},
		{"a record is not removed by the key that asks", []string{"b", "enter"}, "d", "again removes it"},
		{"a verdict is not kept by the key that chooses", []string{"b", "left", "left", "enter", "v", "v"}, "enter", "the player's own words"},
	} {
		t.Run(w.what, func(t *testing.T) {
			inBubble(t, func(t *testing.T) {
				r := newRig(t, newShop(c), usually)
				for _, k := range w.before {
					r.hold(k, 1, time.Second)
				}
				time.Sleep(time.Second)
				r.hold(w.key, 60, 30*time.Millisecond).shows(w.says)
			})
		})
	}
}

// A paste is typed where text is typed, and dropped and told of everywhere else; the next key takes the word off.
func TestPaste(t *testing.T) {
	c := newCupboard(t)
	const dropped = "a burst of keys, as a paste makes, was dropped: nothing was marked"
	texts := map[string]bool{"frame": true, "sheet": true, "book": true, "form": true, "baseline": true}
	for name, keys := range screens() {
		t.Run(name, func(t *testing.T) {
			inBubble(t, func(t *testing.T) {
				r := newRig(t, newShop(c)).press(keys...)
				before := r.screen()
				r.sleep(time.Second).send(paste(strings.Repeat(" x\rs1\r", 200)))
				if texts[name] {
					r.hides(dropped)
					return
				}
				exact(t, r.m.View(), 80, 24)
				r.shows(dropped)
				r.send(tea.KeyMsg{Type: tea.KeyF20}) // means nothing anywhere
				assert.Equal(t, before, r.screen(), "nothing else changed")
			})
		})
	}
	inBubble(t, func(t *testing.T) {
		r := newRig(t, newShop(c)).press("enter", "n").send(paste("the awl is blunt")).shows("› the awl is blunt").press("enter").shows("noted: the awl is blunt")
		r.send(paste(" ")).shows(dropped, "1/64").send(golden.Key("space")).shows("1/64") // those of a paste count as events of their keys
		r.press("space").shows("2/64").hides(dropped)
	})
}

// A ticket that is scanned on the rack finds its racket, and elsewhere nothing comes of it, which is said.
func TestScan(t *testing.T) {
	c := newCupboard(t)
	inBubble(t, func(t *testing.T) {
		s := newShop(c)
		s.files = append(s.files, rack.Item{Group: "queue", Key: "12", Title: "Bo (invented) · red", Name: "job12"}, rack.Item{Group: "queue", Key: "13", Title: "Cy (invented) · red", Name: "job13"})
		r := newRig(t, s).send(paste("job12\r")).shows("job12", "Bo (invented) · red").hides("Cy (invented)", "a burst of keys")
		r.press("esc", "c").send(paste("job12\r")).shows("a burst of keys")
	})
}

// Keys that were typed quickly come as one piece of text; each of them counts.
func TestKeysTypedTogether(t *testing.T) {
	c := newCupboard(t)
	inBubble(t, func(t *testing.T) {
		r := newRig(t, newShop(c)).press("enter")
		for range 7 {
			r.press("space")
		}
		r.press("s1").shows("When did the gripper slip?").press("1").shows("AGAIN (1)").press("space").shows("Why? the gripper slipped").shows("9/64").press("y", "wet", "enter").hides("Why?").shows("9/64")
	})
}

// A screen that only says that it is too small takes no key but ? and q, on which nothing depends.
func TestTooSmallTakesNoKey(t *testing.T) {
	c := newCupboard(t)
	for _, size := range [][2]int{{59, 20}, {60, 19}, {1, 1}} {
		inBubble(t, func(t *testing.T) {
			r := newRig(t, newShop(c)).press("enter", "space").shows("2/64")
			r.size(size[0], size[1]).press("space", "enter", "pgdown", "backspace", "s", "w", "1", "n", "x", "enter", "p", "b", "f", "v", "right")
			exact(t, r.m.View(), size[0], size[1])
			r.size(80, 24).shows("2/64", "MOUNT", "space done")
			r.size(size[0], size[1]).press("?").size(80, 24).shows("Keys").press("esc")
			r.press("n").size(size[0], size[1]).press("a", "q", "?", "enter").size(80, 24).shows("› what is worth keeping")
			r.press("esc").size(size[0], size[1]).press("q").size(80, 24).shows("which racket")

			r = newRig(t, newShop(c)).press("f")
			before := r.screen()
			r.size(size[0], size[1]).press("x", "q", "?", "enter", "down", "esc").size(80, 24)
			require.Equal(t, before, r.screen())
		})
	}
}
