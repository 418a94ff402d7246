package bench

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"pullcard/patterns/measure"
	"pullcard/sequence/act"
	"pullcard/sequence/plan"
	"pullcard/tui/draw"
	"pullcard/tui/theme"
)

// part is a piece of a band of figures: a text in figures, or lines of ordinary text beside them, the last of them at the foot.
type part struct {
	big   string
	small []string
	mid   bool // the one small line stands in the middle
	role  theme.Role
}

// band is a row of figures.
type band []part

// form is one way to set the figures of a card: its bands, from the top.
type form []band

// figureRows are the heights of figures, in rows, the largest first.
func figureRows() []int { return []int{6, 5, 3} }

// wide says how many columns the widest band takes.
func (f form) wide(rows int) (most int) {
	for _, b := range f {
		most = max(most, b.wide(rows))
	}
	return most
}

// high says how many lines it takes, with the blank one after each band.
func (f form) high(rows int) int { return len(f) * (rows + 1) }

func (b band) wide(rows int) int {
	out := max(len(b)-1, 0)
	for _, p := range b {
		out += p.wide(rows)
	}
	return out
}

func (p part) wide(rows int) (most int) {
	if p.big != "" {
		return draw.BigWidth(p.big, rows)
	}
	for _, line := range p.small {
		most = max(most, lipgloss.Width(line))
	}
	return most
}

// inRows are words in figures, as many beside each other as there is room for.
func inRows(words []string, width, rows int) (f form) {
	for _, word := range words {
		if n := len(f) - 1; n >= 0 && draw.BigWidth(f[n][0].big+" "+word, rows) <= width {
			f[n][0].big += " " + word
			continue
		}
		f = append(f, band{{big: word, role: theme.Current}})
	}
	return f
}

// figures are a form in lines, a blank one after each band.
func (m Model) figures(f form, rows int) (out []string) {
	for _, b := range f {
		lines := make([]string, rows)
		for i, p := range b {
			for j, line := range m.part(p, rows) {
				if i > 0 {
					lines[j] += " "
				}
				lines[j] += line
			}
		}
		out = append(append(out, lines...), "")
	}
	return out
}

func (m Model) part(p part, rows int) []string {
	if p.big != "" {
		lines := draw.Big(p.big, rows, m.set.ASCII)
		for i := range lines {
			lines[i] = m.style(p.role, lines[i])
		}
		return lines
	}
	wide, out := p.wide(rows), make([]string, rows)
	for i := range out {
		at, text := i-rows+len(p.small), ""
		if p.mid {
			at = i - rows/2
		}
		if at >= 0 && at < len(p.small) {
			text = p.small[at]
		}
		out[i] = m.style(p.role, text) + strings.Repeat(" ", wide-lipgloss.Width(text))
	}
	return out
}

