package referee

// run is string outside the frame between two holes: it starts at a position and takes so many steps towards higher
// positions. Without steps it lies over nothing.
type run struct{ start, steps int }

// along is the run between two holes of one side.
func along(a, b int) run { return run{min(a, b), max(a-b, b-a)} }

// loop is the run between two holes the shorter way round, over the centre line when they lie on two sides.
func (r ring) loop(a, b int) run {
	lo, hi := min(a, b), max(a, b)
	if hi-lo <= r.total()-(hi-lo) {
		return run{lo, hi - lo}
	}
	return run{hi, r.total() - (hi - lo)}
}

// under is the i-th position strictly between the run's two ends, i from 1 to steps−1.
func (r ring) under(u run, i int) int { return (u.start+i-1)%r.total() + 1 }
