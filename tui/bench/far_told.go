package bench

import (
	"fmt"
	"slices"
	"strings"

	"pullcard/sequence/act"
	"pullcard/sequence/plan"
	"pullcard/tui/theme"
)

// farVerb is the verb of the act that leads, with the clamp that it moves.
func (m Model) farVerb() string {
	f := &m.scene.face
	if f.lead.Clamp != "" {
		return f.verb + " " + string(f.lead.Clamp)
	}
	return f.verb
}

// farDoes are the ways to set what is done beside the strand: the verb in a row, a row for each of its words, or slim, then how hard or
// which side, wide or slim.
func (m Model) farDoes() (out [][]farBand) {
	verb := m.farVerb()
	_, how := m.farWhere()
	verbs := [][]farBand{farRows([]string{verb}, theme.Current, 0), farRows(strings.Fields(verb), theme.Current, 0)}
	hows := [][]farBand{how}
	if !m.set.ASCII {
		verbs = append(verbs, slimmed(farRows([]string{verb}, theme.Current, 1)))
		slim := slimmed(how)
		for i := range slim {
			slim[i].rank = 1
		}
		hows = append(hows, slim)
	}
	for _, verb := range verbs {
		for _, how := range hows {
			out = append(out, slices.Concat(verb, how))
		}
	}
	return out
}

// farWhere is the hole to which hands go, and what is done there: tension, face, what is tied to.
func (m Model) farWhere() (where farBand, how []farBand) {
	f := &m.scene.face
	in, role, says := f.at(), theme.Current, f.tension
	switch a := &f.lead; {
	case a.Face != "":
		says = f.word
	case a.Verb == act.ClampOn && a.Mark:
		role, says = theme.Warn, m.table.Short("mark", "")
	case a.Verb == act.Tie:
		says = m.table.Short("on", string(a.Anchor))
	case a.Verb == act.Press:
		says = m.table.Short("slack", "")
	case a.Verb == act.Feed:
		in = m.table.Short("in", f.at())
	case a.Verb == act.Move:
		says = m.table.Short("to", f.to)
	case a.Verb == act.Release:
		says = m.table.Short("slowly", "")
	case f.boost != "":
		number, _, _ := strings.Cut(f.tension, " ")
		role, says = theme.Boost, m.table.Short("boost", number)
	}
	if says != "" {
		how = farRows([]string{says}, role, 0)
	}
	return farRows([]string{in}, theme.Current, 0)[0], how
}

// farFirst are the ways to set what comes before what leads.
func (m Model) farFirst() [][]farBand {
	bands := m.ahead()
	if m.set.ASCII || len(bands) == 0 {
		return [][]farBand{bands}
	}
	return [][]farBand{bands, slimmed(bands)}
}

// ahead is what comes before what leads, in the order of the hands: what is looked at and cut, the loop and the scraps that are left, what
// is fed before it is pulled, slack that is drawn to the gripper, and the scrap that is drawn out of a covered hole.
func (m Model) ahead() (out []farBand) {
	f := &m.scene.face
	add := func(role theme.Role, key, text string) {
		out = append(out, farRows([]string{m.table.Short(key, text)}, role, 1)...)
	}
	for i := range f.acts[:max(act.Lead(f.acts), 0)] {
		switch a := &f.acts[i]; {
		case a.Verb == act.LeaveLoop:
			add(theme.Current, "loop", string(a.To))
		case a.Stop:
			add(theme.Current, "look-first", "")
		case a.Verb == act.Sleeve:
			add(theme.Current, "sleeve", string(a.To))
		case a.Verb == act.Measure && a.CutMM > 0:
			add(theme.Current, "cut", fmt.Sprintf("%.0f", a.CutMM))
		case a.Verb == act.Measure:
			add(theme.Current, "cut-first", "")
		}
	}
	for i := range f.acts {
		a := &f.acts[i]
		if a.Away {
			add(theme.Warn, "face-away", "")
		}
		for _, text := range a.Warn {
			if holes := scrapped(text); holes != "" {
				add(theme.Blocked, "scrap-in", holes)
			}
			if text == act.MindMains {
				add(theme.Warn, "mind-mains", "")
			}
			if strand, ok := strings.CutPrefix(text, act.PressFirst); ok {
				strand, _, _ = strings.Cut(strand, " ")
				add(theme.Warn, "press-first", strand)
			}
		}
		if a.Verb == act.Feed && f.lead.Verb == act.Pull { // hands feed it before they pull
			add(theme.Current, "feed-in", string(a.From))
		}
		if len(a.Shared) > 0 {
			add(theme.Warn, "awl", spaced(a.Shared))
		}
		if a.Hard {
			add(theme.Warn, "fan", "")
		}
		if a.Fresh {
			add(theme.Warn, "fresh", "")
		}
	}
	if back := f.lead.Back; len(back) > 0 {
		const few = 4
		names := joined(back)
		if len(back) > few {
			names = string(back[0]) + "-" + string(back[len(back)-1])
		}
		add(theme.Current, "slack-first", names)
	}
	switch a := &f.lead; {
	case a.Bight:
		add(theme.Current, "bight", "")
	case a.Load:
		add(theme.Current, "tail", "")
	}
	if f.lead.ShortMM > 0 {
		add(theme.Current, "leave-short", fmt.Sprintf("%.0f", f.lead.ShortMM))
	}
	if f.lead.NeedMM > 0 {
		key := "keep"
		if f.lead.Face != "" {
			key = "leave-tail"
		}
		add(theme.Current, key, fmt.Sprintf("%g", f.lead.NeedMM/10))
	}
	for i := range f.acts {
		a := &f.acts[i]
		for _, h := range a.Blocked {
			if !endsIn(a, h) {
				add(theme.Blocked, "scrap-out", string(h))
			}
		}
	}
	return out
}

