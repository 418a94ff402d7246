package shop

import (
	"context"
	"fmt"

	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
	"pullcard/sequence/schedule"
)

// paceJobs is from how many of the last rackets the pace is taken: this program's own choice. A pace follows the
// stringer's hand, so old rackets do not count for ever.
const paceJobs = 12

// Waiting is a job that is not finished.
type Waiting struct {
	UID    string // of its record
	ID     int64
	Title  string
	Detail string        // frame, technique and tensions
	Entry  *book.Entry   // nil while it has not been begun
	Slot   schedule.Slot // when it will be ready
	Err    error         // why it cannot be strung
}

// Pace is how fast the last rackets of this stringer were strung.
func (s *Shop) Pace(ctx context.Context) (schedule.Pace, error) {
	stringer := ""
	if s.Stringer != "" {
		r, found, err := s.called(ctx, records.KindStringer, s.Stringer)
		if err != nil {
			return schedule.Pace{}, err
		}
		if found {
			stringer = r.UID
		}
	}
	ids, err := s.Book.Finished(ctx, stringer, paceJobs)
	if err != nil {
		return schedule.Pace{}, err
	}
	jobs, err := s.Book.Several(ctx, ids...)
	if err != nil {
		return schedule.Pace{}, err
	}
	var works []schedule.Work
	for _, j := range jobs {
		w, err := schedule.Measure(j.Plan, j.Events, schedule.UsualPause)
		if err != nil {
			return schedule.Pace{}, err
		}
		works = append(works, w)
	}
	return schedule.Typical(works), nil
}

// Queue is every job that is not finished in the order in which to string them, with when each will be ready by a pace.
func (s *Shop) Queue(ctx context.Context, p schedule.Pace) ([]Waiting, error) {
	list, line, err := s.inWork(ctx, p)
	if err != nil {
		return nil, err
	}
	cards, err := s.Book.Queue(ctx)
	if err != nil {
		return nil, err
	}
	items, err := s.Items(ctx, cards)
	if err != nil {
		return nil, err
	}
	for _, it := range items {
		j := records.As[records.Job](it.Fields)
		list = append(list, s.waits(it, j))
		line = append(line, inLine(it.UID, j, p.Whole, false))
	}
	at := map[string]Waiting{}
	for _, w := range list {
		at[w.UID] = w
	}
	slots := schedule.Queue(s.Now(), line)
	ordered := make([]Waiting, len(slots))
	for i, slot := range slots {
		ordered[i] = at[slot.Key]
		ordered[i].Slot = slot
	}
	return ordered, nil
}

func inLine(uid string, j records.Job, left schedule.Span, begun bool) schedule.Waiting {
	return schedule.Waiting{Key: uid, Promised: j.Promised.Time(), Left: left, Begun: begun, Parked: j.Parked != ""}
}

// inWork lists the jobs that were begun, the newest first.
func (s *Shop) inWork(ctx context.Context, p schedule.Pace) (list []Waiting, line []schedule.Waiting, err error) {
	open, err := s.Book.Jobs(ctx, book.Filter{State: progress.Open})
	if err != nil {
		return nil, nil, err
	}
	ids, uids := make([]int64, len(open)), make([]string, len(open))
	for i, e := range open {
		ids[i], uids[i] = e.ID, e.UID
	}
	jobs, err := s.Book.Several(ctx, ids...)
	if err != nil {
		return nil, nil, err
	}
	cards, err := s.Book.Records(ctx, uids...)
	if err != nil {
		return nil, nil, err
	}
	for i, j := range jobs {
		e := open[i]
		state, err := progress.Fold(j.Plan, j.Events)
		if err != nil {
			return nil, nil, err
		}
		list = append(list, Waiting{UID: e.UID, ID: cards[e.UID].ID, Entry: &j.Entry, Title: Title(e.Player, e.Racket, e.Frame), Detail: e.Frame + " · " + e.Technique})
		line = append(line, inLine(e.UID, records.As[records.Job](cards[e.UID].Fields), p.Left(j.Plan, state), true))
	}
	return list, line, nil
}

// waits is a job of the queue that was not begun.
func (s *Shop) waits(it Item, j records.Job) Waiting {
	out := Waiting{UID: it.UID, ID: it.ID, Title: cardTitle(book.Card{Record: it.Record}, it.Names)}
	w, err := s.Work(j.File, []byte(j.Text))
	if err != nil {
		out.Err = err
		return out
	}
	if it.Names[j.Racket] == "" {
		out.Title = Title(it.Names[j.Player], w.Job.Racket, w.Plan.Frame)
	}
	out.Detail = w.Detail()
	return out
}

// Detail says in a line how a racket is strung: frame, technique and tensions.
func (w *Work) Detail() string {
	return fmt.Sprintf("%s · %s · %s", w.Plan.Frame, w.Plan.Technique, w.Plan.Terms.Tensions())
}

// Park sets a racket in work aside, or takes it up again.
func (s *Shop) Park(ctx context.Context, uid string, parked bool) error {
	_, err := s.Book.Correct(ctx, uid, book.Change{Fields: parking(parked), At: s.Now()})
	return err
}
