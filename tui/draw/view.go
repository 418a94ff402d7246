package draw

// Turn is where the head of the frame points in the picture.
type Turn uint8

// The four ways in which the frame can stand on the machine.
const (
	HeadUp Turn = iota
	HeadRight
	HeadDown
	HeadLeft
)

// View is how the frame is looked at.
type View struct {
	Turn Turn
	// Mirror shows the bed from the other side: left and right change places, and over becomes under.
	Mirror bool
}

// Next is the view after one more turn of the machine: head up, right, down, left, and home.
func (v View) Next() View {
	v.Turn = (v.Turn + 1) % 4
	return v
}

// ReadView reads what String says; ok is false for anything else.
func ReadView(text string) (v View, ok bool) {
	for _, v := range []View{{}, {Mirror: true}} {
		for range 4 {
			if v.String() == text {
				return v, true
			}
			v = v.Next()
		}
	}
	return View{}, false
}

// String says the view in words, as "head up" or "head left, other side".
func (v View) String() string {
	s := "head " + [...]string{"up", "right", "down", "left"}[v.Turn]
	if v.Mirror {
		s += ", other side"
	}
	return s
}

// level says whether the mains lie level on the screen.
func (v View) level() bool { return v.Turn == HeadLeft || v.Turn == HeadRight }

// point is a cell of the bed: u across the frame from its left side, v along it from the head. On the screen u is the
// column and v the row when the head is up.
type point struct{ u, v int }

func (p point) plus(q point) point { return point{p.u + q.u, p.v + q.v} }

// turned maps a point of a bed of the given size to the screen.
func (v View) turned(p, size point) (x, y int) {
	if v.Mirror {
		p.u = size.u - 1 - p.u
	}
	switch v.Turn {
	case HeadRight:
		return size.v - 1 - p.v, p.u
	case HeadDown:
		return size.u - 1 - p.u, size.v - 1 - p.v
	case HeadLeft:
		return p.v, size.u - 1 - p.u
	}
	return p.u, p.v
}

// way maps a step on the bed to a step on the screen.
func (v View) way(d point) (dx, dy int) {
	x0, y0 := v.turned(point{}, point{})
	x1, y1 := v.turned(d, point{})
	return x1 - x0, y1 - y0
}
