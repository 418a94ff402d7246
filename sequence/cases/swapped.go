package cases

import (
	"fmt"
	"slices"

	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// alike says whether hands can take two strands for each other: two crosses, two mains of a side or the centre mains.
func alike(a, b plan.Strand) bool {
	ka, na, sa := a.Parts()
	kb, nb, sb := b.Parts()
	return ka == kb && (sa == sb || na == 1 && nb == 1)
}

func (m Moment) swapped() Question {
	q := Question{Ask: "Which strand?", Which: true}
	for _, s := range m.strands(laid) {
		others := s.at.strands(func(x *plan.Span) bool { return x.Strand != s.Strand && alike(x.Strand, s.Strand) })
		others = slices.DeleteFunc(others, func(x strand) bool { return x.at.ops != s.at.ops })
		if len(others) == 0 {
			continue
		}
		q.Answers = append(q.Answers, Answer{Say: s.say(m)}.or(func() Question {
			q := Question{Ask: fmt.Sprintf("With which is %s swapped?", s.Strand)}
			for _, x := range others {
				t := s.trouble(plan.FaultSwapped)
				t.With = x.Strand
				if !s.at.tied(s.Strand) {
					q.Answers = append(q.Answers, Answer{Say: x.say(s.at)}.or(func() Question { return s.swappedAt(x, t) }))
				} else {
					q.Answers = append(q.Answers, s.at.waivable(x.say(s.at), s, t))
				}
			}
			return q
		}))
	}
	return q
}

// swappedAt asks by which of their ends two strands are swapped.
func (s strand) swappedAt(x strand, t sequence.Trouble) Question {
	q := Question{Ask: fmt.Sprintf("How do %s and %s lie?", s.Strand, x.Strand), Answers: []Answer{known("each in both holes of the other", t)}}
	own, other := s.at.r.LiesAt(s.Strand), s.at.r.LiesAt(x.Strand)
	for end := range own {
		t := t
		t.Hole = s.at.r.HoleAt(own[end])
		q.Answers = append(q.Answers, known(fmt.Sprintf("swapped only at %s and %s", t.Hole, s.at.r.HoleAt(other[end])), t))
	}
	return q
}
