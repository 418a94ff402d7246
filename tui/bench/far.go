package bench

import (
	"math"
	"slices"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"pullcard/sequence/act"
	"pullcard/tui/draw"
	"pullcard/tui/theme"
)

// farPage is the far view: bands across the whole width above and below two columns of them, or one where right is empty.
type farPage struct {
	top, left, right, bottom []farBand
	wide                     int // columns of the left column
}

func (p *farPage) all() []farBand { return slices.Concat(p.top, p.left, p.right, p.bottom) }

// farGap are the columns between two columns of figures.
const farGap = 4

// farCard is what is read from across the shop, as large as the screen allows, all in one shape of letters: what to do with which
// strand, where, how hard or over and under, and what hands do after it in order; then in words what may not be missed. Nil where
// that does not fit.
func (m Model) farCard(width, height int) []string {
	if !m.scene.face.led || m.tellsAnew() {
		return m.farLook(width, height)
	}
	head, first, hands, none := m.banner(least, width), m.farFirst(), m.farHands(), [][]farBand{nil}
	long, short, spoken := m.farFoot(width, false), m.farFoot(width, true), m.handsInWords(width)
	for _, try := range []struct {
		head, foot   []string
		first, hands [][]farBand
		slim         bool // what leads
	}{
		{head, long, first, hands, false},
		{head, short, first, hands, false},
		{head, short, first, hands, true},
		{head, slices.Concat(spoken, long), first, none, false},
		{head, slices.Concat(spoken, short), first, none, false},
		{head, slices.Concat(spoken, short), first, none, true},
		{slices.Concat(head, m.farAhead(width)), slices.Concat(spoken, long), none, none, false},
		{slices.Concat(head, m.farAhead(width)), slices.Concat(spoken, short), none, none, true},
	} {
		room, best := height-len(try.head)-len(try.foot), farPage{}
		for _, first := range try.first {
			for _, hands := range try.hands {
				for _, p := range m.farPages(first, hands, width, room, try.slim) {
					best = best.better(p)
				}
			}
		}
		if best.left != nil {
			return filled(slices.Concat(try.head, m.farLines(best, room)), try.foot, height)
		}
	}
	return nil
}

// farLook is the far view of a card on which nothing is done with string: its heading as large as what is said there leaves room for.
func (m Model) farLook(width, height int) []string {
	below, foot := m.notes(least, width)
	if b, f := m.notes(full, width); len(b)+len(f)+4 < height {
		below, foot = b, f
	}
	head, anew := m.banner(least, width), m.tellsAnew()
	if supports := m.farSupports(); len(supports) > 0 && !anew {
		below = m.farFoot(width, true)
		var unmarked []string
		for _, foot := range [][]string{foot, nil} { // what comes next goes before the mark does, and what is large is not said twice
			if foot == nil && m.wayRound() != "" {
				below = slices.DeleteFunc(below, func(line string) bool { return strings.Contains(line, m.wayRound()) })
			}
			room := height - len(head) - len(below) - len(foot) - 1
			mark, slim := m.inLetters(m.wayRound(), theme.Current, false, width), m.inLetters(m.wayRound(), theme.Current, true, width)
			var best []farBand
			large := func(bands []farBand) int { // the supports
				if len(bands) == 0 {
					return 0
				}
				return bands[len(bands)-1].size
			}
			for _, bands := range [][]farBand{slices.Concat(mark, supports), slices.Concat(slim, slimmed(supports)),
				slices.Concat(slim, wrapBands(slimmed(supports), width)), supports, slimmed(supports)} {
				marked := len(bands) > len(supports) || len(best) == 0 // without the mark only where it has no room
				if bands = grow(bands, width, room); marked && large(bands) > large(best) && !(m.set.ASCII && bands[0].slim) {
					best = bands
				}
			}
			if best == nil {
				continue
			}
			page := filled(slices.Concat(head, m.spread(best, 0), []string{""}, below), foot, height)
			if len(best) > len(supports) {
				return page
			}
			if unmarked == nil {
				unmarked = page
			}
		}
		if unmarked != nil {
			return unmarked
		}
	}
	room := height - len(head) - len(below) - len(foot) - 1
	title, role, rest := m.scene.face.title, theme.Current, m.ahead()
	if len(m.farSupports()) == 0 { // they are set already
		rest = append(rest, farRows(strings.Fields(letters(m.wayRound())), theme.Current, 1)...)
	}
	if anew {
		title, role = m.table.Short("anew", m.keys.Slip.Help().Key+" or "+m.keys.Wrong.Help().Key), theme.Warn
		rest = farRows(strings.Fields(letters(m.inHand())), theme.Current, 3)
	}
	words := farRows(strings.Fields(letters(title)), role, 0)
	for _, try := range [][2][]farBand{{words, rest}, {words, slimmed(rest)}, {slimmed(words), slimmed(rest)}} {
		for size := 3; size > 0; size-- { // in more rows the heading is larger
			bands := slices.Concat(wrapBands(try[0], width/size), wrapBands(try[1], width))
			if bands = grow(bands, width, room); bands != nil && bands[0].size >= size && !(m.set.ASCII && bands[len(bands)-1].slim) {
				for i := 1; i < len(bands); i++ { // none is read before what it follows on
					bands[i].size = min(bands[i].size, bands[i-1].size)
				}
				return filled(slices.Concat(head, m.spread(bands, 0), []string{""}, below), foot, height)
			}
		}
	}
	return nil
}

