package draw

// axis is where the strands of one kind lie along one direction of the picture, with what surrounds them: from the edge
// inwards a margin for the hoop and for numbers, the line of the holes, and room before the first strand.
type axis struct {
	at        []int // cell of each strand
	low, high int   // lines of the holes at both ends
	size      int   // cells from edge to edge
}

// spread lays n strands out on a pitch that starts at least and is widened by extra cells, an even number and fewer than gaps, one a gap from both
// ends inwards: as in a real bed the strands stand closer in the middle. rim is the margin outside the line of the holes at
// either end, room the free cells inside it.
func spread(n, least, extra, room, rim int) axis {
	a := axis{at: make([]int, n), low: rim}
	at := a.low + 1 + room
	for i := range a.at {
		a.at[i] = at
		if at += least; min(i, n-2-i) < extra/2 {
			at++
		}
	}
	a.high = a.at[n-1] + room + 1
	a.size = a.high + 1 + rim
	return a
}

// index is the strand of each cell of the axis, -1 where none lies.
func (a axis) index() []int {
	out := make([]int, a.size)
	for i := range out {
		out[i] = -1
	}
	for i, at := range a.at {
		out[at] = i
	}
	return out
}
