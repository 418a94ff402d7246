package plan

import (
	"slices"
	"strings"
)

// Sleeve is the choice that mends a split hole.
const Sleeve = "sleeve"

// Split says whether a hole is split and was not mended.
func (r *Racket) Split(h Hole) bool { choice, is := r.split[r.At(h)]; return is && choice != Sleeve }

// Sleeved says whether a sleeve is in a split hole; none goes in while a strand is tight there, also where one was chosen.
func (r *Racket) Sleeved(h Hole) bool { return r.sleeved[r.At(h)] }

// WantsSleeve says whether a sleeve goes into a hole before the next strand does, for it is split.
func (r *Racket) WantsSleeve(h Hole) bool {
	_, is := r.split[r.At(h)]
	return is && !r.Sleeved(h)
}

// PutSleeve is the op by which a sleeve goes into a split hole.
func PutSleeve(h Hole) Op {
	return Op{Op: Fault, Fault: FaultSplit, Hole: h, Choose: Sleeve, Text: "a sleeve goes into " + string(h)}
}

// Scrap says whether a scrap of string was left in a hole, which what comes there follows in.
func (r *Racket) Scrap(h Hole) bool { return r.scraps[r.At(h)] }

// KnotInstead is the hole where the knot goes that would go into a split one, empty where none was chosen. A sleeve that is put in later, for a
// strand, changes nothing of it: there is no room for a knot beside that.
func (r *Racket) KnotInstead(h Hole) Hole { return r.instead[r.At(h)] }

// ChosenKnotHole is the hole that was chosen for the knot of a strand whose tail is short, empty where none was.
func (r *Racket) ChosenKnotHole(s Strand) Hole { return r.knotAt[s] }

// Short says whether the tail of a strand was told to be short, and its knot is tied all the same.
func (r *Racket) Short(s Strand) bool { _, is := r.knotAt[s]; return is }

// HoleAt is the hole at a place, as a strand that ends there names it, empty where none does.
func (r *Racket) HoleAt(place int) Hole { return r.holes[place] }

// Ends are the places of a strand's two holes: of a main at the head and the throat, of a cross on the left and the right.
func (r *Racket) Ends(s Strand) [2]int { return r.ends[r.index[s]] }

// ToBeThreaded says whether a strand is still to be threaded through a place.
func (r *Racket) ToBeThreaded(place int) bool {
	return slices.ContainsFunc(r.at[place], func(s int) bool { return !r.spans[s].Laid() || !r.in(s, place) })
}

// Through are the strands that lie in a place, in the order in which they were laid.
func (r *Racket) Through(place int) (out []Strand) {
	var in []int
	for s := range r.spans {
		if r.spans[s].Laid() && r.in(s, place) {
			in = append(in, s)
		}
	}
	slices.SortFunc(in, func(a, b int) int { return r.spans[a].Nth - r.spans[b].Nth })
	for _, s := range in {
		out = append(out, r.strands[s])
	}
	return out
}

// in says whether an end of a strand is in a place, once it is laid.
func (r *Racket) in(s, place int) bool { return r.place(s, 0) == place || r.place(s, 1) == place }

// LeaveScrap is how the note of a plan begins that has a scrap of string left in holes, before a run lies over them or while one
// does.
const LeaveScrap = "leave a scrap of string in "

// leaveScraps marks the holes that a note has a scrap left in: what comes there under a run follows it in.
func (r *Racket) leaveScraps(text string) {
	for _, h := range ScrapsOf(text) {
		if place := r.At(h); place > 0 {
			r.scraps[place] = true
		}
	}
}

// ScrapsOf are the holes that a note names to have a scrap left in, none when it says something else.
func ScrapsOf(text string) (holes []Hole) {
	rest, ok := strings.CutPrefix(text, LeaveScrap)
	if !ok {
		return nil
	}
	for _, word := range strings.FieldsFunc(rest, func(c rune) bool { return c == ' ' || c == ',' || c == ':' }) {
		if h := Hole(word); h.Parts() != (HoleParts{}) {
			holes = append(holes, h)
		}
	}
	return holes
}

// useScrap takes the scrap out of a hole with the last strand that comes there.
func (r *Racket) useScrap(place int) {
	if !r.ToBeThreaded(place) {
		delete(r.scraps, place)
	}
}
