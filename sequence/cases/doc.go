// Package cases asks what went wrong at the bench, one question after the other, until the case is known that a way back
// can be made for. It knows no screen and makes no way back.
//
// Start with At; Slipped and Wrong are the first questions.
package cases

import (
	"cmp"
	"slices"

	"pullcard/sequence"
	"pullcard/sequence/act"
	"pullcard/sequence/plan"
)

// Question is what is asked, with what can be answered.
type Question struct {
	Ask     string
	Hint    string // what to know before an answer, empty for nothing
	Large   string // what hands that are at the strings must read of it, as large as it goes; empty where the whole question serves
	Answers []Answer
	// Impossible are those of the cases that such a list always has that cannot be now: the others keep their numbers.
	Impossible []Impossible
	Which      bool // it only asks which of some things it was: of one it is not asked
	Felt       bool // hands find the answer out: none is marked before somebody chose one
}

// Impossible is a case that cannot be, and why.
type Impossible struct {
	Number   int
	Say, Why string
}

// Number is the number of an answer: its own in a list that always has the same cases, else its place.
func (q Question) Number(i int) int { return cmp.Or(q.Answers[i].Number, i+1) }

// Last is the highest number of a list; from 1 on to it none is missing.
func (q Question) Last() int { return len(q.Answers) + len(q.Impossible) }

// listed puts a case into a list that always has the same ones: under the next number, as one that can be or cannot.
func (q *Question) listed(say string, answers []Answer, why string) {
	n := q.Last() + 1
	if len(answers) == 0 {
		q.Impossible = append(q.Impossible, Impossible{n, say, why})
		return
	}
	answers[0].Number = n
	q.Answers = append(q.Answers, answers[0])
}

// Only is the one answer of a question that need not be asked.
func (q Question) Only() (Answer, bool) {
	if len(q.Answers) == 1 && q.Which {
		return q.Answers[0], true
	}
	return Answer{}, false
}

// Answer is one of the things that can be answered.
type Answer struct {
	Say    string
	Large  string // the same of what hands find out, in a word or two, as large as it goes; empty where no such words serve
	Number int    // in a list that always has the same cases; 0 elsewhere
	// Next is the question that is asked then, nil where the case is known. Tries says that it tries ways back first, to offer none
	// that there is not: it takes its time and is asked away from a screen.
	Next  func() Question
	Tries bool
	// Trouble is the case. Its Ops say how much of the step in hand is done.
	Trouble sequence.Trouble
	// Again says that the pull in hand is simply done again: nothing else moved. Done says that all of the step in hand is done.
	// Found is what was felt then.
	Again, Done bool
	Found       string
	// Undo says that what went wrong last was told wrong: it is taken back with all that was done since.
	Undo bool
	// Back says that the last step counts as done and is not: it is taken back first, the case is of the moment before it.
	Back bool
	// Retract says that the last step is not done after all: it is taken back. Stays says that nothing is changed.
	Retract, Stays bool
	// Words asks for words before the case is known: who decided it, and why; empty where none are needed.
	Words string
}

// Moment is a moment of the work: so many steps of a plan are done and so many ops of the next, which is the step in hand.
type Moment struct {
	plan *plan.Plan
	done int
	ops  int
	r    *plan.Racket
}

// At is the moment when so many steps of a plan are done and nothing of the next.
func At(p *plan.Plan, done int) Moment { return Of(p, p.After(done), done) }

// Of is the same with a racket that was brought so far already; it is not changed.
func Of(p *plan.Plan, r *plan.Racket, done int) Moment { return Moment{p, done, 0, r} }

// step are the ops of the step in hand, none when all steps are done.
func (m Moment) step() []plan.Op {
	if m.done == len(m.plan.Steps) {
		return nil
	}
	return m.plan.Steps[m.done].Ops
}

