package cases

import (
	"fmt"
	"slices"

	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// broke asks where the string broke, then which strand; the places always have the same numbers.
func (m Moment) broke() Question {
	q := Question{Ask: "Where did it break?"}
	if len(m.strands(laid)) == 0 {
		return q
	}
	for _, w := range []struct {
		at  plan.Place
		say string
		of  []strand
		why string
	}{
		{plan.AtGripper, "at the gripper", m.inGripper(), "it pulls nothing"},
		{plan.AtJaw, "at the jaw of a clamp", m.inJaws(), "none stands"},
		{plan.AtHole, "in a hole", m.strands(laid), ""},
		{plan.InBed, "in the bed", m.strands(laid), ""},
	} {
		var answers []Answer
		if len(w.of) > 0 {
			answers = []Answer{Answer{Say: w.say}.or(func() Question {
				q := Question{Ask: "Which strand?", Which: true}
				for _, s := range m.pulledFirst(w.of) {
					switch w.at {
					case plan.AtHole:
						q.Answers = append(q.Answers, Answer{Say: s.say(m)}.or(func() Question { return s.howFar(m, strand.inHole) }))
					case plan.InBed:
						q.Answers = append(q.Answers, Answer{Say: s.say(m)}.or(func() Question { return s.howFar(m, strand.inBed) }))
					default:
						t := s.trouble(plan.FaultBreak)
						t.Where = w.at
						q.Answers = append(q.Answers, s.left(m, t))
					}
				}
				return q
			})}
		}
		q.listed(w.say, answers, w.why)
	}
	return q
}

// inHole asks in which of its two holes a strand broke. Beside a clamp that stands there inside the hoop it is what lies outside that
// lets go: the next strand or, where there is none, a tail that is too short from then on.
func (s strand) inHole() Question {
	q := Question{Ask: fmt.Sprintf("In which of its holes did %s break?", s.Strand)}
	for _, h := range []plan.Hole{s.In, s.Out} {
		t, say := s.breaks(plan.AtHole), string(h)
		t.Text = fmt.Sprintf("%s broke in %s", s.Strand, h)
		if at := (plan.Spot{Strand: s.Strand, Hole: h}); s.at.r.KeptInside(at) {
			say += ", outside the clamp that holds " + string(s.Strand) + " there"
			if next := s.at.r.Across(at).Strand; next != "" {
				t.Strand = next
			} else {
				t.Fault, t.Where = plan.FaultShort, ""
			}
		}
		q.Answers = append(q.Answers, known(say, t))
	}
	return q
}

// inBed is the case of a strand that broke in the bed.
func (s strand) inBed() Question {
	return Question{Ask: fmt.Sprintf("%s broke in the bed", s.Strand), Which: true, Answers: []Answer{known(string(s.Strand)+": "+s.newPiece(), s.breaks(plan.InBed))}}
}

// breaks is the case of a strand whose string is lost.
func (s strand) breaks(at plan.Place) sequence.Trouble {
	t := s.trouble(plan.FaultBreak)
	t.Where, t.Choose = at, plan.New
	return t
}

// pulledFirst has the strand that the step in hand pulls before the others, for that broke most likely.
func (m Moment) pulledFirst(list []strand) []strand {
	pull := (&plan.Step{Ops: m.step()}).Pull()
	rest := func(s strand) int {
		if pull != nil && s.Strand == pull.Strand {
			return 0
		}
		return 1
	}
	out := slices.Clone(list)
	slices.SortStableFunc(out, func(a, b strand) int { return rest(a) - rest(b) })
	return out
}

// inGripper is what the gripper pulls in the step in hand, once for each way in which the clamps stand meanwhile.
func (m Moment) inGripper() (out []strand) {
	for _, at := range m.gripped() {
		out = append(out, strand{*at.r.Span(at.r.Gripper().Strand), at})
	}
	return out
}

// inJaws are the strands in clamps, those of the step in hand too.
func (m Moment) inJaws() (out []strand) {
	for _, at := range append([]Moment{m}, m.later()...) {
		for _, c := range plan.Clamps() {
			g := at.r.Grip(c)
			if g == nil || g.Outside || slices.ContainsFunc(out, func(x strand) bool { return x.Strand == g.Strand }) {
				continue
			}
			out = append(out, strand{*at.r.Span(g.Strand), at})
		}
	}
	slices.SortStableFunc(out, func(a, b strand) int { return b.Turn - a.Turn })
	return out
}

// left asks whether enough string is left to go on, where that can be: outside the exit of the strand that was pulled last.
func (s strand) left(m Moment, t sequence.Trouble) Answer {
	say := s.say(m)
	if t.Where == plan.AtGripper && len(m.gripped()) > 1 {
		say = fmt.Sprintf("%s, %s", s.Strand, s.at.when())
	}
	at, end := t.Where == plan.AtGripper || t.Where == plan.AtJaw, s.at.r.PulledAt(s.Strand)
	if !at || !s.last() || (s.at.r.Across(end) != plan.Spot{}) || s.at.r.KnotOf(end) != nil {
		t.Choose = plan.New
		return known(say, t)
	}
	return Answer{Say: say}.or(func() Question {
		regrip, anew := t, t
		regrip.Choose, anew.Choose = plan.Regrip, plan.New
		ask := fmt.Sprintf("Is the tail of %s still long enough for the gripper%s and the knot?", s.Strand, m.toCome(s.Strand))
		if t.Where == plan.AtJaw {
			ask = "Did it break outside the hoop? " + ask // inside no end is left to grip
		}
		return Question{Ask: ask, Answers: []Answer{
			s.at.felt(known("yes: grip it anew and go on", regrip)),
			known("no: "+s.newPiece(), anew),
		}}
	})
}

// newPiece says what a new piece of a strand's string costs.
func (s strand) newPiece() string {
	crosses := 0
	for _, x := range s.at.r.Newest() {
		if cross(&x) {
			crosses++
		}
	}
	if s.Piece != plan.PieceCrosses || crosses < 2 {
		return "a new piece; all of its string comes out"
	}
	return fmt.Sprintf("a new piece; all %d crosses come out", crosses)
}

// toCome are the strands that are still to come out of the tail of a strand, in words that follow on others.
func (m Moment) toCome(s plan.Strand) string {
	var list []plan.Strand
	for i := range m.plan.Steps[m.done:] {
		if o := m.plan.Steps[m.done+i].Lay(); o != nil && o.After == s {
			s = o.Strand
			list = append(list, s)
		}
	}
	switch n := len(list); {
	case n == 0:
		return ""
	case n > 3:
		return fmt.Sprintf(", %s to %s", list[0], list[n-1])
	}
	return ", " + plan.Names(list)
}

// last says whether the strand was pulled last of all.
func (s strand) last() bool {
	return s.Turn > 0 && s.Turn == s.at.r.PullCount()
}

// short asks whose tail is too short, and what it still reaches.
func (m Moment) short() Question {
	q := Question{Ask: "Whose tail?", Which: true}
	for _, s := range m.strands(laid) {
		if _, free := s.at.r.Tail(s.Strand, s.Out); !free {
			continue
		}
		q.Answers = append(q.Answers, Answer{Say: s.say(m)}.orTries(func() Question {
			q := Question{Ask: fmt.Sprintf("What does the tail of %s still reach?", s.Strand)}
			add := func(say, choose string) {
				t := s.trouble(plan.FaultShort)
				t.Choose = choose
				if _, err := sequence.Recover(m.plan, m.done, t); err == nil {
					q.Answers = append(q.Answers, known(say, t))
				}
			}
			tie := m.tie(s.Strand)
			if s.Tight {
				add("all that it is still for, hardly: a scrap joined to it gives the hands a hold", plan.Bridge)
			} else {
				add("the hole of its knot: a scrap bridges the way to the gripper", plan.Bridge)
			}
			for _, h := range sequence.KnotHoles(&m.plan.Terms, s.at.r, s.Strand, s.Out) {
				if tie != nil && h.Strand != s.Strand && h.Steps < m.r.Steps(m.r.At(tie.Out), m.r.At(tie.Hole)) {
					add("a nearer hole: "+h.String(), string(h.Hole))
				}
			}
			add("nothing: "+s.newPiece(), plan.New)
			return q
		}))
	}
	return q
}

// tie is the knot that the plan ties next in the tail of a strand, nil where none or where more is laid of it before.
func (m Moment) tie(s plan.Strand) *plan.Op {
	for i := range m.plan.Steps[m.done:] {
		step := &m.plan.Steps[m.done+i]
		if o := step.Lay(); o != nil && o.After == s {
			return nil
		}
		if o := step.Tie(); o != nil && o.Strand == s {
			return o
		}
	}
	return nil
}

// costs says how many steps a way back adds, nothing where it adds none but its own.
func (m Moment) costs(next *plan.Plan) string {
	switch n := len(next.Steps) - len(m.plan.Steps) - 1; {
	case n == 1:
		return "; one step more"
	case n > 1:
		return fmt.Sprintf("; %d steps more", n)
	}
	return ""
}

// displaced says which later knot has to give way in a way back, and where it goes, nothing where none has.
func displaced(next *plan.Plan, done int) string {
	for _, s := range next.Steps[done+1:] {
		for _, o := range s.Ops {
			if o.Fault == plan.FaultShort {
				return fmt.Sprintf("; the knot of %s then goes into %s", o.Strand, o.Choose)
			}
		}
	}
	return ""
}
