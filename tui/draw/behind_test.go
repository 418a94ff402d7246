package draw

import (
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"

	"pullcard/patterns/sweep"
	"pullcard/sequence/plan"
)

// Where S stands behind another clamp it is drawn there: on the same strand, further from the hole, near it, and where no string
// crosses; so is where both are going.
func TestBehindAnotherClamp(t *testing.T) {
	_, p := build(t, "club-sixteen", "two-piece-clamp")
	style, n, shown := palette(t, "plain", false), 0, 0
	s := At(p, len(p.Steps), 0)
	for _, name := range []plan.Strand{"M1L", "M8R", "M5L", "C1", "C10", "C19"} {
		for _, end := range []int{0, 1} {
			for i, size := range [][2]int{{37, 21}, {60, 26}, {80, 40}, {120, 60}} {
				for j, v := range views() {
					if n++; !sweep.Take(n, 13) {
						continue
					}
					c := s.span(name)
					front := []plan.Clamp{plan.A, plan.B}[(i+j)%2]
					g := plan.Grip{Strand: name, Hole: s.ring.name(c.ends[end])}
					s.Grips = map[plan.Clamp]plan.Grip{front: g, plan.S: g}
					s.After = s.Grips
					if going := j%3 == 0; going {
						s.Grips = nil
					}
					grid, l := s.fit(size[0], size[1], v)
					paint := painter{Scene: &s, grid: grid, canvas: newCanvas(v, point{grid.u.size, grid.v.size}), style: &style, layout: l}
					paint.paint()
					h := &grid.holes[c.home[end]]
					in := paint.inward(c, g.Hole)
					far := func(letter rune) int {
						for at, d := h.point, 0; grid.encloses(at); at, d = at.plus(in), d+1 {
							if unicode.ToUpper(paint.at(at).sign) == letter {
								return d
							}
						}
						return -1
					}
					a, b := far(rune(front[0])), far('S')
					if a < 0 || b <= 0 {
						continue // no room: a letter stands beside its strand, or in the hole
					}
					shown++
					assert.Less(t, a, b, "%s %d %v %v", name, end, size, v)
					assert.Less(t, b, 6, "%s %d %v %v", name, end, size, v)
					at := h.point
					for range b {
						at = at.plus(in)
					}
					u, w := grid.columnOf[at.u], grid.rowOf[at.v]
					assert.False(t, u >= 0 && w >= 0 && s.crosses[w].over[u] != apart, "%s %d %v %v: at a crossing", name, end, size, v)
				}
			}
		}
	}
	assert.Positive(t, shown)
}
