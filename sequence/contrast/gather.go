package contrast

import (
	"fmt"
	"slices"

	"pullcard/sequence/plan"
)

// gathered are the facts of a plan.
type gathered struct {
	plan *plan.Plan
	list []fact
	at   map[[2]string]int // where a fact stands in the list
}

// say writes down what is said of a thing, after what was.
func (l *gathered) say(topic Topic, what string, step int, says string) {
	f := fact{topic, what, step, says}
	if i, known := l.at[f.key()]; known {
		l.list[i].says += ", " + says
		return
	}
	l.at[f.key()] = len(l.list)
	l.list = append(l.list, f)
}

// pullOf is the step in which a strand is pulled first.
func (l *gathered) pullOf(strand string) int {
	return l.list[l.at[[2]string{string(Pull), strand}]].step
}

// op writes down what an op is of the way as a whole. What moves no string and no hold, as straightening, is told of where the ways part only.
func (l *gathered) op(step int, o *plan.Op) {
	switch o.Op {
	case plan.Mount:
		l.say(Mount, "supports go on", step, o.Support)
	case plan.Dismount:
		l.say(Mount, "supports come off", step, o.Support)
	case plan.Thread:
		l.say(Feed, string(o.Strand), step, "from the "+l.end(o.Strand, o.From))
	case plan.Weave:
		l.say(Weave, string(o.Strand), step, fmt.Sprintf("from the %s, %s first", l.end(o.Strand, o.From), o.First))
	case plan.Pull:
		says := o.Tension + " at the " + l.end(o.Strand, o.Hole)
		if o.Repull {
			says = "again " + says
		}
		if o.BoostPercent > 0 {
			says += fmt.Sprintf(", boosted %.3g %%", o.BoostPercent)
		}
		if o.Also != "" {
			says += " with " + string(o.Also)
		}
		l.say(Pull, string(o.Strand), step, says)
	case plan.ClampOn:
		says := string(o.Clamp) + " at the " + l.end(o.Strand, o.Hole)
		if o.Outside {
			says += ", outside"
		}
		if o.With != "" {
			says += " with " + string(o.With)
		}
		l.say(Clamp, string(o.Strand), step, says)
	case plan.Tie:
		l.say(Knot, "tail at "+string(o.Out), step, fmt.Sprintf("%s in %s on %s", o.Knot, o.Hole, o.Anchor))
	}
}

// end says at which end of a strand a hole is: head or throat of a main, left or right of a cross; another hole by its name.
func (l *gathered) end(s plan.Strand, h plan.Hole) string {
	t := &l.plan.Terms
	chords, names := t.Mains, [2]string{"head", "throat"}
	if s.IsCross() {
		chords, names = t.Crosses, [2]string{"left", "right"}
	}
	for _, c := range chords {
		if c.Strand == s {
			if i := slices.Index(c.Ends[:], h); i >= 0 {
				return names[i]
			}
		}
	}
	return "hole " + string(h)
}
