package bench

import (
	"strings"

	"pullcard/tui/draw"
	"pullcard/tui/theme"
)

// farCard is what is read from across the shop: strand, the hole where it is pulled, how hard, which clamp comes to it;
// everything as large as the screen allows and nothing beside it but what may not be missed.
func (m Model) farCard(width, height int) []string {
	head, tail := m.banner(width), m.tail(width)
	loud := append(m.movedClamps(width), m.caution(theme.Warn, m.scene.face.cautions, width)...)
	if set := m.setTo(); set != "" {
		loud = append([]string{m.style(theme.Warn, set+" on this machine")}, loud...)
	}
	room := height - len(head) - len(tail) - len(loud)
	lines := append(head, m.farFigures(width, room)...)
	lines = append(lines, loud...)
	for len(lines)+len(tail) < height {
		lines = append(lines, "")
	}
	return append(lines, tail...)
}

// movedClamps are the clamps that the step moves.
func (m Model) movedClamps(width int) (out []string) {
	lines := m.clamps(width)
	for i, v := range m.scene.face.moves {
		if v.moved() {
			out = append(out, lines[i])
		}
	}
	return out
}

// farFigures are the three figures, as many times as large as they fit.
func (m Model) farFigures(width, room int) []string {
	f := m.scene.face
	for _, size := range []struct{ rows, times int }{{6, 4}, {6, 3}, {6, 2}, {5, 2}, {3, 3}, {3, 2}, {6, 1}, {5, 1}, {3, 1}} {
		third := m.farThird(size.rows, size.times)
		bands := [][][]string{
			{m.grown(f.strand, size.rows, size.times, theme.Current)},
			{m.grown(f.to, size.rows, size.times, theme.Current)},
			third,
		}
		var out [][]string
		for _, choices := range bands {
			groups := make([][][]string, len(choices))
			for i, c := range choices {
				groups[i] = [][]string{c}
			}
			out = append(out, fitting(width, groups...)...)
		}
		if len(out) < len(bands) {
			continue
		}
		if lines := stack(out, true); len(lines)-1 <= room { // figures that touch are one blob from afar
			return lines[:min(len(lines), room)]
		}
	}
	return m.figures(width, room)
}

// farThird is the tension with its unit, without it, or what stands in its place.
func (m Model) farThird(rows, times int) [][]string {
	f := m.scene.face
	role, text := theme.Current, f.big
	if text == "" {
		text = f.tension
	}
	if f.boost != "" {
		role = theme.Boost
		text += " +"
	}
	number, _, _ := strings.Cut(text, " ")
	if f.boost != "" {
		number += "+"
	}
	return [][]string{m.grown(text, rows, times, role), m.grown(number, rows, times, role)}
}

// grown sets text in large figures, so many times as large.
func (m Model) grown(text string, rows, times int, role theme.Role) []string {
	out := draw.Huge(text, rows, times, m.set.ASCII)
	for i := range out {
		out[i] = m.style(role, out[i])
	}
	return out
}
