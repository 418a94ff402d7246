package room

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"pullcard/sequence/book"
)

// Syncer brings a book and a room up to each other. Only one is to work on a book at a time.
type Syncer struct {
	Book *book.Book
	Room Room
	Now  func() time.Time
	// Portion is how many rows go at once, each way; 0 is 500.
	Portion int

	has book.Vector // what the room had after the last full round and since
}

// Round says what came of one.
type Round struct {
	Taken, Given int
	Renewed      bool // the book was found to be an older copy, and has a new epoch
	Forgotten    int  // people
	Waiting      int  // rows that the book has and has not taken in
}

// Round does one full round: what others wrote is taken in, then what this book has is given, and what is forgotten is told. What others
// forgot comes before anything is given, so that nothing is given of them. Stopped anywhere, the next one goes on from there, and
// one that has nothing to do changes nothing. The error is or wraps a *book.ForkError or *CopyError where another file says that
// it is this book, and nothing more is given until a person has decided.
func (s *Syncer) Round(ctx context.Context) (r Round, err error) {
	if err := s.enter(ctx); err != nil {
		return r, err
	}
	if r.Renewed, err = s.behind(ctx); err != nil {
		return r, err
	}
	if err := s.take(ctx, &r, false); err != nil {
		return r, err
	}
	if s.has, err = s.Room.Vector(ctx); err != nil {
		return r, err
	}
	// What is left of those who were forgotten elsewhere has new numbers.
	if err := s.Book.Seal(ctx); err != nil {
		return r, err
	}
	if err := s.give(ctx, &r); err != nil {
		return r, err
	}
	if err := s.forget(ctx); err != nil {
		return r, err
	}
	return r, s.acknowledge(ctx)
}

// short does what is left to do in a round soon after a full one: it asks the room once for what is new, and gives what is new here.
func (s *Syncer) short(ctx context.Context) (r Round, err error) {
	if err := s.take(ctx, &r, true); err != nil {
		return r, err
	}
	n, err := s.Book.Unsealed(ctx)
	if err != nil {
		return r, err
	}
	if n > 0 {
		if err := s.Book.Seal(ctx); err != nil {
			return r, err
		}
		if err := s.give(ctx, &r); err != nil {
			return r, err
		}
	}
	return r, s.forget(ctx)
}

func (s *Syncer) acknowledge(ctx context.Context) error {
	have, err := s.Book.Vector(ctx)
	if err != nil {
		return err
	}
	return s.Room.Acknowledge(ctx, have)
}

// Waiting is how many rows of this bench's own the room has not got, as far as that is known.
func (s *Syncer) Waiting(ctx context.Context) (int64, error) {
	n, err := s.Book.Unsealed(ctx)
	if err != nil || s.has == nil {
		return n, err
	}
	epoch, seq, err := s.Book.OwnEpoch(ctx)
	return n + max(seq-s.has[epoch], 0), err
}

func (s *Syncer) portion() int {
	if s.Portion > 0 {
		return s.Portion
	}
	return 500
}

// enter has the room know the book by a new word.
func (s *Syncer) enter(ctx context.Context) error {
	epoch, _, err := s.Book.OwnEpoch(ctx)
	if err != nil {
		return err
	}
	last, next, err := s.Book.Nonce(ctx)
	if err != nil {
		return err
	}
	err = s.Room.Enter(ctx, epoch, last, next)
	if copied := (*CopyError)(nil); errors.As(err, &copied) { // or another program with this very book was faster
		if again, then, wrong := s.Book.Nonce(ctx); wrong == nil && (again != last || then != next) {
			last, next = again, then
			err = s.Room.Enter(ctx, epoch, last, next)
		}
	}
	if copied := (*CopyError)(nil); errors.As(err, &copied) && copied.Word != "" {
		// A room that was put back from an older copy knows the book by a word that it had before. What it lost this bench gives
		// again, and what others forgot meanwhile it is told again.
		if knew, wrong := s.Book.HadNonce(ctx, copied.Word); wrong == nil && knew {
			if err = s.Room.Enter(ctx, epoch, copied.Word, next); err == nil {
				err = s.Book.RetellEmptied(ctx)
			}
		}
	}
	if copied := (*CopyError)(nil); errors.As(err, &copied) {
		// A file that was put back by hand is behind what the room has of it, and needs an epoch of its own; one that is not could
		// be anybody's.
		if renewed, wrong := s.renewBehind(ctx); wrong != nil || !renewed {
			return errors.Join(err, wrong)
		}
		if epoch, _, err = s.Book.OwnEpoch(ctx); err == nil {
			err = s.Room.Enter(ctx, epoch, last, next)
		}
	}
	if err != nil {
		return err
	}
	return s.Book.ConfirmNonce(ctx)
}

// behind begins a new epoch where the room has rows of this one that the book has not got.
func (s *Syncer) behind(ctx context.Context) (renewed bool, err error) {
	if renewed, err = s.renewBehind(ctx); err != nil || !renewed {
		return false, err
	}
	return true, s.enter(ctx)
}

// renewBehind chains nothing before: what a copy of the book wrote meanwhile, and the room has, must not meet rows of the same numbers here.
func (s *Syncer) renewBehind(ctx context.Context) (renewed bool, err error) {
	has, err := s.Room.Vector(ctx)
	if err != nil {
		return false, err
	}
	epoch, seq, err := s.Book.OwnEpoch(ctx)
	if err != nil || has[epoch] <= seq {
		return false, err
	}
	return true, s.Book.Renew(ctx)
}

