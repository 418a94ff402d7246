package draw

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// What is outside the picture is nowhere in it, and no number goes beside another one.
func TestTheEdgeOfThePicture(t *testing.T) {
	c := newCanvas(View{}, point{4, 3})
	g := grid{lo: []int{1, 0, 1}, hi: []int{2, 3, 2}}
	for y := -2; y < 6; y++ {
		for x := -2; x < 7; x++ {
			inside := x >= 0 && x < 4 && y >= 0 && y < 3
			assert.Equal(t, inside, c.screen(x, y) != &c.none, "%d, %d", x, y)
			if inside {
				assert.Same(t, &c.cells[4*y+x], c.screen(x, y))
			}
			assert.Equal(t, inside && (y == 1 || x == 1 || x == 2), g.encloses(point{x, y}), "%d, %d", x, y)
		}
	}
	assert.True(t, c.write(1, 1, "1", 0))
	for _, at := range []point{{0, 1}, {2, 1}, {1, 1}} {
		assert.False(t, c.write(at.u, at.v, "2", 0), at)
	}
	assert.True(t, c.write(3, 1, "2", 0))
	assert.True(t, c.write(0, 2, "10", 0), "above and below is not beside")
}
