package plan

import "slices"

// move takes the end of a strand that is in one hole into another: whatever names the point of the string names it there.
func (r *Racket) move(s int, from, to Hole) {
	was, place, span := r.At(from), r.At(to), &r.spans[s]
	end := 0
	if r.place(s, 1) == was {
		end = 1
	}
	if !span.Laid() || r.place(s, end) != was || r.place(s, 1-end) == place {
		return
	}
	if name := r.holes[place]; name != "" {
		to = name
	}
	rename := func(of Strand, h *Hole) {
		if of == span.Strand && r.At(*h) == was {
			*h = to
		}
	}
	for _, l := range r.lines {
		if p := l.point(s, was); p >= 0 {
			l.places[p] = place
		}
	}
	for i := range r.clamps {
		rename(r.clamps[i].grip.Strand, &r.clamps[i].grip.Hole)
	}
	for i := range r.knots {
		rename(r.knots[i].Strand, &r.knots[i].Out)
	}
	for _, list := range [2][]Spot{r.corners, r.marred} {
		for i := range list {
			rename(list[i].Strand, &list[i].Hole)
		}
	}
	for i := range r.spans {
		rename(r.spans[i].lowAt.Strand, &r.spans[i].lowAt.Hole)
	}
	if g := r.gripper; g != nil {
		at := *g
		rename(at.Strand, &at.Hole)
		r.gripper = &at
	}
	if span.boostAt == was {
		span.boostAt = place
	}
	rename(span.Strand, &span.In)
	rename(span.Strand, &span.Out)
	if span.away[end] = place; place == r.ends[s][end] {
		span.away[end] = 0
		r.useScrap(place)
	}
}

// place is where an end of a strand's chord is, in its own hole or in a wrong one.
func (r *Racket) place(s, end int) int {
	if away := r.spans[s].away[end]; away > 0 {
		return away
	}
	return r.ends[s][end]
}

// Stray is the hole in which an end of a strand is by mistake, and the one that it belongs into; both are empty where it lies in its
// own two holes.
func (r *Racket) Stray(s Strand) (at, home Hole) {
	i, ok := r.index[s]
	if !ok {
		return "", ""
	}
	for end, away := range r.spans[i].away {
		if away > 0 {
			return r.hole(i, away), r.name(i, end)
		}
	}
	return "", ""
}

// name is the hole of an end of a strand's chord, as the terms name it.
func (r *Racket) name(s, end int) Hole { return r.chords[s][end] }

// Nearer is the hole of a strand as it lies that is nearer to another hole, at a draw its exit.
func (r *Racket) Nearer(s Strand, h Hole) Hole {
	span := r.Span(s)
	if at := r.At(h); r.Steps(r.At(span.In), at) < r.Steps(r.At(span.Out), at) {
		return span.In
	}
	return span.Out
}

// Other is the other hole of a strand as it lies, or as it will; empty when the strand has no such hole.
func (r *Racket) Other(s Strand, h Hole) Hole {
	i, ok := r.index[s]
	if !ok {
		return ""
	}
	holes := r.chords[i]
	if span := &r.spans[i]; span.Laid() {
		holes = [2]Hole{span.In, span.Out}
	}
	switch at := r.At(h); {
	case at == 0:
		return ""
	case at == r.At(holes[0]):
		return holes[1]
	case at == r.At(holes[1]):
		return holes[0]
	}
	return ""
}

// LiesAt are the places of a strand's two ends as it lies, in the order of Ends.
func (r *Racket) LiesAt(s Strand) [2]int {
	i := r.index[s]
	return [2]int{r.place(i, 0), r.place(i, 1)}
}

// OwnHole is the hole that the end of a strand belongs into which is in a wrong one, empty where none of its ends is in that.
func (r *Racket) OwnHole(s Strand, at Hole) Hole {
	i, ok := r.index[s]
	if !ok {
		return ""
	}
	for end, away := range r.spans[i].away {
		if away > 0 && away == r.At(at) {
			return r.name(i, end)
		}
	}
	return ""
}

// keep makes the wrong hole in which an end of a strand is its own: the layout has it there from now on.
func (r *Racket) keep(s int, from, to Hole) {
	place, was := r.At(to), r.At(from)
	end := slices.Index(r.ends[s][:], was)
	if end < 0 || r.spans[s].away[end] != place {
		return
	}
	r.ends, r.chords, r.holes, r.at = slices.Clone(r.ends), slices.Clone(r.chords), slices.Clone(r.holes), slices.Clone(r.at) // clones share them
	r.ends[s][end], r.chords[s][end], r.spans[s].away[end] = place, to, 0
	r.kept = append(slices.DeleteFunc(slices.Clone(r.kept), func(x Spot) bool { return x == Spot{r.strands[s], from} }), Spot{r.strands[s], to})
	r.at[was] = slices.DeleteFunc(slices.Clone(r.at[was]), func(x int) bool { return x == s })
	if r.at[place] = append(slices.Clone(r.at[place]), s); r.holes[place] == "" {
		r.holes[place] = to
	}
}

// waive leaves what lies wrong as it is, by name. A wrong hole that is kept becomes the strand's own.
func (r *Racket) waive(s int, o *Op) {
	waived := func(f Op) bool {
		if o.Fault != "" && f.Fault != o.Fault {
			return false
		}
		switch f.Fault {
		case FaultWeave, FaultHole, FaultSwapped, FaultTension:
			return f.Strand == o.Strand && (o.To == "" || f.Fault == FaultHole && r.At(f.Hole) == r.At(o.To))
		}
		return false
	}
	for _, f := range r.open {
		if waived(f) {
			w := *o
			w.Fault, w.Hole, w.With = f.Fault, f.Hole, f.With
			r.waived = append(r.waived, w)
		}
	}
	if r.open = slices.DeleteFunc(r.open, waived); s != none && o.To != "" {
		r.keep(s, o.From, o.To)
	}
}
