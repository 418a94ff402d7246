package ticket

import (
	"fmt"

	"pullcard/patterns/drawing"
	"pullcard/patterns/grid"
)

// Sizes of the card in mm: A6 upright, by ISO 216.
const (
	cardWidth, cardHeight = 105.0, 148.0
	cardMargin            = 8.0
	bedWidth              = 50.0 // of the picture with the names round it
	bedEdge               = 3.0  // room for the names
)

// card lays the ticket out on A6. What does not fit is set smaller first, then left out with a word about it.
func card(c content, pic picture, face *typeface) *drawing.Sheet {
	var s *drawing.Sheet
	for _, try := range []cardTry{{7.5, 3, 63}, {7, 3, 63}, {6.5, 3, 60}, {6.5, 3, 50}, {6, 2, 44}, {6, 1, 44}} {
		var left int
		if s, left = cardAt(c, pic, face, try); left == 0 {
			break
		}
	}
	return s
}

// cardTry is a way to divide the card: the size of facts in points, the lines that each takes at the most, and how high
// the picture is with the names round it, in mm.
type cardTry struct {
	size  float64
	lines int
	bed   float64
}

// cardAt lays the card out in one way and says how many cautions did not fit.
func cardAt(c content, pic picture, face *typeface, try cardTry) (s *drawing.Sheet, left int) {
	s = &drawing.Sheet{MM: true, Title: "Racket ticket", W: cardWidth, H: cardHeight}
	p := &pen{sheet: s, face: face, left: cardMargin, right: cardWidth - cardMargin, y: cardMargin, indent: dotIndent}
	p.cardHead(c)
	p.rule(1.6, 2.4)
	top := p.y
	pic.onto(s, p.left+bedEdge, top+bedEdge, bedWidth-2*bedEdge, try.bed-2*bedEdge)
	p.bedNames(top, try.bed, len(pic.knots) > 0)
	q := *p
	q.left, q.y = p.left+bedWidth+5, top+1
	q.column(c, try)
	p.y = max(top+try.bed, q.y)
	p.rule(1.4, 1)
	for _, r := range c.rows {
		p.row(r, p.left+18, style{size: try.size - 0.5, ink: drawing.Grey()}, style{size: try.size, ink: drawing.Black()}, try.lines)
	}
	p.rule(1.2, 1)
	left = p.cautions(c.cautions, style{size: try.size - 0.5, ink: drawing.Black()})
	if c.note != "" {
		p.y = cardHeight - cardMargin
		p.write(c.note, style{size: 6, ink: drawing.Grey()}, 1)
	}
	return s, left
}

func (p *pen) cardHead(c content) {
	small := style{size: 8, ink: drawing.Grey()}
	right := p.right
	q := *p
	q.y += 1.2
	q.flush(c.date, small)
	q.y += small.step()
	q.flush(c.job, small)
	p.right -= max(p.width(c.date, small), p.width(c.job, small)) + 4
	name, under := c.player, c.racket
	if name == "" {
		name, under = c.racket, ""
	}
	if name == "" {
		name = "Racket ticket"
	}
	p.write(name, style{size: 15, bold: true, ink: drawing.Black(), leading: 1.15}, 2)
	if under != "" {
		p.write(under, style{size: 9.5, ink: drawing.Black()}, 2)
	}
	p.right = right
	p.y = max(p.y, q.y+small.step())
}

// bedNames says which end of the picture is which, and what the dots on the hoop are.
func (p *pen) bedNames(top, height float64, knots bool) {
	s := style{size: 6.5, ink: drawing.Grey()}
	p.put(p.left+bedWidth/2, top+bedEdge-0.9, "head", s, drawing.Middle)
	p.put(p.left+bedWidth/2, top+height-0.6, "throat", s, drawing.Middle)
	p.put(p.left+0.4, top+height/2+0.8, "L", s, drawing.Start)
	p.put(p.left+bedWidth-0.4, top+height/2+0.8, "R", s, drawing.End)
	if knots {
		p.sheet.Add(drawing.Dot{At: grid.Point{X: p.left + knotSize, Y: top + height - 1.4}, Radius: knotSize, Ink: drawing.Black()})
		p.put(p.left+2.2, top+height-0.6, "knot", s, drawing.Start)
	}
}

// column sets the tensions and the strings beside the picture.
func (p *pen) column(c content, try cardTry) {
	for _, s := range c.strung {
		p.write(s.name, style{size: try.size + 0.5, ink: drawing.Grey()}, 1)
		p.write(s.tension, style{size: p.fitting(s.tension, try.bed*0.38), bold: true, ink: drawing.Black(), leading: 1.12}, 1)
		p.write(s.yarn, style{size: try.size + 0.5, ink: drawing.Black()}, try.lines)
		p.y += try.bed * 0.05
	}
}

// cautions sets as many cautions as there is room for and returns how many are left; it then says so on the card.
func (p *pen) cautions(list []string, s style) int {
	bottom := cardHeight - cardMargin
	for i, text := range list {
		lines := float64(len(p.lines(text, s, p.right-p.left-p.indent)))
		left := len(list) - i
		need := lines * s.step()
		if left > 1 {
			need += s.step() // for the word about the rest
		}
		if p.y+need > bottom {
			p.write(fmt.Sprintf("and %d more, in the book", left), style{size: s.size, ink: drawing.Grey()}, 1)
			return left
		}
		p.bullet(text, s, int(lines))
	}
	return 0
}
