package draw

import (
	"cmp"

	"pullcard/sequence/plan"
	"pullcard/tui/theme"
)

// painter puts a scene onto a canvas.
type painter struct {
	*Scene
	*grid
	*canvas
	style  *Palette
	layout layout
}

func (p *painter) paint() {
	for i := range p.mains {
		p.strand(&p.mains[i], true, i)
	}
	for i := range p.crosses {
		p.strand(&p.crosses[i], false, i)
	}
	for _, r := range p.runs {
		p.outside(r)
	}
	for c := range p.spans {
		p.strayed(c)
	}
	p.marks()
	if p.layout.hoop {
		p.hoop()
	}
	p.labels()
}

func (p *painter) ringAt(h plan.Hole) int { return p.Scene.ring.at(h) }

// look is how a strand's line is drawn.
type look struct {
	weight int
	stroke stroke
	ink    theme.Role
}

func (p *painter) look(c *span, main bool) look {
	switch {
	case c.state == coming:
		return look{1, dotted, theme.Next}
	case c.inHand && (c.state == taut || p.pull && c.name == p.Current):
		return look{2, whole, theme.Current}
	case c.inHand:
		return look{2, dashed, theme.Current}
	case c.deferred && c.state == slack:
		return look{1, dashed, theme.Deferred}
	case c.deferred:
		return look{1, whole, theme.Deferred}
	case c.state == slack:
		return look{1, dashed, theme.Slack}
	case main:
		return look{1, whole, theme.Main}
	}
	return look{1, whole, theme.Cross}
}

// strand draws a strand on its own line from hole to hole, broken where it goes under another.
func (p *painter) strand(c *span, main bool, index int) {
	from, to := &p.holes[c.home[0]], &p.holes[c.home[1]]
	if c.state == absent || !from.drawn() || !to.drawn() {
		return
	}
	step := point{u: 1}
	if main {
		step = point{v: 1}
	}
	l := p.look(c, main)
	back, on := p.side(point{-step.u, -step.v}), p.side(step)
	open := func(end int) bool { return !p.joined(c, end) && c.state >= slack && !c.astray(end) }
	p.stroke(from.point, l, on, true, back, open(0))
	p.stroke(to.point, l, back, true, on, open(1))
	for at := from.plus(step); at != to.point; at = at.plus(step) {
		meets, under := p.crossing(at, main, index)
		if under {
			continue
		}
		_, before := p.crossing(point{at.u - step.u, at.v - step.v}, main, index)
		_, after := p.crossing(at.plus(step), main, index)
		p.stroke(at, l, back, meets || !before, on, meets || !after)
	}
}

// stroke draws a strand's arms in a cell.
func (p *painter) stroke(at point, l look, a int, hasA bool, b int, hasB bool) {
	q := p.at(at)
	if hasA {
		q.arms = q.arms.with(a, l.weight)
	}
	if hasB {
		q.arms = q.arms.with(b, l.weight)
	}
	q.ink, q.stroke = l.ink, l.stroke
}

// crossing says whether a strand meets another that is drawn at a point, and whether it lies under it there.
func (p *painter) crossing(at point, main bool, index int) (meets, under bool) {
	i, j := p.columnOf[at.u], p.rowOf[at.v]
	if i < 0 || j < 0 || (main && i != index) || (!main && j != index) {
		return false, false
	}
	f := p.crosses[j].over[i]
	if f == apart || p.crosses[j].state == absent || p.mains[i].state == absent {
		return false, false
	}
	crossOnTop := (f == over) != p.view.Mirror
	return true, crossOnTop == main
}

// outside draws a run along the line of the holes.
func (p *painter) outside(r run) {
	l := look{1, whole, theme.Cross}
	if c := p.span(r.strand); c != nil {
		l = p.look(c, c.over == nil)
	}
	l.weight, l.stroke = 1, whole
	if r.inHand {
		l = look{2, whole, theme.Current}
	}
	p.along(r.from, r.to, l)
}

// strayed draws from the holes in which the ends of a strand should be to those that they are in, which is nothing at home.
func (p *painter) strayed(c *span) {
	for end, place := range c.ends {
		p.along(c.home[end], place, look{2, dotted, theme.Warn})
	}
}

// along draws along the line of the holes, the short way from one to another.
func (p *painter) along(a, b int, l look) {
	from, to := &p.holes[a], &p.holes[b]
	if !from.drawn() || !to.drawn() {
		return
	}
	way := cmp.Compare(p.Scene.ring.steps(a, b), 0)
	for i := from.on; i != to.on; {
		next := (i + way + len(p.line)) % len(p.line)
		a, b := p.line[i], p.line[next]
		step := point{b.u - a.u, b.v - a.v}
		p.arm(a, p.side(step), l, i == from.on)
		p.arm(b, p.side(point{-step.u, -step.v}), l, next == to.on)
		i = next
	}
}

// arm adds an arm of a run; a hole keeps the colour of the strand in hand that ends there.
func (p *painter) arm(at point, side int, l look, atHole bool) {
	q := p.at(at)
	q.arms = q.arms.with(side, l.weight)
	if !atHole || q.ink != theme.Current {
		q.ink = l.ink
	}
	q.stroke = l.stroke
}
