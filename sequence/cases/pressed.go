package cases

import (
	"fmt"
	"slices"
	"strings"

	"pullcard/sequence/act"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
)

// What hands feel of a strand, as large as it goes.
const (
	isSlack = "SLACK"
	isTight = "TIGHT"
)

// Pressed asks what hands find where the step in hand has a strand pressed before a clamp comes off; it has no answers in any other step.
func (m Moment) Pressed() Question {
	if m.done == len(m.plan.Steps) {
		return Question{}
	}
	acts := act.Of(m.plan, m.done+1, m.r)
	i := slices.IndexFunc(acts, func(a act.Act) bool { return a.Asks })
	if i < 0 {
		return Question{}
	}
	a := &acts[i]
	felt := act.Written().Felt(a)
	return Question{Ask: "Press " + spot(a, " at ") + " " + a.Text, Large: "PRESS " + spot(a, " ") + ": SLACK?", Felt: true, Answers: []Answer{
		{Say: felt[0], Large: isSlack, Done: true, Found: progress.Slack},
		Answer{Say: felt[1], Large: isTight}.or(func() Question { return m.stillTight(a) }),
	}}
}

// spot is where a strand is pressed.
func spot(a *act.Act, at string) string {
	if a.To == "" { // anywhere
		return string(a.Strand)
	}
	return string(a.Strand) + at + string(a.To)
}

// stillTight asks what was done about a strand that is tight where a clamp was to come off: it stays on until its load is gone. Where what
// was told was wrong that is taken back and told anew, as long as no string was cut or drawn out for it.
func (m Moment) stillTight(a *act.Act) Question {
	q := Question{Ask: spot(a, " at ") + " is tight", Hint: a.Tight, Large: spot(a, " ") + " TIGHT", Felt: true}
	if a.Guards != "" {
		q.Ask += fmt.Sprintf(": %s stays on", a.Guards)
		q.Large += ", " + string(a.Guards) + " STAYS ON"
	}
	gone := m.outSince()
	if gone || a.Tight != "" && !strings.HasPrefix(a.Tight, "leave ") {
		if strings.Contains(a.Tight, "cut") {
			q.Large += ": FACE AWAY, CUT IT ON THE BED SIDE"
		}
		q.Answers = append(q.Answers, Answer{Say: "that is done: press it again", Large: "DONE: PRESS IT AGAIN"}.or(func() Question { // no clamp comes off before it is slack
			again := m.Pressed()
			again.Answers[0].Found = progress.Tight
			return again
		}))
	}
	if !gone {
		q.Answers = append(q.Answers, Answer{Say: "what was told to have gone wrong is wrong: take back all of it, tell it anew", Large: "TOLD WRONG: TAKE IT BACK", Undo: true})
	}
	return q
}

// Back asks, before a step is taken back in which string came out, whether it did: no step back puts it in again. It has no answers where none came out.
func (m Moment) Back() Question {
	if m.done == 0 || !m.plan.Steps[m.done-1].TakesOut() {
		return Question{}
	}
	words, verb := act.Written(), ""
	var out []string
	for _, a := range act.Of(m.plan, m.done, nil) {
		if a.Verb == act.Cut || a.Verb == act.DrawOut || a.Verb == act.Untie {
			verb, out = words.Verb(a.Verb), append(out, words.Line(&a))
		}
	}
	return Question{Ask: "Is this done: " + strings.Join(out, "; ") + "?", Hint: "what is out of the frame stays out, and the picture shows it so", Large: verb + ": IS IT DONE?", Felt: true, Answers: []Answer{
		{Say: "no, nothing of it: one step back", Large: "NO", Retract: true},
		{Say: "yes, or a part of it: it stays done; what else went wrong is told from here", Large: "YES, OR IN PART", Stays: true},
	}}
}

// outSince says whether string was cut or taken out since the newest mishap was told.
func (m Moment) outSince() bool {
	for n := m.done; n > 0; n-- {
		s := &m.plan.Steps[n-1]
		if o := s.Mishap(); s.Record && o != nil && o.Fault != plan.FaultPause {
			return false
		}
		if s.TakesOut() {
			return true
		}
	}
	return false
}
