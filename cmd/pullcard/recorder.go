package main

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"pullcard/sequence/book"
	"pullcard/sequence/plan"
	"pullcard/sequence/records"
	progress "pullcard/sequence/run"
)

// recorder writes a job's events into the book, and with the event at which a piece of string is first in the frame that
// it was cut. A new job is written with its first event, so that looking at a job leaves nothing behind.
type recorder struct {
	ctx   context.Context
	book  *book.Book
	mu    sync.Mutex
	draft book.Draft
	id    int64 // 0 until the job is in the book
	uid   string
	known int
	state progress.State
	from  map[plan.Piece]supply
	// parked says that the racket was set aside; the first thing done to it takes it up again.
	parked bool
}

// supply is what a piece of string is cut from and how long it is.
type supply struct {
	stock string // its UID
	mm    float64
}

// Record returns when the event is on the disk.
func (r *recorder) Record(e progress.Event) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if err := r.begin(e); err != nil {
		return err
	}
	next, err := r.state.Apply(e)
	if err != nil {
		return err
	}
	err = r.book.Append(r.ctx, r.id, r.known, e, r.cuts(e)...)
	if moved := (*book.MovedError)(nil); errors.As(err, &moved) {
		return moved // says all that is to be said in the room that there is
	}
	if err != nil {
		return err
	}
	r.known, r.state = r.known+1, next
	if r.parked {
		_, err = r.book.Correct(r.ctx, r.uid, book.Change{Fields: parking(false), At: e.At})
		r.parked = err != nil // the event is kept; parked is only where the racket lies, and is tried again
	}
	return nil
}

// park sets the racket aside.
func (r *recorder) park() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	_, err := r.book.Correct(r.ctx, r.uid, book.Change{Fields: parking(true), At: time.Now()})
	if err == nil {
		r.parked = true
	}
	return err
}

// begin writes a new job.
func (r *recorder) begin(e progress.Event) error {
	if r.id != 0 {
		return nil
	}
	r.draft.At = e.At
	id, err := r.book.NewJob(r.ctx, r.draft)
	if err != nil {
		return err
	}
	j, err := r.book.Job(r.ctx, id)
	if err != nil {
		return err
	}
	r.id, r.uid = id, j.UID
	return nil
}

// cuts are the pieces of string that have been cut when an event happens.
func (r *recorder) cuts(e progress.Event) []book.Record {
	if e.Kind != progress.Done || len(r.from) == 0 {
		return nil
	}
	var list []book.Record
	for _, piece := range r.state.Plan().NewPieces(e.Step) {
		from, ok := r.from[piece]
		if !ok || from.mm <= 0 {
			continue
		}
		list = append(list, book.Record{
			UID:  fmt.Sprintf("%s-cut-%s-%d", r.uid, piece, e.Step), // the same after a step back and done again
			Kind: records.KindCut, At: e.At,
			Fields: records.Texts(records.Cut{Stock: from.stock, Length: metres(from.mm), For: records.ForJob, Piece: string(piece), Job: r.uid}),
		})
	}
	return list
}

// metres writes a length that was cut, to the millimetre.
func metres(mm float64) records.Length { return records.Length(fmt.Sprintf("%.3f m", mm/1000)) }

// parking sets a job aside, or takes it up again.
func parking(parked bool) records.Fields {
	aside, up := records.Job{Parked: records.Parked}, records.Job{}
	if parked {
		return records.Changed(up, aside)
	}
	return records.Changed(aside, up)
}
