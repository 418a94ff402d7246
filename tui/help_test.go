package tui

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/tui/internal/golden"
)

// A question mark explains every screen where it is no text, f1 every one; the next key only closes that.
func TestEveryScreenExplainsItself(t *testing.T) {
	c := newCupboard(t)
	inBubble(t, func(t *testing.T) {
		for _, s := range []struct {
			name  string
			keys  []string
			typed bool // a question mark is text there
			what  string
		}{
			{"rack", nil, false, "in the order in which to string them"},
			{"book", []string{"b"}, false, "The record book"},
			{"letters", []string{"b", "a"}, true, "The record book"},
			{"page", []string{"b", "enter"}, false, "One record"},
			{"form", []string{"b", "ctrl+n"}, true, "A record is filled in"},
			{"job", []string{"a"}, true, "A record is filled in"},
			{"charts", []string{"c"}, false, "Are the rackets alike?"},
			{"frame", []string{"f"}, true, "A new layout"},
			{"sheet", []string{"b", "left", "enter", "w"}, true, "How the house strings"},
			{"day", []string{"d"}, false, "What was strung and handed over"},
			{"due", []string{"u"}, false, "strung anew"},
			{"stock", []string{"s"}, false, "What is left of each string"},
			{"numbers", []string{"enter", "b"}, false, "The numbers of this job"},
		} {
			r := newRig(t, newShop(c)).press(s.keys...)
			before := r.screen()
			r.press("f1").shows(s.what, "any key")
			exact(t, r.m.View(), 80, 24)
			assert.NotRegexp(t, `(?m)^\s*←→\s*$`, r.screen(), "%s: what the arrows do", s.name)
			turn := func() {
				for pages := 1; strings.Contains(r.screen(), "any key more"); pages++ {
					r.press("q")
					require.Less(t, pages, 9, s.name)
				}
			}
			turn()
			r.press("q")
			assert.Equal(t, before, r.screen(), "%s: the key only closed it", s.name)
			r.size(60, 20).press("f1")
			turn()
			r.size(80, 24).press("q")
			assert.Equal(t, before, r.screen(), "%s: all of it was read", s.name)
			r.press("?")
			if s.typed {
				r.hides("any key")
			} else {
				r.shows(s.what)
			}
			for _, size := range golden.Sizes() {
				exact(t, r.size(size[0], size[1]).m.View(), size[0], size[1])
			}
		}
	})
	for name, keys := range screens() { // whatever there are
		inBubble(t, func(t *testing.T) {
			r := newRig(t, newShop(c)).press(keys...)
			if name == "bench" { // it has a page of its own
				r.press("?").shows("one step back")
				return
			}
			help := r.m.(Model).up().Help()
			require.NotEmpty(t, help.Keys, name)
			r.press("f1")
			assert.Contains(t, strings.Join(strings.Fields(r.screen()), " "), strings.Join(strings.Fields(help.Text)[:4], " "), name)
		})
	}
}

// Who forgets to explain a screen has what any Look says, which is nothing; so each package of a screen says something of its own.
func TestNoScreenForgetsItsHelp(t *testing.T) {
	files, err := filepath.Glob("*/*.go")
	require.NoError(t, err)
	said := map[string]string{}
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		said[filepath.Dir(file)] += string(text)
	}
	screens := 0
	for name, text := range said {
		if strings.Contains(text, "type Model struct {\n\tscreen.Look\n") {
			screens++
			assert.Contains(t, text, "func (m Model) Help() screen.Help {", name)
		}
	}
	assert.Greater(t, screens, 10)
}
