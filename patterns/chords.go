package patterns

import (
	"pullcard/patterns/source"
)

// mains lays the mains of both sides from the centre outwards.
func (r *resolver) mains() {
	n := r.l.Mains.Value / 2
	for _, side := range Sides() {
		var ends [2][]Hole
		for _, end := range []End{Head, Throat} {
			ends[end] = r.mainHoles(side, end, n)
		}
		if len(ends[Head]) != n || len(ends[Throat]) != n {
			continue
		}
		for i := range n {
			line := r.l.Mains.Line
			if list := r.l.MainsEnds[side][Head]; list.Given && i < len(list.Items) {
				line = list.Items[i].Line
			}
			r.f.Mains[side] = append(r.f.Mains[side], Chord{MainStrand(i+1, side), [2]Hole{ends[Head][i], ends[Throat][i]}, line})
		}
	}
}

func (r *resolver) mainHoles(side Side, end End, n int) []Hole {
	list := r.l.MainsEnds[side][end]
	if list.Given {
		return r.listed("mains_"+end.String(), list, side, n, func(a, b Hole) bool { return r.f.Count(a, end) < r.f.Count(b, end) },
			"the mains go from the centre outwards")
	}
	var out []Hole
	for k := 1; k <= r.f.Holes[side] && len(out) < n; k++ {
		h, _ := r.f.Hole(Ref{N: k, End: end, Side: side})
		if !r.skip[h] {
			out = append(out, h)
		}
	}
	if len(out) < n {
		r.problem(r.l.Mains.Pos, "%d mains do not fit: the %s side has only %d holes that are not skipped; write fewer mains or more holes", r.l.Mains.Value, sideWord(side), len(out))
	}
	return out
}

func sideWord(s Side) string {
	if s == Left {
		return "left"
	}
	return "right"
}

// listed reads one side of a list of holes that must be complete and in order.
func (r *resolver) listed(what string, list source.List, side Side, n int, before func(a, b Hole) bool, rule string) []Hole {
	var out []Hole
	var last source.Text
	for _, item := range list.Items {
		ref, err := ParseRef(item.Value)
		if err != nil {
			r.problem(item.Pos, "%s: %v", what, err)
			continue
		}
		if !ref.Both && ref.Side != side {
			r.problem(item.Pos, "%s: %s is on the other side; the list is the %s side's, so leave the side away", what, item.Value, sideWord(side))
			continue
		}
		ref.Side = side
		h, ok := r.f.Hole(ref)
		if !ok {
			r.problem(item.Pos, "%s: %s is no hole of this frame, which has %d holes a side; name one of them", what, item.Value, r.f.Holes[side])
			continue
		}
		if len(out) > 0 && !before(out[len(out)-1], h) {
			verb := "comes after"
			if out[len(out)-1] == h {
				verb = "is named twice, beside"
			}
			r.problem(item.Pos, "%s: %s %s %s; %s", what, item.Value, verb, last.Value, rule)
			continue
		}
		out, last = append(out, h), item
	}
	if len(out) != n && len(list.Items) != n {
		r.problem(list.Pos, "%s names %d holes for %d strands; name one for each", what, len(list.Items), n)
	}
	return out
}

// crosses lays the crosses from the head down.
func (r *resolver) crosses() {
	n := r.l.Crosses.Value
	var ends [2][]Hole
	for _, side := range Sides() {
		if list := r.l.CrossesEnds[side]; list.Given {
			ends[side] = r.listed("crosses", list, side, n, func(a, b Hole) bool { return a.N < b.N }, "the crosses go from the head down")
			continue
		}
		taken := r.taken(side)
		for k := 1; k <= r.f.Holes[side]; k++ {
			if h := (Hole{side, k}); !taken[h] || r.f.Shared[h] {
				ends[side] = append(ends[side], h)
			}
		}
	}
	if r.wrong || !r.enough(ends, n) {
		return
	}
	for i := range n {
		line := r.l.Crosses.Line
		if list := r.l.CrossesEnds[Left]; list.Given {
			line = list.Items[i].Line
		}
		r.f.Crosses = append(r.f.Crosses, Chord{CrossStrand(i + 1), [2]Hole{ends[Left][i], ends[Right][i]}, line})
	}
}

func (r *resolver) taken(side Side) map[Hole]bool {
	taken := map[Hole]bool{}
	for _, m := range r.f.Mains[side] {
		taken[m.Ends[Head]], taken[m.Ends[Throat]] = true, true
	}
	return taken
}

// enough reports counts that do not close.
func (r *resolver) enough(ends [2][]Hole, n int) bool {
	for _, side := range Sides() {
		if got := len(ends[side]); got != n {
			at := r.l.Crosses.Pos
			if r.l.Holes.Given {
				at = r.l.Holes.Pos
			}
			shared := 0
			for h := range r.f.Shared {
				if h.Side == side {
					shared++
				}
			}
			r.problem(at, "the counts do not close on the %s side: %d holes, of which the mains take %d and %d are shared, leave %d for %d crosses; %d mains and %d crosses need holes = %d",
				sideWord(side), r.f.Holes[side], r.l.Mains.Value, shared, got, n, r.l.Mains.Value, n, r.l.Mains.Value+n-shared)
			return false
		}
	}
	return true
}

// closes checks that every hole carries what it can and nothing more.
func (r *resolver) closes() {
	carried := map[Hole][]Chord{}
	for _, c := range append(r.f.Columns(), r.f.Crosses...) {
		for _, h := range c.Ends {
			carried[h] = append(carried[h], c)
		}
	}
	for _, side := range Sides() {
		for k := 1; k <= r.f.Holes[side]; k++ {
			r.carries(Hole{side, k}, carried[Hole{side, k}])
		}
	}
	r.skips(carried)
}
