package patterns

import (
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
		ref, err := ParseRef(item.Value)
		if err != nil {
			r.problem(item.Pos, "%s: %v", what, err)
			continue
		}
		for _, side := range Sides() {
			if ref.Both || ref.Side == side {
				ref.Side = side
				h, ok := r.f.Hole(ref)
				if !ok {
					r.problem(item.Pos, "%s: %s is no hole of this frame, which has %d holes a side; name one of them", what, item.Value, r.f.Holes[side])
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
	need := l.Mains.Value + l.Crosses.Value
	for _, side := range Sides() {
		f.Holes[side] = need - r.sharedOn(side)
		if l.Holes.Given {
			f.Holes[side] = l.Holes.Value
		}
	}
	if l.HolesRight.Given {
		f.Holes[Right] = l.HolesRight.Value
	}
	r.refs("shared", l.Shared, func(h Hole, _ source.Text, _ bool) { f.Shared[h] = true })
	r.skip = map[Hole]bool{}
	r.refs("skip", l.Skip, func(h Hole, _ source.Text, _ bool) { r.skip[h] = true })
}

// sharedOn counts the shared holes of a side before the number of holes is known.
func (r *resolver) sharedOn(side Side) int {
	n := 0
	for _, item := range r.l.Shared.Items {
		if ref, err := ParseRef(item.Value); err == nil && (ref.Both || ref.Side == side) {
			n++
		}
	}
	return n
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
		ref, err := ParseRef(item.Value)
		if err != nil {
			continue
		}
		if ref.Both {
			ref.Side = Left
		}
		h, _ := r.f.Hole(ref)
		for _, c := range carried[h] {
			if c.Kind == Main {
				r.problem(item.Pos, "skip: %s is skipped and yet carries %s; take it out of one of the lists", item.Value, c.Strand)
			}
		}
		outer := r.f.Mains[ref.Side][len(r.f.Mains[ref.Side])-1].At(ref.End)
		if r.f.Count(h, ref.End) > r.f.Count(outer, ref.End) {
			r.l.doc.Warn(item.Pos, "skip: %s lies past the outermost main at %s, so nothing is skipped there", item.Value, r.f.HoleAt(outer, ref.End))
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
