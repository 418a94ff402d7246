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
	Left     float64 // the share that is still to be done, see Pace.Left; 1 for one that was not begun
	Steps    int     // of its first plan; nought where that is not known
	// Stringer and Machine are who is to string it and where, by their keys; empty for the first that is free.
	Stringer, Machine string
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
	WillBeLate Verdict = "will be late" // Ready.Low is
)

// Slot is when a job of a queue will be done. Its times are whole minutes, in the zone in which the queue was asked for.
type Slot struct {
	Waiting
	At    time.Time // when the queue was
	Start time.Time // about
	Ready Times
	// Verdict compares Ready with what was promised; LateBy is how much too late it is then: likely if it will be late, at worst if it
	// may be; 0 unless it is.
	Verdict Verdict
	LateBy  time.Duration
	// ByStringer and OnMachine are who will have it and where, if all goes as usual.
	ByStringer, OnMachine string
}

// Times is a time that is not known exactly: one time in ten it is before Low, one in ten after High, and Mid is as often before as after.
type Times struct{ Low, Mid, High time.Time }

// Queue says in which order to string the jobs that wait, who strings each, and when it will be ready. A racket that lies on the machine
// is first; then those that were promised, the earliest first; then the others as they were given, as are those that were
// promised for the same time. With one pair of hands promises kept in their order make the greatest lateness as small as it can be
// (Jackson's rule of the earliest due date, 1955; from memory). Each job goes to its stringer and its machine, or to the first that is free.
//
// The ranges come from playing the queue some hundred times, with times that are drawn from those of the stringers, whose days differ.
// The draws are always the same ones.
func Queue(now time.Time, waiting []Waiting, f Floor) ([]Slot, error) {
	if len(f.Hands) == 0 {
		f.Hands = []Hand{{}}
	}
	if len(f.Machines) == 0 {
		f.Machines = []Machine{{}}
	}
	order := slices.Clone(waiting)
	slices.SortStableFunc(order, before)
	g, err := f.newGame(now, order)
	if err != nil {
		return nil, err
	}
	runs := g.runs()
	slots := make([]Slot, len(order))
	for i, w := range order {
		usual := runs[0][i]
		start := shares(runs, func(r []turn) time.Duration { return r[i].start }, 0.5)
		end := shares(runs, func(r []turn) time.Duration { return r[i].end }, 0.1, 0.5, 0.9)
		slots[i] = Slot{Waiting: w, At: now, Start: after(now, start[0]), Ready: Times{after(now, end[0]), after(now, end[1]), after(now, end[2])},
			ByStringer: f.Hands[usual.hand].Key, OnMachine: f.Machines[usual.machine].Key}
		slots[i].judge()
	}
	return slots, nil
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
	case s.Ready.Low.After(s.Promised):
		s.Verdict, s.LateBy = WillBeLate, s.Ready.Mid.Sub(s.Promised)
	case s.Ready.High.After(s.Promised):
		s.Verdict, s.LateBy = MayBeLate, s.Ready.High.Sub(s.Promised)
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
	if s.LateBy > 0 {
		text += fmt.Sprintf(" by %d min", max(1, minutes(s.LateBy)))
	}
	return text
}

func (s Slot) clock(t time.Time) string {
	t = t.In(s.At.Location())
	switch {
	case t.Year() != s.At.Year():
		return t.Format("2 Jan 2006 15:04")
	case t.YearDay() != s.At.YearDay():
		return t.Format("2 Jan 15:04")
	}
	return t.Format("15:04")
}
