package cases

import (
	"fmt"
	"slices"

	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// nearHoles are as many as can be chosen by one figure, with one more for all others.
const nearHoles = 8

// split asks which hole is split: first those at which hands are, then any other.
func (m Moment) split() Question {
	q, seen := Question{Ask: "Which hole?"}, map[int]bool{}
	add := func(most int, text string, holes ...plan.Hole) {
		for _, h := range holes {
			at := m.r.At(h)
			if at > 0 && !seen[at] && !m.toldSplit(h) && len(q.Answers) < most {
				seen[at] = true
				q.Answers = append(q.Answers, m.splits(h, text))
			}
		}
	}
	hand := plan.Step{Ops: m.step()}
	if tie := hand.Tie(); tie != nil {
		add(nearHoles, ", for the knot in hand", tie.Hole)
	}
	for _, o := range []*plan.Op{hand.Pull(), hand.Lay()} {
		if o != nil {
			add(nearHoles, ", "+string(o.Strand)+" in hand", o.Hole, o.To, o.From)
		}
	}
	for _, s := range m.r.Newest() {
		add(nearHoles-3, ", "+string(s.Strand), s.Out, s.In)
	}
	add(nearHoles, ", for a knot", slices.Concat(m.plan.Terms.TieMains, m.plan.Terms.TieCrosses)...)
	q.Answers = append(q.Answers, Answer{Say: "another hole"}.or(m.splitElsewhere))
	return q
}

// splits is a hole that is split.
func (m Moment) splits(h plan.Hole, text string) Answer {
	return Answer{Say: string(h) + text}.orTries(func() Question { return m.mended(h) })
}

// splitElsewhere asks for a hole by its name: end and side, then its number.
func (m Moment) splitElsewhere() Question {
	q := Question{Ask: "At which end, on which side?"}
	for _, end := range []plan.HoleParts{{End: "H", Side: "L"}, {End: "H", Side: "R"}, {End: "T", Side: "L"}, {End: "T", Side: "R"}} {
		say := map[string]string{"H": "head", "T": "throat", "L": "left", "R": "right"}
		q.Answers = append(q.Answers, Answer{Say: say[end.End] + ", " + say[end.Side]}.or(func() Question {
			q := Question{Ask: fmt.Sprintf("Which hole, counted from the middle of the %s?", say[end.End]), Which: true}
			last := 0
			for _, h := range m.holes() {
				if p := h.Parts(); p.End == end.End && p.Side == end.Side {
					last = max(last, p.N)
				}
			}
			for n := 1; n <= last; n++ {
				h := plan.Hole(fmt.Sprintf("%d%s%s", n, end.End, end.Side))
				if m.toldSplit(h) {
					q.Impossible = append(q.Impossible, Impossible{n, string(h), "that is told already"})
					continue
				}
				a := m.splits(h, "")
				a.Number = n
				q.Answers = append(q.Answers, a)
			}
			return q
		}))
	}
	return q
}

// mended asks what is done about a split hole: a sleeve, unless a strand is tight in it, or the knot that was to come there goes elsewhere.
func (m Moment) mended(split plan.Hole) Question {
	q := Question{Ask: fmt.Sprintf("What is done about %s?", split)}
	t := sequence.Trouble{Fault: plan.FaultSplit, Hole: split, Ops: m.ops, Choose: plan.Sleeve}
	tight := slices.DeleteFunc(m.r.Through(m.r.At(split)), func(s plan.Strand) bool { return !m.r.Tight(s) })
	sleeve := known("a sleeve goes into it: a bit of tubing, as long as the wall", t)
	if len(tight) == 0 {
		q.listed(sleeve.Say, []Answer{sleeve}, "")
	} else {
		q.listed(sleeve.Say, nil, "not while "+plan.Names(tight)+" is tight in it")
	}
	for _, h := range sequence.SplitHoles(m.plan, m.done, m.r, split) {
		t := t
		t.Choose = string(h.Hole)
		if next, err := sequence.Recover(m.plan, m.done, t); err == nil { // the rest can be strung with it
			q.listed("", []Answer{known("the knot goes into "+h.String()+displaced(next, m.done)+m.costs(next), t)}, "")
		}
	}
	if len(q.Answers) == 0 {
		q.Hint = "no sleeve goes over a tight strand; should " + plan.Names(tight) + " come out, one is put in first, by a step of its own"
		q.listed("", []Answer{known(plan.Names(tight)+" stays tight in it: looked at now, and when all is strung", t)}, "")
	}
	return q
}

// toldSplit says whether a hole was told to be split and is not mended.
func (m Moment) toldSplit(h plan.Hole) bool { return m.r.Split(h) || m.r.WantsSleeve(h) }
