package plan

// standing is where a clamp stands.
type standing struct {
	on   bool
	grip Grip
	gone bool // it let go: it holds nothing until it is set again
	slip Extent
}

// Knot is a tail that is tied in a hole.
type Knot struct {
	Strand  Strand
	Out     Hole // by which the tail leaves, or will enter after a starting knot
	Hole    Hole
	Anchor  Strand
	Name    string
	Trimmed bool
	TailMM  float64 // what trimming left of the tail
	Slipped bool
}

// Grip is where a clamp stands, nil where it is free.
func (r *Racket) Grip(c Clamp) *Grip {
	if s := &r.clamps[slot(c)]; s.on {
		g := s.grip
		return &g
	}
	return nil
}

// Grips are the clamps that stand, by name; of every clamp of the contract, nil for a free one.
func (r *Racket) Grips() map[Clamp]*Grip {
	out := make(map[Clamp]*Grip, len(r.clamps))
	for _, c := range Clamps() {
		out[c] = r.Grip(c)
	}
	return out
}

// Holds says whether a clamp stands and holds what it grips: it has not let go.
func (r *Racket) Holds(c Clamp) bool { s := &r.clamps[slot(c)]; return s.on && !s.gone }

// Slipped is by how much a clamp slipped since it was set, empty when it did not.
func (r *Racket) Slipped(c Clamp) Extent { return r.clamps[slot(c)].slip }

// Gripper is where the gripper pulls, nil where it does not.
func (r *Racket) Gripper() *Spot { return r.gripper }

// Held says whether something holds the string at a point.
func (r *Racket) Held(at Spot) bool {
	if l, p := r.lineAt(at); l != nil {
		return r.held(l)[p]
	}
	return false
}

// Knots are the knots that are tied, in the order in which they were.
func (r *Racket) Knots() []Knot { return r.knots }

// KnotIn is the knot in a hole, nil where there is none.
func (r *Racket) KnotIn(h Hole) *Knot {
	place := r.At(h)
	for i := range r.knots {
		if r.At(r.knots[i].Hole) == place {
			return &r.knots[i]
		}
	}
	return nil
}

// KnotOf is the knot of the tail of a strand that leaves at a hole, nil where it has none.
func (r *Racket) KnotOf(at Spot) *Knot {
	for i := range r.knots {
		if k := &r.knots[i]; k.Strand == at.Strand && r.At(k.Out) == r.At(at.Hole) {
			return k
		}
	}
	return nil
}
