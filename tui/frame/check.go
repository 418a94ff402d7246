package frame

import (
	"slices"

	"pullcard/patterns"
	"pullcard/patterns/source"
)

// sight is what follows from what was typed, worked out once for each change.
type sight struct {
	card  patterns.Card
	text  []byte          // of the file
	bed   *patterns.Frame // the strands, tie-off holes included; nil where they do not make a bed
	usual [fields]string
	wrong [fields][]string // what keeps the frame from being saved, by the field that it belongs to
	doubt [fields][]string
	other []string // what is wrong beyond the fields
	count string
	whole bool // the count closes
}

// check works everything out anew.
func (m *Model) check() {
	s := sight{card: m.origin.card}
	forms := form()
	var bed *patterns.Frame
	for f := range fields {
		if f == fTieMains {
			bed = read(m.alone(s.card, false))
		}
		text := m.texts[f]
		if m.fresh() {
			s.usual[f] = usual(f, &s.card, bed)
			if f == fShared && !m.sharing(&s.card) {
				s.usual[f] = ""
			}
			if text == "" {
				text = s.usual[f]
			}
		} else if text == m.origin.texts[f] {
			continue // what was not touched stays as it is written
		}
		if err := forms[f].put(&s.card, text); err != nil {
			s.wrong[f] = append(s.wrong[f], err.Error())
		}
	}
	m.write(&s)
	s.bed = read(m.alone(s.card, true))
	if s.bed == nil {
		s.bed = bed
	}
	s.count, s.whole = count(&s.card, bed != nil)
	m.seen = s
	m.picture(bed)
}

// write makes the file and finds what is wrong with it. The strings are read once more by themselves, so that a wrong
// name or range does not hide what is wrong with them.
func (m *Model) write(s *sight) {
	typed := s.wrong // what could not be read needs no second word
	c := m.alone(s.card, true)
	c.Holes, c.HolesRight = s.card.Holes, s.card.HolesRight
	s.judge("", patterns.WriteLayout(c, ""), &typed)
	if m.fresh() {
		s.text = patterns.WriteLayout(s.card, m.texts[fRemark])
		s.judge("new.toml", s.text, &typed)
		return
	}
	file := m.origin.name + ".toml"
	text, err := patterns.EditLayout(file, m.origin.data, s.card)
	if err != nil {
		s.other = append(s.other, err.Error())
		return
	}
	s.text = text
	s.judge(file, text, &typed)
}

// judge sorts what is wrong with a file by the fields that it belongs to. Of a file without a name, which is none that
// is kept, nothing beyond the fields is said.
func (s *sight) judge(file string, text []byte, typed *[fields][]string) {
	_, doubts, err := patterns.ReadLayout(file, text)
	at := newPlaces(text)
	for _, p := range doubts {
		if f, ok := at.field(p); ok && !slices.Contains(s.doubt[f], p.Text) {
			s.doubt[f] = append(s.doubt[f], p.Text)
		}
	}
	problems, ok := err.(source.Problems)
	if err != nil && !ok {
		s.other = append(s.other, err.Error())
	}
	for _, p := range problems {
		f, ok := at.field(p)
		switch {
		case !ok && file != "":
			s.other = append(s.other, p.String())
		case ok && len(typed[f]) == 0 && !slices.Contains(s.wrong[f], p.Text):
			s.wrong[f] = append(s.wrong[f], p.Text)
		}
	}
}

// alone is a card of the strings alone, with or without the tie-off holes; the number of holes follows from the strings.
// What has nothing to do with them is such that nothing can be wrong with it, and what is not typed yet is as usual.
func (m *Model) alone(c patterns.Card, ties bool) patterns.Card {
	if m.fresh() && c.Crosses == 0 {
		var whole patterns.Card
		if putStrings(&whole, usualStrings(c.Sport)) == nil {
			c.Crosses = whole.Crosses
		}
	}
	c.Name, c.Sport, c.Holes, c.HolesRight = "x", string(patterns.Tennis), 0, 0
	c.HoopLength, c.HoopWidth, c.HoopShape, c.TensionMin, c.TensionMax = "", "", 0, "", ""
	if !ties {
		c.TieMains, c.TieCrosses = nil, nil
	}
	if c.Start != "head" {
		c.Start = "throat"
	}
	return c
}

// read is the frame of a card, nil where it makes none.
func read(c patterns.Card) *patterns.Frame {
	f, _, err := patterns.ReadLayout("", patterns.WriteLayout(c, ""))
	if err != nil {
		return nil
	}
	return f
}
