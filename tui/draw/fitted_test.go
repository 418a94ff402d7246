package draw

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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

// Places are worked out anew for another size, view or frame, and for no bed without strands.
func TestFittedForAnother(t *testing.T) {
	_, p := build(t, "club-sixteen", "two-piece-skip")
	_, q := build(t, "dense-eighteen", "two-piece-skip")
	s, v := At(p, 0, 1), View{Turn: HeadDown}
	first := s.Fitted(80, 40, v, Scene{})
	g, l := s.layout(80, 40, v)
	require.Equal(t, &fitted{80, 40, v, s.chords(), g, l}, first.fitted)
	got, _ := first.fit(80, 40, v)
	assert.Same(t, first.fitted.grid, got)
	for _, c := range []struct {
		s    Scene
		w, h int
		v    View
	}{{s, 81, 40, v}, {s, 80, 41, v}, {s, 80, 40, View{}}, {At(q, 0, 1), 80, 40, v}} {
		assert.NotSame(t, first.fitted, c.s.Fitted(c.w, c.h, c.v, first).fitted)
		fresh, _ := c.s.layout(c.w, c.h, c.v)
		got, _ := c.s.Fitted(c.w, c.h, c.v, first).fit(c.w, c.h, c.v)
		assert.Equal(t, fresh, got)
		if len(c.s.mains) == len(s.mains) && &c.s.mains[0] == &s.mains[0] {
			other, _ := first.fit(c.w, c.h, c.v)
			assert.Equal(t, fresh, other)
		}
	}
	for _, empty := range []Scene{{}, {mains: s.mains}, {crosses: s.crosses}} {
		assert.Nil(t, empty.Fitted(80, 40, v, Scene{}).fitted)
	}
}
