package plan

// Ring is the hoop: how many holes the left and the right side have. A hole's place counts from 1 at the head's first left
// hole, down the left side and up the right one; 0 is no hole.
type Ring struct{ Left, Right int }

// Total is the number of holes.
func (r Ring) Total() int { return r.Left + r.Right }

// At is the place of a hole under either of its names, 0 where the frame has no such hole.
func (r Ring) At(h Hole) int {
	n := len(h)
	if n < 3 || h[n-1] != 'L' && h[n-1] != 'R' || h[n-2] != 'H' && h[n-2] != 'T' {
		return 0
	}
	k, holes := number(h[:n-2]), r.Left
	if h[n-1] == 'R' {
		holes = r.Right
	}
	if k < 1 || k > holes {
		return 0
	}
	if h[n-2] == 'T' {
		k = holes + 1 - k
	}
	if h[n-1] == 'R' {
		return r.Total() + 1 - k
	}
	return k
}

// number is a hole's number, 0 where it is none. Names of holes are read at every op, so this does without what an error costs.
func number(digits Hole) (k int) {
	for _, d := range []byte(digits) {
		if d < '0' || d > '9' || k > 1000 {
			return 0
		}
		k = 10*k + int(d-'0')
	}
	return k
}

// Side is "L" or "R", the side of a place.
func (r Ring) Side(place int) string {
	if place <= r.Left {
		return "L"
	}
	return "R"
}

// Steps is how many places apart two holes are the shorter way round.
func (r Ring) Steps(a, b int) int {
	d := max(a-b, b-a)
	return min(d, r.Total()-d)
}

// Between are the places strictly between two holes of one side; there are none between holes of two sides.
func (r Ring) Between(a, b int) (out []int) {
	if r.Side(a) != r.Side(b) {
		return nil
	}
	step := 1
	if a > b {
		step = -1
	}
	for p := a + step; a != b && p != b; p += step {
		out = append(out, p)
	}
	return out
}

// over says whether a run outside between two holes lies over a place: along their side, or the shorter way round when they are of
// two sides.
func (r Ring) over(from, to, place int) bool {
	lo, hi := min(from, to), max(from, to)
	if r.Side(lo) == r.Side(hi) || hi-lo <= r.Total()-(hi-lo) {
		return lo < place && place < hi
	}
	return place < lo || hi < place
}
