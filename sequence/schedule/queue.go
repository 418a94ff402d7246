package schedule

import (
	"cmp"
	"fmt"
	"slices"
	"time"
)

// Waiting is a job that is not finished.
type Waiting struct {
	Key string // what the caller knows it by
	// Promised is when it will be fetched, zero when nothing was said.
	Promised time.Time
	Left     Span // what it still takes, see Pace.Left
	// Begun says that some of it is done, Parked that it was taken off the machine again.
	Begun, Parked bool
}

// onMachine says that the racket lies on the machine, where it is in the way of every other.
func (w *Waiting) onMachine() bool { return w.Begun && !w.Parked }

// Verdict says whether a job will be ready when it was promised.
type Verdict string

// The verdicts, and NoPromise for a job without one.
const (
	NoPromise  Verdict = ""
	OnTime     Verdict = "on time"
	MayBeLate  Verdict = "may be late"  // Ready.High is after what was promised
	WillBeLate Verdict = "will be late" // Ready.Mid is
)

// Slot is when a job of a queue will be done. Its times are whole minutes, in the zone in which the queue was asked for.
type Slot struct {
	Waiting
	Asked time.Time // when the queue was
	Start time.Time // about; that of the first is now
	Ready Times
	// Verdict compares Ready with what was promised; By is how much too late it is then, 0 unless it is.
	Verdict Verdict
	By      time.Duration
}

// Times is a time that is not known exactly, as Span is a length.
type Times struct{ Low, Mid, High time.Time }

// Queue says in which order to string the jobs that wait, and when each will be ready. A racket that lies on the machine
// is first; then those that were promised, the earliest first; then the others as they were given, as are those that were
// promised for the same time. Promises kept in their order make the greatest lateness as small as it can be (Jackson's
// rule of the earliest due date, 1955; from memory).
//
// One works at a time, without a break and through the night. Low and High of all jobs before are added up, which makes
// the range wider than it is likely to be.
func Queue(now time.Time, waiting []Waiting) []Slot {
	order := slices.Clone(waiting)
	slices.SortStableFunc(order, before)
	slots := make([]Slot, len(order))
	var sum Span
	for i, w := range order {
		slots[i] = Slot{Waiting: w, Asked: now, Start: after(now, sum.Mid)}
		sum = sum.plus(w.Left)
		slots[i].Ready = Times{after(now, sum.Low), after(now, sum.Mid), after(now, sum.High)}
		slots[i].judge()
	}
	return slots
}

func before(a, b Waiting) int {
	last := func(yes bool) int {
		if yes {
			return 1
		}
		return 0
	}
	return cmp.Or(
		last(b.onMachine())-last(a.onMachine()),
		last(a.Promised.IsZero())-last(b.Promised.IsZero()),
		a.Promised.Compare(b.Promised),
	)
}

// after is a time in whole minutes: what is guessed has no seconds.
func after(now time.Time, d time.Duration) time.Time { return now.Add(d).Round(time.Minute) }

func (s *Slot) judge() {
	switch {
	case s.Promised.IsZero():
	case s.Ready.Mid.After(s.Promised):
		s.Verdict, s.By = WillBeLate, s.Ready.Mid.Sub(s.Promised)
	case s.Ready.High.After(s.Promised):
		s.Verdict, s.By = MayBeLate, s.Ready.High.Sub(s.Promised)
	default:
		s.Verdict = OnTime
	}
}

// String says when the job will be ready, as "ready about 15:40 (15:30 to 16:00), promised 15:30: will be late by
// 10 min". Another day than that on which the queue was asked for is named.
func (s Slot) String() string {
	text := fmt.Sprintf("ready about %s (%s to %s)", s.clock(s.Ready.Mid), s.clock(s.Ready.Low), s.clock(s.Ready.High))
	if s.Verdict == NoPromise {
		return text
	}
	text += fmt.Sprintf(", promised %s: %s", s.clock(s.Promised), s.Verdict)
	if s.By > 0 {
		text += fmt.Sprintf(" by %d min", max(1, minutes(s.By)))
	}
	return text
}

func (s Slot) clock(t time.Time) string {
	const day = "2 Jan "
	if t = t.In(s.Asked.Location()); t.Format(day+"2006") != s.Asked.Format(day+"2006") {
		return t.Format(day + "15:04")
	}
	return t.Format("15:04")
}
