package bench

import (
	"fmt"
	"slices"
	"strings"

	"pullcard/sequence/act"
	"pullcard/sequence/plan"
)

// face is what the card says of a step: its acts, and what of the one that leads is set in figures.
type face struct {
	title    string
	acts     []act.Act
	lead     act.Act
	led      bool   // an act leads; otherwise there is only to be looked
	strand   string // "M3L", empty where no string is in hand; "M1L M1R" where two are fed together
	from, to string // the way that the string moves, or the two ends of a strand on which a clamp moves
	moves    bool   // the string moves that way
	tension  string // "24 kg", empty where nothing is pulled
	boost    string // "+10 %", empty without boost
	verb     string // "FEED", "PULL", …; empty where no string is in hand
	weave    string // "over first, 16 mains", of a cross that is pulled too
	word     string // what stands in the place of the tension where nothing is pulled: "OVER", "TIE", "OFF A"
	stay     []string
	stands   []string // the same where room is short, without the strand that a flying clamp grips beside its own
	other    bool     // over and under as seen from the other side
}

// faceOf is the card of a step's acts, as seen from the other side where the picture shows that; after is the racket after it, table puts
// the acts into words.
func faceOf(p *plan.Plan, n int, acts []act.Act, after *plan.Racket, table *act.Table, other bool) face {
	if other {
		acts = act.OtherSide(acts)
	}
	f := face{title: p.Steps[n-1].Title, acts: acts, other: other}
	if i := act.Lead(acts); i >= 0 {
		f.led, f.lead = true, acts[i]
		f.take(p, table)
	}
	if s := &p.Steps[n-1]; !f.led && s.Base == 0 && !s.Record && len(acts) > 0 { // what is looked at, not what the way back is about
		switch what, _, ok := strings.Cut(acts[0].Text, ":"); {
		case acts[0].Cleans():
			f.title = table.Short(string(acts[0].Verb), string(acts[0].Clamp))
		case ok:
			f.title = table.Short("look-at", what)
		}
	}
	f.stays(after, table)
	return f
}

// take reads the figures off the act that leads.
func (f *face) take(p *plan.Plan, table *act.Table) {
	a := &f.lead
	f.verb, f.strand, f.from, f.to = table.Verb(a.Verb), string(a.Strand), string(a.From), string(a.To)
	f.tension, f.word = a.Tension, word(a, table)
	switch a.Verb {
	case act.ClampOn, act.ClampOff, act.Ease, act.Straighten:
	case act.Tie:
		f.moves = !a.Start
	case act.Sleeve:
		f.strand, f.to = f.to, ""
	case act.Press: // beside its hole, or anywhere
	case act.Cut, act.WalkSlack, act.Leave, act.Trim:
		if ends := p.Terms.Ends(a.Strand); f.from == "" {
			f.from, f.to = string(ends[0]), string(ends[1])
		}
	default:
		f.moves = f.from != f.to
	}
	if len(a.Strands) > 0 { // each with ends of its own
		f.strand, f.from, f.to = plan.Names(a.Strands), "", ""
	}
	if a.Boost > 0 {
		f.boost = fmt.Sprintf("+%.0f %%", a.Boost)
	}
	if a.Verb == act.Feed { // two strands are fed together
		for i := range f.acts {
			if b := &f.acts[i]; b.Verb == act.Feed && b.Strand != a.Strand {
				f.strand += " " + string(b.Strand)
				f.from, f.to = strings.TrimRight(f.from, "LR"), strings.TrimRight(f.to, "LR")
			}
		}
	}
	if a.Verb == act.Pull || a.Face != "" {
		f.weave = woven(p, a, f.other)
	}
}

// at is the hole to which hands go: where string goes in, where what goes slack or comes out is, otherwise where it comes out.
func (f *face) at() string {
	if f.begins() {
		return f.from
	}
	return f.to
}

// begins says whether hands begin at the hole from which the string moves.
func (f *face) begins() bool {
	switch f.lead.Verb {
	case act.Feed, act.Weave, act.DoubleBack, act.Release, act.DrawOut, act.Untie, act.Move:
		return true
	}
	return false
}

// word is what stands in large letters where nothing is pulled.
func word(a *act.Act, table *act.Table) string {
	switch a.Verb {
	case act.Pull, act.Repull, act.TakeLoad:
		return ""
	case act.Weave, act.DoubleBack:
		return strings.ToUpper(string(a.Face))
	case act.Press:
		if a.Asks {
			return table.Short("slack", "")
		}
	case act.ClampOn:
		return table.Short("on", string(a.Clamp))
	case act.ClampOff:
		return table.Short("off", string(a.Clamp))
	}
	return table.Verb(a.Verb)
}

