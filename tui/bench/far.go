package bench

import (
	"slices"
	"strings"

	"pullcard/sequence/act"
	"pullcard/tui/draw"
	"pullcard/tui/theme"
)

// farCard is what is read from across the shop, as large as the screen allows: what to do with which strand, where, how hard or
// over and under, and the clamps that move; then in words what may not be missed.
func (m Model) farCard(width, height int) []string {
	head, foot := m.banner(least, width), m.farFoot(width)
	bands, clamps := m.farBands(), m.farClamps()
	room := height - len(head) - len(foot)
	for _, texts := range [][]farBand{append(bands[:len(bands):len(bands)], clamps...), bands} {
		if len(texts) == len(bands) && len(clamps) > 0 { // no room for them in figures
			foot = append(m.acts(flowing, width), foot...)
			room = height - len(head) - len(foot)
		}
		if lines := m.filling(texts, width, room); lines != nil {
			return filled(slices.Concat(head, lines), foot, height)
		}
	}
	return m.figureCard(width, height)
}

// filling sets texts one below the other as large as they fit, and spreads the rows that are left between them; nil where
// they do not fit.
func (m Model) filling(texts []farBand, width, room int) (lines []string) {
	high, used := (room-len(texts)+1)/len(texts), 0
	sets := make([][]string, len(texts))
	for i, b := range texts {
		if sets[i] = draw.Fill(b.text, width, high, m.set.ASCII); sets[i] == nil {
			return nil
		}
		used += len(sets[i])
	}
	gap := max((room-used)/len(texts), 1)
	for i, set := range sets {
		for _, line := range set {
			lines = append(lines, m.style(texts[i].role, line))
		}
		if i < len(sets)-1 {
			lines = append(lines, make([]string, gap)...)
		}
	}
	return lines
}

// farBand is a text that fills the width.
type farBand struct {
	text string
	role theme.Role
}

// farBands are what the act that leads says: verb and strand, holes, tension or face.
func (m Model) farBands() []farBand {
	f := &m.scene.face
	now := func(text string) farBand { return farBand{text, theme.Current} }
	if len(f.lead.Strands) > 0 {
		var names []string
		for _, s := range f.lead.Strands {
			names = append(names, string(s))
		}
		half := (len(names) + 1) / 2
		out := []farBand{now(f.word), now(strings.Join(names[:half], " "))}
		if half < len(names) {
			out = append(out, now(strings.Join(names[half:], " ")))
		}
		return out
	}
	switch a := &f.lead; {
	case a.Face != "":
		return []farBand{now("WEAVE " + f.strand), now(f.from + " " + f.word)}
	case a.Verb == act.Tie:
		return []farBand{now("TIE " + f.strand), now(f.to), now("ON " + string(a.Anchor))}
	case f.boost != "":
		return []farBand{now("PULL " + f.strand), now(f.to), {f.tension + " +", theme.Boost}}
	case f.tension != "":
		return []farBand{now("PULL " + f.strand), now(f.to), now(f.tension)}
	case a.Clamp != "":
		return []farBand{now(f.word), now(f.strand), now(f.to)}
	}
	return []farBand{now(f.word), now(f.strand), now(f.to)}
}

// farClamps are the clamps that move beside what leads.
func (m Model) farClamps() []farBand {
	f := &m.scene.face
	if f.lead.Clamp != "" {
		return nil
	}
	var words []string
	for i := range f.acts {
		switch a := &f.acts[i]; a.Verb {
		case act.ClampOn:
			words = append(words, string(a.Clamp)+" ON")
		case act.ClampOff:
			words = append(words, string(a.Clamp)+" OFF")
		}
	}
	if len(words) == 0 {
		return nil
	}
	return []farBand{{strings.Join(words, " "), theme.Text}}
}

// farFoot are the words below the figures: what the machine is set to, cautions, what comes next and what is deferred.
func (m Model) farFoot(width int) (out []string) {
	if set := m.setTo(); set != "" {
		out = append(out, m.style(theme.Warn, set+" on this machine"))
	}
	return slices.Concat(out, m.words(width), m.tail(least, width))
}
