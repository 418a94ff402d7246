package ticket

import (
	"strings"
)

// minColumns is the narrowest paper that text is laid for.
const minColumns = 24

// Text is the ticket for a receipt printer of some columns, usually 32 or 48 and no fewer than 24: lines of plain ASCII,
// none longer than the paper is wide. What ASCII cannot spell becomes a question mark, and the ticket says so.
func (t *Ticket) Text(columns int) string {
	p := paper{columns: max(columns, minColumns), speller: newPlain()}
	c := t.content()
	p.between("RACKET TICKET", c.job)
	p.line(c.date)
	if c.player+c.racket != "" {
		p.rule()
		p.line(c.player)
		p.line(c.racket)
	}
	p.rule()
	for _, s := range c.strung {
		value := s.tension
		if s.yarn != "" {
			value += ", " + s.yarn
		}
		p.row(s.name, value)
	}
	p.rule()
	for _, r := range c.rows {
		p.row(r.name, r.value)
	}
	p.rule()
	for _, s := range c.cautions {
		p.hang("- ", s)
	}
	if p.missed {
		p.hang("- ", "? stands for a character that this printer may not have")
	}
	return strings.ReplaceAll(p.out.String(), string(glue), " ")
}

// paper is a receipt in the making.
type paper struct {
	*speller
	columns int
	out     strings.Builder
}

// width counts characters; all that is spelled has one column each.
func width(text string) float64 {
	n := 0
	for range text {
		n++
	}
	return float64(n)
}

func (p *paper) rule() { p.out.WriteString(strings.Repeat("-", p.columns) + "\n") }

func (p *paper) line(text string) { p.hang("", text) }

// between writes two words at the two edges.
func (p *paper) between(left, right string) {
	gap := p.columns - len(left) - int(width(right))
	if gap < 1 {
		p.line(left)
		p.line(right)
		return
	}
	p.out.WriteString(strings.TrimRight(left+strings.Repeat(" ", gap)+right, " ") + "\n")
}

// row writes a value beside its name.
func (p *paper) row(name, value string) {
	p.hang(name+strings.Repeat(" ", max(11-len(name), 1)), value)
}

// hang writes text behind a head; further lines begin below the text.
func (p *paper) hang(head, text string) {
	for _, line := range wrap(p.spell(text), float64(p.columns-len(head)), width) {
		p.out.WriteString(head + line + "\n")
		head = strings.Repeat(" ", len(head))
	}
}