// later is each further moment of the step in hand, up to all its ops.
func (m Moment) later() (out []Moment) {
	r := m.r
	for n, ops := m.ops, m.step(); n < len(ops); n++ {
		if r = r.Clone(); r.Apply(&ops[n]) != nil {
			return out
		}
		out = append(out, Moment{m.plan, m.done, n + 1, r})
	}
	return out
}

// known is an answer that tells the case.
func known(say string, t sequence.Trouble) Answer { return Answer{Say: say, Trouble: t} }

// or leads to a question.
func (a Answer) or(next func() Question) Answer {
	a.Next = next
	return a
}

// orTries leads to a question that tries ways back.
func (a Answer) orTries(next func() Question) Answer {
	a.Tries = true
	return a.or(next)
}

// begun is the answer that leads to how far the step in hand is.
const begun = "the step in hand is begun: how far?"

// begun offers to say how much of the step in hand is done, which otherwise counts as not begun.
func (m Moment) begun(can func(Moment) bool, then func(Moment) Question) []Answer {
	q := Question{Ask: "What is done of it?", Hint: "the last thing that is done of the step in hand"}
	if m.ops > 0 {
		return nil
	}
	var acts []act.Act
	if m.done < len(m.plan.Steps) {
		acts = slices.DeleteFunc(act.Of(m.plan, m.done+1, m.r), func(a act.Act) bool { return a.Ops == 0 })
	}
	words := act.Written()
	for _, at := range m.later() {
		if o := &m.step()[at.ops-1]; o.Text == "" && can(at) { // of a note nothing moves
			a := acts[slices.IndexFunc(acts, func(a act.Act) bool { return a.First+a.Ops >= at.ops })]
			if n := at.ops - a.First; n < a.Ops && len(a.Strands) > 1 { // of many cuts some are done
				named := 0
				for _, o := range m.step()[a.First:at.ops] {
					if o.Strand != "" {
						named++
					}
				}
				a.Strands = a.Strands[:named]
			}
			say := "done: " + words.Line(&a)
			q.Answers = slices.DeleteFunc(q.Answers, func(x Answer) bool { return x.Say == say }) // a starting knot is one act with its trimming
			q.Answers = append(q.Answers, Answer{Say: say}.or(func() Question { return then(at) }))
		}
	}
	if len(q.Answers) == 0 {
		return nil
	}
	return []Answer{Answer{Say: begun}.or(func() Question { return q })}
}

// weaves is how many ops of the step in hand are done once its cross is woven, and that cross; 0 where it weaves none.
func (m Moment) weaves() (ops int, s plan.Strand) {
	before := m.r
	for _, at := range m.later() {
		if o := &m.step()[at.ops-1]; o.Strand.IsCross() && !before.Laid(o.Strand) && at.r.Laid(o.Strand) {
			return at.ops, o.Strand
		}
		before = at.r
	}
	return 0, ""
}

// inHand asks, before string comes out, how far the cross is woven that is in hand.
func (m Moment) inHand(a Answer) Answer {
	if a.Next != nil {
		next := a.Next
		a.Next = func() Question {
			q := next()
			q.Answers = slices.Clone(q.Answers)
			for i := range q.Answers {
				q.Answers[i] = m.inHand(q.Answers[i])
			}
			return q
		}
		return a
	}
	ops, s := m.weaves()
	t := a.Trouble
	out := slices.Contains([]plan.Mishap{plan.FaultWeave, plan.FaultHole, plan.FaultSwapped, plan.FaultBreak}, t.Fault)
	if ops == 0 || t.Ops > m.ops || !out || a.Words != "" || t.Choose == plan.Regrip {
		return a
	}
	woven := t
	woven.Ops = ops
	return Answer{Say: a.Say, Number: a.Number}.or(func() Question {
		return Question{Ask: "How far is " + string(s) + ", which is in hand?", Answers: []Answer{
			known("not begun", t),
			Answer{Say: "in part"}.or(func() Question {
				return Question{Ask: "Draw " + string(s) + " back out of the mains first: is it out?", Answers: []Answer{known("it is out", t)}}
			}),
			known("woven to its end", woven),
		}}
	})
}
