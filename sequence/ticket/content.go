package ticket

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// content is what every form of the ticket says, in the order in which it says it. All of it is safe.
type content struct {
	player, racket string
	date, job      string // job is empty without a number
	name           string // by which the job is found when it is typed or scanned, likewise
	strung         [2]strung
	rows           []row
	cautions       []string
	note           string // about the print itself
}

// strung is one of the two kinds of strand.
type strung struct {
	name, tension string // as ordered
	yarn          string // empty when nothing is known of the string
}

// row is one fact under its name.
type row struct{ name, value string }

func (t *Ticket) content() content {
	terms := &t.Plan.Terms
	c := content{player: safe(t.Player), racket: safe(t.Racket), date: day(t.at)}
	if c.job, c.name = t.Code, t.Code; t.Code == "" && t.Number > 0 {
		c.job, c.name = fmt.Sprintf("job%c%d", glue, t.Number), fmt.Sprintf("job%d", t.Number)
	}
	c.strung = [2]strung{
		{"mains", bind(terms.PullMains.Ordered), yarn(t.Mains)},
		{"crosses", bind(terms.PullCrosses.Ordered), yarn(t.Crosses)},
	}
	for _, r := range []row{
		{"set to", t.setTo()},
		{"by strand", t.byStrand()},
		{"boost", t.boosts()},
		{"frame", t.frame()},
		{"technique", safe(t.Plan.Technique)},
		{"plan", fmt.Sprintf("%s, %d pulls, %d knots", safe(t.Plan.Plan), t.Plan.Totals.Pulls, t.Plan.Totals.Knots)},
		{"machine", machine(t.Machine)},
		{"stringer", safe(t.Stringer)},
		{"reading", t.Reading.words()},
		{"because", safe(t.Because)},
		{"price", safe(t.Price)},
		{"restring", t.restringWords()},
	} {
		if r.value != "" {
			c.rows = append(c.rows, r)
		}
	}
	c.cautions = t.cautions()
	return c
}

// day writes a date so that no two countries read it differently.
func day(at time.Time) string { return bind(at.Format("2 January 2006")) }

// bind keeps a quantity and its unit on one line.
func bind(text string) string { return strings.ReplaceAll(safe(text), " ", string(glue)) }

func yarn(s sequence.String) string {
	var parts []string
	add := func(text string) {
		if text != "" {
			parts = append(parts, text)
		}
	}
	add(safe(s.Name))
	if s.DiameterMM > 0 {
		add(fmt.Sprintf("%.2f%cmm", s.DiameterMM, glue))
	}
	add(safe(string(s.Material)))
	if s.StretchPercent > 0 {
		add(fmt.Sprintf("stretched by %g%c%%", s.StretchPercent, glue))
	}
	return strings.Join(parts, ", ")
}

// byStrand says from where to where the tensions go where not every strand was pulled like its kind; boosts stand apart.
func (t *Ticket) byStrand() string {
	terms := &t.Plan.Terms
	if len(terms.Pulls) == 0 {
		return ""
	}
	kind := func(name string, chords []plan.Chord) string {
		first := terms.PullOf(chords[0].Strand)
		least, most := first, first
		for _, c := range chords {
			switch p := terms.PullOf(c.Strand); {
			case p.Newtons < least.Newtons:
				least = p
			case p.Newtons > most.Newtons:
				most = p
			}
		}
		if least == most {
			return name + " " + bind(most.Ordered)
		}
		return fmt.Sprintf("%s %s to %s", name, bind(least.Ordered), bind(most.Ordered))
	}
	return kind("mains", terms.Mains) + ", " + kind("crosses", terms.Crosses) + "; each strand's number stands in the steps"
}

// setTo is what the machine was set to, where that can differ from what was ordered.
func (t *Ticket) setTo() string {
	terms := &t.Plan.Terms
	mains, crosses := t.set(terms.PullMains.Ordered), t.set(terms.PullCrosses.Ordered)
	if mains == bind(terms.PullMains.Ordered) && crosses == bind(terms.PullCrosses.Ordered) {
		return "as ordered"
	}
	return fmt.Sprintf("mains %s, crosses %s", mains, crosses)
}

// set is what the machine was set to for a tension. Plans hold tensions that can be read.
func (t *Ticket) set(ordered string) string {
	v, err := measure.ParseTension(ordered)
	switch {
	case err != nil:
		return bind(ordered)
	case !t.Machine.Corrected && !t.Offset.IsZero():
		return bind(v.Plus(t.Offset).Short())
	case !t.Machine.Corrected:
		return bind(ordered)
	}
	return bind(t.Machine.Setting(v).Set.Short())
}

// boosts are the strands that were pulled harder than ordered, by what the machine was set to for them.
func (t *Ticket) boosts() string {
	type group struct {
		tension string
		percent float64
		strands []string
	}
	var groups []*group
	for i := range t.followed.Steps {
		o := t.followed.Steps[i].Pull()
		if o == nil || o.BoostPercent == 0 {
			continue
		}
		at := slices.IndexFunc(groups, func(g *group) bool { return g.tension == o.Tension && g.percent == o.BoostPercent })
		if at < 0 {
			at, groups = len(groups), append(groups, &group{o.Tension, o.BoostPercent, nil})
		}
		if g := groups[at]; !slices.Contains(g.strands, string(o.Strand)) {
			g.strands = append(g.strands, string(o.Strand))
		}
	}
	var out []string
	for _, g := range groups {
		out = append(out, fmt.Sprintf("%s (+%.3g%c%%): %s", t.set(g.tension), g.percent, glue, strings.Join(g.strands, ", ")))
	}
	return strings.Join(out, "; ")
}

func (t *Ticket) frame() string {
	terms := &t.Plan.Terms
	s := fmt.Sprintf("%s, %s %d%c×%c%d", safe(t.Plan.Frame), safe(terms.Sport), len(terms.Mains), glue, glue, len(terms.Crosses))
	if terms.PrintedRange != "" {
		s += ", printed range " + printedRange(terms)
	}
	return s
}

func printedRange(t *plan.Terms) string {
	lo, hi, _ := strings.Cut(t.PrintedRange, " to ")
	return bind(lo) + " to " + bind(hi)
}

func machine(m sequence.Machine) string {
	kind := safe(string(m.Kind))
	if m.Name == "" {
		return kind
	}
	if kind != "" {
		kind = ", " + kind
	}
	return m.Name + kind
}

func (r *Reading) words() string {
	if r == nil {
		return ""
	}
	s := strconv.FormatFloat(r.Value, 'f', -1, 64) + string(glue) + safe(r.Unit)
	if r.Celsius != nil {
		s += fmt.Sprintf(", at %.3g%c°C", *r.Celsius, glue)
	}
	if m := r.After.Minutes(); m > 0 {
		s += fmt.Sprintf(", %.0f%cmin after the job", m, glue)
	}
	return s
}

func (t *Ticket) restringWords() string {
	date, ok := t.Restring()
	if !ok {
		return ""
	}
	times := fmt.Sprintf("%.3g times", t.PlaysAWeek)
	switch t.PlaysAWeek {
	case 1:
		times = "once"
	case 2:
		times = "twice"
	}
	return fmt.Sprintf("about %s, if played %s a week", day(date), times)
}
