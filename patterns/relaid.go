package patterns

import (
	"fmt"
	"maps"
	"slices"
)

// Relaid is the frame with an end of a strand in another hole. The error says why there is no such layout: the hole is on the other
// side, it has no room, or the strand would pass its neighbours.
func (f *Frame) Relaid(s Strand, from, to Hole) (*Frame, error) {
	out := *f
	out.Mains = [2][]Chord{slices.Clone(f.Mains[Left]), slices.Clone(f.Mains[Right])}
	out.Crosses, out.Shared = slices.Clone(f.Crosses), maps.Clone(f.Shared)
	if from.Side != to.Side {
		return nil, fmt.Errorf("%s is on the other side", f.HoleName(to))
	}
	in := f.through(to)
	if len(in) > 1 || len(in) == 1 && in[0].Kind == s.Kind {
		return nil, fmt.Errorf("%s is the hole of %s and has no room", f.HoleName(to), in[0])
	}
	delete(out.Shared, from)
	if len(in) == 1 {
		out.Shared[to] = true
	}
	for _, list := range [][]Chord{out.Mains[Left], out.Mains[Right], out.Crosses} {
		for i := range list {
			for e := range list[i].Ends {
				if list[i].Strand == s && list[i].Ends[e] == from {
					list[i].Ends[e] = to
				}
			}
			if i > 0 && (list[i].Strand == s || list[i-1].Strand == s) && !f.inOrder(list[i-1], list[i]) {
				return nil, fmt.Errorf("in %s %s would pass the strand beside it", f.HoleName(to), s)
			}
		}
	}
	return &out, nil
}

// through are the strands that have a hole.
func (f *Frame) through(h Hole) (out []Strand) {
	for _, c := range append(f.Columns(), f.Crosses...) {
		if c.Ends[0] == h || c.Ends[1] == h {
			out = append(out, c.Strand)
		}
	}
	return out
}

// inOrder says whether a strand lies beyond the one before it at both ends: a main farther out, a cross nearer the throat.
func (f *Frame) inOrder(before, c Chord) bool {
	if c.Kind == Cross {
		return before.Ends[0].N < c.Ends[0].N && before.Ends[1].N < c.Ends[1].N
	}
	return before.Ends[Head].N < c.Ends[Head].N && c.Ends[Throat].N < before.Ends[Throat].N && c.Ends[Head].N < c.Ends[Throat].N
}