// forms are the ways to set the figures, the clearest first; those of one line are for short screens, narrow ones for
// where there is little room at all, as beside a picture as high as the screen.
func (m Model) forms(width int) (list, lined, narrow []form) {
	f := &m.scene.face
	strand := band{{big: f.strand, role: theme.Current}}
	if len(f.lead.Strands) > 0 {
		list, lined = m.namesForms()
		return list, lined, nil
	}
	arrow := part{small: []string{m.arrow()}, mid: true, role: theme.Current}
	bigTo, bigFrom := part{big: f.to, role: theme.Current}, part{big: f.from, role: theme.Quiet}
	smallTo, smallFrom := part{small: []string{f.to}, mid: true, role: theme.Text}, part{small: []string{f.from}, mid: true, role: theme.Text}
	for _, third := range m.third() {
		switch {
		case f.to == "":
			list = append(list, form{strand, third})
		case !f.moves:
			at := band{{small: []string{"at "}, mid: true, role: theme.Text}, bigTo}
			list = append(list, form{strand, at, third})
			narrow = append(narrow, form{strand, at, third[:1]})
			lined = append(lined, form{append(strand[:1:1], at...), third})
		case f.begins(): // that is what hands look for
			in := bigFrom
			in.role = theme.Current
			out := bigTo
			out.role = theme.Quiet
			list = append(list, form{strand, {in, arrow, out}, third}, form{strand, {in, arrow, smallTo}, third})
			narrow = append(narrow, form{strand, {in, arrow, smallTo}, third[:1]}, form{strand, {in, arrow}, third[:1]})
			lined = append(lined, form{{strand[0], {small: []string{" "}}, in, arrow, smallTo}, third})
		default:
			list = append(list, form{strand, {bigFrom, arrow, bigTo}, third}, form{strand, {smallFrom, arrow, bigTo}, third})
			narrow = append(narrow, form{strand, {arrow, bigTo}, third}, form{strand, {arrow, bigTo}, third[:1]})
			lined = append(lined, form{{strand[0], {small: []string{" "}}, smallFrom, arrow, bigTo}, third})
		}
	}
	if names := strings.Fields(f.strand); len(names) > 1 {
		var out form
		for _, name := range names {
			out = append(out, band{{big: name, role: theme.Current}})
		}
		first := band{{big: names[0], role: theme.Current}, {small: append([]string{"and"}, names[1:]...), role: theme.Current}}
		narrow = append(narrow, append(out[:len(out):len(out)], m.third()[0]), out, form{first})
	}
	if at := (part{big: f.at(), role: theme.Current}); f.at() != "" { // where room is short the hole stays, for that is what hands look for
		named := part{small: []string{f.strand}, mid: true, role: theme.Current}
		verb := append(strand[:1:1], part{small: []string{f.word}, mid: true, role: theme.Current})
		for _, third := range m.third() {
			if f.word != "" && f.lead.Face == "" {
				narrow = append(narrow, form{verb, append(band{at}, third[1:]...)}, form{verb, {at}})
			}
			narrow = append(narrow, form{{named, at}, third}, form{{named, at}, third[:1]})
		}
		narrow = append(narrow, form{strand, {at}}) // what is done stands above it and below
	}
	for _, third := range m.third() { // at worst the holes stand in the list alone
		narrow = append(narrow, form{strand, third}, form{strand, third[:1]})
	}
	if f.word != "" {
		verb := append(strand[:1:1], part{small: []string{f.word}, mid: true, role: theme.Current})
		narrow = append(narrow, form{verb}, form{strand})
		if at := f.at(); at != "" && f.lead.Face == "" && strings.Contains(f.strand, " ") { // two that are fed together, below what comes before them
			named := part{small: []string{f.strand}, mid: true, role: theme.Current}
			narrow = append(narrow, form{{named, {big: at, role: theme.Current}, verb[1]}})
		}
	}
	return list, lined, narrow
}

// namesForms set the names of many strands: all of them, so many beside each other; lined where room is short the verb in small letters
// beside them, then the first ones that there is room for, for the list has them all.
func (m Model) namesForms() (list, lined []form) {
	f := &m.scene.face
	all, verb := f.lead.Strands, words(f.word)
	var without []form
	for abreast := len(all); abreast > 0; abreast-- {
		var rows form
		for from := 0; from < len(all); from += abreast {
			rows = append(rows, band{{big: joined(all[from:min(from+abreast, len(all))]), role: theme.Current}})
		}
		side := part{small: []string{" " + f.word, " " + many(len(all))}, role: theme.Current}
		without = append(without, append(form{append(rows[0][:1:1], side)}, rows[1:]...))
		for n := len(rows); n > 0; n-- {
			for _, word := range verb {
				head := part{small: []string{many(len(all))}, role: theme.Text}
				set := append(form{{{big: word, role: theme.Current}, head}}, rows[:n]...)
				if n == len(rows) {
					list = append(list, set)
					continue
				}
				set[0][1].small[0] = fmt.Sprintf("first %d of %d", n*abreast, len(all))
				lined = append(lined, set)
			}
		}
	}
	slices.SortStableFunc(lined, func(a, b form) int { return names(b) - names(a) })
	return list, append(append(without, lined...), form{{{big: string(all[0]), role: theme.Current}}})
}

func many(strands int) string {
	if strands == 1 {
		return "one strand"
	}
	return fmt.Sprintf("%d strands", strands)
}

