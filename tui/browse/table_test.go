package browse

import (
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/shop"
)

// A table has as many columns as there is room for, the first ones, and none in which nothing stands.
func TestTables(t *testing.T) {
	s := shop.Section{Head: []string{"day", "tension", "reading", "word", "by"}, Lines: []shop.Line{
		{Cells: []string{"2031-05-04", "24 kg / 23 kg", "", "too tight, a bit", "Cy (invented)"}},
		{Cells: []string{"2031-04-02", "24 kg", "", "", "Di"}},
	}}
	for width, want := range map[int]string{
		100: "2031-05-04  24 kg / 23 kg  too tight, a bit  Cy (invented)",
		50:  "2031-05-04  24 kg / 23 kg  too tight, a bit",
		30:  "2031-05-04  24 kg / 23 kg",
	} {
		m := Model{}
		m.Width = width
		widths := m.tabled(s)
		got := m.cells(s.Lines[0].Cells, widths)
		assert.Equal(t, want, got)
		require.LessOrEqual(t, lipgloss.Width(got), m.Room()-2)
		assert.Equal(t, strings.Index(got, "24 kg"), strings.Index(m.cells(s.Head, widths), "tension"), "heads stand above their columns")
	}
	assert.Nil(t, Model{}.tabled(shop.Section{Lines: []shop.Line{{Text: "no table"}}}))
}
