package ticket

import (
	"io"

	"pullcard/patterns/drawing"
)

// Form is one of the two prints of a ticket.
type Form string

// The forms.
const (
	// Label is 62 mm wide, for a roll, and as long as it needs to be.
	Label Form = "label"
	// Card is an A6 page with the picture of the bed.
	Card Form = "card"
)

// SVG is a form as a picture that stands alone. Text keeps its characters; how those look that Latin fonts lack is the
// viewer's.
func (t *Ticket) SVG(f Form) string {
	return t.sheet(f, newTypeface(widest), nil).SVG()
}

// PDF writes a form. Fonts are embedded: Latin, Greek and Cyrillic letters are printed as they are, others without
// their accents if that helps, else as a box, which the print then explains. The same ticket gives the same bytes.
func (t *Ticket) PDF(w io.Writer, f Form) error {
	face := newTypeface(1)
	s := newSpeller(lostGlyph, face.has)
	return drawing.PDF(w, t.at, "Racket ticket", []*drawing.Sheet{t.sheet(f, face, s)})
}

// lostGlyph stands in a print for a character that its fonts do not have.
const lostGlyph = '□'

// boxNote is what a print says when it has a character that its fonts lack.
const boxNote = string(lostGlyph) + " stands for a character that this print does not have"

func (t *Ticket) sheet(f Form, face *typeface, s *speller) *drawing.Sheet {
	c := t.content().spelled(s, boxNote)
	if f == Card {
		return card(c, draw(t.followed, t.Hoop), face)
	}
	return label(c, face)
}

// spelled is the content with the characters that there are, and a note where some are lost; a nil speller has all of them.
func (c content) spelled(s *speller, note string) content {
	if s == nil {
		return c
	}
	for _, text := range []*string{&c.player, &c.racket, &c.date, &c.job, &c.strung[0].yarn, &c.strung[1].yarn} {
		*text = s.spell(*text)
	}
	for i := range c.rows {
		c.rows[i].value = s.spell(c.rows[i].value)
	}
	for i := range c.cautions {
		c.cautions[i] = s.spell(c.cautions[i])
	}
	if s.missed {
		c.note = note
	}
	return c
}
