package sequence

import (
	"fmt"

	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// recall is frame and technique as a plan's terms hold them, so that a job goes on when its files have changed.
func recall(t *plan.Terms) (*patterns.Frame, *Technique, error) {
	r := recaller{f: &patterns.Frame{
		Sport: patterns.Sport(t.Sport), Holes: [2]int{t.HolesLeft, t.HolesRight}, Shared: map[patterns.Hole]bool{},
	}}
	if t.MainsStart == "throat" {
		r.f.Start = patterns.Throat
	}
	half := len(t.Mains) / 2
	for i := range half {
		r.f.Mains[patterns.Left] = append(r.f.Mains[patterns.Left], r.chord(patterns.MainStrand(i+1, patterns.Left), t.Mains[half-1-i]))
		r.f.Mains[patterns.Right] = append(r.f.Mains[patterns.Right], r.chord(patterns.MainStrand(i+1, patterns.Right), t.Mains[half+i]))
	}
	for i, c := range t.Crosses {
		r.f.Crosses = append(r.f.Crosses, r.chord(patterns.CrossStrand(i+1), c))
	}
	for _, h := range t.Shared {
		r.f.Shared[r.hole(h)] = true
	}
	for _, h := range t.TieMains {
		r.f.TieMains = append(r.f.TieMains, r.hole(h))
	}
	for _, h := range t.TieCrosses {
		r.f.TieCrosses = append(r.f.TieCrosses, r.hole(h))
	}
	s := &Technique{Pieces: t.Pieces, Around: t.Around, Knot: t.Knot, TailMM: t.TailMM, Reach: t.Reach, Walk: t.Walk}
	s.Mount = Mounting{Order: t.Supports, Release: t.Release}
	s.Clamps = Stock{Fixed: t.Fixed, Flying: t.Flying, Starting: t.Starting}
	s.Mains = Mains{First: side(t.First), Lead: t.Lead, Overtake: t.Then == "overtake", Boost: t.BoostMains, Short: side(t.Short)}
	s.Cross = Crosses{Side: side(t.Side), Start: Start(t.Start), RepullEnd: t.Repull == "end", Ahead: t.Ahead, Clamps: t.CrossClamps}
	if t.From == "throat" {
		s.Cross.From = patterns.Throat
	}
	return r.f, s, r.err
}

func side(name string) patterns.Side {
	if name == "L" {
		return patterns.Left
	}
	return patterns.Right
}

type recaller struct {
	f   *patterns.Frame
	err error
}

func (r *recaller) hole(name plan.Hole) patterns.Hole {
	ref, _ := patterns.ParseRef(string(name))
	h, ok := r.f.Hole(ref)
	if !ok && r.err == nil {
		r.err = fmt.Errorf("the plan's frame has no hole %q", name)
	}
	return h
}

func (r *recaller) chord(s patterns.Strand, c plan.Chord) patterns.Chord {
	if c.Strand != strand(s) && r.err == nil {
		r.err = fmt.Errorf("the plan's strand %s stands in the place of %s", c.Strand, s)
	}
	out := patterns.Chord{Strand: s}
	for i, h := range c.Ends {
		out.Ends[i] = r.hole(h)
	}
	return out
}
