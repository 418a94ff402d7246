package bench

import (
	"fmt"
	"slices"
	"strings"

	"pullcard/sequence/act"
	"pullcard/tui/draw"
	"pullcard/tui/theme"
)

// farBand is a row of figures; the rest of the room goes to those with the least rank first.
type farBand struct {
	text string
	role theme.Role
	rank int
	size int
}

// farCard is what is read from across the shop, as large as the screen allows, all in one shape of letters: what to do with which
// strand, where, how hard or over and under, and what hands do after it in order; then in words what may not be missed. Nil where
// that does not fit.
func (m Model) farCard(width, height int) []string {
	head, foot := m.banner(least, width), m.farFoot(width)
	bands, hands := m.farBands(width), wrapBig(m.hands(), width)
	for _, try := range []struct {
		bands []farBand
		foot  []string
	}{{slices.Concat(bands, farRows(hands, theme.Text, 3)), foot}, {bands, slices.Concat(m.handsInWords(width), foot)}} {
		room := height - len(head) - len(try.foot)
		if grown := grow(try.bands, width, room); grown != nil {
			return filled(slices.Concat(head, m.spread(grown, room)), try.foot, height)
		}
	}
	return nil
}

// grow makes bands as large as so many columns and rows allow, a blank row between them; nil where they do not fit at all.
func grow(bands []farBand, width, room int) []farBand {
	used := len(bands) - 1
	for i := range bands {
		bands[i].size = 1
		used += draw.DotRows(1)
		if draw.DotWidth(bands[i].text, 1) > width {
			return nil
		}
	}
	if used > room {
		return nil
	}
	for grew := true; grew; {
		grew = false
		for rank := 0; rank <= 3 && !grew; rank++ {
			for i := range bands {
				b := &bands[i]
				if b.rank == rank && used+draw.DotRows(1) <= room && draw.DotWidth(b.text, b.size+1) <= width && b.size < 1+smallest(bands)*2 {
					b.size, grew = b.size+1, true
					used += draw.DotRows(1)
				}
			}
		}
	}
	return bands
}

func smallest(bands []farBand) int {
	return slices.MinFunc(bands, func(a, b farBand) int { return a.size - b.size }).size
}

// spread sets bands one below the other over the whole height.
func (m Model) spread(bands []farBand, room int) (lines []string) {
	left := room
	for _, b := range bands {
		left -= draw.DotRows(b.size)
	}
	for i, b := range bands {
		for _, line := range draw.Dots(b.text, b.size, m.set.ASCII) {
			lines = append(lines, m.style(b.role, line))
		}
		if gaps := len(bands) - 1 - i; gaps > 0 {
			gap := max(left/(gaps+1), 1)
			lines, left = append(lines, make([]string, gap)...), left-gap
		}
	}
	return lines
}

// farBands are what the act that leads says: verb and strand, holes, tension or face; before it what is done first.
func (m Model) farBands(width int) (out []farBand) {
	f := &m.scene.face
	if first := f.first(); first != nil {
		text := "LOOK FIRST"
		if first.Verb == act.Measure {
			if text = "CUT FIRST"; first.CutMM > 0 {
				text = fmt.Sprintf("CUT %.0f", first.CutMM)
			}
		}
		out = farRows([]string{text}, theme.Current, 1)
	}
	a := &f.lead
	verb := []string{f.verb, f.strand}
	switch {
	case len(a.Strands) > 0:
		names := strings.Fields(strings.ReplaceAll(f.strand, ",", ""))
		return append(out, farRows(wrapBig(append([]string{f.verb}, names...), width), theme.Current, 0)...)
	case a.Clamp != "":
		verb[0] = f.verb + " " + string(a.Clamp)
	}
	out = append(out, farRows(wrapBig(verb, width), theme.Current, 2)...)
	switch {
	case a.Face != "":
		return append(out, farRows([]string{f.from, f.word}, theme.Current, 0)...)
	case a.Verb == act.Tie:
		return append(out, farRows([]string{f.to, "ON " + string(a.Anchor)}, theme.Current, 0)...)
	case f.to != "":
		out = append(out, farBand{text: f.to, role: theme.Current})
	}
	switch {
	case f.boost != "":
		out = append(out, farBand{text: f.tension + "+", role: theme.Boost})
	case f.tension != "":
		out = append(out, farBand{text: f.tension, role: theme.Current})
	}
	return out
}

func farRows(texts []string, role theme.Role, rank int) (out []farBand) {
	for _, text := range texts {
		out = append(out, farBand{text: text, role: role, rank: rank})
	}
	return out
}

// wrapBig sets words in figures beside each other, as many as there is room for.
func wrapBig(words []string, width int) (rows []string) {
	for _, word := range words {
		if n := len(rows) - 1; n >= 0 && draw.DotWidth(rows[n]+" "+word, 1) <= width {
			rows[n] += " " + word
			continue
		}
		rows = append(rows, word)
	}
	return rows
}

// hands are what follows on the act that leads, in the order of the hands.
func (m Model) hands() (out []string) {
	f := &m.scene.face
	after := act.Lead(f.acts) + 1
	for i := range f.acts[after:] {
		switch a := &f.acts[after+i]; a.Verb {
		case act.ClampOn:
			out = append(out, string(a.Clamp)+" ON")
		case act.ClampOff:
			out = append(out, string(a.Clamp)+" OFF")
		case act.Ease, act.Straighten, act.Trim:
			out = append(out, m.table.Verb(a.Verb))
		}
	}
	return out
}

// handsInWords are the same where there is no room for them in figures.
func (m Model) handsInWords(width int) []string {
	if hands := m.hands(); len(hands) > 0 {
		return m.hang("then ", theme.Current, strings.Join(hands, " · "), width)
	}
	return nil
}

// farFoot are the words below the figures: what comes first, what the machine is set to, cautions, what comes next and what is
// deferred.
func (m Model) farFoot(width int) (out []string) {
	if set := m.setTo(); set != "" {
		out = append(out, m.style(theme.Warn, set+" on this machine"))
	}
	if first := m.scene.face.first(); first != nil {
		out = append(out, m.hang("▶ ", theme.Current, theme.Clean(m.table.Line(first)), width)...)
	}
	return slices.Concat(out, m.cautions(width), m.words(width), m.tail(least, width))
}
