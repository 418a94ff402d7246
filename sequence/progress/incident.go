package progress

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"pullcard/sequence/plan"
)

// Outcome says how a slip or mishap ended, as plan.Op.Outcome does, with the racket as it is now: nothing lasts of what was in string
// that was cut out since, and a knot that was moved is said only while it is there.
func (e *Event) Outcome(now *plan.Racket) string {
	if !e.Recorded() {
		return plan.PutRight
	}
	o := e.Plan.Steps[e.Step-1].Mishap()
	if o == nil {
		return plan.PutRight
	}
	ended, moved := o.Outcome(), plan.Hole(o.Choose)
	switch was, is := e.Plan.After(e.Step).Span(o.Strand), now.Span(o.Strand); {
	case o.Fault == plan.FaultSplit:
		if ended = "the hole stays split"; now.Sleeved(o.Hole) {
			ended = "a sleeve is in it"
		}
		if moved.Parts().N > 0 && now.KnotIn(moved) != nil {
			ended = "its knot went into " + o.Choose + ", " + ended
		}
	case ended != plan.PutRight && was != nil && is != nil && was.Nth != is.Nth:
		return plan.PutRight
	}
	return ended
}

// Lasting is what a racket has otherwise than was planned, in words, of the slips and mishaps of events that stand: what was left as it
// lies, then what lasts of the others.
func Lasting(events []Event, stand []int, now *plan.Racket) (out []string) {
	waived, told := map[plan.Strand]bool{}, Told(events)
	for _, o := range now.Waived() {
		waived[o.Strand] = true
		text := string(o.Strand) + " " + o.Text
		if o.Illegal() {
			text += "; such a bed is not legal in play"
		}
		out = append(out, text)
	}
	for _, n := range stand {
		e := &events[n-1]
		ended := e.Outcome(now)
		if ended == plan.PutRight || waived[e.Plan.Steps[e.Step-1].Mishap().Strand] {
			continue
		}
		if text := told[n-1] + ": " + ended; !slices.Contains(out, text) { // of one hole it may have been told twice
			out = append(out, text)
		}
	}
	return out
}

// Told is what the slip or mishap of each event was, with why where that was told afterwards; empty for other events.
func Told(events []Event) []string {
	out := make([]string, len(events))
	for i, explained := range Explained(events) {
		e := &events[i]
		if e.Kind != Redo && e.Kind != Mishap {
			continue
		}
		out[i] = e.Told()
		if why := strings.TrimPrefix(strings.TrimPrefix(explained.Why, e.Why), ": "); why != "" {
			out[i] += " (" + why + ")"
		}
	}
	return out
}

// Told is what the slip or mishap of the event was, by the words of its way back where it has one.
func (e *Event) Told() string {
	switch {
	case e.Recorded():
		title := e.Plan.Steps[e.Step-1].Title
		if len(title) > 1 && unicode.IsLower(rune(title[1])) { // no strand
			return strings.ToLower(title[:1]) + title[1:]
		}
		return title
	case e.What == Gripper:
		return "the gripper slipped"
	}
	return cmp.Or(e.Why, e.What)
}
