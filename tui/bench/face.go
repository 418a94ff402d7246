package bench

import (
	"fmt"
	"slices"
	"strings"

	"pullcard/sequence/act"
	"pullcard/sequence/plan"
)

// face is what the card says of a step.
type face struct {
	strand   string // "M3L"; empty where no string is in hand
	from, to string // the hole it comes in by and the one where it is pulled or tied
	tension  string // "24 kg"
	boost    string // "+10 %", empty without boost
	verb     string // what hands do with it: "FEED", "WEAVE", "PULL", "TIE", "UNDO"; empty where no string is in hand
	weave    string // "over first, 16 mains"
	big      string // what stands in the place of the tension where nothing is pulled: "OVER", "TIE"
	title    string
	moves    []move
	cautions []string
	do       []string
}

// move is where a clamp stands before and after a step.
type move struct {
	clamp         plan.Clamp
	before, after *plan.Grip
}

// moved says whether the clamp does not stay where it is.
func (v move) moved() bool {
	if v.before == nil || v.after == nil {
		return v.before != v.after
	}
	return *v.before != *v.after
}

// faceOf is the card of step n; ops are what hands do in it, before and after is the racket before it and after it.
func faceOf(p *plan.Plan, n int, ops []plan.Op, before, after *plan.Racket) face {
	f, words := face{title: p.Steps[n-1].Title}, act.Written()
	for _, c := range handOrder(ops) {
		f.moves = append(f.moves, move{c, before.Grip(c), after.Grip(c)})
	}
	for i := range ops {
		o := &ops[i]
		switch o.Op {
		case plan.Thread, plan.Weave:
			f.lay(o)
		case plan.Pull:
			f.pull(p, o)
		case plan.Tie:
			f.tie(o)
		case plan.Note:
			f.cautions = append(f.cautions, o.Text)
			continue
		}
		if len(o.Blocked) > 0 {
			f.cautions = append(f.cautions, plan.Holes(o.Blocked)+" "+lie(o.Blocked)+" under a loop: draw the string in by the scrap, never pry on a tight strand")
		}
	}
	for _, a := range act.OfOps(p, n, before, ops) {
		f.do = append(append(f.do, words.Line(&a)), a.Notes...)
	}
	if f.strand == "" {
		f.held(p, ops)
	}
	f.say(ops)
	f.fill(p, n)
	return f
}

// handOrder is the clamps as the step moves them, then those that stay.
func handOrder(ops []plan.Op) []plan.Clamp {
	var order []plan.Clamp
	for i := range ops {
		if o := &ops[i]; (o.Op == plan.ClampOn || o.Op == plan.Unclamp) && !slices.Contains(order, o.Clamp) {
			order = append(order, o.Clamp)
		}
	}
	for _, c := range plan.Clamps() {
		if !slices.Contains(order, c) {
			order = append(order, c)
		}
	}
	return order
}

// say names what hands do. A step back has a word of its own, so that nobody takes it for the next pull.
func (f *face) say(ops []plan.Op) {
	verbs := map[plan.OpKind]string{plan.Thread: "FEED", plan.Weave: "WEAVE", plan.Pull: "PULL", plan.Tie: "TIE",
		plan.Slacken: "UNDO", plan.Unweave: "UNDO", plan.Unthread: "UNDO", plan.Untie: "UNDO", plan.Cut: "CUT"}
	for _, do := range []plan.OpKind{plan.Thread, plan.Weave, plan.Pull, plan.Tie, plan.Unthread, plan.Unweave, plan.Untie, plan.Slacken, plan.Cut} {
		i := slices.IndexFunc(ops, func(o plan.Op) bool { return o.Op == do })
		if i < 0 {
			continue
		}
		f.verb = verbs[do]
		if o := &ops[i]; f.strand == "" && o.Strand != "" {
			f.strand, f.from, f.to = string(o.Strand), string(o.From), string(o.To)
			if do == plan.Untie {
				f.from, f.to = string(o.Hole), string(o.Hole)
			}
		}
	}
	if f.verb == "FEED" || f.verb == "UNDO" || f.verb == "CUT" {
		f.big = f.verb
	}
	if f.verb == "UNDO" || f.verb == "CUT" {
		f.boost = ""
	}
}