// tellsAnew says whether what was told was taken back just now: before the step in hand is done it is told anew, if it did happen.
func (m Model) tellsAnew() bool { return m.anew && m.look == 0 && !m.finished() }

// inHand is the step in hand in a line: verb, strand, hole and tension, or what is looked at.
func (m Model) inHand() string {
	if f := &m.scene.face; f.led {
		return strings.Join([]string{m.farVerb(), f.strand, f.at(), f.tension}, " ")
	}
	return m.scene.face.title
}

// wayRound is which way round the frame goes on.
func (m Model) wayRound() string {
	for i := range m.scene.face.acts {
		switch a := &m.scene.face.acts[i]; {
		case a.Verb == act.Mount:
			return strings.Join(a.Notes, " ")
		case strings.HasPrefix(a.Text, "butt-cap mark"):
			return a.Text
		}
	}
	return ""
}

// farSupports are the supports that are set or loosened.
func (m Model) farSupports() []farBand {
	var texts []string
	for i := range m.scene.face.acts {
		a := &m.scene.face.acts[i]
		if a.Verb == act.Mount || a.Verb == act.Dismount {
			texts = append(texts, m.table.Verb(a.Verb)+" "+strings.ToUpper(a.Text))
		}
	}
	return farRows(texts, theme.Current, 0)
}

// farPages are the ways to lay the far view out that there is room for, what leads wide or slim.
func (m Model) farPages(first, hands []farBand, width, room int, slim bool) (out []farPage) {
	f, later := &m.scene.face, m.farLater(width)
	for _, last := range [][]farBand{later, nil} {
		for _, rows := range m.farStacks(width, slim) {
			rows = slices.Concat(wrapBands(first, width), rows, wrapBands(hands, width), last)
			if rows = grow(rows, width, room); rows != nil {
				out = append(out, farPage{left: rows})
			}
		}
		if len(f.lead.Strands) == 0 && f.to != "" {
			for size := 1; size < 4; size++ {
				top, below := sized(wrapBands(first, width), size), sized(last, size)
				for _, does := range m.farDoes() {
					out = append(out, m.farBeside(farPage{top: top, bottom: below}, does, hands, width, room)...)
					all := slices.Concat(sized(wrapBands(hands, width), size), below)
					out = append(out, m.farBeside(farPage{top: top, bottom: all}, does, nil, width, room)...)
				}
			}
		}
	}
	return out
}

