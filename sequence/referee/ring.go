package referee

import (
	"strconv"

	"pullcard/sequence/plan"
)

// ring is the hoop: the number of holes of the left and of the right side. A hole's position counts from 1 at the
// head's first left hole, down the left side and up the right side; 0 is no hole.
type ring struct{ left, right int }

func (r ring) total() int { return r.left + r.right }

// hole reads a hole's name, under either of its spellings, and returns its position, or 0 if the frame has no such hole.
func (r ring) hole(name plan.Hole) int {
	n := len(name)
	if n < 3 {
		return 0
	}
	side := name[n-1]
	if side != 'L' && side != 'R' {
		return 0
	}
	holes := r.left
	if side == 'R' {
		holes = r.right
	}
	k := number(string(name[:n-2]))
	if k < 1 || k > holes {
		return 0
	}
	switch name[n-2] {
	case 'H':
	case 'T':
		k = holes + 1 - k
	default:
		return 0
	}
	if side == 'R' {
		return r.total() + 1 - k
	}
	return k
}

// name writes a position as a hole, counted from the end that is nearer, the middle one from the head.
func (r ring) name(pos int) plan.Hole {
	side, holes, k := "L", r.left, pos
	if !r.onLeft(pos) {
		side, holes, k = "R", r.right, r.total()+1-pos
	}
	end := "H"
	if back := holes + 1 - k; back < k {
		end, k = "T", back
	}
	return plan.Hole(strconv.Itoa(k) + end + side)
}

func (r ring) onLeft(pos int) bool { return pos <= r.left }

func (r ring) sameSide(a, b int) bool { return r.onLeft(a) == r.onLeft(b) }

// centre is the hole's number counted from the nearer end.
func (r ring) centre(pos int) int {
	k, holes := pos, r.left
	if !r.onLeft(pos) {
		k, holes = r.total()+1-pos, r.right
	}
	return min(k, holes+1-k)
}

// distance is the number of steps from hole to hole the shorter way round.
func (r ring) distance(a, b int) int {
	d := max(a-b, b-a)
	return min(d, r.total()-d)
}

// number reads a plain number of at most three digits without leading zeros; anything else is 0.
func number(s string) int {
	if s == "" || len(s) > 3 || s[0] == '0' {
		return 0
	}
	n := 0
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return 0
		}
		n = 10*n + int(s[i]-'0')
	}
	return n
}