func lie(holes []plan.Hole) string {
	if len(holes) == 1 {
		return "lies"
	}
	return "lie"
}

// held names the strand of a step in which nothing is laid or pulled but a clamp is set.
func (f *face) held(p *plan.Plan, ops []plan.Op) {
	for i := range ops {
		if o := &ops[i]; o.Op == plan.ClampOn {
			f.strand, f.from, f.to = string(o.Strand), string(p.Terms.Other(o.Strand, o.Hole)), string(o.Hole)
			f.big = "SET " + string(o.Clamp)
		}
	}
}

func (f *face) lay(o *plan.Op) {
	if f.strand != "" { // two strands are fed together
		f.strand += " " + string(o.Strand)
		f.from, f.to = strings.TrimRight(f.from, "LR"), strings.TrimRight(f.to, "LR")
		return
	}
	f.strand, f.from, f.to = string(o.Strand), string(o.From), string(o.To)
	if o.Op == plan.Weave {
		f.weave = weaveWords(o)
		f.big = strings.ToUpper(string(o.First))
	}
}

func weaveWords(o *plan.Op) string {
	return fmt.Sprintf("%s first, %d mains", o.First, o.Meets)
}

func (f *face) pull(p *plan.Plan, o *plan.Op) {
	f.strand, f.to = string(o.Strand), string(o.Hole)
	f.from = string(p.Terms.Other(o.Strand, o.Hole))
	f.tension, f.big = o.Tension, ""
	if o.BoostPercent > 0 {
		f.boost = fmt.Sprintf("+%.3g %%", o.BoostPercent)
	}
}

func (f *face) tie(o *plan.Op) {
	f.strand, f.from, f.to = string(o.Strand), string(o.Out), string(o.Hole)
	f.big = "TIE"
}

// fill adds what other steps say of the strand: the tension that it will have, how a cross is woven.
func (f *face) fill(p *plan.Plan, n int) {
	strand := plan.Strand(f.strand)
	for i := range p.Steps {
		for j := range p.Steps[i].Ops {
			switch o := &p.Steps[i].Ops[j]; {
			case o.Strand != strand:
			case o.Op == plan.Weave && f.weave == "":
				f.weave = weaveWords(o)
			case o.Op == plan.Pull && f.tension == "":
				f.tension = o.Tension
			}
		}
	}
	if f.tension == "" && f.strand != "" {
		f.tension = p.Terms.PullOf(strand).Ordered
	}
}

// opsOf are the ops of the step on the screen: of a step that is done once more only those that are done again.
func (m Model) opsOf(n int) []plan.Op {
	s := &m.state.Plan().Steps[n-1]
	if m.again() {
		return s.FromPull()
	}
	return s.Ops
}

// nextWords says in a line what comes after step n; before and after is the racket before that and after that.
func nextWords(p *plan.Plan, n int, before, after *plan.Racket) string {
	if n >= len(p.Steps) {
		if p.Cracked() {
			return "the job is closed"
		}
		return "the racket is strung"
	}
	f := faceOf(p, n+1, p.Steps[n].Ops, before, after)
	if f.strand == "" {
		return f.title
	}
	way := fmt.Sprintf(" %s %s → %s", f.strand, f.from, f.to)
	switch {
	case f.verb == "WEAVE":
		return "weave" + way + " " + strings.ToLower(f.big)
	case f.verb == "":
		return strings.ToLower(f.big[:strings.Index(f.big, " ")]) + f.big[strings.Index(f.big, " "):] + way
	case f.verb != "PULL":
		return strings.ToLower(f.verb) + way
	case f.boost != "":
		return "pull" + way + " BOOST " + f.tension
	}
	return "pull" + way
}
