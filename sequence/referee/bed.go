package referee

import (
	"pullcard/sequence/plan"
)

// none stands for no strand and for no end.
const none = -1

// bed is what the terms say, read once: the ring, the strands and where they cross. Nothing changes it: a strand that
// is kept in another hole makes another.
type bed struct {
	ring
	terms     *plan.Terms
	strands   []strand // the mains in columns from left to right, then the crosses from the head down
	lefts     int      // mains of the left side
	mains     int
	crossings []crossing // cross by cross, each with all the mains
	turns     []int      // whose turn it is to be pulled among the mains, as long as nothing goes wrong
}

type strand struct {
	name   plan.Strand
	kind   byte // 'M' or 'C'
	side   byte // a main's, 'L' or 'R'
	number int
	ends   [2]int // positions: a main's head and throat, a cross's left and right
}

// crossing says whether a cross meets a main, the how-manieth on the cross this main is, from the left, and the
// how-manieth on the main this cross, from the head; both from 0.
type crossing struct {
	meet         bool
	across, down int
}

// parse reads a strand's name: 'M' or 'C', its number, and a main's side. The number is 0 when it is no name.
func parse(name plan.Strand) strand {
	s := strand{name: name}
	n := len(name)
	if n < 2 {
		return s
	}
	s.kind = name[0]
	digits := string(name[1:])
	switch s.kind {
	case 'C':
	case 'M':
		s.side = name[n-1]
		if s.side != 'L' && s.side != 'R' {
			return s
		}
		digits = string(name[1 : n-1])
	default:
		return s
	}
	s.number = number(digits)
	return s
}

// find returns the index of the strand of that name, or none.
func (b *bed) find(name plan.Strand) int {
	s := parse(name)
	i := none
	switch {
	case s.number == 0:
	case s.kind == 'C' && s.number <= len(b.strands)-b.mains:
		i = b.mains + s.number - 1
	case s.side == 'L' && s.number <= b.lefts:
		i = b.lefts - s.number
	case s.side == 'R' && s.number <= b.mains-b.lefts:
		i = b.lefts + s.number - 1
	}
	return i
}

// meeting returns what a cross and a main, both by index, have in common.
func (b *bed) meeting(cross, main int) crossing {
	return b.crossings[(cross-b.mains)*b.mains+main]
}

// met counts the mains that a cross meets.
func (b *bed) met(cross int) int {
	n := 0
	for m := range b.mains {
		if b.meeting(cross, m).meet {
			n++
		}
	}
	return n
}

// outward is how many mains lie outside a main on its side.
func (b *bed) outward(main int) int {
	if b.side(main) == 1 {
		return b.mains - 1 - main
	}
	return main
}

// flying says that the clamps A and B pair two strands, having no base of their own.
func (b *bed) flying() bool { return b.terms.Flying > 0 }

// interleave says whether two chords cross: of the ends of one, exactly one lies between the ends of the other, and
// they share no hole.
func interleave(a, b [2]int) bool {
	lo, hi := min(a[0], a[1]), max(a[0], a[1])
	within := 0
	for _, p := range b {
		if p == lo || p == hi {
			return false
		}
		if lo < p && p < hi {
			within++
		}
	}
	return within == 1
}

// steps is the way from one position up to another.
func (r ring) steps(from, to int) int { return (to - from + r.total()) % r.total() }

// cross finds every crossing. It returns a strand along which the terms do not list the others in their order, or none.
func (b *bed) cross() (disorder int) {
	disorder = none
	down := make([]struct{ count, key int }, b.mains)
	b.crossings = make([]crossing, 0, b.mains*(len(b.strands)-b.mains))
	for c := b.mains; c < len(b.strands); c++ {
		cross := b.strands[c].ends
		across, last := 0, b.steps(cross[1], cross[0])
		for m := range b.mains {
			main := b.strands[m].ends
			if !interleave(cross, main) {
				b.crossings = append(b.crossings, crossing{})
				continue
			}
			// Going up from the cross's right hole over the head to its left hole, the mains come from the right.
			key := b.steps(cross[1], main[0])
			if key >= last {
				disorder = c
			}
			// Going up from the main's head to its throat, the crosses come from the head.
			low := b.steps(main[0], cross[0])
			if low <= down[m].key || low >= b.steps(main[0], main[1]) {
				disorder = m
			}
			b.crossings = append(b.crossings, crossing{true, across, down[m].count})
			last, down[m].key = key, low
			across++
			down[m].count++
		}
	}
	return disorder
}
