package ticket

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"rsc.io/qr"

	"pullcard/patterns/drawing"
)

// What is drawn is the code, module by module, with white around it: the strokes are laid onto squares and read back.
func TestCodeIsDrawn(t *testing.T) {
	s := &drawing.Sheet{MM: true}
	p := &pen{sheet: s, left: 5, y: 7}
	p.code("job4711", codeSize)
	assert.InDelta(t, 7+codeSize, p.y, 1e-12)
	c, err := qr.Encode("job4711", qr.M)
	require.NoError(t, err)
	n := c.Size + 2*quiet
	black := make([]bool, n*n)
	for _, m := range s.Marks {
		l := m.(drawing.Stroke)
		assert.InDelta(t, codeSize/float64(n), l.Width, 1e-12)
		for x := l.Points[0].X + l.Width/2; x < l.Points[1].X; x += l.Width {
			black[int((l.Points[0].Y-7)/l.Width)*n+int((x-5)/l.Width)] = true
		}
	}
	for y := range n {
		for x := range n {
			assert.Equal(t, c.Black(x-quiet, y-quiet), black[y*n+x], "%d, %d", x, y)
		}
	}
	assert.Greater(t, codeSize/float64(n), 0.4, "a module that label printers print")
}

func TestSlip(t *testing.T) {
	text := Slip("job12", "TO BE STRUNG", []Row{{"player", "Zoe Adler (invented)"}, {"lot", ""}, {"mind", strings.Repeat("long ", 12)}}, 32)
	assert.Contains(t, text, "job12")
	assert.Contains(t, text, "player")
	assert.NotContains(t, text, "lot ")
	for line := range strings.Lines(text) {
		assert.LessOrEqual(t, len(strings.TrimRight(line, "\n")), 32)
	}
}
