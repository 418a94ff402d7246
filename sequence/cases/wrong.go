package cases

import (
	"fmt"
	"slices"

	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// cracked is the one thing that can go wrong of a strung frame that is taken off.
const cracked = "the frame is cracked: stop"

// Wrong asks what went wrong other than that gripper or clamp slipped. The list always has the same cases under the same numbers; those
// that cannot have happened cannot be answered. In a list of ten and more a second figure may follow on 1, none on 2, so the frame is there.
func (m Moment) Wrong() Question {
	q := Question{Ask: "What went wrong?"}
	for _, k := range []struct {
		say string
		ask func() Question
		why string
	}{
		{"string broke", m.broke, "none lies yet"},
		{cracked, m.cracked, ""},
		{"a cross is woven wrong", m.misweave, "none is woven"},
		{"string in a wrong hole", m.wrongHole, "none lies yet"},
		{"a pull slipped, found late", m.late, "nothing is pulled"},
		{"a knot slipped", m.knot, "none is tied"},
		{"two strands are swapped", m.swapped, "no two lie yet"},
		{"a kink or a nick in the string", m.kink, "none lies yet"},
		{"a wrong tension or unit was set", m.tension, "nothing is pulled"},
		{"the string is too short", m.short, "no tail is loose"},
		{"a hole is split", m.split, "no other"},
	} {
		var answers []Answer
		if next := k.ask(); m.loose() && k.say != cracked {
			k.why = "strung, and coming off" // it is strung again as a job of its own
		} else if len(next.Answers) > 0 {
			answers = []Answer{m.inHand(Answer{Say: k.say}.or(func() Question { return next }))}
		}
		q.listed(k.say, answers, k.why)
	}
	q.listed(begun, m.begun(func(Moment) bool { return true }, Moment.Wrong), "nothing moves in it")
	return q
}

// loose says whether the strung frame is being taken off: a support is.
func (m Moment) loose() bool {
	return len(m.r.Newest()) > 0 && len(m.r.Mounted()) < len(m.plan.Terms.Supports)
}

// strand is one that something can have happened to, and the moment at which it has come so far.
type strand struct {
	plan.Span
	at Moment
}

// strands are those that are as they must be: first what became so in the step in hand, then the newest first.
func (m Moment) strands(are func(*plan.Span) bool) (out []strand) {
	for _, s := range m.r.Newest() {
		if are(&s) {
			out = append(out, strand{s, m})
		}
	}
	for _, at := range m.later() {
		for _, s := range at.r.Newest() {
			if are(&s) && !slices.ContainsFunc(out, func(x strand) bool { return x.Strand == s.Strand }) {
				out = slices.Insert(out, 0, strand{s, at})
			}
		}
	}
	return out
}

func cross(s *plan.Span) bool { return s.Strand.IsCross() }
func tight(s *plan.Span) bool { return s.Tight }
func laid(*plan.Span) bool    { return true }

// say names a strand by its holes, and whether it is the one in hand.
func (s strand) say(m Moment) string {
	text := fmt.Sprintf("%s, %s to %s", s.Strand, s.In, s.Out)
	if s.at.ops > m.ops {
		text += ", in hand"
	}
	return text
}

// trouble is a case of the strand.
func (s strand) trouble(f plan.Mishap) sequence.Trouble {
	return sequence.Trouble{Fault: f, Strand: s.Strand, Ops: s.at.ops}
}

func (m Moment) misweave() Question {
	q := Question{Ask: "Which cross?", Which: true}
	for _, s := range m.strands(cross) {
		q.Answers = append(q.Answers, m.waivable(s.say(m), s, s.trouble(plan.FaultWeave)))
	}
	return q
}

// waivable is the case of a strand that lies wrong: put right or, once its piece is tied at both ends, left by name.
func (m Moment) waivable(say string, s strand, t sequence.Trouble) Answer {
	if !s.at.tied(s.Strand) {
		return known(say, t)
	}
	return Answer{Say: say}.or(func() Question {
		keep := t
		keep.Choose = plan.Keep
		return Question{Ask: "Put it right?", Hint: "its string is tied; to put it right its piece comes out", Answers: []Answer{
			known("put it right: "+s.newPiece(), t),
			{Say: "leave it as it is; who decided it is kept with it: such a bed is not legal in play", Trouble: keep, Words: "who decided it, and why?"},
		}}
	})
}

// tied says whether the line of a strand is tied at both ends.
func (m Moment) tied(s plan.Strand) bool {
	return slices.ContainsFunc(m.r.Courses(), func(c plan.Course) bool {
		return c.Tied[0] && c.Tied[1] && slices.ContainsFunc(c.Spans, func(x plan.Stretch) bool { return x.Strand == s })
	})
}

func (m Moment) late() Question {
	q := Question{Ask: "Which pull?", Which: true, Hint: m.tiedHint()}
	for _, s := range m.strands(tight) {
		if s.at.r.Gripper() == nil { // of what is in the gripper it is not late yet
			q.Answers = append(q.Answers, known(s.say(m), s.trouble(plan.FaultLate)))
		}
	}
	return q
}

// tiedHint says what a strand costs whose string is tied at both ends, while there is one.
func (m Moment) tiedHint() string {
	if slices.ContainsFunc(m.r.Courses(), func(c plan.Course) bool { return c.Tied[0] && c.Tied[1] }) {
		return "of string that is tied at both ends the whole piece comes out"
	}
	return ""
}

func (m Moment) wrongHole() Question {
	q := Question{Ask: "Which strand?", Which: true, Hint: "the one just threaded is the likeliest"}
	for _, s := range m.strands(laid) {
		q.Answers = append(q.Answers, Answer{Say: s.say(m)}.or(func() Question {
			q := Question{Ask: fmt.Sprintf("In which hole is %s?", s.Strand), Hint: "it belongs into " + string(s.In) + " and " + string(s.Out)}
			for _, h := range m.nearest(s.Out, s.In) {
				t := s.trouble(plan.FaultHole)
				t.Hole = h
				q.Answers = append(q.Answers, m.keepable(string(h), s, t))
			}
			return q
		}))
	}
	return q
}

// keepable is the case of a strand in a wrong hole: put right or, where the frame can be strung so, kept as another layout, whose
// name and fingerprint are said before. One that is tied at both ends can be left by name.
func (m Moment) keepable(say string, s strand, t sequence.Trouble) Answer {
	return Answer{Say: say}.orTries(func() Question {
		keep := t
		keep.Choose = plan.Keep
		next, err := sequence.Recover(m.plan, m.done, keep)
		if err != nil || next.Frame == m.plan.Frame {
			if a := m.waivable(say, s, t); a.Next != nil {
				q := a.Next()
				if err != nil {
					q.Hint += "; it cannot stay: a knot that is still to be tied has no other hole"
					q.Answers = q.Answers[:1]
				} else {
					q.Answers[1].Say += displaced(next, m.done) + m.costs(next)
				}
				return q
			}
			return Question{Ask: "Put it right?", Which: true, Answers: []Answer{known("put it right", t)}}
		}
		print := next.After(len(next.Steps)).LayoutFingerprint(&next.Terms)
		return Question{Ask: "Put it right?", Hint: fmt.Sprintf("%s can stay in %s: the rest is strung by another layout then, proven like any", s.Strand, t.Hole), Answers: []Answer{
			known("put it right", t),
			{Say: fmt.Sprintf("keep it: the layout %q, fingerprint %s", next.Frame, print), Trouble: keep, Words: "who decided it, and why?"},
		}}
	})
}

// nearest are the other holes that a run from one of some holes reaches, the nearest first: hands miss by a hole or a few.
// Those of the other side are left out.
func (m Moment) nearest(to ...plan.Hole) []plan.Hole {
	steps := func(h plan.Hole) int {
		d := m.r.Total()
		for _, x := range to {
			if m.r.Side(m.r.At(x)) == m.r.Side(m.r.At(h)) {
				d = min(d, m.r.Steps(m.r.At(x), m.r.At(h)))
			}
		}
		return d
	}
	out := slices.DeleteFunc(m.holes(), func(h plan.Hole) bool { return steps(h) == 0 || steps(h) > m.plan.Terms.ReachSteps() })
	slices.SortStableFunc(out, func(a, b plan.Hole) int { return steps(a) - steps(b) })
	return out
}

// holes are the frame's, each once, as its strands name them.
func (m Moment) holes() (out []plan.Hole) {
	seen := make([]bool, m.r.Total()+1)
	for _, list := range [2][]plan.Chord{m.plan.Terms.Mains, m.plan.Terms.Crosses} {
		for _, c := range list {
			for _, h := range c.Ends {
				if at := m.r.At(h); !seen[at] {
					seen[at] = true
					out = append(out, h)
				}
			}
		}
	}
	return out
}

func (m Moment) kink() Question {
	q := Question{Ask: "In which strand?", Which: true, Hint: "inside one that is pulled its piece is cut out and replaced"}
	for _, s := range m.strands(laid) {
		t := s.trouble(plan.FaultKink)
		if s.Pulled {
			q.Answers = append(q.Answers, known(s.say(m), t))
			continue
		}
		q.Answers = append(q.Answers, Answer{Say: s.say(m)}.or(func() Question {
			past, anew := t, t
			past.Choose, anew.Choose, past.Ops = plan.Past, plan.New, m.ops // what is still to be fed is fed past it
			return Question{Ask: "Where does it come to lie?", Answers: []Answer{
				known("it can be worked past: it lies in no span", past),
				known("inside a span: the piece is replaced", anew),
			}}
		}))
	}
	return q
}

func (m Moment) tension() Question {
	q := Question{Ask: "Which was the first pull with it?", Which: true}
	for _, s := range m.strands(tight) {
		q.Answers = append(q.Answers, Answer{Say: s.say(m)}.or(func() Question { return s.howFar(m, strand.misset) }))
	}
	return q
}

// howFar asks, of a strand to which something happened at a moment, how far the pull is that the step in hand makes, unless that is known by
// then: the question that follows is asked of the strand as it is at that.
func (s strand) howFar(m Moment, then func(strand) Question) Question {
	var pulled, eased *Moment
	for _, at := range m.later() {
		switch held := at.r.Gripper() != nil; {
		case held && pulled == nil:
			pulled = &at
		case !held && pulled != nil && eased == nil:
			eased = &at
		}
	}
	if pulled == nil || s.at.ops >= pulled.ops || s.at.r.Gripper() != nil {
		return then(s)
	}
	q := Question{Ask: fmt.Sprintf("How far is the pull of %s, which is in hand?", pulled.r.Gripper().Strand)}
	add := func(say string, at *Moment) {
		if at != nil {
			q.Answers = append(q.Answers, Answer{Say: say}.or(func() Question { return then(strand{*at.r.Span(s.Strand), *at}) }))
		}
	}
	add("not pulled yet", &s.at)
	add("in the gripper", pulled)
	add("clamped, and the gripper eased", eased)
	return q
}

// misset asks to which side the setting was wrong, then what is done about it: string that was pulled too high is let go first.
func (s strand) misset() Question {
	t := s.trouble(plan.FaultTension)
	done := func(t sequence.Trouble) func() Question {
		return func() Question {
			with := func(choose string) sequence.Trouble { t := t; t.Choose = choose; return t }
			q := Question{Ask: "What is done about it?", Hint: "pulled so: " + plan.Names(s.at.r.PulledSince(s.Strand))}
			anew := sequence.PullsAnew(s.at.r, s.Strand)
			undo := "undo to there, and string again"
			switch {
			case s.at.tied(s.Strand):
				undo = "cut its piece out, for it is tied, and string again"
			case t.Extent == plan.High && anew:
				undo = "let each of them go, and pull it again"
			}
			if anew && t.Extent != plan.High {
				q.Answers = append(q.Answers, known("pull each of them again", with(plan.Anew)))
			}
			q.Answers = append(q.Answers, known(undo, with(plan.Undo)),
				Answer{Say: "keep it", Trouble: with(plan.Keep), Words: "what was set, who decided it, and why?"})
			return q
		}
	}
	high := t
	high.Extent = plan.High
	ordered := s.at.plan.Terms.PullOf(s.Strand).Ordered
	return Question{Ask: fmt.Sprintf("What was set? Ordered: %s", ordered), Hint: fmt.Sprintf("%s was ordered so", s.Strand), Answers: []Answer{
		Answer{Say: "less than that"}.or(done(t)),
		Answer{Say: "more than that: it is let go before it is pulled again"}.or(done(high)),
	}}
}

func (m Moment) cracked() Question {
	return Question{Ask: "Cut out and close the job?", Hint: "no more pulls; the tension is relieved evenly, the frame comes off", Answers: []Answer{
		known("the frame is cracked: cut out, close the job", sequence.Trouble{Fault: plan.FaultFrame, Ops: m.ops}),
	}}
}
