package patterns

// Interleaves says whether two chords cross: whether the four ends alternate round the hoop. Chords that share a hole
// do not cross.
func (f *Frame) Interleaves(a, b Chord) bool {
	lo, hi := f.Pos(a.Ends[0]), f.Pos(a.Ends[1])
	if lo > hi {
		lo, hi = hi, lo
	}
	p, q := f.Pos(b.Ends[0]), f.Pos(b.Ends[1])
	if p == lo || p == hi || q == lo || q == hi {
		return false
	}
	return (lo < p && p < hi) != (lo < q && q < hi)
}

// Met are the columns, numbered from 1 at the left, of the mains that a cross meets.
func (f *Frame) Met(cross Chord) []int {
	left := len(f.Mains[Left])
	met := make([]int, 0, left+len(f.Mains[Right])) // asked very often: no list of the columns is made
	for i := range cap(met) {
		m := &f.Mains[Right]
		at := i - left
		if i < left {
			m, at = &f.Mains[Left], left-1-i
		}
		if f.Interleaves(cross, (*m)[at]) {
			met = append(met, i+1)
		}
	}
	return met
}

// Over says whether a cross lies over the main in a column, as seen from the stringer. It is one checkerboard over
// the whole bed: the parity of column and cross number decides, whatever is strung first.
func Over(cross, column int) bool { return (cross+column)%2 == 0 }