// farBeside has the strand and where it goes on the left, what is done on the right, between what stands across both; one page for
// each size of the right column that there is room for.
func (m Model) farBeside(p farPage, right, hands []farBand, width, room int) (out []farPage) {
	f := &m.scene.face
	where, _ := m.farWhere()
	left := append(farRows(strings.Fields(f.strand), theme.Current, 0), where)
	for _, b := range slices.Concat(p.top, p.bottom) {
		if room -= b.rows() + 1; b.width(b.size) > width {
			return nil
		}
	}
	for size := 1; ; size++ {
		most := 0
		for _, b := range slices.Concat(right, hands) {
			most = max(most, b.width(size))
		}
		p.wide = width - most - farGap
		if p.wide < draw.DotWidth("M", 1) {
			return out
		}
		p.left, p.right = grow(slices.Clone(left), p.wide, room), grow(slices.Concat(right, wrapBands(hands, most/size)), most, room)
		if p.left == nil || p.right == nil {
			continue
		}
		if len(p.top) > 0 && p.top[0].size > smallest(p.left) { // no larger than what leads
			continue
		}
		for i := range p.left { // the hole is what hands look for
			p.left[i].size = min(p.left[i].size, p.left[len(left)-1].size)
		}
		for i := range p.right { // strand and hole are the largest
			p.right[i].size = min(p.right[i].size, smallest(p.left))
		}
		out = append(out, p)
	}
}

// better is the one that says less in ordinary text; where they are alike, the one in which what leads is wide, then the one whose
// smallest figures are larger, then the one whose strand and hole are, at last the one that fills more of the screen.
func (p farPage) better(q farPage) farPage {
	rate := func(p farPage) []int {
		if p.left == nil {
			return []int{math.MinInt}
		}
		all, words, slim, cells, leads := p.all(), 0, 0, 0, 0
		if len(p.right) > 0 {
			leads = smallest(p.left)
		}
		for i := range all {
			switch {
			case all[i].rank == plain:
				words++
			case all[i].rank == 0 && all[i].slim:
				slim = 1
			}
			cells += all[i].width(all[i].size) * all[i].rows() * max(4-all[i].rank, 1) // what leads counts more
		}
		return []int{-words, -slim, smallest(all), leads, cells}
	}
	if slices.Compare(rate(q), rate(p)) > 0 {
		return q
	}
	return p
}

// farLines are the lines of a page.
func (m Model) farLines(p farPage, room int) (out []string) {
	apart := func(bands []farBand) (high int) {
		for _, b := range bands {
			high += b.rows() + 1
		}
		return high
	}
	room -= apart(p.top) + apart(p.bottom)
	lines, beside := m.spread(p.left, room), m.spread(p.right, room)
	for range len(beside) - len(lines) {
		lines = append(lines, "")
	}
	for i := range beside {
		lines[i] += strings.Repeat(" ", max(p.wide+farGap-lipgloss.Width(lines[i]), 0)) + beside[i]
	}
	if top := m.spread(p.top, 0); len(top) > 0 {
		lines = slices.Concat(top, []string{""}, lines)
	}
	if bottom := m.spread(p.bottom, 0); len(bottom) > 0 {
		lines = slices.Concat(lines, []string{""}, bottom)
	}
	return lines
}

// farStacks are the ways to set what the act that leads says one below the other: verb and strand, hole, tension or face; slim too,
// beside each other as far as they go.
func (m Model) farStacks(width int, slim bool) [][]farBand {
	f := &m.scene.face
	if all := f.lead.Strands; len(all) > 0 {
		return [][]farBand{wrapBands(farRows(append([]string{f.verb}, strings.Fields(joined(all))...), theme.Current, 0), width)}
	}
	words := farRows([]string{m.farVerb(), f.strand}, theme.Current, 2)
	out := wrapBands(words, width)
	if f.to == "" {
		return [][]farBand{out, words}
	}
	where, how := m.farWhere()
	list := [][]farBand{slices.Concat(out, []farBand{where}, how)}
	if len(how) == 1 { // beside each other
		list = append(list, append(out, where.with(&how[0])))
	}
	if slim && !m.set.ASCII {
		all := slices.Concat(words, []farBand{where}, how)
		for i := range all {
			all[i].rank = 0
		}
		list = append(list, wrapBands(slimmed(all), width))
	}
	return list
}
