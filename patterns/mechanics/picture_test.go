package mechanics_test

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/grid"
	"pullcard/patterns/mechanics"
)

// elements counts the elements of a picture; it fails on text that is not well formed.
func elements(t *testing.T, svg string) map[string]int {
	count := map[string]int{}
	for d := xml.NewDecoder(strings.NewReader(svg)); ; {
		token, err := d.Token()
		if err == io.EOF {
			return count
		}
		require.NoError(t, err)
		if e, ok := token.(xml.StartElement); ok {
			count[e.Name.Local]++
		}
	}
}

func TestPicture(t *testing.T) {
	s := sixteen()
	g, n, err := s.Net()
	require.NoError(t, err)
	d := mechanics.Picture(g, n)
	svg := d.Sheet().SVG()
	count := elements(t, svg)
	assert.Equal(t, 35, count["polyline"])
	assert.Equal(t, 292, count["circle"])
	assert.Equal(t, 1, count["polygon"])
	assert.Contains(t, svg, "<title>M8L</title>")
	assert.Contains(t, svg, "sixteen: small and light 27.") // the softest place is the middle
	lowest := float64(n.Centre())
	for _, dot := range d.Dots {
		assert.GreaterOrEqual(t, dot.Value, lowest*(1-1e-9))
	}
}

func TestPictureEscapesText(t *testing.T) {
	d := mechanics.Drawing{Title: `</title><script>"&'`, Unit: "<b>", Strokes: []mechanics.Stroke{{Name: "<M1>", Ends: [2]grid.Point{{}, {X: 1, Y: 1}}}}, Dots: []mechanics.Dot{{Value: 1}}}
	svg := d.Sheet().SVG()
	assert.NotContains(t, svg, "<script")
	assert.NotContains(t, svg, "<b>")
	assert.NotContains(t, svg, "<M1>")
	elements(t, svg)
	elements(t, mechanics.Drawing{}.Sheet().SVG())
}
