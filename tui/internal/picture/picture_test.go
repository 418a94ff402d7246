package picture

import (
	"encoding/xml"
	"os"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "pullcard/patterns/sweep" // for what is drawn
)

// drawn is the part of a picture that the tests read back.
type drawn struct {
	ViewBox string     `xml:"viewBox,attr"`
	Style   string     `xml:"style"`
	Rects   []struct{} `xml:"rect"`
	Texts   []struct {
		Y     int `xml:"y,attr"`
		Spans []struct {
			X      int    `xml:"x,attr"`
			Length int    `xml:"textLength,attr"`
			Class  string `xml:"class,attr"`
			Words  string `xml:",chardata"`
		} `xml:"tspan"`
	} `xml:"text"`
}

func read(t require.TestingT, svg string) (d drawn) {
	require.NoError(t, xml.Unmarshal([]byte(svg), &d))
	return d
}

func styles() (red, bar lipgloss.Style) {
	r := lipgloss.NewRenderer(os.Stdout)
	r.SetColorProfile(termenv.TrueColor)
	return r.NewStyle().Foreground(lipgloss.Color("#ff0000")).Bold(true), r.NewStyle().Background(lipgloss.Color("#00ff00"))
}

func TestRunsAndGrounds(t *testing.T) {
	red, bar := styles()
	svg := SVG("ab " + red.Render("cd") + "  " + red.Render("<e") + "\n" + bar.Render("xy") + "      z")
	d := read(t, svg)
	assert.Equal(t, "0 0 81 36", d.ViewBox)
	require.Len(t, d.Texts, 2)
	require.Len(t, d.Texts[0].Spans, 2, "blanks between the same ink part nothing")
	first, second := d.Texts[0].Spans[0], d.Texts[0].Spans[1]
	assert.Equal(t, "ab", first.Words)
	assert.Equal(t, 18, first.Length)
	assert.Equal(t, "cd  <e", second.Words)
	assert.Equal(t, [2]int{27, 54}, [2]int{second.X, second.Length})
	assert.Contains(t, d.Style, "."+first.Class+"{fill:#dddddd}")
	assert.Contains(t, d.Style, "."+second.Class+"{fill:#ff0000;font-weight:bold}")
	assert.Contains(t, svg, `<rect width="81" height="36" fill="#000000"/>`, "the background of most cells lies behind all")
	assert.Contains(t, svg, `<rect x="0" y="18" width="18" height="18" fill="#00ff00"/>`)
	assert.Len(t, d.Rects, 2)
}

func TestWideAndCombined(t *testing.T) {
	d := read(t, SVG("界e\u0301x"))
	require.Len(t, d.Texts, 1)
	assert.Equal(t, "界e\u0301x", d.Texts[0].Spans[0].Words)
	assert.Equal(t, 4*9, d.Texts[0].Spans[0].Length, "two cells, one and one")
}

func TestCursorTurnsInkAndGround(t *testing.T) {
	d := read(t, SVG("\x1b[38;2;1;2;3;48;2;4;5;6mab\x1b[7mc\x1b[0m"))
	require.Len(t, d.Texts[0].Spans, 2)
	assert.Contains(t, d.Style, "."+d.Texts[0].Spans[1].Class+"{fill:#040506}")
}

func TestBlocksAreRectangles(t *testing.T) {
	red, _ := styles()
	svg := SVG("a" + red.Render("██▀") + "b▄")
	for _, want := range []string{`<rect x="9" y="0" width="18" height="18" fill="#ff0000"/>`, `<rect x="27" y="0" width="9" height="9" fill="#ff0000"/>`,
		`<rect x="45" y="9" width="9" height="9" fill="#dddddd"/>`} {
		assert.Contains(t, svg, want)
	}
	assert.NotContains(t, svg, "█")
	d := read(t, svg)
	assert.Equal(t, "b", d.Texts[0].Spans[1].Words)
}

// Every word stands in the picture at its place, whatever the colours.
func TestEveryWordIsThere(t *testing.T) {
	red, bar := styles()
	rapid.Check(t, func(t *rapid.T) {
		var plain, painted strings.Builder
		for range rapid.IntRange(1, 12).Draw(t, "pieces") {
			text := rapid.StringOfN(rapid.SampledFrom([]rune("ab<&  ─◇")), 1, 6, -1).Draw(t, "text")
			plain.WriteString(text)
			painted.WriteString(rapid.SampledFrom([]lipgloss.Style{{}, red, bar}).Draw(t, "style").Render(text))
		}
		row := []rune(strings.Repeat(" ", len([]rune(plain.String()))))
		for _, text := range read(t, SVG(painted.String())).Texts {
			for _, s := range text.Spans {
				require.Equal(t, s.Length, len([]rune(s.Words))*cellWidth)
				copy(row[s.X/cellWidth:], []rune(s.Words))
			}
		}
		require.Equal(t, plain.String(), string(row))
	})
}
