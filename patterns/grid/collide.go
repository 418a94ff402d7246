package grid

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"pullcard/patterns"
)

// MinGapMM is the least distance of two holes round the hoop, 4 mm: two grommets and the wall between them need it.
// Common practice of the trade.
const MinGapMM = 4.0

// How far a strand's end may lie off an even grid, in pitches: beyond half a pitch it is nearer to its neighbour's
// place than to its own. A shared hole draws two strands to one place, which costs either of them more. These are this
// program's own limits.
const (
	maxDeparture       = 0.5
	maxSharedDeparture = 1.0
)

// check refuses a grid whose holes collide.
func (g *Grid) check(t *fit) error {
	wrong := g.near(t)
	for _, b := range t.chain.blocks {
		if err := g.pushed(t, b); err != nil {
			wrong = append(wrong, err)
		}
	}
	return errors.Join(wrong...)
}

// near names the pairs of neighbouring holes that would be too near each other.
func (g *Grid) near(t *fit) []error {
	slots, place := t.chain.slots, t.place
	last := len(slots) - 1
	var pairs []string
	pair := func(a, b string, gap float64) {
		if gap < MinGapMM {
			pairs = append(pairs, fmt.Sprintf("%s and %s (%.1f mm)", a, b, gap))
		}
	}
	if t.chain.mirror {
		pair("1HL", "1HR", 2*place[0])
		pair("1TL", "1TR", 2*(2*g.Shape.quarter()-place[last]))
	} else {
		pair(g.name(t, last), g.name(t, 0), 4*g.Shape.quarter()-place[last]+place[0])
	}
	for i := 1; i <= last; i++ {
		pair(g.name(t, i-1), g.name(t, i), place[i]-place[i-1])
	}
	if pairs == nil {
		return nil
	}
	return []error{fmt.Errorf("holes collide on a hoop of %s: %s; they need %g mm from one to the next", g.size(), strings.Join(pairs, ", "), MinGapMM)}
}

// pushed names the holes that push each other so far that a strand's end leaves its own place for its neighbour's.
func (g *Grid) pushed(t *fit, b block) error {
	var worst Departure
	excess := 1.0
	for _, s := range t.chain.slots[b.first:b.end] {
		limit := maxDeparture
		if s.main >= 0 && s.cross >= 0 {
			limit = maxSharedDeparture
		}
		for _, d := range g.Departures {
			if e := math.Abs(d.Pitches) / limit; d.Hole == s.hole && !s.fixed && e > excess {
				worst, excess = d, e
			}
		}
	}
	if excess == 1 {
		return nil
	}
	far := fmt.Sprintf("%s would lie %.0f mm, %.1f pitches, off an even grid", worst.Strand, math.Abs(worst.MM), math.Abs(worst.Pitches))
	if b.end-b.first == 1 {
		return fmt.Errorf("hole %s collides with itself on a hoop of %s: its two strands do not reach one place, %s; share another hole, or correct the hoop", g.name(t, b.first), g.size(), far)
	}
	return fmt.Errorf("holes %s to %s collide on a hoop of %s: in the layout's order %s; skip other holes, or correct the hoop", g.name(t, b.first), g.name(t, b.end-1), g.size(), far)
}

// name is a hole of the chain, without its side where the chain stands for both.
func (g *Grid) name(t *fit, i int) string {
	h := t.chain.slots[i].hole
	if t.chain.mirror {
		return strings.TrimSuffix(g.Frame.HoleName(h), patterns.Left.String())
	}
	return g.Frame.HoleName(h)
}

func (g *Grid) size() string {
	h := g.Frame.Hoop
	return fmt.Sprintf("%g × %g mm (exponent %g)", h.LengthMM, h.WidthMM, h.Exponent)
}
