package run

import (
	"time"

	"pullcard/sequence/plan"
)

// Kind says what an event reports.
type Kind string

// The kinds of event.
const (
	Done    Kind = "done"    // the current step is over
	Back    Kind = "back"    // the last done, redo, mishap or abandon does not count after all
	Redo    Kind = "redo"    // something slipped or went wrong: a step is to be done again
	Mishap  Kind = "mishap"  // something went wrong that takes other steps: another plan is followed from now on
	Note    Kind = "note"    // words of the stringer; changes nothing
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
	// Step is the step that was current when the key was pressed; of a redo, the step to be done again.
	Step int `json:"step"`
	// What slipped, for a redo: Gripper or the name of a clamp, empty when nothing of the kind did.
	What string `json:"what,omitempty"`
	// Why holds the stringer's own words, empty when there are none.
	Why string `json:"why,omitempty"`
	// Plan is, for a mishap, the plan that is followed from now on: the steps done so far, then those that put things
	// right, then the rest. It is nil for every other kind. It is too long for a list of events, so their JSON form
	// lacks it.
	Plan *plan.Plan `json:"-"`
}
