package shop

import (
	"cmp"
	"context"
	"fmt"
	"strconv"

	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
	"pullcard/sequence/ticket"
)

// PlaysAWeek is how often a racket is played whose player has not said: this program's own choice. The ticket names it.
const PlaysAWeek = 2

// Strung is the newest finished job of a file.
func (s *Shop) Strung(ctx context.Context, path string) (*book.Job, error) {
	done, err := s.Book.Jobs(ctx, book.Filter{State: progress.Finished})
	if err != nil {
		return nil, err
	}
	var newest *book.Entry
	for i := range done {
		if done[i].File == s.key(path) && (newest == nil || done[i].Last.After(newest.Last)) {
			newest = &done[i]
		}
	}
	if newest == nil {
		return nil, fmt.Errorf("%s: no finished job of this file is in the book; string it first, or name a job with --id (pullcard book list)", path)
	}
	return s.Book.Job(ctx, newest.ID)
}

// Ticket is what the ticket of a job tells. The book has the job's file; what only the layout says, the proportions of the
// picture, is left away when it has changed or gone.
func (s *Shop) Ticket(ctx context.Context, j *book.Job) ticket.Facts {
	facts := ticket.Facts{Number: j.ID, Player: j.Player, Racket: j.Racket, Plan: j.Plan, Events: j.Events, PlaysAWeek: PlaysAWeek}
	if code, err := s.codes(ctx); err == nil {
		facts.Code = code(j.UID)
	}
	if job, _, err := sequence.ReadJob(j.File, j.Source); err == nil {
		facts.Mains, facts.Crosses, facts.Machine = job.StringMains, job.StringCrosses, job.Machine
	}
	if w, err := s.Work(j.File, j.Source); err == nil && w.Plan.Plan == j.Fingerprint {
		facts.Hoop = w.Frame.Hoop
	}
	s.recorded(ctx, j, &facts)
	return facts
}

// recorded adds what the book knows beside the job, as it was when the job began: an old ticket stays as it was. What cannot be
// read is left away: the ticket goes with the racket all the same.
func (s *Shop) recorded(ctx context.Context, j *book.Job, facts *ticket.Facts) {
	c, err := s.Book.Card(ctx, j.UID)
	if err != nil {
		return
	}
	job := records.As[records.Job](c.Fields)
	was, err := s.Book.RecordsAt(ctx, j.Made, job.Player, job.Racket, job.Machine, job.Stringer)
	if err != nil {
		return
	}
	player := records.As[records.Player](was[job.Player].Fields)
	facts.Stringer = records.As[records.Stringer](was[job.Stringer].Fields).Name
	facts.Player, facts.Racket = cmp.Or(player.Name, facts.Player), cmp.Or(records.As[records.Racket](was[job.Racket].Fields).Mark, facts.Racket)
	facts.Machine.Name = cmp.Or(records.As[records.Machine](was[job.Machine].Fields).Name, facts.Machine.Name)
	if set, _, err := job.Set.Both(); err == nil {
		if ordered, err := measure.ParseTension(c.Entry.Mains); err == nil {
			facts.Offset = set.Minus(ordered)
		}
	}
	facts.Because = job.Reason
	if facts.Price = string(job.Price); job.Price != "" && job.Paid != "" {
		facts.Price += ", paid"
	}
	if n, err := strconv.Atoi(player.Plays); err == nil {
		facts.PlaysAWeek = float64(n)
	}
	if n := len(c.Readings); n > 0 {
		facts.Reading = readingOf(records.As[records.Reading](c.Readings[n-1].Fields))
	}
}

// readingOf is a reading of the book as a ticket tells it.
func readingOf(of records.Reading) *ticket.Reading {
	value, unit, _ := of.Value.Split()
	r := &ticket.Reading{Value: value, Unit: unit}
	if c, _, ok := of.Temperature.Split(); ok {
		r.Celsius = &c
	}
	if d, err := records.Duration(of.After); err == nil {
		r.After = d
	}
	return r
}
