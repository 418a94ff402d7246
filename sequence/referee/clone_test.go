package referee

import "slices"

// Clone returns a table of its own in the same state.
func (t *Table) Clone() *Table {
	c := *t
	c.spans = slices.Clone(t.spans)
	c.ends = slices.Clone(t.ends)
	c.holes = slices.Clone(t.holes)
	c.knots = slices.Clone(t.knots)
	c.weave, c.walked = slices.Clone(t.weave), slices.Clone(t.walked)
	c.found = nil
	return &c
}