// woven is how the cross in hand is woven, which its pull says again.
func woven(p *plan.Plan, a *act.Act, other bool) string {
	first, meets := a.Face, a.Meets
	for i := 0; i < len(p.Steps) && first == ""; i++ {
		if o := p.Steps[i].Lay(); o != nil && o.Strand == a.Strand {
			if first, meets = o.First, o.Meets; other {
				first = first.Other()
			}
		}
	}
	if first == "" {
		return ""
	}
	return fmt.Sprintf("%s first, %d mains", first, meets)
}

// stays says of each clamp that the step does not move where it stands, and which are free.
func (f *face) stays(after *plan.Racket, table *act.Table) {
	var idle []string
	add := func(text, short string) { f.stay, f.stands = append(f.stay, text), append(f.stands, short) }
	pulls := slices.ContainsFunc(f.acts, func(a act.Act) bool { return a.Pulls() })
	if g := after.Gripper(); g != nil && !pulls { // it has pulled before
		text := fmt.Sprintf("gripper on %s at %s", g.Strand, g.Hole)
		add(text, text)
	}
	for _, c := range plan.Clamps() {
		moved := slices.ContainsFunc(f.acts, func(a act.Act) bool { return a.Clamp == c && !a.Cleans() })
		switch g := after.Grip(c); {
		case moved:
		case g == nil:
			idle = append(idle, string(c))
		default:
			one := *g
			one.With = ""
			add("stays "+table.Stays(c, *g, after), "stays "+table.Stays(c, one, after))
		}
	}
	if text := "free " + strings.Join(idle, " "); len(idle) > 0 {
		add(text, text)
	}
}

// actsOf are the acts of the step on the screen: of a step that is done once more only those that are done again.
func (m Model) actsOf(n int, before *plan.Racket) []act.Act {
	acts := m.planned(n, before)
	if lead := act.Lead(acts); lead >= 0 && acts[lead].Pulls() && m.again() {
		acts[lead].Fresh = true
	}
	act.AddLengths(acts, m.job.Cuts)
	return acts
}

func (m Model) planned(n int, before *plan.Racket) []act.Act {
	p := m.state.Plan()
	if m.again() {
		ops := p.Steps[n-1].FromPull()
		r := before.Clone()
		_ = r.ApplyAll(p.Steps[n-1].Ops[:len(p.Steps[n-1].Ops)-len(ops)])
		return act.OfOps(p, n, r, ops)
	}
	return act.Of(p, n, before)
}

// first are what is done before what leads, as large: string is cut to its length, mains are looked at before crosses; none where hands begin
// with what leads.
func (f *face) first() (out []act.Act) {
	for i := range f.acts {
		if a := &f.acts[i]; !f.led || !ahead(*a) || a.Verb == f.lead.Verb {
			break
		}
		out = append(out, f.acts[i])
	}
	return out
}

// ahead says whether an act is done before what leads, and is as much.
func ahead(a act.Act) bool { return a.Stop || a.Verb == act.Measure || a.Verb == act.Sleeve }

// nextWords says in a line what comes after step n; before and after is the racket before that and after that. Briefly it names only the
// hole to which hands go.
func nextWords(p *plan.Plan, n int, before, after *plan.Racket, table *act.Table, brief, other bool) string {
	if n >= len(p.Steps) {
		if p.Cracked() {
			return "the job is closed"
		}
		return "the racket is strung"
	}
	acts := act.Of(p, n+1, before)
	f := faceOf(p, n+1, slices.DeleteFunc(acts, func(a act.Act) bool { return a.Stop || a.Verb == act.Measure }), after, table, other)
	switch {
	case !f.led && p.Steps[n].Base == 0 && len(acts) > 0:
		return table.Line(&acts[0])
	case !f.led:
		return f.title
	}
	out := f.verb
	switch f.lead.Verb {
	case act.ClampOn, act.ClampOff:
		return f.verb + " " + string(f.lead.Clamp) + ", " + f.strand + " at " + f.to
	}
	switch out += " " + f.strand; {
	case !f.moves:
	case brief:
		out += " " + f.at()
	default:
		out += " " + f.from + " → " + f.to
	}
	switch {
	case f.boost != "":
		out += " BOOST " + f.tension
	case f.lead.Face != "":
		out += " " + string(f.lead.Face)
	}
	return out
}
