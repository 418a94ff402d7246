package referee

import (
	"fmt"
	"slices"

	"pullcard/sequence/plan"
)

// mostHoles is the most holes that a side can have: a hole's name holds three digits.
const mostHoles = 999

// reading reads terms and collects what is wrong with them.
type reading struct {
	*bed
	mute  string
	bad   bool
	found []Breach
}

func (r *reading) breach(rule int, format string, args ...any) {
	r.bad = true
	if format == r.mute {
		return
	}
	r.found = append(r.found, Breach{Doing: "terms", Rule: rule, What: fmt.Sprintf(format, args...)})
}

// read turns terms into a bed, or none when something is wrong with them.
func read(t *plan.Terms, mute string) (*bed, []Breach) {
	r := &reading{mute: mute, bed: &bed{ring: ring{t.HolesLeft, t.HolesRight}, terms: t}}
	if r.left < 1 || r.left > mostHoles || r.right < 1 || r.right > mostHoles {
		r.breach(ruleHole, "a side has 1 to %d holes, not %d and %d", mostHoles, r.left, r.right)
		return nil, r.found
	}
	r.strands = make([]strand, 0, len(t.Mains)+len(t.Crosses))
	for i := range t.Mains {
		r.add(&t.Mains[i], 'M')
	}
	r.mains = len(r.strands)
	r.lefts = slices.IndexFunc(r.strands, func(s strand) bool { return s.side != 'L' })
	if r.lefts < 0 {
		r.lefts = r.mains
	}
	for i := range t.Crosses {
		r.add(&t.Crosses[i], 'C')
	}
	r.names()
	r.lists()
	r.limits()
	r.carried()
	if r.bad {
		return nil, r.found
	}
	if s := r.cross(); s != none {
		r.breach(ruleWeave, "the strands that cross %s are not listed in their order, or they cross each other", r.strands[s].name)
	}
	if r.bad {
		return nil, r.found
	}
	r.turns = r.takeTurns()
	return r.bed, nil
}

// add reads a chord.
func (r *reading) add(c *plan.Chord, kind byte) {
	s := parse(c.Strand)
	s.ends = [2]int{r.hole(c.Ends[0]), r.hole(c.Ends[1])}
	switch {
	case s.kind != kind || s.number == 0:
		r.breach(ruleOnce, "%q is no name for a strand of this kind", c.Strand)
	case s.ends[0] == 0 || s.ends[1] == 0:
		r.breach(ruleHole, "%s cannot lie between %q and %q: the frame has no such holes", c.Strand, c.Ends[0], c.Ends[1])
	case s.ends[0] == s.ends[1]:
		r.breach(ruleHole, "%s has one hole, %s, for both ends", c.Strand, c.Ends[0])
	case kind == 'C' && (!r.onLeft(s.ends[0]) || r.onLeft(s.ends[1])):
		r.breach(ruleHole, "%s goes from %s to %s, not from the left side to the right", c.Strand, c.Ends[0], c.Ends[1])
	}
	r.strands = append(r.strands, s)
}

// names checks that mains stand in columns and crosses in rows with no number left out.
func (r *reading) names() {
	for i := range r.strands {
		if s := r.strands[i]; s.number > 0 && r.find(s.name) != i {
			r.breach(ruleOnce, "%s is out of its place in the list", s.name)
		}
	}
}

func (r *reading) lists() {
	for _, l := range []struct {
		holes []plan.Hole
		rule  int
	}{{r.terms.Shared, ruleHole}, {r.terms.TieMains, ruleKnot}, {r.terms.TieCrosses, ruleKnot}} {
		for _, h := range l.holes {
			if r.hole(h) == 0 {
				r.breach(l.rule, "the frame has no hole %q", h)
			}
		}
	}
}

// limits checks the words on which the rules of a technique hang.
func (r *reading) limits() {
	t := r.terms
	if len(t.Mains) == 0 || len(t.Crosses) == 0 {
		r.breach(ruleHole, "a frame has mains and crosses, not %d and %d", len(t.Mains), len(t.Crosses))
	}
	if t.Fixed < 0 || t.Flying < 0 || t.Fixed+t.Flying > 2 || t.Fixed > 0 && t.Flying > 0 || t.Starting < 0 || t.Starting > 1 {
		r.breach(ruleStock, "there are up to two clamps, fixed or flying, and one for starting, not %d, %d and %d", t.Fixed, t.Flying, t.Starting)
	}
	if t.CrossClamps < 1 || t.CrossClamps > 2 {
		r.breach(ruleStock, "one or two clamps are free for the crosses, not %d", t.CrossClamps)
	}
	r.word("mains' start", t.MainsStart, "head", "throat")
	r.word("first side", t.First, "L", "R")
	r.word("turns of the mains", t.Then, "overtake", "level")
	r.word("crosses' first end", t.From, "head", "throat")
	r.word("crosses' first face", string(t.FirstFace), "", "over", "under")
	if t.Lead < 1 || t.Lead > 3 {
		r.breach(ruleLead, "a side may lead by 1 to 3 pulls, not %d", t.Lead)
	}
	switch t.Pieces {
	case 1:
		r.word("short side", t.Short, "L", "R")
	case 2:
		r.word("crosses' side", t.Side, "L", "R")
		r.word("crosses' start", t.Start, "clamp", "knot", "skip")
		if t.Start == "clamp" {
			r.word("re-pull of the first cross", t.Repull, "third", "end")
		}
	default:
		r.breach(ruleOnce, "a frame is strung with 1 or 2 pieces, not %d", t.Pieces)
	}
}

// carried checks that a shared hole carries a main and a cross, and that tensions are given for strands that there are.
func (r *reading) carried() {
	for _, h := range r.terms.Shared {
		count := [2]int{}
		for i := range r.strands {
			if s := &r.strands[i]; s.ends[0] == r.hole(h) || s.ends[1] == r.hole(h) {
				count[(&Table{bed: r.bed}).kind(i)]++
			}
		}
		if count != [2]int{1, 1} {
			r.breach(ruleHole, "a shared hole carries a main and a cross, %s %d and %d", h, count[0], count[1])
		}
	}
	for name := range r.terms.Pulls {
		if r.find(name) == none {
			r.breach(ruleTension, "the frame has no strand %q that has a tension of its own", name)
		}
	}
}

func (r *reading) word(what, got string, allowed ...string) {
	if !slices.Contains(allowed, got) {
		r.breach(ruleTension, "the %s cannot be %q", what, got)
	}
}
