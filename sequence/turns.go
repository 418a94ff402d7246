package sequence

import "pullcard/patterns"

// turns is the order in which the two sides of the mains are pulled, each with n pulls: both first mains, then side by
// side in turn. A side runs on until it leads by lead; without overtake the side behind only runs until it is level.
func turns(n [2]int, first patterns.Side, lead int, overtake bool) []patterns.Side {
	var done [2]int
	var out []patterns.Side
	pull := func(s patterns.Side) {
		done[s]++
		out = append(out, s)
	}
	pull(first)
	pull(first.Other())
	for s := first; len(out) < n[0]+n[1]; s = s.Other() {
		goal := done[s.Other()] + lead
		if !overtake && done[s] < done[s.Other()] {
			goal = done[s.Other()]
		}
		for done[s] < min(goal, n[s]) {
			pull(s)
		}
	}
	return out
}
