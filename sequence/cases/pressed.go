package cases

import (
	"cmp"
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
	gone := m.since((*plan.Step).TakesOut)
	if gone || a.WhenTight != "" && a.WhenTight != plan.LeaveTight {
		done := Answer{Say: "that is done: press it again", Large: "DONE: PRESS IT AGAIN"}
		if a.WhenTight == plan.CutTight {
			q.Large += ": FACE AWAY, CUT IT ON THE BED SIDE"
			done = Answer{Say: "it is cut there: press it again", Large: "IT IS CUT: PRESS AGAIN"}
		}
		q.Answers = append(q.Answers, done.or(func() Question { // no clamp comes off before it is slack
			again := m.Pressed()
			again.Answers[0].Found = progress.Tight
			return again
		}))
	}
	if !gone {
		back := Answer{Say: "what was told to have gone wrong is wrong: take back all of it, tell it anew", Large: "TOLD WRONG: TAKE IT BACK", Undo: true}
		if m.since((*plan.Step).Regrips) {
			back.Say += "; first put back by hand what was moved since, the last first"
			back.Large = "TOLD WRONG, ALL PUT BACK: TAKE IT BACK"
		}
		q.Answers = append(q.Answers, back)
	}
	return q
}

// Back asks, before a step is taken back, whether it was done: no step back puts string in again that came out, and in a way back clamps
// and string stay where hands have put them. It has no answers where nothing of that was to be done.
func (m Moment) Back() Question {
	if m.done == 0 {
		return Question{}
	}
	var verbs []act.Verb
	q := Question{Felt: true}
	switch s := &m.plan.Steps[m.done-1]; {
	case s.TakesOut():
		verbs, q.Hint = []act.Verb{act.Cut, act.DrawOut, act.Untie}, "what is out of the frame stays out, and the picture shows it so"
		q.Answers = []Answer{{Say: "no, nothing of it: one step back", Large: "NO", Retract: true},
			{Say: "yes, or a part of it: it stays done; what else went wrong is told from here", Large: "YES, OR IN PART", Stays: true}}
	case s.Base == 0 && !s.Record && s.Regrips():
		verbs = []act.Verb{act.Pull, act.Repull, act.TakeLoad, act.ClampOn, act.ClampOff, act.Ease, act.Release, act.Move}
		q.Hint = "a step back moves no clamp and no string"
		q.Answers = []Answer{{Say: "no, or hands have put it back as it was, the last first: one step back", Large: "NO, OR PUT BACK", Retract: true},
			{Say: "yes: it stays done; what else went wrong is told from here", Large: "YES", Stays: true}}
	default:
		return Question{}
	}
	words, verb := act.Written(), ""
	var does []string
	for _, a := range act.Of(m.plan, m.done, nil) {
		if slices.Contains(verbs, a.Verb) {
			verb, does = cmp.Or(verb, words.Verb(a.Verb)), append(does, words.Line(&a))
		}
	}
	q.Ask, q.Large = "Is this done: "+strings.Join(does, "; ")+"?", verb+": IS IT DONE?"
	return q
}

// since says whether there was such a step since the newest mishap was told.
func (m Moment) since(such func(*plan.Step) bool) bool {
	for n := m.done; n > 0; n-- {
		s := &m.plan.Steps[n-1]
		if o := s.Mishap(); s.Record && o != nil && o.Fault != plan.FaultPause {
			return false
		}
		if such(s) {
			return true
		}
	}
	return false
}