// names counts the strands below the verb.
func names(f form) (n int) {
	for _, b := range f[1:] {
		n += len(strings.Fields(b[0].big))
	}
	return n
}

func joined(strands []plan.Strand) string { return strings.ReplaceAll(plan.Names(strands), ",", "") }

// words are a verb in large letters and, where it has two words, the first of them, which does where room is short.
func words(verb string) []string {
	if first, second, two := strings.Cut(verb, " "); two && len(second) > 1 {
		return []string{verb, first}
	}
	return []string{verb}
}

func (m Model) arrow() string {
	if m.set.ASCII {
		return "-->"
	}
	return "━━▶"
}

// third is the tension, or what stands in its place, with its unit large or, where that is too wide, small.
func (m Model) third() []band {
	f := &m.scene.face
	side := part{small: m.besideThird(), role: m.sideRole()}
	if f.tension == "" {
		var out []band
		for _, word := range words(f.word) {
			out = append(out, band{{big: word, role: theme.Current}, side})
		}
		return out
	}
	role := theme.Current
	if f.boost != "" {
		role = theme.Boost
	}
	number, unit, _ := strings.Cut(f.tension, " ")
	short := side
	short.small = append([]string{unit}, side.small...)
	return []band{{{big: f.tension, role: role}, side}, {{big: number, role: role}, short}}
}

func (m Model) sideRole() theme.Role {
	if m.scene.face.boost != "" || m.setTo() != "" {
		return theme.Boost
	}
	return theme.Text
}

// besideThird are one or two lines beside the tension or the word in its place.
func (m Model) besideThird() (out []string) {
	f := &m.scene.face
	switch a := &f.lead; {
	case f.boost != "":
		out = []string{"▲ BOOST", "  " + f.boost}
	case a.Verb == act.Repull, a.Verb == act.TakeLoad:
		out = m.repulled()
	case f.tension != "":
	case a.Face != "":
		first, mains, _ := strings.Cut(f.weave, ", ")
		out = []string{strings.TrimPrefix(first, strings.ToLower(f.word)+" "), mains}
		if a.ShortMM > 0 {
			out = append(out, strings.ToLower(m.table.Short("leave-short", fmt.Sprintf("%.0f", a.ShortMM))))
		}
		if a.NeedMM > 0 {
			out = append(out, strings.ToLower(m.table.Short("leave-tail", fmt.Sprintf("%g", a.NeedMM/10))))
		}
	case a.Verb == act.Tie:
		out = []string{"on " + string(a.Anchor)}
	case a.Asks:
		out = []string{strings.ToLower(m.table.Short("is-slack", "")), strings.ToLower(m.table.Short("is-tight", ""))}
	case a.Behind != "":
		out = []string{"behind " + string(a.Behind) + ", on", "the slack side"}
	case a.With != "":
		out = []string{"and " + string(a.With), "at " + string(a.Beside)}
	case a.Outside:
		out = []string{"outside"}
	}
	if set := m.setTo(); set != "" {
		out = append(out, set)
	}
	return out
}

// repulled says that a strand is pulled once more, in a way back because of which holder.
func (m Model) repulled() []string {
	out := []string{m.scene.face.verb}
	p, n := m.state.Plan(), m.shown()
	for s := &p.Steps[n-1]; s.Base == 0 && n > 0; n-- {
		switch o := p.Steps[n-1].Mishap(); {
		case o == nil:
			continue
		case o.Fault == plan.FaultClamp:
			return append(out, "clamp "+string(o.Clamp))
		case o.Fault == plan.FaultGripper:
			return append(out, "gripper")
		}
		return out
	}
	return out
}

// setTo is what the machine is set to for a pull where its offset makes that another tension, empty otherwise.
func (m Model) setTo() string {
	f := &m.scene.face
	if f.tension == "" || m.job.Offset.IsZero() {
		return ""
	}
	ordered, err := measure.ParseTension(f.tension)
	if err != nil {
		return ""
	}
	return "set " + ordered.Plus(m.job.Offset).Short()
}
