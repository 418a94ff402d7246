package patterns

import (
	"sort"
	"strings"

	"pullcard/patterns/source"
)

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
			r.problem(written.Pos, "tie.mains: no main passes %s, and no cross is tight when the mains are tied; name a hole with a main, as %s", written.Value, r.nearestMain(h, both, mains))
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
			r.problem(written.Pos, "tie.crosses: only %s passes %s, and a tail cannot be tied on its own strand; name a hole with a main, as %s", c.Strand, written.Value, r.nearestMain(h, both, mains))
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
