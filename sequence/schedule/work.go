package schedule

import (
	"time"

	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
)

// UsualPause is the longest time between two events that counts as work: this program's own choice, as no single step
// takes so long in hands that keep at it.
const UsualPause = 5 * time.Minute

// Work is how long a job took.
//
// The time before the first event is in none of it, since nobody knows when the first step was begun, nor is the time
// after the job was closed.
type Work struct {
	// Stringer and Machine are who strung it and on which machine, as the caller knows them; Measure leaves them empty.
	Stringer, Machine string
	// Finished says that the racket is strung; otherwise the times are those so far.
	Finished bool
	// Phases is the hands-on time in each phase: between two events the phase of the step that was current. A step that
	// is done again counts for its own phase.
	Phases map[plan.Phase]time.Duration
	// Steps is how many the first plan has, Began and Ended when the first and the last event happened while the job was open.
	Steps        int
	Began, Ended time.Time
	// Gaps are the pauses, in their order.
	Gaps []Gap
	// Elapsed is the time from the first event to the last while the job was open: that of Phases and Gaps together.
	Elapsed time.Duration
	// WithoutCrosses is the longest time for which all mains were tight and no cross was, gaps included: from the step
	// that pulled the last main, or took away the last cross, until a cross was pulled. What back took back does not
	// count, so a cross that was not pulled after all ends nothing. A step done again changes nothing.
	WithoutCrosses time.Duration
	// Bare is when the mains began to stand so, if they still do after the last event; otherwise it is zero. WithoutCrosses
	// knows of no later time than the last event.
	Bare time.Time
}

// Gap is a time in which nobody worked on a job that was open.
type Gap struct {
	From, To time.Time
	Step     int // the current one, by its number in the plan that was followed then
	Phase    plan.Phase
	Strand   plan.Strand // which the step pulls, lays or ties; empty if it does none of that
}

// Hands is the hands-on time of all phases.
func (w Work) Hands() (sum time.Duration) {
	for _, d := range w.Phases {
		sum += d
	}
	return sum
}

// Measure reads out of what happened at a job how long the work took. Time between two events is a gap if it
// is longer than a pause, usually UsualPause, or if the job was left and is taken up again with the second of them; the
// whole of a gap counts as no work. Where a clock was set back no time has passed, and where it was set forward there is
// a gap. The racket as it is now, which comes of that, is given too.
func Measure(j progress.Journal, pause time.Duration) (Work, *plan.Racket) {
	w := Work{Phases: map[plan.Phase]time.Duration{}, Steps: j.States[0].Steps(), Finished: j.Now().Status() == progress.Finished}
	var marks []mark
	for i, e := range j.Events {
		if i == 0 {
			w.Began = e.At
		}
		if s := j.States[i]; s.Status() == progress.Open {
			w.Ended = e.At
			if i > 0 {
				w.add(s, j.Events[i-1].At, e, pause)
			}
		}
		last := j.States[i+1].Last()
		if last > len(marks) {
			marks = append(marks, mark{w.Elapsed, e.At})
		}
		marks = marks[:last]
	}
	return w, w.bare(j.Now().Plan(), marks)
}

// add counts the time since the event before, in which the state was s.
func (w *Work) add(s progress.State, from time.Time, e progress.Event, pause time.Duration) {
	d := e.At.Sub(from)
	if d <= 0 {
		return
	}
	w.Elapsed += d
	step := &s.Plan().Steps[s.Current()-1]
	if d > pause || e.Kind == progress.Resume {
		w.Gaps = append(w.Gaps, Gap{from, e.At, s.Current(), step.Phase, strand(step)})
		return
	}
	w.Phases[step.Phase] += d
}

func strand(s *plan.Step) plan.Strand {
	for _, op := range []*plan.Op{s.Pull(), s.Lay(), s.Tie()} {
		if op != nil {
			return op.Strand
		}
	}
	return ""
}
