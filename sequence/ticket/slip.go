package ticket

import (
	"math"

	"pullcard/patterns/drawing"
)

// Row is a fact under its name.
type Row struct{ Name, Value string }

// Slip is a small print for a receipt or label printer of some columns: the name by which it is found, a title and facts, of which
// those without a value are left away. Like the ticket's text it is plain ASCII and no wider than the paper.
func Slip(name, title string, rows []Row, columns int) string {
	s := newPlain()
	line := style{size: 1 / drawing.Point, leading: 1}
	sheet := &drawing.Sheet{Title: title, W: float64(max(columns, minColumns))}
	p := &pen{sheet: sheet, face: characters{}, right: sheet.W, indent: 2}
	p.flush(s.spell(safe(name)), line)
	p.write(s.spell(safe(title)), line, 1)
	p.rule(1, 0)
	for _, r := range rows {
		if r.Value != "" {
			p.row(row{r.Name, s.spell(safe(r.Value))}, namesWide, line, line, math.MaxInt)
		}
	}
	sheet.H = p.y
	return sheet.Text()
}
