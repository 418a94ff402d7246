package ticket

import (
	"rsc.io/qr"

	"pullcard/patterns/drawing"
	"pullcard/patterns/grid"
)

// codeSize is how wide the code of a label is, in mm: more than half a millimetre a module, which label printers print and scanners
// read, without source.
const codeSize = 14.0

// quiet is how many modules stay white around a code: four, by ISO/IEC 18004, from memory.
const quiet = 4

// code draws a QR code of a text with its white edge, the upper left corner at the pen, and moves below it. Each row's black modules
// are strokes of one module's width.
func (p *pen) code(text string, size float64) {
	c, err := qr.Encode(text, qr.M)
	if err != nil {
		return // a name too long for any code; the print says it in letters
	}
	module := size / float64(c.Size+2*quiet)
	for y := range c.Size {
		for x := 0; x < c.Size; x++ {
			from := x
			for x < c.Size && c.Black(x, y) {
				x++
			}
			if x > from {
				row := p.y + (float64(y+quiet)+0.5)*module
				p.sheet.Add(drawing.Line(grid.Point{X: p.left + float64(from+quiet)*module, Y: row}, grid.Point{X: p.left + float64(x+quiet)*module, Y: row}, module, drawing.Black()))
			}
		}
	}
	p.y += size
}
