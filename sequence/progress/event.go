package progress

import (
	"slices"
	"time"

	"pullcard/sequence/plan"
)

// Kind says what an event reports.
type Kind string

// The kinds of event.
const (
	Done    Kind = "done"    // the current step is over
	Back    Kind = "back"    // the last done, redo, mishap or abandon does not count after all
	Redo    Kind = "redo"    // something slipped: the current step is done again, or by a way back of its own
	Mishap  Kind = "mishap"  // something went wrong that takes other steps: another plan is followed from now on
	Note    Kind = "note"    // words of the stringer; changes nothing
	Why     Kind = "why"     // why a redo or mishap happened, said after the cure; changes nothing
	Resume  Kind = "resume"  // after an interruption: the stringer confirmed where things stand; changes nothing
	Abandon Kind = "abandon" // the job is given up
)

// Event is one thing that was reported at the bench. Events are only ever appended: what was taken back stays on
// record.
type Event struct {
	// At is when the key was pressed, with its zone. Events are in the order in which they were appended; At does not
	// order them, since a clock may be set.
	At   time.Time `json:"at"`
	Kind Kind      `json:"kind"`
	// Step is the step that was current when the key was pressed; of a redo without a plan, the step to be done again.
	Step int `json:"step"`
	// What slipped, for a redo: Gripper or the name of a clamp, empty when nothing of the kind did; of a mishap its kind; of a done step in
	// which a strand was pressed before a clamp comes off Slack or Tight, as it was.
	What string `json:"what,omitempty"`
	// Why holds the stringer's own words, empty when there are none.
	Why string `json:"why,omitempty"`
	// Of is, for a why, the number of the redo or mishap that it explains, counted from 1 in the job's events.
	Of int `json:"of,omitempty"`
	// Plan is, for a mishap and for a redo that takes a way back, the plan that is followed from now on: the steps done so
	// far, then those that put things right, then the rest. It is nil for every other event. It is too long for a list of
	// events, so their JSON form lacks it.
	Plan *plan.Plan `json:"-"`
}

// Said is what people said with the event, empty where nothing.
func (e Event) Said() string { return e.Why }

// Unsaid is the event without what people said.
func (e Event) Unsaid() Event {
	e.Why = ""
	return e
}

// Gripper is the name under which the gripper slips.
const Gripper = "gripper"

// What a strand is found to be where it is pressed.
const (
	Slack = "slack"
	Tight = "tight"
)

// Recorded says whether the event brings a plan of which the step at hand says what has happened, so that it is done.
func (e *Event) Recorded() bool {
	return e.Plan != nil && e.Step >= 1 && e.Step <= len(e.Plan.Steps) && e.Plan.Steps[e.Step-1].Record
}

// Explained is a list of events in which each redo and mishap has the reason that was told for it afterwards as its why.
func Explained(events []Event) []Event {
	out := slices.Clone(events)
	for _, e := range events {
		if e.Kind != Why || e.Of < 1 || e.Of > len(out) || e.Why == "" {
			continue
		}
		if of := &out[e.Of-1]; of.Why == "" {
			of.Why = e.Why
		} else {
			of.Why += ": " + e.Why
		}
	}
	return out
}
