package patterns

import (
	"sort"
	"strings"

	"pullcard/patterns/source"
)

// resolver turns what a layout says into a frame.
type resolver struct {
	l    *Layout
	f    *Frame
	skip map[Hole]bool // holes that the mains pass by
	// wrong says whether the strands are not to be relied on; other problems of the file do not stop the checks.
	wrong bool
}

func (r *resolver) problem(at source.Pos, format string, args ...any) {
	r.wrong = true
	r.l.doc.Problem(at, format, args...)
}

// refs reads a list of holes; each names one side or both.
func (r *resolver) refs(what string, list source.List, use func(h Hole, written source.Text, both bool)) {
	for _, item := range list.Items {
		ref, err := ParseRef(item.S)
		if err != nil {
			r.problem(item.Pos, "%s: %v", what, err)
			continue
		}
		for _, side := range Sides() {
			if ref.Both || ref.Side == side {
				ref.Side = side
				h, ok := r.f.Hole(ref)
				if !ok {
					r.problem(item.Pos, "%s: %s is no hole of this frame, which has %d holes a side; name one of them", what, item.S, r.f.Holes[side])
					break
				}
				use(h, item, ref.Both)
			}
		}
	}
}

// holes works out how many holes each side has, then which of them are skipped and shared.
func (r *resolver) holes() {
	l, f := r.l, r.f
	need := l.Mains.N + l.Crosses.N
	for _, side := range Sides() {
		f.Holes[side] = need - r.sharedOn(side)
		if l.Holes.Given {
			f.Holes[side] = l.Holes.N
		}
	}
	if l.HolesRight.Given {
		f.Holes[Right] = l.HolesRight.N
	}
	r.refs("shared", l.Shared, func(h Hole, _ source.Text, _ bool) { f.Shared[h] = true })
	r.skip = map[Hole]bool{}
	r.refs("skip", l.Skip, func(h Hole, _ source.Text, _ bool) { r.skip[h] = true })
}

// sharedOn counts the shared holes of a side before the number of holes is known.
func (r *resolver) sharedOn(side Side) int {
	n := 0
	for _, item := range r.l.Shared.Items {
		if ref, err := ParseRef(item.S); err == nil && (ref.Both || ref.Side == side) {
			n++
		}
	}
	return n
}

