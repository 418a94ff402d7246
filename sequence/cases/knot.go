package cases

import (
	"fmt"
	"slices"

	"pullcard/sequence"
	"pullcard/sequence/plan"
)

func (m Moment) knot() Question {
	q := Question{Ask: "Which knot?", Which: true}
	if k, far := m.knotInHand(); k != nil {
		q.Answers = append(q.Answers, Answer{Say: fmt.Sprintf("the knot of %s in %s, in hand", k.Strand, k.Hole)}.or(func() Question { return far }))
	}
	for _, k := range slices.Backward(m.r.Knots()) {
		if !k.Slipped {
			q.Answers = append(q.Answers, Answer{Say: fmt.Sprintf("the knot of %s in %s", k.Strand, k.Hole)}.or(func() Question { return m.opened(k) }))
		}
	}
	return q
}

// knotInHand is the knot that the step in hand ties, and the question how far that is; nil where it ties none.
func (m Moment) knotInHand() (in *plan.Knot, far Question) {
	far = Question{Ask: "How far is its knot?", Which: true}
	last := ""
	for _, at := range m.later() {
		k := &plan.Knot{}
		if knots := at.r.Knots(); len(knots) <= len(m.r.Knots()) || !at.r.Laid(knots[len(knots)-1].Strand) {
			continue // a starting knot holds nothing yet
		} else {
			k = &knots[len(knots)-1]
		}
		say := "it is tied, and the clamp still on"
		switch spot := (plan.Spot{Strand: k.Strand, Hole: k.Out}); {
		case k.Trimmed:
			say = "its tail is trimmed"
		case !at.clamped(spot):
			say = "the clamp came off, its tail is not trimmed"
		}
		if in = k; say != last {
			far.Answers = append(far.Answers, Answer{Say: say}.or(func() Question { return at.opened(*k) }))
		}
		last = say
	}
	return in, far
}

// clamped says whether a clamp holds a point of the string.
func (m Moment) clamped(at plan.Spot) bool {
	return slices.ContainsFunc(plan.Clamps(), func(c plan.Clamp) bool {
		g := m.r.Grip(c)
		return g != nil && m.r.Holds(c) && g.On(at.Strand) && (m.r.At(g.Hole) == m.r.At(at.Hole) || m.r.Beside(*g) == at)
	})
}

// opened tells the cases of a knot that slipped apart.
func (m Moment) opened(k plan.Knot) Question {
	t := sequence.Trouble{Fault: plan.FaultKnot, Strand: k.Strand, Hole: k.Hole, Ops: m.ops}
	keep := t
	keep.Extent, keep.Choose = plan.Crept, plan.Keep
	anew := "it came open, or is to be tied again: its tail is pulled again"
	if m.clamped(plan.Spot{Strand: k.Strand, Hole: k.Out}) {
		anew = "it is to be tied again: the clamp holds"
	} else if k.Trimmed {
		anew = "it came open: its tail is trimmed, too short to be tied again; " + m.anewAfter(k)
	}
	hint := fmt.Sprintf("%s loses most of what it had", k.Strand)
	if m.clamped(plan.Spot{Strand: k.Strand, Hole: k.Out}) {
		hint = "the clamp holds " + string(k.Strand) + ": nothing is lost"
	} else if beside := m.r.Before(k.Strand).Strand; beside != "" {
		hint += fmt.Sprintf(", %s some, beyond it corners and weave hold", beside)
	}
	return Question{Ask: fmt.Sprintf("How did the knot in %s slip?", k.Hole), Hint: hint, Answers: []Answer{
		known(anew, t),
		{Say: "it gave a little and holds now: keep it; who decided it is kept with it", Trouble: keep, Words: "who decided it, and why?"},
	}}
}

// anewAfter says what comes out where a knot can be tied no more.
func (m Moment) anewAfter(k plan.Knot) string {
	woven := slices.ContainsFunc(m.r.Spans(), func(s plan.Span) bool { return s.Laid() && cross(&s) })
	switch {
	case m.plan.Terms.Pieces == 1 && woven:
		return "mains and crosses are one piece: all of it is cut out and strung anew"
	case m.plan.Terms.Pieces == 1:
		return "all mains are cut out and strung anew"
	case k.Strand.IsCross():
		return "the crosses are cut out and strung anew, the mains stay"
	case woven:
		return "mains and crosses are cut out and strung anew"
	}
	return "the mains are cut out and strung anew"
}
