package referee

// run is string outside the frame between two holes: it starts at a position and takes so many steps towards higher
// positions. Without steps it lies over nothing.
type run struct{ start, steps int }

// along is the run between two holes of one side.
func along(a, b int) run { return run{min(a, b), max(a-b, b-a)} }

// run is the run between two holes: along their side, or over the centre line the shorter way round.
func (r ring) run(a, b int) run {
	u := along(a, b)
	if rest := r.total() - u.steps; !r.sameSide(a, b) && rest < u.steps {
		return run{max(a, b), rest}
	}
	return u
}

// under is the i-th position strictly between the run's two ends, i from 1 to steps−1.
func (r ring) under(u run, i int) int { return (u.start+i-1)%r.total() + 1 }
