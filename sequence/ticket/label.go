package ticket

import (
	"pullcard/patterns/drawing"
	"pullcard/patterns/grid"
)

// Sizes of the label in mm. The edges of a roll do not take print.
const (
	labelWidth  = 62.0
	labelMargin = 3.5
	dotIndent   = 2.2 // of the text behind a dot
)

// label lays the ticket out for a roll, as long as it comes.
func label(c content, face *typeface) *drawing.Sheet {
	s := &drawing.Sheet{MM: true, Title: "Racket ticket", W: labelWidth}
	p := &pen{sheet: s, face: face, left: labelMargin, right: labelWidth - labelMargin, y: labelMargin, indent: dotIndent}
	small := style{size: 7, ink: drawing.Grey()}
	if c.player != "" {
		p.write(c.player, style{size: 12, bold: true, ink: drawing.Black(), leading: 1.2}, 2)
	}
	if c.racket != "" {
		p.write(c.racket, style{size: 8.5, ink: drawing.Black()}, 2)
	}
	p.y += 0.6
	p.flush(c.job, small)
	p.write(c.date, small, 1)
	p.rule(1.2, 1.2)
	p.tensions(c, 17, 2)
	p.rule(1.4, 0.8)
	for _, r := range c.rows {
		p.row(r, p.left+14, style{size: 6.5, ink: drawing.Grey()}, style{size: 7, ink: drawing.Black()}, 5)
	}
	p.rule(1.2, 0.8)
	for _, text := range c.cautions {
		p.bullet(text, style{size: 6.5, ink: drawing.Black()}, 4)
	}
	p.write(c.note, style{size: 6, ink: drawing.Grey()}, 2)
	if c.name != "" {
		p.rule(1.2, 0.8)
		top := p.y
		p.code(c.name, codeSize)
		p.put(p.left+codeSize+1, top+codeSize/2+1.5, c.name, style{size: 12, bold: true, ink: drawing.Black()}, drawing.Start)
	}
	s.H = p.y + labelMargin
	return s
}

// tensions sets what was ordered in large figures, mains and crosses side by side, and the strings below.
func (p *pen) tensions(c content, size float64, most int) {
	top, low, full := p.y, p.y, p.right
	half := (p.right - p.left) / 2
	for i, s := range c.strung {
		q := *p
		q.left, q.right, q.y = p.left+float64(i)*half, p.left+float64(i+1)*half-1.5, top
		q.write(s.name, style{size: 7, ink: drawing.Grey()}, 1)
		q.write(s.tension, style{size: q.fitting(s.tension, size), bold: true, ink: drawing.Black(), leading: 1.12}, 1)
		if s.yarn != "" {
			q.write(s.yarn, style{size: 7, ink: drawing.Black()}, most)
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
	p.sheet.Add(drawing.Dot{At: grid.Point{X: p.left + 0.7, Y: p.y + s.step() - descent(s) - s.size*drawing.Point*0.3}, Radius: 0.42, Ink: drawing.Grey()})
	p.writeAt(p.left+p.indent, text, s, most)
}