// scrapped are the holes in which a caution says to leave a scrap, empty for none.
func scrapped(text string) string { return spaced(plan.ScrapsOf(text)) }

// spaced are holes in a row.
func spaced(holes []plan.Hole) string {
	return strings.NewReplacer(",", "", " and ", " ").Replace(plan.Holes(holes))
}

// farAhead is what hands do before they pull, in words where figures have no room for it.
func (m Model) farAhead(width int) (out []string) {
	f := &m.scene.face
	for i := range f.acts {
		a := &f.acts[i]
		for _, text := range a.Warn {
			if scrapped(text) != "" {
				out = append(out, m.caution(theme.Warn, m.put([]string{text}), width)...)
			}
		}
		if a.Verb == act.Feed && f.lead.Verb == act.Pull {
			out = append(out, m.hang("▶ ", theme.Current, theme.Clean(m.table.Line(a)), width)...)
		}
	}
	return out
}

// farLater is what is deferred, in figures.
func (m Model) farLater(width int) []farBand {
	var words []string
	for _, d := range m.scene.draw.Deferred {
		words = append(words, m.table.Short("later", string(d.Strand)+" "+string(d.Hole)))
	}
	if len(words) == 0 || len(words) > 2 {
		return nil
	}
	return wrapBands(farRows(words, theme.Deferred, 4), width)
}

// hands are what follows on the act that leads, in the order of the hands.
func (m Model) hands() (out []string) {
	f := &m.scene.face
	if f.lead.Asks {
		return []string{m.table.Short("is-slack", ""), m.table.Short("is-tight", "")}
	}
	after := act.Lead(f.acts) + 1
	if f.lead.Verb == act.DrawOut && f.lead.To != "" { // its end goes back in at the hole that stands large, and comes out here
		out = append(out, m.table.Short("out-at", string(f.lead.To)))
	}
	for i := range f.acts { // where string comes out its scrap shows it the way
		for _, h := range f.acts[i].Blocked {
			if endsIn(&f.acts[i], h) {
				out = append(out, m.table.Short("scrap-end", string(h)))
			}
		}
	}
	for i := range f.acts[after:] {
		switch a := &f.acts[after+i]; a.Verb {
		case act.ClampOn:
			out = append(out, m.farOn(a))
		case act.ClampOff:
			out = append(out, m.table.Short("clamp-off", string(a.Clamp)))
		case act.CleanJaws, act.CleanBase:
			out = append(out, m.table.Short(string(a.Verb), string(a.Clamp)))
		case act.Ease, act.Straighten, act.Trim:
			out = append(out, m.table.Verb(a.Verb))
		case act.Look: // at what, or it reads on into what follows
			what, _, _ := strings.Cut(strings.NewReplacer(",", ":", " again", "").Replace(a.Text), ":")
			out = append(out, m.table.Verb(a.Verb)+" "+strings.ToUpper(strings.TrimPrefix(what, "the ")))
		}
	}
	for i := range f.acts {
		for _, c := range plan.Clamps() { // a loose one, with a strand that is cut
			if slices.Contains(f.acts[i].Notes, "clamp "+string(c)+" comes away with it") {
				out = append(out, m.table.Short("away", string(c)))
			}
		}
	}
	return out
}

