package ticket

import "fmt"

// Sizes of the card in mm: A6 upright, by ISO 216.
const (
	cardWidth, cardHeight = 105.0, 148.0
	cardMargin            = 8.0
	bedWidth, bedHeight   = 46.0, 59.0
)

// card lays the ticket out on A6. What does not fit is set smaller first, then left out with a word about it.
func card(c content, pic picture, face *typeface) *sheet {
	var s *sheet
	for _, try := range []struct {
		size  float64
		lines int
	}{{7.5, 3}, {7, 3}, {6.5, 3}, {6, 3}, {6, 2}, {6, 1}} {
		var left int
		if s, left = cardAt(c, pic, face, try.size, try.lines); left == 0 {
			break
		}
	}
	return s
}

// cardAt lays the card out with its facts in a size, each on so many lines at the most, and says how many cautions did
// not fit.
func cardAt(c content, pic picture, face *typeface, size float64, lines int) (s *sheet, left int) {
	s = &sheet{title: "Racket ticket", w: cardWidth, h: cardHeight}
	p := &pen{sheet: s, face: face, left: cardMargin, right: cardWidth - cardMargin, y: cardMargin}
	p.cardHead(c)
	p.rule(1.6, 2.4)
	top := p.y
	pic.onto(s, p.left, top+2.6, bedWidth, bedHeight-2.6)
	p.bedNames(top)
	q := *p
	q.left, q.y = p.left+bedWidth+6, top+1
	q.column(c)
	p.y = max(top+bedHeight+2.8, q.y)
	p.rule(1.4, 1)
	for _, r := range c.rows {
		p.row(r, p.left+18, style{size: size - 0.5, ink: grey()}, style{size: size, ink: black()}, lines)
	}
	p.rule(1.2, 1)
	return s, p.cautions(c.cautions, style{size: size - 0.5, ink: black()})
}

func (p *pen) cardHead(c content) {
	small := style{size: 8, ink: grey()}
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
	p.write(name, style{size: 15, bold: true, ink: black(), leading: 1.15}, 2)
	if under != "" {
		p.write(under, style{size: 9.5, ink: black()}, 2)
	}
	p.right = right
	p.y = max(p.y, q.y+small.step())
}

// bedNames says which end of the picture is which.
func (p *pen) bedNames(top float64) {
	s := style{size: 6, ink: grey()}
	middle := func(y float64, text string) { p.put(p.left+(bedWidth-p.width(text, s))/2, y, text, s) }
	middle(top+1.6, "head")
	middle(top+bedHeight+2.2, "throat")
	p.put(p.left, top+bedHeight/2+1.3, "L", s)
	p.put(p.left+bedWidth-p.width("R", s), top+bedHeight/2+1.3, "R", s)
}

// column sets the tensions and the strings beside the picture.
func (p *pen) column(c content) {
	for _, s := range c.strung {
		p.write(s.name, style{size: 8, ink: grey()}, 1)
		p.write(s.tension, style{size: p.fitting(s.tension, 24), bold: true, ink: black(), leading: 1.12}, 1)
		if s.yarn != "" {
			p.write(s.yarn, style{size: 8, ink: black()}, 4)
		}
		p.y += 3.2
	}
}

// cautions sets as many cautions as there is room for and returns how many are left; it then says so on the card.
func (p *pen) cautions(list []string, s style) int {
	bottom := cardHeight - cardMargin
	for i, text := range list {
		lines := float64(len(p.lines(text, s, p.right-p.left-2.2)))
		left := len(list) - i
		need := lines * s.step()
		if left > 1 {
			need += s.step() // for the word about the rest
		}
		if p.y+need > bottom {
			p.write(fmt.Sprintf("and %d more, in the book", left), style{size: s.size, ink: grey()}, 1)
			return left
		}
		p.bullet(text, s, int(lines))
	}
	return 0
}
