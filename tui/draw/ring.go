package draw

import (
	"fmt"

	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// ring counts the holes round the hoop from 1, at the head's first left hole, down the left side, along the throat and
// up the right side. Place 0 is no hole.
type ring struct {
	sides [2]int // holes of the left and of the right side
}

func newRing(t *plan.Terms) ring { return ring{[2]int{t.HolesLeft, t.HolesRight}} }

func (r ring) total() int { return r.sides[0] + r.sides[1] }

// at is the place of a hole, 0 when the ring has no such hole.
func (r ring) at(h plan.Hole) int {
	return plan.Ring{Left: r.sides[patterns.Left], Right: r.sides[patterns.Right]}.At(h)
}

func (r ring) ends(c plan.Chord) [2]int { return [2]int{r.at(c.Ends[0]), r.at(c.Ends[1])} }

// split is the side of a place and its number from the head.
func (r ring) split(place int) (side patterns.Side, n int) {
	if place > r.sides[patterns.Left] {
		return patterns.Right, r.total() + 1 - place
	}
	return patterns.Left, place
}

// count is the number of a place from the end that it is nearer to; the middle one counts from the head.
func (r ring) count(place int) int {
	side, n := r.split(place)
	return min(n, r.sides[side]+1-n)
}

// name is the name of a place, counted from the end that it is nearer to.
func (r ring) name(place int) plan.Hole {
	side, n := r.split(place)
	end := "H"
	if r.count(place) < n {
		end = "T"
	}
	return plan.Hole(fmt.Sprintf("%d%s%s", r.count(place), end, side))
}

// cross says whether two chords cross: their four ends alternate round the ring.
func (r ring) cross(a, b [2]int) bool {
	lo, hi := min(a[0], a[1]), max(a[0], a[1])
	inside := func(p int) bool { return lo < p && p < hi }
	outside := func(p int) bool { return p < lo || p > hi }
	return inside(b[0]) && outside(b[1]) || inside(b[1]) && outside(b[0])
}

// steps is the number of holes from one place to another the short way round, negative against the count.
func (r ring) steps(from, to int) int {
	n := r.total()
	d := ((to-from)%n + n) % n
	if 2*d > n {
		d -= n
	}
	return d
}

// step is the place d holes further round.
func (r ring) step(place, d int) int {
	n := r.total()
	return ((place-1+d)%n+n)%n + 1
}
