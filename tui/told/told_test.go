package told

import (
	"context"
	"errors"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/assert"

	"pullcard/sequence/report"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

// What of a table's row has no room stands below, drawn in alike wherever the row was broken, and none of it is lost.
func TestRowsThatHaveNoRoom(t *testing.T) {
	var s report.Section
	s.Table(0, "strung\t00:19\tjob 2\tAda Test (invented) · red\t\twindow", "handed over\t00:20\tjob 2\tAda Test (invented) · red\tAda Test (invented)\t18 EUR paid")
	m := New(Sheet{Tell: func(context.Context, int) ([]report.Section, error) { return []report.Section{s}, nil }}, golden.Plain(t), false)
	for width := 30; width <= 120; width++ {
		sized, _ := m.SetSize(width, 24).Update(m.Init()())
		frame := sized.View()
		golden.Exact(t, frame, width, 24)
		words := strings.Fields(s.Lines[0].Text + " " + s.Lines[1].Text)
		assert.Equal(t, words, strings.Fields(frame)[:len(words)], "at %d", width)
		assert.Equal(t, width-2 >= lipgloss.Width(s.Lines[1].Text), strings.Contains(frame, s.Lines[1].Text), "at %d: a row stays whole where it has room", width)
		for line := range strings.Lines(frame) {
			if text := strings.TrimSpace(line); text != "" && !strings.HasPrefix(line, " strung") && !strings.HasPrefix(line, " handed") && !strings.Contains(line, "q back") {
				assert.True(t, strings.HasPrefix(line, "   "+text[:1]), "at %d: %q", width, line)
			}
		}
	}
}

// A large book takes a while to be read: until then the screen says so, and afterwards no more, though there is nothing to tell.
func TestSaysThatItReads(t *testing.T) {
	const reads = "the book is being read"
	for _, fails := range []error{nil, errors.New("the disk is away")} {
		m := New(Sheet{Title: "THE STOCK", Tell: func(context.Context, int) ([]report.Section, error) { return nil, fails }}, golden.Plain(t), false).SetSize(60, 20)
		assert.Contains(t, m.View(), "THE STOCK")
		assert.Contains(t, m.View(), reads)
		golden.Exact(t, m.View(), 60, 20)
		m, _ = m.Update(m.Init()())
		assert.NotContains(t, m.View(), reads)
		m, _ = m.Update(screen.StirMsg{})
		assert.NotContains(t, m.View(), reads, "what is there stays while it is read anew")
	}
}
