package draw

import (
	"slices"
	"strings"

	"pullcard/sequence/plan"
	"pullcard/tui/theme"
)

// marks sets the signs at the holes, the most needed first: each takes the first free place of those where it makes sense.
func (p *painter) marks() {
	for _, w := range append(p.fed[:len(p.fed):len(p.fed)], way{p.Current, p.Entry, p.Exit}) {
		p.exit(w)
		if h := p.hole(w.entry); h != nil {
			p.sign(h.point, p.style.sign(markEntry), theme.Current)
		}
	}
	for _, k := range p.knots {
		p.tied(k)
	}
	for _, name := range plan.Clamps() {
		if grip, ok := p.Grips[name]; ok {
			p.clamp(name, grip, p.Grips, rune(name[0]))
		}
	}
	for _, name := range plan.Clamps() {
		if grip, ok := p.After[name]; ok && grip != p.Grips[name] {
			p.clamp(name, grip, p.After, rune(strings.ToLower(string(name))[0]))
		}
	}
	p.finished()
	p.waiting()
}

func clampInk(c plan.Clamp) theme.Role {
	switch c {
	case plan.A:
		return theme.ClampA
	case plan.B:
		return theme.ClampB
	}
	return theme.ClampS
}

// hole is the drawn hole of a name, nil when there is none.
func (p *painter) hole(name plan.Hole) *hole {
	if h := &p.holes[p.ringAt(name)]; h.drawn() {
		return h
	}
	return nil
}

// inward is the step along a strand from the end that lies in a hole.
func (p *painter) inward(c *span, in plan.Hole) point {
	step := 1 - 2*c.end(p.ringAt(in))
	if c.over == nil {
		return point{v: step}
	}
	return point{u: step}
}

// exit points outwards where the string in hand leaves the frame: filled where the gripper pulls.
func (p *painter) exit(w way) {
	h, c := p.hole(w.exit), p.span(w.strand)
	if h == nil || !p.pull && c.state == taut {
		return
	}
	in := p.inward(c, w.exit)
	out := point{-in.u, -in.v}
	m := markOut
	if p.pull {
		m = markPull
	}
	r := p.style.sign(m + mark(p.side(out)))
	p.atHole(h, r, theme.Current) // outside it would lie over the hoop
}

// beside sets a sign outside a hole, or in it where the line of the holes leaves no cell outside, and says whether it did.
func (p *painter) beside(h *hole, out point, r rune, ink theme.Role) bool {
	at := h.plus(out)
	return p.layout.hoop && !p.encloses(at) && p.sign(at, r, ink) || p.atHole(h, r, ink)
}

// atHole sets a sign in a hole or else next to it on the line of the holes, and says whether it did.
func (p *painter) atHole(h *hole, r rune, ink theme.Role) bool {
	if p.sign(h.point, r, ink) {
		return true
	}
	n := len(p.line)
	for _, next := range []int{h.on + 1, h.on + n - 1, h.on + 2, h.on + n - 2} {
		at := p.line[next%n]
		if !slices.ContainsFunc(p.holes, func(o hole) bool { return o.on == next%n }) && p.sign(at, r, ink) {
			return true
		}
	}
	return false
}

func (p *painter) tied(k knot) {
	h := &p.holes[k.hole]
	if !h.drawn() {
		return
	}
	m, ink := markKnot, theme.Knot
	if k.inHand {
		m, ink = markTie, theme.Current
	}
	p.sign(h.point, p.style.sign(m), ink)
}

// clamp sets a clamp's letter on its strand, as near to the hole as the strand lies free, or outside the frame; all are where the
// clamps stand then.
func (p *painter) clamp(name plan.Clamp, g plan.Grip, all map[plan.Clamp]plan.Grip, letter rune) {
	h, c, ink := p.hole(g.Hole), p.span(g.Strand), clampInk(name)
	if h == nil {
		return
	}
	in := p.inward(c, g.Hole)
	if g.Outside {
		p.beside(h, point{-in.u, -in.v}, letter, ink)
		return
	}
	own := &p.holes[c.home[c.end(p.ringAt(g.Hole))]] // its own line, wherever the end is
	if name == plan.S && (all[plan.A] == g || all[plan.B] == g) && p.behind(own, in, letter, ink) {
		return
	}
	if !p.inside(own, in, 1, letter, ink) && !p.sign(h.point, letter, ink) && !p.inside(own, in, 4, letter, ink) {
		p.atHole(h, letter, ink)
	}
}

// behind sets a sign on a strand on the slack side of the clamps that stand at its hole, further along where it crosses none, and says
// whether it did.
func (p *painter) behind(h *hole, in point, r rune, ink theme.Role) bool {
	spot := h.point
	for at, n := h.point, 0; n < 6 && p.encloses(at); at, n = at.plus(in), n+1 {
		meets, _ := p.crossing(at, true, p.columnOf[at.u])
		switch sign := p.at(at).sign; {
		case strings.ContainsRune("ABab", sign):
			spot = h.point
		case sign == 0 && spot == h.point && !meets:
			spot = at
		}
	}
	return spot != h.point && p.sign(spot, r, ink)
}

// inside sets a sign on a strand at most so many cells from its hole, where no crossing can be, and says whether it did.
func (p *painter) inside(h *hole, in point, most int, r rune, ink theme.Role) bool {
	for at, n := h.plus(in), 0; n < most && p.encloses(at); at, n = at.plus(in), n+1 {
		if p.free(at) && p.sign(at, r, ink) {
			return true
		}
	}
	return false
}

// free says whether a point on a strand is no place where it could cross another.
func (p *painter) free(at point) bool { return p.columnOf[at.u] < 0 || p.rowOf[at.v] < 0 }

// finished marks the holes where strands are finished later.
func (p *painter) finished() {
	for _, d := range p.Deferred {
		h, in, r := p.hole(d.Hole), p.inward(p.span(d.Strand), d.Hole), p.style.sign(markLater)
		if h != nil && !p.beside(h, point{-in.u, -in.v}, r, theme.Deferred) {
			p.inside(h, in, 3, r, theme.Deferred)
		}
	}
}

// waiting marks the holes that wait for a strand.
func (p *painter) waiting() {
	for place := range p.holes {
		h := &p.holes[place]
		if !h.drawn() || !p.due(place) {
			continue
		}
		name := p.Scene.ring.name(place)
		switch {
		case slices.Contains(p.Blocked, name):
			p.sign(h.point, p.style.sign(markBlocked), theme.Blocked)
		case slices.Contains(p.Soon, name):
			p.sign(h.point, p.style.sign(markSoon), theme.Soon)
		case p.at(h.point).arms == 0 || p.left(place):
			p.sign(h.point, p.style.sign(markFree), theme.Free)
		}
	}
}

// left says whether the strand whose home a place is lies there with an end in another.
func (p *painter) left(place int) bool {
	for c := range p.spans {
		if c.state >= slack && c.waits(place) {
			return true
		}
	}
	return false
}
