package ticket

import (
	"math"

	"pullcard/patterns/drawing"
	"pullcard/sequence/report"
)

// minColumns is the narrowest paper that text is laid for, and namesWide how many columns the names of facts take.
const (
	minColumns = 24
	namesWide  = 11
)

// characters are a typeface of which every character is one wide, on a sheet whose unit that is.
type characters struct{}

func (characters) width(text string, _ float64, _ bool) float64 {
	return report.Characters(text)
}

// Text is the ticket for a receipt printer of some columns, usually 32 or 48 and no fewer than 24: lines of plain ASCII,
// none longer than the paper is wide. What ASCII cannot spell becomes a question mark, and the ticket says so.
func (t *Ticket) Text(columns int) string {
	s := newPlain()
	return receipt(t.content().spelled(s, "? stands for a character that this printer may not have"), float64(max(columns, minColumns))).Text()
}

// receipt lays the ticket out in characters, as long as it comes.
func receipt(c content, columns float64) *drawing.Sheet {
	const all = math.MaxInt
	line := style{size: 1 / drawing.Point, leading: 1}
	s := &drawing.Sheet{Title: "Racket ticket", W: columns}
	p := &pen{sheet: s, face: characters{}, right: columns, indent: 2}
	if title := "RACKET TICKET"; p.width(title+c.job, line) < columns {
		p.flush(c.job, line)
		p.write(title, line, 1)
	} else {
		p.write(title, line, 1)
		p.write(c.job, line, all)
	}
	p.write(c.date, line, all)
	if c.player+c.racket != "" {
		p.rule(1, 0)
		p.write(c.player, line, all)
		p.write(c.racket, line, all)
	}
	p.rule(1, 0)
	for _, s := range c.strung {
		r := row{s.name, s.tension}
		if s.yarn != "" {
			r.value += ", " + s.yarn
		}
		p.row(r, namesWide, line, line, all)
	}
	p.rule(1, 0)
	for _, r := range c.rows {
		p.row(r, namesWide, line, line, all)
	}
	p.rule(1, 0)
	for _, text := range c.cautions {
		p.bullet(text, line, all)
	}
	if c.note != "" {
		p.bullet(c.note, line, all)
	}
	s.H = p.y
	return s
}
