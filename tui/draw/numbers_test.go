package draw

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/sweep"
)

// label is a number as it stands in a picture, with the place nearest to it of all holes of that number.
type label struct {
	text  string
	x, y  int
	place int
	away  float64 // columns, or twice the rows, to its hole
}

// labelsOf reads the numbers off the cells of a picture.
func labelsOf(s *Scene, g *grid, w, h int, v View, style Palette) (out []label) {
	size := point{g.u.size, g.v.size}
	c := newCanvas(v, size)
	left, up := (c.w-w)/2, (c.h-h)/2
	for y, row := range strings.Split(strip(s.Render(w, h, v, style)), "\n") {
		cells := []rune(row)
		for x := 0; x < len(cells); x++ {
			n := 0
			for x+n < len(cells) && cells[x+n] >= '0' && cells[x+n] <= '9' {
				n++
			}
			if n == 0 {
				continue
			}
			l := label{text: string(cells[x : x+n]), x: x, y: y, away: math.Inf(1)}
			for place := range g.holes {
				if g.holes[place].on < 0 || strconv.Itoa(s.ring.count(place)) != l.text {
					continue
				}
				hx, hy := v.turned(g.holes[place].point, size)
				if d := math.Hypot(float64(x+left-hx)+float64(n-1)/2, 2*float64(y+up-hy)); d < l.away {
					l.place, l.away = place, d
				}
			}
			out = append(out, l)
			x += n
		}
	}
	return out
}

// Numbers stand outside the hoop at the holes that they name, in the order in which the holes lie round it, in every view and
// size, whatever the holes are.
func TestNumbersStandInOrder(t *testing.T) {
	defer sweep.Drawn(1)() // so many numbers come up with it
	style, seen := palette(t, "plain", false), 0
	rapid.Check(t, sweep.Some(4, func(t *rapid.T) {
		s := At(anyBed(t), 0, 0)
		v := View{Turn: Turn(rapid.IntRange(0, 3).Draw(t, "turn")), Mirror: rapid.Bool().Draw(t, "mirror")}
		w, h := s.Size(v)
		w, h = w+rapid.IntRange(0, 120).Draw(t, "w"), h+rapid.IntRange(0, 40).Draw(t, "h")
		seen += inOrder(t, &s, w, h, v, style)
	}))
	for i, layout := range layouts() {
		_, p := build(t, layout, "two-piece-skip")
		for j, v := range views() {
			if !sweep.Take(i+j, 3) {
				continue
			}
			s := At(p, 10, 11)
			w, h := s.Size(v)
			n := inOrder(t, &s, w+50, h+20, v, style)
			drawn := 0
			g, _ := s.layout(w+50, h+20, v)
			for i := range g.holes {
				if g.holes[i].on >= 0 {
					drawn++
				}
			}
			assert.GreaterOrEqual(t, n, drawn*3/4, "%s, %s: where there is room most holes are numbered", layout, v)
		}
	}
	assert.Greater(t, seen, sweep.Share(500, 4))
}

func inOrder(t require.TestingT, s *Scene, w, h int, v View, style Palette) int {
	g, _ := s.layout(w, h, v)
	size := point{g.u.size, g.v.size}
	labels := labelsOf(s, g, w, h, v, style)
	mx, my := v.turned(point{g.u.low + g.u.high, g.v.low + g.v.high}, point{2*size.u - 1, 2*size.v - 1})
	c := newCanvas(v, size)
	left, up := (c.w-w)/2, (c.h-h)/2
	across, down := float64(g.u.high-g.u.low), float64(g.v.high-g.v.low)
	if v.level() {
		across, down = down, across
	}
	angle := func(l label) float64 {
		return math.Atan2((float64(l.y+up)-float64(my)/2)/down, (float64(l.x+left)+float64(len(l.text)-1)/2-float64(mx)/2)/across)
	}
	slices.SortFunc(labels, func(a, b label) int { return cmp.Compare(angle(a), angle(b)) })
	ups, downs := 0, 0
	for i, l := range labels {
		require.NotZero(t, l.place, "%s names no hole", l.text)
		require.LessOrEqual(t, l.away, 14.0, "%s stands far from its hole, %s", l.text, v)
		switch next := labels[(i+1)%len(labels)].place; {
		case next > l.place:
			ups++
		case next < l.place:
			downs++
		}
	}
	require.LessOrEqual(t, min(ups, downs), 1, "once round the hoop, %s %dx%d: %v\n%s", v, w, h, labels, strip(s.Render(w, h, v, style)))
	return len(labels)
}

// At the sides, where the eye goes along a row, no number stands level with another hole than its own.
func TestNumbersStandLevel(t *testing.T) {
	style, seen := palette(t, "plain", false), 0
	for _, layout := range layouts() {
		_, p := build(t, layout, "two-piece-skip")
		s := At(p, 10, 11)
		for i, room := range []point{{30, 12}, {50, 20}, {80, 36}} {
			if !sweep.Take(i, 3) {
				continue
			}
			w, h := s.Size(View{})
			w, h = w+room.u, h+room.v
			g, _ := s.layout(w, h, View{})
			up := (newCanvas(View{}, point{g.u.size, g.v.size}).h - h) / 2
			for _, l := range labelsOf(&s, g, w, h, View{}, style) {
				own := &g.holes[l.place]
				if middle := float64(g.v.low+g.v.high) / 2; own.v == l.y+up || math.Abs(float64(own.v)-middle) > .7*(middle-float64(g.v.low)) {
					continue // there the eye goes up and down
				}
				for place := range g.holes {
					o := &g.holes[place]
					require.False(t, place > 0 && o.on >= 0 && o.used() && o.side == own.side && o.v == l.y+up, "%s, %v: %s stands level with %s", layout, room, s.ring.name(l.place), s.ring.name(place))
				}
			}
			seen += len(labelsOf(&s, g, w, h, View{}, style))
		}
	}
	assert.Greater(t, seen, 300)
}
