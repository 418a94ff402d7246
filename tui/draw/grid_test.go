package draw

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/sweep"
	"pullcard/sequence/plan"
)

// anyBed draws the holes of a bed: on every side the ends of its mains lie between those of some crosses, in any order
// that leaves all other crosses to the sides; some holes are spare, and some carry a main and a cross.
func anyBed(t *rapid.T) *plan.Plan {
	mains := rapid.IntRange(2, 11).Draw(t, "mains of a side")
	early := rapid.IntRange(0, 4).Draw(t, "crosses among the mains at the head")
	late := rapid.IntRange(0, 4).Draw(t, "and at the throat")
	middle := rapid.IntRange(2, 12).Draw(t, "crosses between")
	total := early + middle + late

	terms := plan.Terms{}
	heads, throats, rows := [2][]int{}, [2][]int{}, [2][]int{}
	for side := range 2 {
		n := 0
		take := func(spare bool) int {
			if n++; spare && rapid.IntRange(0, 9).Draw(t, "spare") == 0 {
				n++
			}
			return n
		}
		// From the head: mains and early crosses mixed, the first main first and so the last main last but for crosses.
		mix := func(crosses int) (mainAt, crossAt []int) {
			after := make([]int, crosses) // each cross stands behind so many mains
			for i := range after {
				after[i] = rapid.IntRange(1, mains).Draw(t, "behind")
			}
			for m := 1; m <= mains; m++ {
				mainAt = append(mainAt, take(true))
				shared := m > 1 && rapid.IntRange(0, 9).Draw(t, "shared") == 0
				for i, a := range after {
					if a != m {
						continue
					}
					if shared {
						crossAt, shared = append(crossAt, mainAt[m-1]), false
						after[i] = 0
						continue
					}
					crossAt = append(crossAt, take(true))
				}
			}
			return mainAt, crossAt
		}
		heads[side], rows[side] = mix(early)
		for range middle {
			rows[side] = append(rows[side], take(true))
		}
		start := n
		m, c := mix(late)
		last := n + 1
		// The throat is mixed from its centre: turned round it follows on the middle.
		for i := len(c) - 1; i >= 0; i-- {
			rows[side] = append(rows[side], last+start-c[i])
		}
		for _, at := range m {
			throats[side] = append(throats[side], last+start-at)
		}
		if side == 0 {
			terms.HolesLeft = n
		} else {
			terms.HolesRight = n
		}
	}
	hole := func(side, n int) plan.Hole { return plan.Hole(fmt.Sprintf("%dH%c", n, "LR"[side])) }
	for i := range 2 * mains {
		side, k := 0, mains-i
		if i >= mains {
			side, k = 1, i-mains+1
		}
		terms.Mains = append(terms.Mains, plan.Chord{Strand: plan.Strand(fmt.Sprintf("M%d%c", k, "LR"[side])),
			Ends: [2]plan.Hole{hole(side, heads[side][k-1]), hole(side, throats[side][k-1])}})
	}
	for j := range total {
		terms.Crosses = append(terms.Crosses, plan.Chord{Strand: plan.Strand(fmt.Sprintf("C%d", j+1)),
			Ends: [2]plan.Hole{hole(0, rows[0][j]), hole(1, rows[1][j])}})
	}
	return &plan.Plan{Terms: terms}
}

// TestStrandsCrossWhereTheirChordsDo: whatever the order of the holes, lines cross in the picture where the chords
// cross and nowhere else, no two holes share a point, and the line of the holes is closed and never steps on a strand.
func TestStrandsCrossWhereTheirChordsDo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := At(anyBed(t), 0, 0)
		v := View{Turn: Turn(rapid.IntRange(0, 1).Draw(t, "turn"))}
		w, h := s.Size(v)
		g, _ := s.layout(w+rapid.IntRange(0, 120).Draw(t, "w"), h+rapid.IntRange(0, 40).Draw(t, "h"), v)
		for _, c := range s.crosses {
			left, right := g.holes[c.ends[0]].point, g.holes[c.ends[1]].point
			for _, m := range s.mains {
				head, throat := g.holes[m.ends[0]].point, g.holes[m.ends[1]].point
				drawn := left.u < head.u && head.u < right.u && head.v < left.v && left.v < throat.v
				if drawn != s.ring.cross(c.ends, m.ends) {
					t.Fatalf("%s from %v to %v and %s from %v to %v", c.name, left, right, m.name, head, throat)
				}
			}
		}
		straight(t, &s, g)
		closed(t, &s, g)
	})
}

// straight checks that strands run along their row or column and that no two used holes share a point.
func straight(t *rapid.T, s *Scene, g *grid) {
	for i, m := range s.mains {
		for _, place := range m.ends {
			if g.holes[place].u != g.u.at[i] {
				t.Fatalf("%s leaves its column at %v", m.name, g.holes[place].point)
			}
		}
	}
	for i, c := range s.crosses {
		for _, place := range c.ends {
			if g.holes[place].v != g.v.at[i] {
				t.Fatalf("%s leaves its row at %v", c.name, g.holes[place].point)
			}
		}
	}
	seen := map[point]int{}
	for place := range g.holes {
		if h := &g.holes[place]; h.used() {
			if other, ok := seen[h.point]; ok {
				t.Fatalf("places %d and %d share %v", other, place, h.point)
			}
			seen[h.point] = place
		}
	}
}