// take fetches what others wrote. When few rows came there are hardly more, and short leaves it at that.
func (s *Syncer) take(ctx context.Context, r *Round, short bool) error {
	have, err := s.Book.Vector(ctx)
	if err != nil {
		return err
	}
	rows, err := s.Room.Fetch(ctx, have, s.portion())
	for first := true; err == nil && (first || len(rows) > 0); first = false { // also without rows: some may wait in the book
		// Another program with this book may have taken them in, or written them, meanwhile; the room is not to give again what it was told of.
		if slices.ContainsFunc(rows, func(r book.Row) bool { return r.Seq <= have[r.Epoch] }) {
			return errors.New("the room gives again what the book said that it has; nothing more is taken in")
		}
		for _, r := range rows {
			have[r.Epoch] = r.Seq
		}
		last := len(rows) == 0 || short && len(rows) < s.portion()/10
		next := func() ([]book.Row, error) { return nil, nil }
		if !last {
			next = s.ahead(ctx, have)
		}
		took, wrong := s.Book.Take(ctx, rows, s.Now())
		rows, err = next()
		if wrong != nil {
			return wrong
		}
		r.Taken += took.Rows + took.Late
		r.Forgotten += len(took.Forgotten)
		r.Waiting = took.Waiting
	}
	return err
}

// ahead fetches what comes after a vector while what is in it is taken in.
func (s *Syncer) ahead(ctx context.Context, have book.Vector) (wait func() ([]book.Row, error)) {
	var next []book.Row
	var err error
	done := make(chan struct{})
	go func() {
		defer close(done)
		next, err = s.Room.Fetch(ctx, have, s.portion())
	}()
	return func() ([]book.Row, error) { <-done; return next, err }
}

// give appends what the room has not got of this bench's epochs: also older ones, where the room was put back from an older copy.
func (s *Syncer) give(ctx context.Context, r *Round) error {
	has := s.has
	epochs, err := s.Book.OwnEpochs(ctx)
	if err != nil {
		return err
	}
	have, err := s.Book.Vector(ctx)
	if err != nil {
		return err
	}
	for _, epoch := range epochs {
		if have[epoch] <= has[epoch] {
			continue
		}
		// The last row that the room has goes along: it shows whether that is the same log.
		for at := max(has[epoch]-1, 0); ; {
			rows, err := s.Book.Rows(ctx, epoch, at, s.portion())
			if err != nil {
				return err
			}
			if len(rows) == 0 {
				break
			}
			if err := s.Room.Append(ctx, rows); err != nil {
				return fmt.Errorf("give what this bench wrote: %w", err)
			}
			at = rows[len(rows)-1].Seq
			r.Given += int(max(at-has[epoch], 0))
			has[epoch] = max(at, has[epoch])
		}
	}
	return nil
}

// forget tells the room whose bodies are gone.
func (s *Syncer) forget(ctx context.Context) error {
	list, err := s.Book.Emptied(ctx)
	if err != nil || len(list) == 0 {
		return err
	}
	err = s.Room.Forget(ctx, list)
	if refused := (*RefusedError)(nil); errors.As(err, &refused) {
		return nil // this bench may not; the desk does it when it has taken in who is forgotten, and here it is tried again
	}
	if err != nil {
		return fmt.Errorf("tell the room what is forgotten: %w", err)
	}
	if err := s.enter(ctx); err != nil { // by a word that no older copy of the room has
		return err
	}
	return s.Book.ConfirmEmptied(ctx, list)
}

// Claim takes a job for the bench of the book, over the claim that the book knows of where it is to be taken over. The error is or
// wraps a *HeldError where another bench has it.
func (s *Syncer) Claim(ctx context.Context, bench, job string, over bool) error {
	claims, err := s.Book.Claims(ctx)
	if err != nil {
		return err
	}
	held := claims[job]
	if held.Number > 0 && held.Bench != bench && !over {
		return &HeldError{Job: job, Bench: held.Bench, Number: held.Number, At: held.At}
	}
	number, err := s.Room.Claim(ctx, job, held.Number)
	if mine := (*HeldError)(nil); errors.As(err, &mine) && mine.Bench == bench {
		number, err = mine.Number, nil // it was asked for before, and the answer was lost
	}
	if err != nil {
		return err
	}
	return s.Book.Claim(ctx, book.Claim{Job: job, Number: number, Bench: bench, At: s.Now()})
}

// Missing lists the epochs of benches of which the book has rows that the room has not got, with how many. Those of benches that are
// here come back with their next round; Repair gives the others.
func (s *Syncer) Missing(ctx context.Context) (book.Vector, error) {
	has, err := s.Room.Vector(ctx)
	if err != nil {
		return nil, err
	}
	have, err := s.Book.Vector(ctx)
	if err != nil {
		return nil, err
	}
	out := book.Vector{}
	for epoch, n := range have {
		if n > has[epoch] {
			out[epoch] = n - has[epoch]
		}
	}
	return out, nil
}

// Repair gives the room rows of other benches that it has lost.
func (s *Syncer) Repair(ctx context.Context) (n int, err error) {
	missing, err := s.Missing(ctx)
	if err != nil {
		return 0, err
	}
	has, err := s.Room.Vector(ctx)
	if err != nil {
		return 0, err
	}
	for epoch := range missing {
		for at := has[epoch]; ; {
			rows, err := s.Book.Rows(ctx, epoch, at, s.portion())
			if err != nil {
				return n, err
			}
			if len(rows) == 0 {
				break
			}
			if err := s.Room.Repair(ctx, rows); err != nil {
				return n, fmt.Errorf("put back what the room has lost: %w", err)
			}
			n, at = n+len(rows), rows[len(rows)-1].Seq
		}
	}
	return n, nil
}
