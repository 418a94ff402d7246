package controlchart

import (
	"encoding/xml"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"github.com/mattn/go-runewidth"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func shopChart(t testing.TB) *Chart { return charted(t, shop()) }

func svg(t testing.TB, c *Chart, title string) string {
	t.Helper()
	return Draw(c, title).SVG()
}

func TestSVGGolden(t *testing.T) {
	golden(t, "chart.svg", svg(t, shopChart(t), "Control rackets, invented readings"))
}

func TestTextGolden(t *testing.T) {
	golden(t, "chart-60x16.txt", strings.Join(Text(shopChart(t), 60, 16, false), "\n")+"\n")
	golden(t, "chart-40x10-ascii.txt", strings.Join(Text(shopChart(t), 40, 10, true), "\n")+"\n")
}

// elements counts the elements of a picture and gathers its text; it fails on what is not well formed.
func elements(t require.TestingT, picture string) (count map[string]int, words string) {
	count = map[string]int{}
	for d := xml.NewDecoder(strings.NewReader(picture)); ; {
		token, err := d.Token()
		if err == io.EOF {
			return count, words
		}
		require.NoError(t, err)
		switch e := token.(type) {
		case xml.StartElement:
			count[e.Name.Local]++
		case xml.CharData:
			words += string(e)
		}
	}
}

// Every point, every value of the EWMA and every range has its mark; those that raise an alarm are diamonds.
func TestSVGMarks(t *testing.T) {
	c := shopChart(t)
	diamonds := 0
	for _, a := range c.Alarms {
		if a.Individual {
			diamonds++
		}
		if a.EWMA {
			diamonds++
		}
	}
	require.Positive(t, diamonds)
	picture := svg(t, c, "x")
	count, words := elements(t, picture)
	assert.Equal(t, diamonds, count["polygon"])
	assert.Equal(t, len(c.Points)+len(c.EWMA)+len(c.Ranges)-diamonds, count["circle"])
	assert.Contains(t, picture, `viewBox="0 0 800 830"`)
	for _, want := range append(strings.Fields(strings.Join(c.Words(), " ")), "kept of the tension", "EWMA", "moving range", "job, in the order strung", "122, 2031-05-05 06:00: 0.801") {
		assert.Contains(t, words, want)
	}
	_, words = elements(t, svg(t, chart(t, 1, 1), ""))
	assert.Contains(t, words, "until then nothing is judged")
}

func TestSVGEscapes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		title, label := rapid.String().Draw(t, "title"), rapid.String().Draw(t, "label")
		points := series(1, 2)
		points[0].Label = label
		c, err := New(points, nil)
		require.NoError(t, err)
		count, words := elements(t, Draw(c, title).SVG())
		assert.Equal(t, 1, count["svg"])
		assert.Zero(t, count["script"])
		odd := func(r rune) bool { return unicode.IsControl(r) && r != '\n' }
		assert.Negative(t, strings.IndexFunc(words, odd))
	})
	count, words := elements(t, svg(t, chart(t, 1, 2), "</title><script>\"&'\x1b[2J\u202e"))
	assert.Zero(t, count["script"])
	assert.NotContains(t, words, "\u202e")
}

// Every coordinate lies within the viewBox, whatever the points.
func TestSVGStaysInside(t *testing.T) {
	coordinate := regexp.MustCompile(` (x|cx|y|cy)="([^"]+)"`)
	rapid.Check(t, func(t *rapid.T) {
		c := chart(t, someValues(t)...)
		found := coordinate.FindAllStringSubmatch(Draw(c, "x").SVG(), -1)
		require.NotEmpty(t, found)
		for _, m := range found {
			v, err := strconv.ParseFloat(m[2], 64)
			require.NoError(t, err)
			most := 800.0
			if strings.HasSuffix(m[1], "y") {
				most = 830
			}
			assert.True(t, v >= 0 && v <= most, m[0])
		}
	})
}

// contrast is that of a colour on white. Source: WCAG 2.x, relative luminance and contrast ratio.
func contrast(t *testing.T, colour string) float64 {
	light := 0.0
	for i, weight := range []float64{.2126, .7152, .0722} {
		v, err := strconv.ParseUint(colour[1+2*i:3+2*i], 16, 8)
		require.NoError(t, err)
		c := float64(v) / 255
		if c <= .03928 {
			c /= 12.92
		} else {
			c = math.Pow((c+.055)/1.055, 2.4)
		}
		light += weight * c
	}
	return 1.05 / (light + .05)
}

func TestSVGContrast(t *testing.T) {
	require.InDelta(t, 4.542225, contrast(t, "#767676"), 1e-6) // the formula's own check, from the same source
	seen := map[string]bool{}
	for _, m := range regexp.MustCompile(`(?:fill|stroke)="(#[0-9a-f]{6})"`).FindAllStringSubmatch(svg(t, shopChart(t), "x"), -1) {
		seen[m[1]] = true
	}
	require.Contains(t, seen, "#ffffff")
	delete(seen, "#ffffff") // the ground, and the inside of a diamond
	require.NotEmpty(t, seen)
	for colour := range seen {
		assert.GreaterOrEqual(t, contrast(t, colour), 4.5, colour)
	}
}

// A plot fills its cells exactly, shows no point as fine that is not, and is plain ASCII where that is asked.
func TestTextFits(t *testing.T) {
	cells := runewidth.NewCondition()
	cells.EastAsianWidth = false
	rapid.Check(t, func(t *rapid.T) {
		c := chart(t, someValues(t)...)
		width, height := rapid.IntRange(1, 120).Draw(t, "width"), rapid.IntRange(1, 40).Draw(t, "height")
		ascii := rapid.Bool().Draw(t, "ascii")
		lines := Text(c, width, height, ascii)
		require.Len(t, lines, height)
		out := "◆"
		if ascii {
			out = "X"
		}
		for _, line := range lines {
			assert.Equal(t, width, cells.StringWidth(line), "%q", line)
			if ascii {
				assert.Len(t, line, width)
			}
		}
		assert.Equal(t, len(c.Flagged()) > 0, strings.Contains(strings.Join(lines, ""), out))
	})
	assert.Nil(t, Text(shopChart(t), 0, 5, false))
	assert.Nil(t, Text(shopChart(t), 5, 0, false))
}

// Where there is room, each point lies in its own column, the higher the larger.
func TestTextPlaces(t *testing.T) {
	lines := Text(chart(t, 1, 2, 3, 2), 20, 9, true)
	rows := map[int]int{}
	for y, line := range lines {
		for x := strings.Index(line, "|") + 1; x < len(line); x++ {
			if line[x] == 'o' {
				rows[x] = y
			}
		}
	}
	require.Len(t, rows, 4, "%s", strings.Join(lines, "\n"))
	var xs []int
	for x := range 20 {
		if _, ok := rows[x]; ok {
			xs = append(xs, x)
		}
	}
	assert.Greater(t, rows[xs[0]], rows[xs[1]])
	assert.Greater(t, rows[xs[1]], rows[xs[2]])
	assert.Equal(t, rows[xs[1]], rows[xs[3]])
}
