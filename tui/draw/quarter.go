package draw

import (
	"math"

	"pullcard/patterns"
)

// quarter places the holes of one side from one end to the middle. In it u counts down towards the side and v counts up
// from the end, whatever quarter it is.
type quarter struct {
	*grid
	side patterns.Side
	end  patterns.End

	last  point // the hole placed last
	mainU int   // column of the main placed last
	moved float64
}

// turn maps between the frame's points and the quarter's own, both ways.
func (q *quarter) turn(p point) point {
	if q.side == patterns.Right {
		p.u = q.u.low + q.u.high - p.u
	}
	if q.end == patterns.Throat {
		p.v = q.v.low + q.v.high - p.v
	}
	return p
}

func (q *quarter) column(main int) int { return q.turn(point{u: q.u.at[main]}).u }
func (q *quarter) row(cross int) int   { return q.turn(point{v: q.v.at[cross]}).v }

// places are the holes of the quarter's side from its end on; the first half of them are the quarter's own: those up
// to its last main, and half of the crosses between the mains of both ends.
func (q *quarter) places() (places []int, half int) {
	n := q.ring.sides[q.side]
	last, far := 0, n+1
	for i := range n {
		k := i + 1
		if q.end == patterns.Throat {
			k = n - i
		}
		if q.side == patterns.Right {
			k = q.ring.total() + 1 - k
		}
		places = append(places, k)
		if h := &q.holes[k]; h.main >= 0 && h.end == int(q.end) {
			last = i + 1
		} else if h.main >= 0 && far > n {
			far = i + 1
		}
	}
	return places, (last + far) / 2
}

// place gives every used hole of the quarter its point and returns how far they had to leave the curve, in cells.
func (q *quarter) place() float64 {
	q.last, q.mainU = point{q.u.size, q.v.low}, q.u.size
	places, half := q.places()
	for i, place := range places[:half] {
		h := &q.holes[place]
		var p point
		switch {
		case h.main >= 0 && h.cross >= 0:
			p = point{q.column(h.main), q.row(h.cross)}
		case h.main >= 0:
			p = q.placeMain(h.main, places[i+1:])
		case h.cross >= 0:
			p = q.placeCross(h.cross, places[i+1:])
		default:
			continue
		}
		if h.main >= 0 {
			q.mainU = p.u
		}
		q.last = p
		h.point = q.turn(p)
	}
	return q.moved
}

// placeMain ends a main beyond the first cross that it meets and not beyond the last that it does not.
func (q *quarter) placeMain(main int, later []int) point {
	u := q.column(main)
	least, most := max(q.last.v, q.v.low), q.v.high
	if q.last.u == u {
		least++
	}
	for _, place := range later {
		if c := q.holes[place].cross; c >= 0 {
			most = q.row(c) - 1
			break
		}
	}
	return point{u, q.near(float64(q.v.low)+q.curve.depthV(float64(q.turn(point{u: u}).u)), least, most)}
}

// placeCross ends a cross beyond the last main that it meets and before the first that it does not.
func (q *quarter) placeCross(cross int, later []int) point {
	v := q.row(cross)
	least, most := q.u.low, min(q.last.u, q.mainU-1)
	for _, place := range later {
		if h := &q.holes[place]; h.main >= 0 && h.end == int(q.end) {
			least = min(q.column(h.main)+1, most)
			break
		}
	}
	return point{q.near(float64(q.u.low)+q.curve.depthU(float64(q.turn(point{v: v}).v)), least, most), v}
}

// near rounds to a cell and keeps it between bounds.
func (q *quarter) near(want float64, least, most int) int {
	got := min(max(int(math.Round(want)), least), most)
	q.moved += math.Abs(float64(got) - want)
	return got
}
