package draw

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"pullcard/patterns/sweep"
)

// A picture whose places were worked out before is the same, whatever scene, size or view they were worked out for.
func TestFittedIsTheSamePicture(t *testing.T) {
	_, p := build(t, "club-sixteen", "two-piece-skip")
	style := palette(t, "dark", false)
	var before Scene
	for n := 1; n <= len(p.Steps); n += 7 {
		for i, view := range []View{{}, {Turn: HeadLeft}, {Mirror: true}} {
			for j, size := range [][2]int{{60, 30}, {100, 58}} {
				if !sweep.Take(n/7+i+j, 2) {
					continue
				}
				s := At(p, n-1, n)
				fitted := s.Fitted(size[0], size[1], view, before)
				assert.Equal(t, s.Render(size[0], size[1], view, style), fitted.Render(size[0], size[1], view, style))
				assert.Equal(t, s.Render(70, 40, view, style), fitted.Render(70, 40, view, style), "another size than it was fitted for")
				before = fitted
			}
		}
	}
	again := At(p, 1, 2).Fitted(100, 58, View{Mirror: true}, before)
	assert.Same(t, before.fitted, again.fitted, "what is known is not worked out again")
}