// endsIn says whether string comes out at a hole.
func endsIn(a *act.Act, h plan.Hole) bool {
	return h == a.To && a.Verb != act.Tie && a.Verb != act.Move
}

// farOn is a clamp that goes on, with where that is if it is not where the string is pulled or goes in.
func (m Model) farOn(a *act.Act) string {
	f := &m.scene.face
	words := []string{m.table.Short("clamp-on", string(a.Clamp))}
	switch {
	case a.Behind != "":
		words = append(words, m.table.Short("behind", string(a.Behind)))
	case a.Strand != f.lead.Strand:
		words = append(words, string(a.Strand), string(a.To))
	case string(a.To) != f.at():
		words = append(words, string(a.To))
	}
	if a.Outside {
		words = append(words, m.table.Short("outside", ""))
	}
	if a.Mark {
		words = append(words, m.table.Short("mark", ""))
	}
	return strings.Join(words, " ")
}

// farHands are the ways to set the hands in bands: all of them wide, or the longer words or all of them slim; where the letters have no
// slim form those that move no clamp in ordinary text.
func (m Model) farHands() (out [][]farBand) {
	all := farRows(m.hands(), theme.Text, 3)
	out = append(out, all)
	for _, verbs := range [][]act.Verb{{act.Straighten}, {act.Straighten, act.Look, act.Trim}, {act.Straighten, act.Look, act.Trim, act.Ease}} {
		some := slices.Clone(all)
		for i := range some {
			switch {
			case !slices.ContainsFunc(verbs, func(v act.Verb) bool { return strings.HasPrefix(some[i].text, m.table.Verb(v)) }):
			case m.set.ASCII:
				some[i].rank = plain
			default:
				some[i] = slimmed(some[i : i+1])[0]
			}
		}
		out = append(out, some)
	}
	if !m.set.ASCII {
		out = append(out, slimmed(all))
	}
	return out
}

// handsInWords are the same where there is no room for them in figures.
func (m Model) handsInWords(width int) []string {
	if hands := m.hands(); len(hands) > 0 {
		return m.hang("", theme.Current, m.table.Short("then", strings.Join(hands, " · ")), width)
	}
	return nil
}

// farFoot are the words below the figures: what comes first, what the machine is set to, cautions, what is looked at, what comes next
// and what is deferred; in short without what figures say too.
func (m Model) farFoot(width int, short bool) (out []string) {
	if set := m.setTo(); set != "" {
		out = append(out, m.style(theme.Warn, set+" on this machine"))
	}
	f := &m.scene.face
	lead := act.Lead(f.acts)
	for i := range f.acts {
		a, mark, role := &f.acts[i], "· ", theme.Text
		if i <= lead {
			mark, role = "▶ ", theme.Current
		}
		note := "· "
		if m.farTold(a, i, lead) && !(short && m.farSaid(a)) {
			out, note = append(out, m.hang(mark, role, theme.Clean(m.table.Line(a)), width)...), "  "
		}
		if a.Verb != act.Measure {
			for _, text := range m.put(a.Notes) {
				out = append(out, m.hang(note, theme.Text, theme.Clean(text), width)...)
			}
		}
	}
	for i := range f.acts {
		for _, text := range f.acts[i].Warn {
			if scrapped(text) == "" { // that stands large, or above the figures
				out = append(out, m.caution(theme.Warn, m.put([]string{text}), width)...)
			}
		}
	}
	if short {
		return slices.Concat(out, m.words(width), m.deferred(least, width))
	}
	return slices.Concat(out, m.words(width), m.tail(least, width))
}

// farSaid says whether figures say of an act what must be known.
func (m Model) farSaid(a *act.Act) bool {
	return a.Verb == act.Measure && a.ShortMM == 0 || a.Verb == act.ClampOn || len(a.Blocked) > 0
}

// farTold says whether figures say less of an act than its words: what comes before what leads, what is felt or looked for, scraps that
// come out, slack that is drawn back, tails and knots, and clamps that go on elsewhere than where the string is pulled.
func (m Model) farTold(a *act.Act, i, lead int) bool {
	to := &m.scene.face.lead
	switch {
	case i < lead && (a.Stop || a.Verb == act.Measure), i > lead && (a.Verb == act.Look || a.Cleans()), len(a.Blocked) > 0:
		return true
	case i == lead:
		return a.Verb == act.Press || a.Verb == act.Tie || a.Verb == act.Sleeve || a.Bight || a.Load || a.NeedMM > 0
	}
	return a.Verb == act.ClampOn && (a.Strand != to.Strand || a.To != to.To || a.Outside || a.Behind != "")
}
