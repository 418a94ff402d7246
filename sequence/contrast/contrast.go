// Package contrast tells two ways of stringing one racket apart, for hands that know one of them: where they part first, which pulls,
// order, weave, clamps, knots and lengths are otherwise.
//
// Call Of; Contrast.Tell puts it into words.
package contrast

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pullcard/sequence/act"
	"pullcard/sequence/plan"
)

// Way is a plan and the lengths to cut for it, which may be nil.
type Way struct {
	Plan *plan.Plan
	Cuts map[plan.Piece]act.Length
}

// Contrast is how another way differs from one's own. Both plans are of one frame.
type Contrast struct {
	Own   string `json:"own"`   // the technique's name
	Other string `json:"other"` // likewise
	// First is where hands do another thing for the first time, nil where they never do.
	First       *Parting     `json:"first,omitempty"`
	Differences []Difference `json:"differences"`
}

// Parting is the first step of each way in which hands do what they do not in the other, and what that is, act by act.
type Parting struct {
	Same      int      `json:"same_acts"` // how many acts before are the same
	Own       int      `json:"own_step"`
	Other     int      `json:"other_step"`
	OwnActs   []string `json:"own_acts"`
	OtherActs []string `json:"other_acts"`
}

// Topic is what a difference is about.
type Topic string

// The topics.
const (
	Mount  Topic = "mount"
	Feed   Topic = "feed"
	Order  Topic = "order"
	Pull   Topic = "pull"
	Weave  Topic = "weave"
	Clamp  Topic = "clamp"
	Knot   Topic = "knot"
	Length Topic = "length"
	Count  Topic = "count"
)

// Difference is one thing that is otherwise.
type Difference struct {
	Topic Topic  `json:"topic"`
	What  string `json:"what"` // a strand, a tail, a piece of string
	Step  int    `json:"step"` // of either way, in which it shows first
	Own   string `json:"own"`  // empty for what only the other way has
	Other string `json:"other"`
}

// Of holds another way against one's own. What differs comes in the order in which hands would notice it.
func Of(own, other Way) Contrast {
	c := Contrast{Own: own.Plan.Technique, Other: other.Plan.Technique, First: parting(own.Plan, other.Plan), Differences: []Difference{}}
	mine, theirs := facts(own), facts(other)
	at := map[[2]string]fact{}
	for _, f := range theirs {
		at[f.key()] = f
	}
	for _, f := range mine {
		o, there := at[f.key()]
		delete(at, f.key())
		if !there || o.says != f.says {
			c.add(f, o)
		}
	}
	for _, o := range theirs {
		if _, left := at[o.key()]; left {
			c.add(fact{}, o)
		}
	}
	slices.SortStableFunc(c.Differences, func(a, b Difference) int { return a.Step - b.Step })
	return c
}

func (c *Contrast) add(f, o fact) {
	step := min(cmp.Or(f.step, o.step), cmp.Or(o.step, f.step))
	c.Differences = append(c.Differences, Difference{cmp.Or(f.topic, o.topic), cmp.Or(f.what, o.what), step, f.says, o.says})
}

// parting is the first act that is another one.
func parting(own, other *plan.Plan) *Parting {
	mine, theirs := hands(own), hands(other)
	for i := range max(len(mine), len(theirs)) {
		if i < len(mine) && i < len(theirs) && mine[i].says == theirs[i].says {
			continue
		}
		p := &Parting{Same: i}
		p.Own, p.OwnActs = upTo(mine, i)
		p.Other, p.OtherActs = upTo(theirs, i)
		return p
	}
	return nil
}

// upTo are the acts of a step from one of them on.
func upTo(list []fact, i int) (step int, says []string) {
	for ; i < len(list) && (step == 0 || list[i].step == step); i++ {
		step, says = list[i].step, append(says, list[i].says)
	}
	return step, says
}

// hands are the acts of a plan in words, one after the other.
func hands(p *plan.Plan) (list []fact) {
	at, words := plan.NewRacket(&p.Terms), act.Written()
	for i := range p.Steps {
		s := &p.Steps[i]
		for _, a := range act.Of(p, s.N, at) {
			list = append(list, fact{step: s.N, says: words.Line(&a)})
		}
		_ = at.ApplyAll(s.Ops) // a plan that is proven goes through
	}
	return list
}

// fact is what one way has of a thing.
type fact struct {
	topic Topic
	what  string
	step  int
	says  string
}

func (f fact) key() [2]string { return [2]string{string(f.topic), f.what} }

// facts are what a way has, each thing once; what is done to one thing again follows after a comma.
func facts(w Way) []fact {
	l := &gathered{plan: w.Plan, at: map[[2]string]int{}}
	var mains, crosses []string
	woven, ahead := 0, 0
	for i := range w.Plan.Steps {
		s := &w.Plan.Steps[i]
		for k := range s.Ops {
			o := &s.Ops[k]
			l.op(s.N, o)
			switch {
			case o.Op == plan.Weave:
				woven++
			case o.Op != plan.Pull || o.Repull:
			case o.Strand.IsMain():
				mains = append(mains, string(o.Strand))
			default:
				crosses = append(crosses, string(o.Strand))
				ahead = max(ahead, woven-len(crosses))
			}
		}
	}
	if len(mains) > 0 {
		l.say(Order, "mains", l.pullOf(mains[0]), strings.Join(mains, " "))
	}
	if len(crosses) > 0 {
		l.say(Order, "crosses", l.pullOf(crosses[0]), strings.Join(crosses, " "))
		l.say(Weave, "most crosses woven ahead of the pull", l.pullOf(crosses[0]), fmt.Sprint(ahead))
	}
	for _, piece := range []plan.Piece{plan.PieceMains, plan.PieceCrosses, plan.PieceWhole} {
		if cut, known := w.Cuts[piece]; known {
			l.say(Length, string(piece), 0, fmt.Sprintf("%.0f mm", cut.CutMM))
			if cut.ShortMM > 0 {
				l.say(Length, string(piece)+", short side", 0, fmt.Sprintf("%.0f mm", cut.ShortMM))
			}
		}
	}
	l.say(Count, "steps", 0, fmt.Sprint(len(w.Plan.Steps)))
	l.say(Count, "pulls", 0, fmt.Sprint(w.Plan.Totals.Pulls))
	l.say(Count, "knots", 0, fmt.Sprint(w.Plan.Totals.Knots))
	return l.list
}
