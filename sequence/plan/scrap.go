package plan

import "strings"

// LeaveScrap is how the note of a plan begins that has a scrap of string left in holes, before a run lies over them or while one
// does.
const LeaveScrap = "leave a scrap of string in "

// leaveScraps marks the holes that a note has a scrap left in: what comes there under a run follows it in.
func (r *Racket) leaveScraps(text string) {
	rest, ok := strings.CutPrefix(text, LeaveScrap)
	if !ok {
		return
	}
	for _, word := range strings.FieldsFunc(rest, func(c rune) bool { return c == ' ' || c == ',' || c == ':' }) {
		if place := r.At(Hole(word)); place > 0 {
			r.scraps[place] = true
		}
	}
}

// useScrap takes the scrap out of a hole with the last strand that comes there.
func (r *Racket) useScrap(place int) {
	if !r.Due(place) {
		delete(r.scraps, place)
	}
}
