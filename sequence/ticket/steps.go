package ticket

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"pullcard/patterns/drawing"
	"pullcard/patterns/grid"
	"pullcard/sequence/act"
	"pullcard/sequence/plan"
)

// Sizes of the technique card in mm: A5 upright, by ISO 216, in two columns.
const (
	stepsWidth, stepsHeight = 148.0, 210.0
	stepsMargin             = 9.0
	stepsGap                = 7.0
	stepsNumber             = 8.0 // room for a step's number
	stepsHang               = 2.5 // by how much further lines are drawn in
)

// StepsPDF writes the technique card of a plan, its list of steps to pin above a machine, on as many A5 pages as it
// takes, with the lengths to cut where they are given. It names no player. The date goes into the file and is not printed; the same plan and date give the same bytes.
func StepsPDF(w io.Writer, p *plan.Plan, cuts map[plan.Piece]act.Length, at time.Time) error {
	face := newTypeface(1)
	s := newSpeller(lostGlyph, face.has)
	return drawing.PDF(w, at, "Technique card", stepSheets(p, cuts, face, s))
}

// stepCard is the technique card in the making.
type stepCard struct {
	*speller
	plan   *plan.Plan
	lines  map[int][]worded // by step
	face   *typeface
	sheets []*drawing.Sheet
	pen    *pen
	column int
	top    float64 // where columns begin on the page
}

func stepSheets(p *plan.Plan, cuts map[plan.Piece]act.Length, face *typeface, s *speller) []*drawing.Sheet {
	c := &stepCard{speller: s, plan: p, lines: map[int][]worded{}, face: face}
	w := newWording(p, cuts)
	for i := range p.Steps {
		c.lines[p.Steps[i].N] = w.step(&p.Steps[i])
	}
	c.page()
	var phase plan.Phase
	for i := range p.Steps {
		step := &p.Steps[i]
		if step.Phase != phase {
			phase = step.Phase
			c.room(c.heading() + c.height(step))
			c.phase(phase)
		}
		c.room(c.height(step))
		c.pen.step(c, step)
	}
	c.foot()
	return c.sheets
}

// say makes text of the plan ready to print; a number stays with its unit.
func (c *stepCard) say(text string) string { return c.spell(bindUnits(safe(text))) }

// page begins a page with its head.
func (c *stepCard) page() {
	s := &drawing.Sheet{MM: true, Title: "Technique card", W: stepsWidth, H: stepsHeight}
	c.sheets = append(c.sheets, s)
	p := &pen{sheet: s, face: c.face, left: stepsMargin, right: stepsWidth - stepsMargin, y: stepsMargin - 1, indent: dotIndent}
	small := style{size: 8, ink: drawing.Grey()}
	plan := "plan " + c.say(c.plan.Plan)
	p.y += 1.2
	p.flush(plan, small)
	p.y -= 1.2
	right := p.right
	p.right -= p.width(plan, small) + 4
	p.write(c.say(c.plan.Frame), style{size: 13, bold: true, ink: drawing.Black(), leading: 1.2}, 1)
	p.right = right
	p.write(c.terms(), style{size: 8.5, ink: drawing.Black()}, 2)
	if len(c.sheets) == 1 {
		for _, w := range c.plan.Warnings {
			p.bullet(c.say(w), style{size: 7.5, ink: drawing.Black()}, 3)
		}
	}
	p.rule(1.6, 1.6)
	c.top = p.y
	c.pen = p
	c.to(0)
}

// terms is the line below the frame's name.
func (c *stepCard) terms() string {
	t := &c.plan.Terms
	s := c.say(c.plan.Technique) + " · " + c.say(t.Tensions())
	return s + fmt.Sprintf(" · %d steps, %d pulls, %d knots", len(c.plan.Steps), c.plan.Totals.Pulls, c.plan.Totals.Knots)
}

// to goes to the top of a column.
func (c *stepCard) to(column int) {
	width := (stepsWidth - 2*stepsMargin - stepsGap) / 2
	c.column = column
	c.pen.left = stepsMargin + float64(column)*(width+stepsGap)
	c.pen.right = c.pen.left + width
	c.pen.y = c.top
}

// stepsBottom is where columns end; below it is the page's number.
const stepsBottom = stepsHeight - stepsMargin - 3

// room goes on to the next column or page unless so much still fits. What is higher than a column begins one.
func (c *stepCard) room(height float64) {
	switch {
	case c.pen.y+height <= stepsBottom || c.pen.y == c.top:
	case c.column == 0:
		c.to(1)
	default:
		c.page()
	}
}

func stepTitle() style { return style{size: 9, bold: true, ink: drawing.Black(), leading: 1.28} }
func stepLine() style  { return style{size: 8, ink: drawing.Black(), leading: 1.28} }
func pullLine() style  { return style{size: 8, bold: true, ink: drawing.Black(), leading: 1.28} }

// height is how high a step will be.
func (c *stepCard) height(s *plan.Step) float64 {
	p := *c.pen
	p.sheet, p.y = &drawing.Sheet{}, 0
	p.step(c, s)
	return p.y
}

// stepGap is the white below a step.
const stepGap = 1.6

// step sets a step: its number, its title, and each thing that hands do with further lines drawn in. What is pulled is bold,
// for it is looked for from afar.
func (p *pen) step(c *stepCard, s *plan.Step) {
	p.put(p.left, p.y+stepTitle().step()-descent(stepTitle()), fmt.Sprint(s.N), style{size: 9, bold: true, ink: drawing.Grey()}, drawing.Start)
	p.writeAt(p.left+stepsNumber, c.say(s.Title), stepTitle(), math.MaxInt)
	for _, line := range c.lines[s.N] {
		look := stepLine()
		if line.pulls {
			look = pullLine()
		}
		p.hang(p.left+stepsNumber, stepsHang, c.say(line.text), look)
	}
	p.y += stepGap
}

func (c *stepCard) heading() float64 { return 6.5 }

// phase sets the name of a part of the work over a line.
func (c *stepCard) phase(name plan.Phase) {
	p := c.pen
	if p.y > c.top {
		p.y += 1.5
	}
	s := style{size: 8, bold: true, ink: drawing.Blue()}
	p.y += s.step()
	p.put(p.left, p.y-descent(s), strings.ToUpper(string(name)), s, drawing.Start)
	p.sheet.Add(drawing.Line(grid.Point{X: p.left, Y: p.y}, grid.Point{X: p.right, Y: p.y}, 0.25, drawing.Blue()))
	p.y += 1.2
}

// foot numbers the pages once it is known how many there are.
func (c *stepCard) foot() {
	s := style{size: 7.5, ink: drawing.Grey()}
	const y = stepsHeight - stepsMargin + 2
	for i, sheet := range c.sheets {
		p := &pen{sheet: sheet, face: c.face}
		p.put(stepsMargin, y, "eye protection on; the makers' instructions and your own trained judgement come first", s, drawing.Start)
		p.put(stepsWidth-stepsMargin, y, fmt.Sprintf("%d of %d", i+1, len(c.sheets)), s, drawing.End)
		if c.missed {
			p.put(stepsMargin, y+s.step(), boxNote, s, drawing.Start)
		}
	}
}
