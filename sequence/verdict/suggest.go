package verdict

import (
	"cmp"
	"math"
	"slices"

	"pullcard/patterns"
	"pullcard/patterns/measure"
)

// Question is what is asked for: which set-up, and by whose steps.
type Question struct {
	Setup Setup
	Sport patterns.Sport
	Steps Steps // the zero Steps are the Usual ones
	// Bed computes the beds of the set-up; nil leaves that evidence out.
	Bed Bed
}

// Outcome is what came of a player's verdicts.
type Outcome string

// The outcomes.
const (
	Unjudged      Outcome = "unjudged"      // no verdict on this set-up: there is nothing to suggest
	Kept          Outcome = "kept"          // the judged racket's tensions stay
	Moved         Outcome = "moved"         // they change
	Contradictory Outcome = "contradictory" // verdicts do not go together: the judged racket's tensions stay
)

// Suggestion is what the next rackets of a set-up should be strung at, with why.
type Suggestion struct {
	Outcome Outcome
	// Judged is the racket with the newest verdict, from whose tensions the suggestion is made, and Verdict that verdict.
	Judged  Past
	Verdict Verdict
	// Mains and Crosses are in the judged racket's units and both none when Unjudged. Both change by the same amount.
	Mains, Crosses measure.Tension
	Lines          []Line
}

// same is by how many kg two tensions may differ and still be the same one: 0.1, the step in which machines are set, is
// common practice of the trade; the hair above it is for tensions in different units, which meet only within rounding.
const same = 0.1 + 1e-5

// judged is a racket with one of its verdicts.
type judged struct {
	Past
	Verdict
}

// Suggest makes the suggestion from the newest verdict on the set-up and the tensions that were really used on the racket
// it was about. Rackets without a verdict count for nothing, so asking again after stringing one adds no second step.
// A step that would reach a tension which was judged the other way stops halfway, one that would pass a tension which
// was right stops there, and the lines say so. Verdicts that do not go together with the newest change nothing: the
// opposite at the same tension, or a lower one too tight and a higher one too loose. Past holds the player's rackets of
// all set-ups, as far back as they still count, in any order.
func Suggest(past []Past, q Question) Suggestion {
	all := verdicts(past)
	mine := slices.DeleteFunc(slices.Clone(all), func(j judged) bool { return j.Setup != q.Setup })
	if len(mine) == 0 {
		s := Suggestion{Outcome: Unjudged}
		s.say(Reason, "the player has not yet judged a racket with this set-up")
		return s
	}
	if q.Steps == (Steps{}) {
		q.Steps = Usual()
	}
	s := Suggestion{Outcome: Kept, Judged: mine[0].Past, Verdict: mine[0].Verdict, Mains: mine[0].Mains, Crosses: mine[0].Crosses}
	s.say(Said, "%s", mine[0])
	s.decide(mine, q)
	s.history(past, all)
	if s.Outcome == Moved && q.Bed != nil {
		s.compute(q.Bed)
	}
	s.literature()
	if s.Verdict.Answer.Way == TooTight {
		s.say(Ask, "does the player mean the string, its gauge or the tension?")
	}
	return s
}

// verdicts are all of them, the newest first.
func verdicts(past []Past) []judged {
	var out []judged
	for _, p := range past {
		for _, v := range p.Verdicts {
			out = append(out, judged{p, v})
		}
	}
	slices.SortStableFunc(out, func(a, b judged) int {
		return cmp.Or(b.Verdict.At.Compare(a.Verdict.At), b.Past.At.Compare(a.Past.At), cmp.Compare(b.Job, a.Job))
	})
	return out
}

// decide makes the suggestion; the newest verdict is mine[0].
func (s *Suggestion) decide(mine []judged, q Question) {
	newest := mine[0]
	if newest.Answer.Way == Right {
		s.say(Reason, "%s was right and stays", used(s.Mains, s.Crosses))
		return
	}
	for _, other := range mine {
		if d := newest.distance(other); other.Answer.toward() == -newest.Answer.toward() && d <= same {
			s.contradict(other, math.Abs(d) <= same)
			return
		}
	}
	by := s.bound(newest, mine, q.Steps.Size(newest.Answer, q.Sport, s.Mains.Unit()))
	move := measure.Tension.Plus
	if newest.Answer.Way == TooTight {
		move = measure.Tension.Minus
	}
	mains, crosses := move(s.Mains, by), move(s.Crosses, by)
	if mains.Value() <= 0 || crosses.Value() <= 0 {
		s.say(Warning, "a step of %s would leave no tension, so nothing is changed; check the tensions that were used", by)
		return
	}
	s.Outcome, s.Mains, s.Crosses = Moved, mains, crosses
	s.say(Reason, "%s on mains and crosses, from the tension used on the racket that was judged: %s → %s",
		mains.Minus(newest.Mains).Signed(), used(newest.Mains, newest.Crosses), used(mains, crosses))
}

// distance is by how many kg another racket lies on the side where j's answer wants the next one.
func (j judged) distance(other judged) float64 {
	return (other.level().In(measure.Kg) - j.level().In(measure.Kg)) * j.Answer.toward()
}

func (s *Suggestion) contradict(other judged, equal bool) {
	s.Outcome = Contradictory
	s.say(Said, "%s", other)
	if equal {
		s.say(Reason, "opposite verdicts on the same set-up at the same tension: nothing is changed; ask the player")
		return
	}
	s.say(Reason, "the lower tension was judged too tight and the higher one too loose: nothing is changed; ask the player")
}

// bound is how much of a step is taken, in view of the nearest racket on that side of which something else was said.
// Where to stop is this program's own choice.
func (s *Suggestion) bound(newest judged, mine []judged, step measure.Tension) measure.Tension {
	var near *judged
	gap := math.Inf(1)
	for i, other := range mine {
		if d := newest.distance(other); other.Answer.Way != newest.Answer.Way && d > same && d < gap {
			near, gap = &mine[i], d
		}
	}
	if near == nil {
		return step
	}
	whole := near.level().Minus(newest.level())
	if newest.Answer.Way == TooTight {
		whole = newest.level().Minus(near.level())
	}
	why := "the step ends between the two tensions that were judged"
	switch size := step.In(measure.Kg); {
	case near.Answer.Way == Right && size <= gap+same:
		return step
	case near.Answer.Way == Right:
		step, why = whole, "a whole step would pass the tension that was right, so it ends there"
	case size >= gap-same:
		step, why = half(whole), "a whole step would reach the tension that was judged the other way, so it goes halfway"
	}
	s.say(Said, "%s", *near)
	s.say(Reason, "%s", why)
	return step
}
