package drawing

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/grid"
	_ "pullcard/patterns/sweep" // for what is drawn
)

func sheets() *rapid.Generator[*Sheet] {
	at := rapid.Custom(func(t *rapid.T) grid.Point {
		return grid.Point{X: rapid.Float64Range(-50, 500).Draw(t, "x"), Y: rapid.Float64Range(-50, 500).Draw(t, "y")}
	})
	return rapid.Custom(func(t *rapid.T) *Sheet {
		s := &Sheet{Title: rapid.String().Draw(t, "title"), W: 100, H: 150, MM: rapid.Bool().Draw(t, "mm")}
		s.Add(Stroke{Points: rapid.SliceOfN(at, 2, 5).Draw(t, "points"), Closed: rapid.Bool().Draw(t, "closed"), Width: 1, Ink: Black(),
			Dashed: rapid.Bool().Draw(t, "dashed"), Blank: rapid.Bool().Draw(t, "blank"), Title: rapid.String().Draw(t, "name")})
		s.Add(Dot{At: at.Draw(t, "dot"), Radius: 2, Ink: Blue(), Title: rapid.String().Draw(t, "value")})
		s.Add(Words{At: at.Draw(t, "place"), Text: rapid.String().Draw(t, "text"), Size: 5, Ink: Grey(), Bold: rapid.Bool().Draw(t, "bold"),
			Anchor: rapid.SampledFrom([]Anchor{"", Start, Middle, End}).Draw(t, "anchor"), Up: rapid.Bool().Draw(t, "up")})
		return s
	})
}

// Whatever is written on it, a sheet is well-formed XML with one element a mark and nothing that runs.
func TestSVG(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		count := map[string]int{}
		for d := xml.NewDecoder(strings.NewReader(sheets().Draw(t, "sheet").SVG())); ; {
			token, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			require.NoError(t, err)
			if e, ok := token.(xml.StartElement); ok {
				count[e.Name.Local]++
			}
		}
		assert.Equal(t, []int{1, 1, 1, 0}, []int{count["polyline"] + count["polygon"], count["circle"], count["text"], count["script"]})
	})
}

// The same sheets and the same date give the same bytes, a page each.
func TestPDF(t *testing.T) {
	at := time.Date(2031, 5, 4, 9, 0, 0, 0, time.UTC)
	s := &Sheet{Title: "x", W: 62, H: 100, MM: true}
	s.Add(Line(grid.Point{X: 1, Y: 1}, grid.Point{X: 9, Y: 9}, 1, Pale()), Words{At: grid.Point{X: 9, Y: 9}, Text: "M8L", Size: 3, Up: true})
	write := func(n int) []byte {
		var b bytes.Buffer
		pages := make([]*Sheet, n)
		for i := range pages {
			pages[i] = s
		}
		require.NoError(t, PDF(&b, at, "x", pages))
		return b.Bytes()
	}
	assert.True(t, bytes.HasPrefix(write(1), []byte("%PDF-")))
	assert.Equal(t, write(2), write(2))
	assert.Contains(t, string(write(3)), "/Count 3")
	assert.Error(t, PDF(full{}, at, "x", []*Sheet{s}))
}

// A sheet of characters has each word where it stands, and nothing beside the paper.
func TestText(t *testing.T) {
	s := &Sheet{W: 12, H: 4}
	s.Add(Words{At: grid.Point{Y: 0.9}, Text: "left"}, Words{At: grid.Point{X: 12, Y: 0.9}, Text: "right", Anchor: End}, Words{At: grid.Point{X: 6, Y: 2.9}, Text: "amid", Anchor: Middle},
		Line(grid.Point{Y: 2}, grid.Point{X: 12, Y: 2}, 0.2, Pale()), Line(grid.Point{}, grid.Point{X: 12, Y: 4}, 0.2, Pale()), Dot{At: grid.Point{X: 0.7, Y: 3.6}}, Words{At: grid.Point{X: 2, Y: 3.9}, Text: "beyond the paper"},
		Words{At: grid.Point{X: 20, Y: 9}, Text: "off"})
	assert.Equal(t, "left   right\n------------\n    amid\n- beyond the\n", s.Text())
	rapid.Check(t, func(t *rapid.T) {
		s := sheets().Draw(t, "sheet")
		lines := strings.Split(s.Text(), "\n")
		assert.Len(t, lines, int(s.H)+1)
	})
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("the disk is full") }
