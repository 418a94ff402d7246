package cases

import (
	"fmt"
	"slices"
	"strings"

	"pullcard/sequence/act"
	"pullcard/sequence/progress"
)

// Pressed asks what hands find where the step in hand has a strand pressed before a clamp comes off; it has no answers in any other step.
func (m Moment) Pressed() Question {
	if m.done == len(m.plan.Steps) {
		return Question{}
	}
	acts := act.Of(m.plan, m.done+1, m.r)
	i := slices.IndexFunc(acts, func(a act.Act) bool { return a.Guards != "" })
	if i < 0 {
		return Question{}
	}
	a := &acts[i]
	felt := act.Written().Felt(a)
	return Question{Ask: "Press " + spot(a, " at ") + " " + a.Text, Large: spot(a, " ") + " SLACK?", Felt: true, Answers: []Answer{
		{Say: felt[0], Done: true, Found: progress.Slack},
		Answer{Say: felt[1]}.or(func() Question { return stillTight(a) }),
	}}
}

// spot is where a strand is pressed.
func spot(a *act.Act, at string) string {
	if a.To == "" { // anywhere
		return string(a.Strand)
	}
	return string(a.Strand) + at + string(a.To)
}

// stillTight asks what was done about a strand that is tight where a clamp was to come off: it stays on until its load is gone. Where nothing
// but that was wrong what was told, that is taken back and told anew.
func stillTight(a *act.Act) Question {
	q := Question{Ask: fmt.Sprintf("%s is tight: %s stays on", spot(a, " at "), a.Guards), Hint: a.Tight, Felt: true}
	q.Large = spot(a, " ") + " TIGHT, " + string(a.Guards) + " STAYS ON"
	if a.Tight != "" && !strings.HasPrefix(a.Tight, "leave the clamp") {
		q.Answers = append(q.Answers, Answer{Say: "that is done", Done: true, Found: progress.Tight})
	}
	q.Answers = append(q.Answers, Answer{Say: "what was told is wrong: take it back and tell it anew", Undo: true})
	return q
}
