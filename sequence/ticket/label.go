package ticket

import "pullcard/patterns/grid"

// Sizes of the label in mm. The edges of a roll do not take print.
const (
	labelWidth  = 62.0
	labelMargin = 3.5
)

// label lays the ticket out for a roll, as long as it comes.
func label(c content, face *typeface) *sheet {
	s := &sheet{title: "Racket ticket", w: labelWidth}
	p := &pen{sheet: s, face: face, left: labelMargin, right: labelWidth - labelMargin, y: labelMargin}
	small := style{size: 7, ink: grey()}
	if c.player != "" {
		p.write(c.player, style{size: 12, bold: true, ink: black(), leading: 1.2}, 2)
	}
	if c.racket != "" {
		p.write(c.racket, style{size: 8.5, ink: black()}, 2)
	}
	p.y += 0.6
	p.flush(c.job, small)
	p.write(c.date, small, 1)
	p.rule(1.2, 1.2)
	p.tensions(c, 17, 2)
	p.rule(1.4, 0.8)
	for _, r := range c.rows {
		p.row(r, p.left+14, style{size: 6.5, ink: grey()}, style{size: 7, ink: black()}, 5)
	}
	p.rule(1.2, 0.8)
	for _, text := range c.cautions {
		p.bullet(text, style{size: 6.5, ink: black()}, 4)
	}
	p.write(c.note, style{size: 6, ink: grey()}, 2)
	s.h = p.y + labelMargin
	return s
}

// tensions sets what was ordered in large figures, mains and crosses side by side, and the strings below.
func (p *pen) tensions(c content, size float64, most int) {
	top, low, full := p.y, p.y, p.right
	half := (p.right - p.left) / 2
	for i, s := range c.strung {
		q := *p
		q.left, q.right, q.y = p.left+float64(i)*half, p.left+float64(i+1)*half-1.5, top
		q.write(s.name, style{size: 7, ink: grey()}, 1)
		q.write(s.tension, style{size: q.fitting(s.tension, size), bold: true, ink: black(), leading: 1.12}, 1)
		if s.yarn != "" {
			q.write(s.yarn, style{size: 7, ink: black()}, most)
		}
		low = max(low, q.y)
	}
	p.y, p.right = low, full
}

// fitting is the size, no more than one that is wanted, at which a bold line fits between the edges.
func (p *pen) fitting(text string, size float64) float64 {
	if w := p.face.width(text, size, true); w > p.right-p.left {
		return size * (p.right - p.left) / w
	}
	return size
}

// bullet sets text behind a dot.
func (p *pen) bullet(text string, s style, most int) {
	const indent = 2.2
	p.sheet.add(dot{grid.Point{X: p.left + 0.7, Y: p.y + s.step() - descent(s) - s.size*point*0.3}, 0.42, grey()})
	p.writeAt(p.left+indent, text, s, most)
}
