package bench

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/lipgloss"

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
	for _, try := range []struct{ hands, foot []string }{{m.hands(), foot}, {nil, slices.Concat(m.handsInWords(width), foot)}} {
		room := height - len(head) - len(try.foot)
		stacked := farColumns{left: grow(slices.Concat(m.farBands(width), farRows(wrapBig(try.hands, width), theme.Text, 3)), width, room)}
		beside := m.farBeside(try.hands, width, room)
		if best := stacked.better(beside); best.left != nil {
			return filled(slices.Concat(head, m.farLines(best, room)), try.foot, height)
		}
	}
	return nil
}

// farColumns are bands beside each other, or all in the left column, so many columns wide where there is a right one.
type farColumns struct {
	left, right []farBand
	wide        int
}

// farGap are the columns between two columns of figures.
const farGap = 4

// farBeside has the strand and where it goes on the left, what is done on the right; as large as there is room for.
func (m Model) farBeside(hands []string, width, room int) (best farColumns) {
	left, right := m.farSides()
	right = append(right, farRows(hands, theme.Text, 3)...)
	if len(left) == 0 || len(right) == 0 {
		return best
	}
	for size := 1; ; size++ {
		most := 0
		for _, b := range right {
			most = max(most, draw.DotWidth(b.text, size))
		}
		wide := width - most - farGap
		if wide < draw.DotWidth("M", 1) {
			return best
		}
		try := farColumns{left: grow(slices.Clone(left), wide, room), right: grow(slices.Clone(right), most, room), wide: wide}
		if try.left != nil && try.right != nil {
			for i := range try.left { // the hole is what hands look for
				try.left[i].size = min(try.left[i].size, try.left[len(left)-1].size)
			}
			best = best.better(try)
		}
	}
}

// better is the one whose smallest figures are larger; where they are alike, the one that fills more of the screen.
func (c farColumns) better(d farColumns) farColumns {
	rate := func(c farColumns) (least, cells int) {
		all := slices.Concat(c.left, c.right)
		if len(all) == 0 {
			return 0, 0
		}
		for _, b := range all {
			cells += draw.DotWidth(b.text, b.size) * draw.DotRows(b.size)
		}
		return smallest(all), cells
	}
	least, cells := rate(c)
	if l, n := rate(d); l > least || l == least && n > cells {
		return d
	}
	return c
}

// farLines are columns of figures in lines.
func (m Model) farLines(c farColumns, room int) []string {
	lines := m.spread(c.left, room)
	if len(c.right) == 0 {
		return lines
	}
	beside := m.spread(c.right, room)
	out := make([]string, max(len(lines), len(beside)))
	for i := range out {
		line := ""
		if i < len(lines) {
			line = lines[i]
		}
		if i < len(beside) {
			line += strings.Repeat(" ", max(c.wide+farGap-lipgloss.Width(line), 0)) + beside[i]
		}
		out[i] = line
	}
	return out
}

// farSides are the same as farBands in two columns: the strand and where, and what is done there; none where something comes before
// that or it is about many strands.
func (m Model) farSides() (left, right []farBand) {
	f := &m.scene.face
	a := &f.lead
	if f.first() != nil || len(a.Strands) > 0 || f.to == "" {
		return nil, nil
	}
	where, how, role := f.to, f.tension, theme.Current
	switch {
	case a.Face != "":
		where, how = f.from, f.word
	case a.Verb == act.Tie:
		how = "ON " + string(a.Anchor)
	case a.Verb == act.Press:
		how = "SLACK?"
	case a.Verb == act.Feed:
		where = "IN " + f.from
	case f.boost != "":
		how, role = f.tension+"+", theme.Boost
	}
	verb := f.verb
	if a.Clamp != "" {
		verb += " " + string(a.Clamp)
	}
	left = farRows(append(strings.Fields(f.strand), where), theme.Current, 0)
	right = farRows([]string{verb}, theme.Current, 0)
	if how != "" {
		right = append(right, farBand{text: how, role: role})
	}
	return left, right
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
	case a.Verb == act.Press:
		return append(out, farRows([]string{"SLACK?"}, theme.Current, 0)...)
	case a.Verb == act.Feed:
		return append(out, farRows([]string{"IN " + f.from}, theme.Current, 0)...)
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
	acts := m.scene.face.acts
	lead := act.Lead(acts)
	for i := range acts { // what comes before what leads, and what is felt for
		if first := m.scene.face.first() != nil && i < lead; first || i == lead && acts[i].Verb == act.Press {
			out = append(out, m.hang("▶ ", theme.Current, theme.Clean(m.table.Line(&acts[i])), width)...)
		}
	}
	return slices.Concat(out, m.cautions(width), m.words(width), m.tail(least, width))
}
