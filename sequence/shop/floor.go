package shop

import (
	"context"
	"fmt"
	"slices"
	"time"

	"pullcard/patterns/source"
	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
	"pullcard/sequence/schedule"
)

// paceJobs is from how many of the newest rackets the paces are taken: this program's own choice. A pace follows the
// stringer's hand, so old rackets do not count for ever.
const paceJobs = 180

// floor is who strings where and when, and what they are called, by the UIDs of their records.
type floor struct {
	schedule.Floor
	paces     map[string]schedule.Pace
	names     map[string]string
	stringers []book.Record
	version   int64 // of the book
}

// floor is that of the book: its stringers and machines, and the hours of the house.
func (s *Shop) floor(ctx context.Context) (f floor, err error) {
	house, err := s.house()
	if err != nil {
		return f, err
	}
	f = floor{Floor: schedule.Floor{Hours: house.Hours}, names: map[string]string{}}
	if f.version, err = s.Book.Version(ctx); err != nil {
		return f, err
	}
	if f.paces, err = s.paces(ctx, f.version); err != nil {
		return f, err
	}
	of, err := s.Book.Kept(ctx, records.KindStringer, records.KindMachine)
	if err != nil {
		return f, err
	}
	for _, r := range of {
		if f.names[r.UID] = r.Label(); r.Kind == records.KindMachine {
			f.Machines = append(f.Machines, schedule.Machine{Key: r.UID, Out: records.As[records.Machine](r.Fields).Out.Time()})
			continue
		}
		pace := f.paces[r.UID]
		if !pace.Known() {
			pace = f.paces[""].Other()
		}
		f.paces[r.UID], f.stringers = pace, append(f.stringers, r)
		who := records.As[records.Stringer](r.Fields)
		f.Hands = append(f.Hands, schedule.Hand{Key: r.UID, Pace: pace, Since: who.Since.Time(), Away: who.Away.Time()})
	}
	if len(f.stringers) == 0 {
		f.Hands = []schedule.Hand{{Pace: f.paces[""]}}
	}
	return f, nil
}

// gone says that somebody is away or will be, by the UID of their record; empty where they are there.
func (f floor) gone(uid string, now time.Time) string {
	for _, h := range f.Hands {
		switch {
		case h.Key != uid || !h.Away.After(now):
		case h.Since.IsZero():
			return fmt.Sprintf("%s is away until %s", f.names[uid], clockTime(now, h.Away))
		default:
			return fmt.Sprintf("%s is away, %s to %s", f.names[uid], clockTime(now, h.Since), clockTime(now, h.Away))
		}
	}
	return ""
}

// Away says who is away or will be and has no racket in a queue; who has one, that says so of.
func (s *Shop) Away(ctx context.Context, queue []Waiting) (says []string, err error) {
	f, err := s.floor(ctx)
	return f.away(queue, s.Now()), err
}

func (f floor) away(queue []Waiting, now time.Time) (says []string) {
	for _, h := range f.Hands {
		if gone := f.gone(h.Key, now); gone != "" && !slices.ContainsFunc(queue, func(w Waiting) bool { return w.Job.Stringer == h.Key }) {
			says = append(says, gone)
		}
	}
	return says
}

// absent sees that who is away has an end told, after the beginning.
func absent(f records.Fields, now time.Time) error {
	k, _ := records.Find(records.KindStringer)
	read, err := k.Read(f, now)
	who := records.As[records.Stringer](read)
	switch {
	case err != nil || who.Since == "":
		return err
	case who.Away == "":
		return fmt.Errorf("%s: write until when, as far as anybody knows; it can be corrected when they are back sooner or later", records.Key(&who, &who.Away))
	case !who.Since.Time().Before(who.Away.Time()):
		return fmt.Errorf("%s: they would be back before they go; write an earlier one, or a later end", records.Key(&who, &who.Since))
	}
	return nil
}

// inLine is a job in the queue. Who or what was removed since it was given to them leaves it to the first that is free.
func (f floor) inLine(w Waiting) schedule.Waiting {
	out := schedule.Waiting{Key: w.UID, Promised: w.Job.Promised.Time(), Left: w.left, Steps: w.steps, Begun: w.Entry != nil, Parked: w.Job.Parked != ""}
	if f.names[w.Job.Stringer] != "" {
		out.Stringer = w.Job.Stringer
	}
	if f.names[w.Job.Machine] != "" {
		out.Machine = w.Job.Machine
	}
	return out
}

// works are the newest rackets as they were strung.
func (s *Shop) works(ctx context.Context) ([]schedule.Work, error) {
	list, err := s.Book.TimedJobs(ctx, paceJobs)
	if err != nil {
		return nil, err
	}
	s.memo.Lock()
	defer s.memo.Unlock()
	var ids []int64
	for _, p := range list {
		if _, known := s.memo.works[p.UID]; !known {
			ids = append(ids, p.ID)
		}
	}
	jobs, err := s.Book.Several(ctx, ids...)
	if err != nil {
		return nil, err
	}
	for _, j := range jobs {
		past, err := progress.Play(j.Plan, j.Events)
		if err != nil {
			return nil, err
		}
		if s.memo.works == nil {
			s.memo.works = map[string]schedule.Work{}
		}
		s.memo.works[j.UID], _ = schedule.Measure(past, schedule.UsualPause)
	}
	works := make([]schedule.Work, len(list))
	for i, p := range list {
		works[i] = s.memo.works[p.UID]
		works[i].Stringer, works[i].Machine = p.Stringer, p.Machine
	}
	return works, nil
}

// Pace is how fast the newest rackets of the stringer at this bench were strung, or all where nobody said who that is.
func (s *Shop) Pace(ctx context.Context) (schedule.Pace, error) {
	f, err := s.floor(ctx)
	if err != nil {
		return schedule.Pace{}, err
	}
	uid, err := s.among(f.stringers)
	return f.paces[uid], err
}

// me is the UID of the stringer at this bench, empty where nobody said who that is or the book has no stringers yet. One that the book
// has not got beside others is an error: a slip in a name would be a stringer of its own.
func (s *Shop) me(ctx context.Context) (uid string, err error) {
	if s.Stringer == "" {
		return "", nil
	}
	all, err := s.Book.Find(ctx, records.KindStringer, "", 0)
	if err != nil {
		return "", err
	}
	return s.among(all)
}

// among is me, of all stringers that the book has.
func (s *Shop) among(all []book.Record) (uid string, err error) {
	if s.Stringer == "" || len(all) == 0 {
		return "", nil
	}
	var names []string
	for _, r := range all {
		if records.Fold(r.Label()) == records.Fold(s.Stringer) {
			return r.UID, nil
		}
		names = append(names, r.Label())
	}
	slices.Reverse(names)
	return "", fmt.Errorf("no stringer is called %q, who would be added with pullcard book stringer add --name %q; %s", s.Stringer, s.Stringer, source.Instead(s.Stringer, names))
}
