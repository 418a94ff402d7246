package main

import (
	"fmt"
	"time"

	"pullcard/sequence/book"
	"pullcard/sequence/pace"
	"pullcard/sequence/records"
	progress "pullcard/sequence/run"
	"pullcard/tui/bench"
	"pullcard/tui/rack"
)

// paceJobs is from how many of the last rackets the pace is taken: this program's own choice. A pace follows the
// stringer's hand, so old rackets do not count for ever.
const paceJobs = 12

// waiting is a job that is not finished, as the rack shows it.
type waiting struct {
	card   book.Record
	job    records.Job // what the card says
	entry  *book.Entry // nil while it has not been begun
	title  string
	detail string
	open   func() (bench.Job, error)
	err    error // why it cannot be strung
	left   pace.Span
}

// pace is how fast the last rackets of this stringer were strung.
func (s *shop) pace() (pace.Pace, error) {
	stringer := ""
	if s.stringer != "" {
		r, found, err := s.called(records.KindStringer, s.stringer)
		if err != nil {
			return pace.Pace{}, err
		}
		if found {
			stringer = r.UID
		}
	}
	ids, err := s.book.Finished(s.ctx, stringer, paceJobs)
	if err != nil {
		return pace.Pace{}, err
	}
	jobs, err := s.book.Several(s.ctx, ids...)
	if err != nil {
		return pace.Pace{}, err
	}
	var works []pace.Work
	for _, j := range jobs {
		w, err := pace.Measure(j.Plan, j.Events, pace.UsualPause)
		if err != nil {
			return pace.Pace{}, err
		}
		works = append(works, w)
	}
	return pace.Typical(works), nil
}

// queue is every job that is not finished in the order in which to string them, with when each will be ready.
func (s *shop) queue(now time.Time) ([]waiting, []pace.Slot, error) {
	p, err := s.pace()
	if err != nil {
		return nil, nil, err
	}
	list, err := s.inWork(p)
	if err != nil {
		return nil, nil, err
	}
	cards, err := s.book.Queue(s.ctx)
	if err != nil {
		return nil, nil, err
	}
	for _, c := range cards {
		w, err := s.waits(c)
		if err != nil {
			return nil, nil, err
		}
		w.left = p.Whole
		list = append(list, w)
	}
	line := make([]pace.Waiting, len(list))
	at := map[string]waiting{}
	for i, w := range list {
		line[i] = pace.Waiting{Key: w.card.UID, Promised: w.job.Promised.Time(), Left: w.left, Begun: w.entry != nil, Parked: w.job.Parked != ""}
		at[w.card.UID] = w
	}
	slots := pace.Queue(now, line)
	ordered := make([]waiting, len(slots))
	for i, slot := range slots {
		ordered[i] = at[slot.Key]
	}
	return ordered, slots, nil
}

// inWork lists the jobs that were begun, the newest first.
func (s *shop) inWork(p pace.Pace) ([]waiting, error) {
	open, err := s.book.Jobs(s.ctx, book.Filter{State: progress.Open})
	if err != nil {
		return nil, err
	}
	ids := make([]int64, len(open))
	for i, e := range open {
		ids[i] = e.ID
	}
	jobs, err := s.book.Several(s.ctx, ids...)
	if err != nil {
		return nil, err
	}
	var list []waiting
	for i, j := range jobs {
		e := open[i]
		state, err := progress.Fold(j.Plan, j.Events)
		if err != nil {
			return nil, err
		}
		card, err := s.book.Record(s.ctx, e.UID)
		if err != nil {
			return nil, err
		}
		list = append(list, waiting{
			card: card, job: records.As[records.Job](card.Fields), entry: &j.Entry, title: title(e.Player, e.Racket, e.Frame), detail: clean(e.Frame + " · " + e.Technique),
			open: func() (bench.Job, error) { return s.resume(e.ID) }, left: p.Left(j.Plan, state),
		})
	}
	return list, nil
}

// waits is a job of the queue that was not begun.
func (s *shop) waits(card book.Record) (waiting, error) {
	names, err := s.names(card)
	if err != nil {
		return waiting{}, err
	}
	out := waiting{card: card, job: records.As[records.Job](card.Fields), title: cardTitle(book.Card{Record: card}, names)}
	w, err := readWork(out.job.File, []byte(out.job.Text))
	if err != nil {
		out.err = err
		return out, nil
	}
	if called := records.As[records.Job](names); called.Racket == "" {
		out.title = title(called.Player, w.job.Racket, w.plan.Frame)
	}
	out.detail = clean(fmt.Sprintf("%s · %s · %s", w.plan.Frame, w.plan.Technique, w.plan.Terms.Tensions()))
	out.open = func() (bench.Job, error) { return s.OpenJob(card.UID) }
	return out, nil
}

// queued lists the queue for the rack, and which files with which plans are in progress.
func (s *shop) queued(now time.Time) (items []rack.Item, inProgress map[string]bool, err error) {
	list, slots, err := s.queue(now)
	if err != nil {
		return nil, nil, err
	}
	inProgress = map[string]bool{}
	for i, w := range list {
		item := rack.Item{UID: w.card.UID, Group: "queue, in the order to string them", Title: w.title, Detail: w.detail, Mark: slots[i].String()}
		item.Late = slots[i].Verdict == pace.MayBeLate || slots[i].Verdict == pace.WillBeLate
		switch {
		case w.entry != nil && slots[i].Parked:
			item.Group, item.Parked = "parked", true
		case w.entry != nil:
			item.Group = "in progress"
		}
		if item.Begun = w.entry != nil; item.Begun {
			inProgress[w.entry.File+"\x00"+w.entry.Fingerprint] = true
			item.Mark = fmt.Sprintf("%d/%d, left %s; %s", w.entry.Step, w.entry.Steps, ago(now.Sub(w.entry.Last)), item.Mark)
		}
		open := w.open
		if w.err != nil {
			item.Trouble = w.err.Error()
			open = func() (bench.Job, error) { return bench.Job{}, w.err }
		}
		items, s.shown = append(items, item), append(s.shown, open)
	}
	return items, inProgress, nil
}

// OpenJob makes a job of the book ready for the bench.
func (s *shop) OpenJob(uid string) (bench.Job, error) {
	c, err := s.book.Card(s.ctx, uid)
	if err != nil {
		return bench.Job{}, err
	}
	if c.Entry != nil {
		return s.resume(c.ID)
	}
	j := records.As[records.Job](c.Fields)
	w, err := readWork(j.File, []byte(j.Text))
	if err != nil {
		return bench.Job{}, err
	}
	return s.fresh(j.File, w, &c.Record)
}

// Park sets a racket in work aside, or takes it up again.
func (s *shop) Park(uid string, parked bool) error {
	_, err := s.book.Correct(s.ctx, uid, book.Change{Fields: parking(parked), At: time.Now()})
	return err
}
