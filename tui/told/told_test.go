package told

import (
	"context"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/assert"

	"pullcard/sequence/report"
	"pullcard/tui/internal/golden"
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