// closed checks that the line goes round in single steps, passes no point twice and lies on no strand but at its ends.
func closed(t *rapid.T, s *Scene, g *grid) {
	seen := map[point]bool{}
	for i, a := range g.line {
		b := g.line[(i+1)%len(g.line)]
		if d := (a.u-b.u)*(a.u-b.u) + (a.v-b.v)*(a.v-b.v); d != 1 {
			t.Fatalf("a step from %v to %v", a, b)
		}
		if seen[a] {
			t.Fatalf("%v twice", a)
		}
		seen[a] = true
	}
	for _, m := range s.mains {
		from, to := g.holes[m.ends[0]].point, g.holes[m.ends[1]].point
		for v := from.v + 1; v < to.v; v++ {
			if seen[point{from.u, v}] {
				t.Fatalf("the line runs over %s at row %d", m.name, v)
			}
		}
	}
	for _, c := range s.crosses {
		from, to := g.holes[c.ends[0]].point, g.holes[c.ends[1]].point
		for u := from.u + 1; u < to.u; u++ {
			if seen[point{u, from.v}] {
				t.Fatalf("the line runs over %s at column %d", c.name, u)
			}
		}
	}
}

// TestSpareHoles: holes that no strand uses are drawn and numbered on the line between their neighbours.
func TestSpareHoles(t *testing.T) {
	p := flying()
	p.Terms.HolesLeft, p.Terms.HolesRight = 9, 9
	s := At(p, 0, 0)
	g, _ := s.layout(40, 20, View{})
	for _, name := range []plan.Hole{"5HL", "4TL", "5HR", "4TR"} {
		h := g.holes[s.ring.at(name)]
		require.GreaterOrEqual(t, h.on, 0, name)
		assert.Equal(t, g.line[h.on], h.point)
	}
	text := s.Render(40, 20, View{}, palette(t, "plain", false))
	assert.Contains(t, text, "5")
}

func TestSpread(t *testing.T) {
	a := spread(5, 2, 2, 1, 3)
	assert.Equal(t, axis{at: []int{5, 8, 10, 12, 15}, low: 3, high: 17, size: 21}, a)
	assert.Equal(t, []int{-1, 0, -1, 1, -1}, spread(2, 2, 0, 0, 0).index())
}

func TestBoxes(t *testing.T) {
	for a, want := range map[arms]rune{
		0:                         ' ',
		1<<0 | 1<<4:               '│',
		1<<2 | 1<<6:               '─',
		2<<0 | 2<<4:               '┃',
		2<<2 | 2<<6:               '━',
		1<<2 | 1<<4:               '╭',
		2<<2 | 2<<4:               '┏',
		1<<0 | 2<<2 | 1<<4 | 2<<6: '┿',
		1 << 6:                    '╴',
		2 << 2:                    '╺',
		1<<0 | 1<<2 | 2<<4 | 1<<6: '╁',
		2<<0 | 2<<2 | 2<<4 | 2<<6: '╋',
		arms(0).with(armLeft, 1).with(armLeft, 2): '╸',
	} {
		assert.Equal(t, string(want), string(a.box()), "%08b", a)
	}
	assert.Equal(t, "▗", string(pick(quadrants, 8)))
	assert.Equal(t, "█", string(pick(quadrants, 15)))
}

// A hole that has no place in the picture has no string and no mark there, whatever else lies in it.
func TestHolesWithoutAPlace(t *testing.T) {
	_, p := build(t, "club-sixteen", "two-piece-skip")
	style, moments := palette(t, "plain", false), []Scene{At(p, len(p.Steps), 0)}
	for _, n := range []int{9, 30, 45} {
		moments = append(moments, At(p, n, n+1))
	}
	for _, s := range moments {
		s.Grips, s.Deferred = map[plan.Clamp]plan.Grip{}, nil
		for i, c := range []plan.Strand{"M8L", "C1", "C10"} {
			hole := s.ring.name(s.span(c).home[0])
			s.Grips[plan.Clamps()[i]] = plan.Grip{Strand: c, Hole: hole, Outside: i == 1}
			s.Deferred = append(s.Deferred, plan.Deferral{Strand: c, Hole: hole})
		}
		for place := 1; place <= s.ring.total(); place++ {
			if !sweep.Take(place, 7) {
				continue
			}
			g, l := s.layout(80, 40, View{})
			g.holes[place].on, g.holes[place].point = -1, point{}
			paint := painter{Scene: &s, grid: g, canvas: newCanvas(View{}, point{g.u.size, g.v.size}), style: &style, layout: l}
			paint.paint()
			assert.Equal(t, cell{}, *paint.at(point{}), "%s", s.ring.name(place))
		}
	}
}