// mains lays the mains of both sides from the centre outwards.
func (r *resolver) mains() {
	n := r.l.Mains.N / 2
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
		r.problem(r.l.Mains.Pos, "%d mains do not fit: the %s side has only %d holes that are not skipped; write fewer mains or more holes", r.l.Mains.N, sideWord(side), len(out))
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
		ref, err := ParseRef(item.S)
		if err != nil {
			r.problem(item.Pos, "%s: %v", what, err)
			continue
		}
		if !ref.Both && ref.Side != side {
			r.problem(item.Pos, "%s: %s is on the other side; the list is the %s side's, so leave the side away", what, item.S, sideWord(side))
			continue
		}
		ref.Side = side
		h, ok := r.f.Hole(ref)
		if !ok {
			r.problem(item.Pos, "%s: %s is no hole of this frame, which has %d holes a side; name one of them", what, item.S, r.f.Holes[side])
			continue
		}
		if len(out) > 0 && !before(out[len(out)-1], h) {
			verb := "comes after"
			if out[len(out)-1] == h {
				verb = "is named twice, beside"
			}
			r.problem(item.Pos, "%s: %s %s %s; %s", what, item.S, verb, last.S, rule)
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
	n := r.l.Crosses.N
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
				sideWord(side), r.f.Holes[side], r.l.Mains.N, shared, got, n, r.l.Mains.N, n, r.l.Mains.N+n-shared)
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

func (r *resolver) carries(h Hole, cs []Chord) {
	name := r.f.HoleName(h)
	at := r.l.Holes.Pos
	if !r.l.Holes.Given {
		at = r.l.Mains.Pos
	}
	switch {
	case len(cs) == 0:
		r.problem(at, "hole %s carries no string; the counts do not close: name it in a list, or write fewer holes", name)
	case r.f.Shared[h] && (len(cs) != 2 || cs[0].Kind == cs[1].Kind):
		r.problem(r.l.Shared.Pos, "shared hole %s carries %s; a shared hole carries one main and one cross", name, names(cs))
	case !r.f.Shared[h] && len(cs) > 1:
		r.problem(lineOf(cs, at), "hole %s is used twice, by %s; name another, or put it into shared", name, names(cs))
	}
}

func lineOf(cs []Chord, otherwise source.Pos) source.Pos {
	if last := cs[len(cs)-1].Line; last > 0 {
		return source.Pos{Line: last, Col: 1}
	}
	return otherwise
}

func names(cs []Chord) string {
	out := make([]string, len(cs))
	for i, c := range cs {
		out[i] = c.Strand.String()
	}
	return strings.Join(out, " and ")
}

// skips reports holes that are skipped and used by a main all the same, and warns of skips past the last main.
func (r *resolver) skips(carried map[Hole][]Chord) {
	for _, item := range r.l.Skip.Items {
		ref, err := ParseRef(item.S)
		if err != nil {
			continue
		}
		if ref.Both {
			ref.Side = Left
		}
		h, _ := r.f.Hole(ref)
		for _, c := range carried[h] {
			if c.Kind == Main {
				r.problem(item.Pos, "skip: %s is skipped and yet carries %s; take it out of one of the lists", item.S, c.Strand)
			}
		}
		outer := r.f.Mains[ref.Side][len(r.f.Mains[ref.Side])-1].At(ref.End)
		if r.f.Count(h, ref.End) > r.f.Count(outer, ref.End) {
			r.l.doc.Warn(item.Pos, "skip: %s lies past the outermost main at %s, so nothing is skipped there", item.S, r.f.HoleAt(outer, ref.End))
		}
	}
}

// topology checks that every strand has something to cross, and that no two of a kind cross each other.
func (r *resolver) topology() {
	columns := r.f.Columns()
	met := make([]bool, len(columns))
	for _, c := range r.f.Crosses {
		cols := r.f.Met(c)
		if len(cols) == 0 {
			r.problem(source.Pos{Line: c.Line, Col: 1}, "%s from %s to %s meets no main; its holes lie outside the mains, so name others", c.Strand, r.f.EndName(c, 0), r.f.EndName(c, 1))
		}
		for _, col := range cols {
			met[col-1] = true
		}
	}
	for i, m := range columns {
		if !met[i] {
			r.problem(source.Pos{Line: m.Line, Col: 1}, "%s from %s to %s meets no cross; its holes lie outside the crosses, so name others", m.Strand, r.f.EndName(m, 0), r.f.EndName(m, 1))
		}
		for _, o := range columns[i+1:] {
			if r.f.Interleaves(m, o) {
				r.problem(source.Pos{Line: o.Line, Col: 1}, "%s and %s cross each other; mains run beside one another, so exchange their holes", m.Strand, o.Strand)
			}
		}
	}
}

// ties reads the tie-off holes and refuses those that no strand can anchor.
func (r *resolver) ties() {
	r.f.TieMainsAt, r.f.TieCrossesAt = r.l.TieMains.Pos, r.l.TieCrosses.Pos
	for _, tie := range []struct {
		key  string
		list source.List
	}{{"mains", r.l.TieMains}, {"crosses", r.l.TieCrosses}} {
		if len(tie.list.Items) == 0 {
			r.l.doc.Warn(tie.list.Pos, `tie.%s names no tie-off hole, so no plan can end there; write %s = ["…"] below [tie]`, tie.key, tie.key)
		}
	}
	mains := map[Hole]Chord{}
	for _, m := range r.f.Columns() {
		mains[m.Ends[0]], mains[m.Ends[1]] = m, m
	}
	r.refs("tie.mains", r.l.TieMains, func(h Hole, written source.Text, both bool) {
		r.f.TieMains = append(r.f.TieMains, h)
		if _, ok := mains[h]; !ok {
			r.problem(written.Pos, "tie.mains: no main passes %s, and no cross is tight when the mains are tied; name a hole with a main, as %s", written.S, r.nearestMain(h, both, mains))
		}
	})
	outer := map[Hole]Chord{}
	for _, i := range []int{0, len(r.f.Crosses) - 1} {
		c := r.f.Crosses[i]
		outer[c.Ends[0]], outer[c.Ends[1]] = c, c
	}
	r.refs("tie.crosses", r.l.TieCrosses, func(h Hole, written source.Text, both bool) {
		r.f.TieCrosses = append(r.f.TieCrosses, h)
		if c, own := outer[h]; own && !r.f.Shared[h] {
			r.problem(written.Pos, "tie.crosses: only %s passes %s, and a tail cannot be tied on its own strand; name a hole with a main, as %s", c.Strand, written.S, r.nearestMain(h, both, mains))
		}
	})
}

// nearestMain names the hole with a main that is nearest to a hole of its side, without the side where both are meant.
func (r *resolver) nearestMain(h Hole, both bool, mains map[Hole]Chord) string {
	near := make([]Hole, 0, len(mains))
	for m := range mains {
		if m.Side == h.Side {
			near = append(near, m)
		}
	}
	away := func(m Hole) int { return max(m.N-h.N, h.N-m.N) }
	sort.Slice(near, func(i, j int) bool {
		if away(near[i]) != away(near[j]) {
			return away(near[i]) < away(near[j])
		}
		return near[i].N < near[j].N
	})
	if len(near) == 0 {
		return "another"
	}
	name := r.f.HoleName(near[0])
	if both {
		return strings.TrimRight(name, "LR")
	}
	return name
}
