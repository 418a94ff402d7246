package bench

import (
	"slices"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"pullcard/patterns/measure"
	"pullcard/sequence/plan"
	"pullcard/tui/draw"
	"pullcard/tui/theme"
)

// figures are strand, holes and tension, as large as they fit.
func (m Model) figures(width, room int) []string {
	f := m.scene.face
	if f.strand == "" {
		return []string{"", m.style(theme.Current, strings.ToUpper(f.title)), ""}
	}
	for _, rows := range []int{6, 5, 3} {
		if 3*rows+1 > room { // there are three bands at least; setting figures is most of the work of a frame
			continue
		}
		for _, quiet := range []bool{false, true} {
			bands := m.bands(width, rows, quiet)
			for _, apart := range []bool{true, false} {
				if lines := stack(bands, apart); bands != nil && len(lines) <= room {
					return lines
				}
			}
		}
	}
	return []string{m.style(theme.Current, f.strand), m.style(theme.Current, f.from+" → "+f.to), m.style(theme.Current, strings.TrimSpace(f.tension+"  "+m.setTo())), ""}
}

// bands are the figures in so many rows each, or nil where one is too wide. With quiet the hole where the string comes
// in is only small.
func (m Model) bands(width, rows int, quiet bool) [][]string {
	f := m.scene.face
	holes := [][][]string{{m.bothHoles(rows)}, m.stackedHoles(rows)}
	if quiet {
		holes = [][][]string{{m.exitHole(rows)}}
	}
	strand := fitting(width, [][]string{m.big(f.strand, rows, theme.Current)})
	place, third := fitting(width, holes...), fitting(width, m.third(rows)...)
	if strand == nil || place == nil || third == nil {
		return nil
	}
	return slices.Concat(strand, place, third)
}

// stack puts bands of lines one below the other, with a blank line after each or only after the last.
func stack(bands [][]string, apart bool) []string {
	var out []string
	for i, band := range bands {
		out = append(out, band...)
		if apart || i == len(bands)-1 {
			out = append(out, "")
		}
	}
	return out
}

// fitting is the first of some groups of bands none of which is wider than the room.
func fitting(width int, groups ...[][]string) [][]string {
	for _, bands := range groups {
		wide := func(line string) bool { return lipgloss.Width(line) > width }
		if !slices.ContainsFunc(bands, func(band []string) bool { return slices.ContainsFunc(band, wide) }) {
			return bands
		}
	}
	return nil
}

// bothHoles sets the hole where the string comes in, quietly, and the one where it is pulled, side by side.
func (m Model) bothHoles(rows int) []string {
	f := m.scene.face
	return beside(beside(m.big(f.from, rows, theme.Quiet), m.arrow(rows)), m.big(f.to, rows, theme.Current))
}

// stackedHoles sets the two holes one below the other.
func (m Model) stackedHoles(rows int) [][]string {
	f := m.scene.face
	in := beside(m.blank(rows), m.big(f.from, rows, theme.Quiet))
	return [][]string{in, beside(m.arrow(rows), m.big(f.to, rows, theme.Current))}
}

// exitHole sets only the hole where the string is pulled.
func (m Model) exitHole(rows int) []string {
	f := m.scene.face
	from := make([]string, rows)
	for i := range from {
		from[i] = strings.Repeat(" ", len(f.from))
	}
	from[rows/2] = m.style(theme.Quiet, f.from)
	return beside(beside(from, m.arrow(rows)), m.big(f.to, rows, theme.Current))
}

func (m Model) blank(rows int) []string {
	out := make([]string, rows)
	for i := range out {
		out[i] = "   "
	}
	return out
}

func (m Model) arrow(rows int) []string {
	out := m.blank(rows)
	out[rows/2] = m.style(theme.Current, "━━▶")
	if m.set.ASCII {
		out[rows/2] = m.style(theme.Current, "-->")
	}
	return out
}

// third is the tension, or what stands in its place, with its unit large or, where that is too wide, small.
func (m Model) third(rows int) [][][]string {
	f := m.scene.face
	role, text := theme.Current, f.big
	if text == "" {
		text = f.tension
	}
	switch {
	case f.boost != "":
		role = theme.Boost
	case f.verb == "UNDO" || f.verb == "CUT":
		role = theme.Danger
	}
	small := m.besideTension(rows)
	number, unit, _ := strings.Cut(text, " ")
	short := slices.Clone(small)
	short[0] = m.style(role, unit) + short[0]
	return [][][]string{{beside(m.big(text, rows, role), small)}, {beside(m.big(number, rows, role), short)}}
}

func (m Model) besideTension(rows int) []string {
	f := m.scene.face
	out := make([]string, rows)
	if set := m.setTo(); set != "" {
		out[rows-1] = m.style(theme.Warn, set)
		rows--
	}
	switch {
	case f.boost != "" && rows < 3:
		out[rows-1] = m.style(theme.Boost, "▲ BOOST "+f.boost)
	case f.boost != "":
		out[rows-2] = m.style(theme.Boost, "▲ BOOST")
		out[rows-1] = m.style(theme.Boost, "  "+f.boost)
	case f.big == "TIE":
		out[rows-1] = m.style(theme.Text, "on "+m.anchor())
	case f.big != "":
		first, mains, _ := strings.Cut(f.weave, ", ")
		out[rows-2] = m.style(theme.Text, strings.TrimPrefix(first, strings.ToLower(f.big)+" "))
		out[rows-1] = m.style(theme.Text, mains)
	}
	return out
}

// setTo is what the machine is set to for a pull where its offset makes that another tension, empty otherwise.
func (m Model) setTo() string {
	f := m.scene.face
	if f.big != "" || m.job.Offset.IsZero() {
		return ""
	}
	ordered, err := measure.ParseTension(f.tension)
	if err != nil {
		return ""
	}
	return "set " + ordered.Plus(m.job.Offset).Short()
}

func (m Model) anchor() string {
	for _, o := range m.step().Ops {
		if o.Op == plan.Tie {
			return string(o.Anchor)
		}
	}
	return ""
}

func (m Model) big(text string, rows int, role theme.Role) []string {
	lines := draw.Big(text, rows, m.set.ASCII)
	for i := range lines {
		lines[i] = m.style(role, lines[i])
	}
	return lines
}

// beside sets two blocks of lines side by side.
func beside(a, b []string) []string {
	out := make([]string, len(a))
	for i := range a {
		out[i] = a[i] + " " + b[i]
	}
	return out
}
