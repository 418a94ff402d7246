package sequence

import (
	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// build makes a plan of a frame by a technique that fits it; stretch is by how many percent the strings of mains and
// crosses are stretched beforehand.
func build(f *patterns.Frame, t *Technique, o orders, stretch [2]float64) (*plan.Plan, error) {
	h := newPlanner(f, t, o)
	h.stretch = stretch
	h.prepare()
	if err := h.stringAll(); err != nil {
		return nil, err
	}
	h.dismount()
	p := &plan.Plan{
		Version: plan.Version, Frame: f.Name, Technique: t.Name,
		Terms: terms(f, t, h, o), Steps: h.steps,
	}
	p.Warnings = append(warnings(p), h.warnings...)
	p.Totals, p.Loads = h.racket.Totals(), plan.SumLoads(h.loads)
	p.Plan = p.Fingerprint()
	return p, nil
}

// terms writes down what the plan was asked to keep.
func terms(f *patterns.Frame, t *Technique, h *planner, o orders) plan.Terms {
	var shared []patterns.Hole
	for _, side := range patterns.Sides() {
		for n := 1; n <= f.Holes[side]; n++ {
			if hole := (patterns.Hole{Side: side, N: n}); f.Shared[hole] {
				shared = append(shared, hole)
			}
		}
	}
	then, repull := "level", "third"
	first := plan.Face("")
	if h.flipped { // else it is as if nothing were said
		first = t.Cross.First
	}
	if t.Mains.Overtake {
		then = "overtake"
	}
	if t.Cross.RepullEnd {
		repull = "end"
	}
	short := ""
	if t.Pieces == 1 {
		short = t.Mains.Short.String()
	}
	return plan.Terms{
		MainsStart: f.Start.String(), Then: then, Repull: repull, CrossClamps: t.Cross.Clamps, Knot: t.Knot, PrintedRange: h.printed,
		Short: short, Sport: string(f.Sport), HolesLeft: f.Holes[patterns.Left], HolesRight: f.Holes[patterns.Right],
		Mains: h.chords(f.Columns()), Crosses: h.chords(f.Crosses), Shared: h.names(shared),
		TieMains: h.names(f.TieMains), TieCrosses: h.names(f.TieCrosses),
		Pieces: t.Pieces, Around: t.Around, Fixed: t.Clamps.Fixed, Flying: t.Clamps.Flying, Starting: t.Clamps.Starting,
		First: t.Mains.First.String(), Lead: t.Mains.Lead, BoostMains: t.Mains.Boost,
		From: t.Cross.From.String(), Side: t.Cross.Side.String(), Start: string(t.Cross.Start), Ahead: t.Cross.Ahead,
		PullMains: o.mains, PullCrosses: o.crosses, Pulls: o.strands,
		FirstFace: first, Reach: t.Reach, Walk: t.Walk,
		Supports: t.Mount.Order, Release: t.Mount.Release, TailMM: t.TailMM,
	}
}
