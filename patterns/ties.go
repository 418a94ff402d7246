package patterns

import (
	"sort"
	"strings"

	"pullcard/patterns/source"
)

// UsualReach is the most hole-steps that a run outside takes where a sheet allows no more: common practice of the trade.
const UsualReach = 6

// ties reads the tie-off holes and refuses those that no strand can anchor; it doubts those that no run reaches from where string ends.
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
			r.problem(written.Pos, "tie.mains: no main passes %s, and no cross is tight when the mains are tied; name a hole with a main, as %s", written.Value, r.nearestMain(h, both, mains))
		}
	})
	for _, side := range Sides() {
		if list := r.f.Mains[side]; len(list) > 1 {
			end, last := r.f.MainsEnd(side), list[len(list)-1]
			r.reaches("mains", r.l.TieMains, r.f.TieMains, last.Strand, strings.TrimRight(r.f.HoleName(list[len(list)-2].At(end)), "LR"), last.At(end))
		}
	}
	outer := map[Hole]Chord{}
	for _, i := range []int{0, len(r.f.Crosses) - 1} {
		c := r.f.Crosses[i]
		outer[c.Ends[0]], outer[c.Ends[1]] = c, c
	}
	r.refs("tie.crosses", r.l.TieCrosses, func(h Hole, written source.Text, both bool) {
		r.f.TieCrosses = append(r.f.TieCrosses, h)
		if c, own := outer[h]; own && !r.f.Shared[h] {
			r.problem(written.Pos, "tie.crosses: only %s passes %s, and a tail cannot be tied on its own strand; name a hole with a main, as %s", c.Strand, written.Value, r.nearestMain(h, both, mains))
		}
	})
	for _, c := range []Chord{r.f.Crosses[0], r.f.Crosses[len(r.f.Crosses)-1]} {
		r.reaches("crosses", r.l.TieCrosses, r.f.TieCrosses, c.Strand, r.nearestMain(c.On(Left), true, mains), c.On(Left), c.On(Right))
	}
}

// reaches doubts tie-off holes none of which a run reaches from where a strand ends, on one side or the other; a hole that one would is likely.
func (r *resolver) reaches(key string, written source.List, ties []Hole, of Strand, likely string, ends ...Hole) {
	nearest := 0
	for _, h := range ties {
		for _, from := range ends {
			if steps := max(h.N-from.N, from.N-h.N); h.Side == from.Side && (nearest == 0 || steps < nearest) {
				nearest = steps
			}
		}
	}
	if nearest > UsualReach {
		r.l.doc.Warn(written.Pos, "tie.%s: %s ends in %s, %d hole-steps from the nearest of these, and a run outside takes no more than %d unless a sheet says tie.reach; name a hole near it, as %s",
			key, of, r.f.HoleName(ends[0]), nearest, UsualReach, likely)
	}
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
