package cases

import (
	"fmt"
	"slices"
	"strings"

	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// Slipped asks which of gripper and clamps slipped, and how. It has no answers where nothing holds.
func (m Moment) Slipped() Question {
	q := m.Clamps()
	q.Answers = slices.Concat(m.Gripper(), q.Answers)
	if knots := m.knot(); len(q.Answers) > 0 {
		if len(knots.Answers) > 0 {
			q.Answers = append(q.Answers, Answer{Say: "a knot slipped"}.or(func() Question { return knots }).numbered(len(plan.Clamps())+3))
		}
		for _, a := range m.begun(Moment.Holds, Moment.Slipped) {
			q.Answers = append(q.Answers, a.numbered(len(plan.Clamps())+2))
		}
	}
	return q
}

// Holds says whether anything holds string or will in the step in hand, so that it can slip.
func (m Moment) Holds() bool {
	return !m.r.Cracked() && (len(m.Clamps().Answers) > 0 || len(m.gripped()) > 0)
}

// Clamps asks which clamp slipped.
func (m Moment) Clamps() Question {
	q := Question{Ask: "What slipped?"}
	for i, c := range plan.Clamps() {
		if g := m.r.Grip(c); g != nil && m.r.Holds(c) {
			q.Answers = append(q.Answers, Answer{Say: fmt.Sprintf("clamp %s slipped on %s at %s", c, g.Strand, g.Hole)}.or(func() Question { return m.extent(c) }).numbered(i+2))
		}
	}
	return q
}

// extent tells the cases of a clamp's slip apart.
func (m Moment) extent(c plan.Clamp) Question {
	q := Question{Ask: fmt.Sprintf("How did clamp %s slip?", c)}
	if held := m.r.Behind(c); len(held) > 0 {
		q.Hint = "it holds " + plan.Names(held)
	}
	for _, e := range []struct {
		extent plan.Extent
		say    string
	}{
		{plan.Crept, "it crept: jaw marks on the string, it still holds"},
		{plan.Base, "its base slid: no jaw mark, the whole clamp moved"},
		{plan.Gone, "it let go: the string is slack"},
	} {
		q.Answers = append(q.Answers, known(e.say, sequence.Trouble{Fault: plan.FaultClamp, Clamp: c, Extent: e.extent, Ops: m.ops}))
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
		return []Answer{grips[0].slip(a.Say).numbered(1)}
	}
	return []Answer{a.numbered(1).or(func() Question {
		q := Question{Ask: "When did the gripper slip?"}
		for _, at := range grips {
			q.Answers = append(q.Answers, at.slip(at.when()))
		}
		return q
	})}
}

// Doubtful asks what does not hold after an interruption: the last pull may have been in the gripper only.
func (m Moment) Doubtful() Question {
	q := m.Clamps()
	q.Ask = "What does not hold?"
	hung := func(at Moment) bool { return at.r.Gripper() != nil && at.holds() }
	for _, a := range m.begun(hung, func(at Moment) Question {
		return Question{Ask: "What does not hold?", Which: true, Answers: []Answer{at.slip("what was in the gripper")}}
	}) {
		q.Answers = append(q.Answers, a.numbered(len(plan.Clamps())+2))
	}
	if m.done == 0 || m.plan.Steps[m.done-1].Record {
		return q
	}
	for _, a := range At(m.plan, m.done-1).Gripper() {
		q.Answers = slices.Concat([]Answer{a.back()}, q.Answers)
	}
	return q
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
	return a
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
