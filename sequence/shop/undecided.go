package shop

import (
	"context"
	"fmt"

	"pullcard/sequence/records"
	"pullcard/sequence/verdict"
)

// undecidedWord says of a job that its lot's decision is open.
const undecidedWord = "undecided"

// undecided is what the verdicts on lots suggest, by the UIDs of these, as the book was at a version.
type undecided struct {
	version int64
	of      map[string]Advice
}

// undecided says whether the verdicts suggest something for a job that waits which nobody decided on.
func (a Advice) undecided(j records.Job) bool {
	to := records.Bed(a.Mains.String(), a.Crosses.String())
	return a.None == "" && a.Outcome == verdict.Moved && string(to) != j.Suggested && to != j.Tension
}

// Undecided says what the verdicts on a lot suggest for a job of it that waits, and of which lot, as long as nobody decided on just that; both
// are empty where there is nothing to decide, and for what is no job of the book.
func (s *Shop) Undecided(ctx context.Context, uid string) (lot, says string, err error) {
	c, err := s.Book.Card(ctx, uid)
	j := records.As[records.Job](c.Fields)
	if err != nil || c.Entry != nil || j.Lot == "" {
		return "", "", nil // where the book cannot be read, what opens the job says so
	}
	a, err := s.suggested(ctx, j.Lot)
	if err != nil || !a.undecided(j) {
		return "", "", err
	}
	return j.Lot, fmt.Sprintf("the player's word suggests %s for those that wait, and %s is still set: decide first", records.Bed(a.Mains.Short(), a.Crosses.Short()), j.Tension), nil
}

// suggested is what the verdicts on a lot suggest, by the UID of its record, without what speaks against that.
func (s *Shop) suggested(ctx context.Context, lot string) (Advice, error) {
	r, err := s.Book.Record(ctx, lot)
	if err != nil {
		return Advice{}, err
	}
	return s.weigh(ctx, r)
}

// decisions notes of the jobs in a queue that their lot's decision is open, as the book is at a version. What keeps a lot from being judged says so where it is opened.
func (s *Shop) decisions(ctx context.Context, version int64, queue []Waiting) {
	s.memo.Lock()
	of := s.memo.undecided.of
	if s.memo.undecided.version != version {
		of = nil
	}
	s.memo.Unlock()
	known, all := map[string]Advice{}, true
	for i, w := range queue {
		lot := w.Job.Lot
		if w.Entry != nil || lot == "" {
			continue
		}
		if _, has := known[lot]; !has {
			var err error
			a, has := of[lot]
			if !has {
				a, err = s.suggested(ctx, lot)
			}
			known[lot], all = a, all && err == nil
		}
		queue[i].Undecided = known[lot].undecided(w.Job)
	}
	if !all { // it is tried again
		return
	}
	s.memo.Lock()
	defer s.memo.Unlock()
	s.memo.undecided = undecided{version, known}
}
