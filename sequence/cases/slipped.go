package cases

import (
	"fmt"
	"slices"
	"strings"

	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// Slipped asks which of gripper and clamps slipped, and how; it always has the same cases under the same numbers. It has no answers where
// nothing holds.
func (m Moment) Slipped() Question {
	q := Question{Ask: "What slipped?"}
	if !m.Holds() {
		return q
	}
	q.listed("the gripper slipped", m.Gripper(), "it holds nothing alone")
	m.clamps(&q)
	var knot []Answer
	if knots := m.knot(); len(knots.Answers) > 0 {
		knot = []Answer{Answer{Say: "a knot slipped"}.or(func() Question { return knots })}
	}
	q.listed("a knot slipped", knot, "none is tied")
	q.listed(begun, m.begun(Moment.Holds, Moment.Slipped), "nothing is held in it")
	return q
}

// Holds says whether anything holds string or will in the step in hand, so that it can slip.
func (m Moment) Holds() bool {
	return !m.r.Cracked() && (slices.ContainsFunc(plan.Clamps(), m.r.Holds) || len(m.gripped()) > 0)
}

// clamps lists which clamp slipped.
func (m Moment) clamps(q *Question) {
	for _, c := range plan.Clamps() {
		var answers []Answer
		if g := m.r.Grip(c); g != nil && m.r.Holds(c) {
			answers = []Answer{Answer{Say: fmt.Sprintf("clamp %s slipped on %s at %s", c, g.Strand, g.Hole)}.or(func() Question { return m.extent(c) })}
		}
		q.listed(fmt.Sprintf("clamp %s slipped", c), answers, "it holds nothing")
	}
}

// many are more strands than are named one by one.
const many = 8

// extent tells the cases of a clamp's slip apart.
func (m Moment) extent(c plan.Clamp) Question {
	q := Question{Ask: fmt.Sprintf("How did clamp %s slip?", c)}
	if held := m.r.Behind(c); len(held) > 0 {
		if q.Hint = "it holds " + plan.Names(held); len(held) > many {
			q.Hint = fmt.Sprintf("it holds %d strands, %s to %s", len(held), held[0], held[len(held)-1])
		}
	}
	for _, e := range []struct {
		extent plan.Extent
		say    string
	}{
		{plan.Crept, "it crept: jaw marks on the string, it still holds"},
		{plan.Base, "its base slid: no jaw mark, the whole clamp moved"},
		{plan.Gone, "it let go: the string is slack"},
	} {
		a := []Answer{m.felt(known(e.say, sequence.Trouble{Fault: plan.FaultClamp, Clamp: c, Extent: e.extent, Ops: m.ops}))}
		if e.extent == plan.Base && (c == plan.S || m.plan.Terms.Flying > 0) {
			a = nil
		}
		q.listed(e.say, a, "it has no base")
	}
	return q
}

// Gripper is the answer that the gripper slipped in the step in hand, none where it pulls nothing there that it alone holds.
func (m Moment) Gripper() []Answer {
	grips := m.gripped()
	if len(grips) == 0 {
		return nil
	}
	g := grips[0].r.Gripper()
	a := Answer{Say: fmt.Sprintf("the gripper slipped on %s at %s", g.Strand, g.Hole)}
	if len(grips) == 1 {
		return []Answer{grips[0].slip(a.Say)}
	}
	return []Answer{a.or(func() Question {
		q := Question{Ask: "When did the gripper slip?"}
		for _, at := range grips {
			q.Answers = append(q.Answers, at.slip(at.when()))
		}
		return q
	})}
}

// Doubtful asks what does not hold after an interruption: the last pull may have been in the gripper only.
func (m Moment) Doubtful() Question {
	q := Question{Ask: "What does not hold?"}
	var gripper []Answer
	switch g := m.r.Gripper(); {
	case g != nil && m.holds():
		gripper = []Answer{m.slip(fmt.Sprintf("the gripper slipped on %s at %s", g.Strand, g.Hole))}
	case m.done > 0 && !m.plan.Steps[m.done-1].Record:
		if gripper = At(m.plan, m.done-1).Gripper(); len(gripper) > 0 {
			gripper[0] = gripper[0].back()
		}
	}
	q.listed("the gripper slipped", gripper, "it held nothing alone")
	m.clamps(&q)
	q.listed(begun, m.begun(func(Moment) bool { return true }, Moment.stillHolds), "nothing moves in it")
	return q
}

// stillHolds goes on from what was done last of the step in hand; where the gripper alone holds something then, it is asked before, first
// what hurts nobody who did not look.
func (m Moment) stillHolds() Question {
	on := known("it holds, and the machine shows its tension: go on from there", sequence.Trouble{Fault: plan.FaultPause, Ops: m.ops})
	on.Done = m.ops == len(m.step())
	g := m.r.Gripper()
	if g == nil || !m.holds() {
		return Question{Ask: "What comes next?", Which: true, Answers: []Answer{on}}
	}
	lost := m.slip("it does not, or nobody can tell: the way back")
	lost.Large, on.Large = "NO, OR UNSURE", "YES, AT ITS TENSION"
	return Question{Ask: fmt.Sprintf("Does the gripper still hold %s at %s?", g.Strand, g.Hole), Large: fmt.Sprintf("%s %s HELD?", g.Strand, g.Hole), Felt: true, Answers: []Answer{lost, on}}
}

// back has an answer, and all that are asked then, take the last step back first.
func (a Answer) back() Answer {
	next := a.Next
	if a.Back = next == nil; a.Back {
		return a
	}
	return a.or(func() Question {
		q := next()
		for i := range q.Answers {
			q.Answers[i] = q.Answers[i].back()
		}
		return q
	})
}

// gripped are the moments of the step in hand at which the gripper alone holds something, of those that differ in what is
// clamped the first.
func (m Moment) gripped() (out []Moment) {
	last := ""
	for _, at := range append([]Moment{m}, m.later()...) {
		stand := fmt.Sprint(at.stand())
		if at.r.Gripper() == nil || !at.holds() {
			last = ""
			continue
		}
		if stand != last {
			out = append(out, at)
		}
		last = stand
	}
	return out
}

// holds says whether string would go slack if the gripper let go.
func (m Moment) holds() bool {
	try := m.r.Clone()
	try.Apply(&plan.Op{Op: plan.Fault, Fault: plan.FaultGripper})
	for i, s := range m.r.Spans() {
		if s.Tight && !try.Spans()[i].Tight {
			return true
		}
	}
	return false
}

// stand is where the clamps stand, in words that can be compared.
func (m Moment) stand() (out []string) {
	for _, c := range plan.Clamps() {
		if g := m.r.Grip(c); g != nil {
			out = append(out, fmt.Sprint(c, *g))
		}
	}
	return out
}

// slip is the case of the gripper: where it took the string in this step and no clamp moved since, it is simply pulled again.
func (m Moment) slip(say string) Answer {
	a := known(say, sequence.Trouble{Fault: plan.FaultGripper, Ops: m.ops})
	a.Again = len(m.moved()) == 0 && m.plan.After(m.done).Gripper() == nil
	return m.felt(a)
}

// felt asks, where what lets go would leave string slack that corners may hold all the same, how far it is: along the crosses which is the
// first that is still tight, on the mains whether the one beyond the centre loop is.
func (m Moment) felt(a Answer) Answer {
	t := a.Trouble
	o := plan.Op{Op: plan.Fault, Fault: t.Fault, Strand: t.Strand, Clamp: t.Clamp, Where: t.Where, Extent: t.Extent, Choose: t.Choose}
	slack, far := m.r.Slackens(&o), m.r.Loop(&o)
	tight := func(say string, s plan.Strand) Answer {
		t := t
		t.With = s
		return known(say, t)
	}
	switch {
	case a.Again || len(slack) == 0:
		return a
	case slack[0].IsCross() && len(slack) > 1:
		return Answer{Say: a.Say}.or(func() Question {
			q := Question{Ask: fmt.Sprintf("Feel from %s on, along the string: which is the first still tight?", slack[0]), Felt: true,
				Large: "FEEL FROM " + string(slack[0]) + " ON: FIRST TIGHT?", Hint: "corners and weave hold it; what is beyond it stays"}
			for _, s := range slack[1:] {
				q.Answers = append(q.Answers, tight(string(s), s))
			}
			q.Answers = append(q.Answers, known(fmt.Sprintf("none: all are slack, to %s", slack[len(slack)-1]), t))
			return q
		})
	case far == "":
		return a
	}
	return Answer{Say: a.Say}.or(func() Question {
		too, held := known("it is slack too", t), tight("it is tight: it is held there, and only what slipped is pulled again", far)
		too.Large, held.Large = isSlack, isTight
		return Question{Ask: fmt.Sprintf("Feel %s, beyond the centre loop: is it slack?", far), Large: "FEEL " + string(far) + ": SLACK?", Felt: true, Answers: []Answer{too, held}}
	})
}

// moved are the clamps that were moved in the step in hand.
func (m Moment) moved() (out []plan.Clamp) {
	for _, o := range m.step()[:m.ops] {
		if o.Clamp != "" && !slices.Contains(out, o.Clamp) {
			out = append(out, o.Clamp)
		}
	}
	return out
}

// when says at what moment of the step the gripper slipped.
func (m Moment) when() string {
	moved := m.moved()
	if len(moved) == 0 {
		return "before a clamp moved"
	}
	words := make([]string, len(moved))
	for i, c := range moved {
		words[i] = fmt.Sprintf("clamp %s came off", c)
		if m.r.Grip(c) != nil {
			words[i] = fmt.Sprintf("clamp %s was set", c)
		}
	}
	return "after " + strings.Join(words, " and ")
}
