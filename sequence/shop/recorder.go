package shop

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"sync"
	"time"

	"pullcard/sequence/book"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// Recorder writes a job's events into the book, and with the event at which a piece of string is first in the frame that
// it was cut. A new job is written with its first event, so that looking at a job leaves nothing behind.
type Recorder struct {
	book  *book.Book
	mu    sync.Mutex
	draft book.Draft
	id    int64 // 0 until the job is in the book
	uid   string
	known []progress.Event
	state progress.State
	taken *book.TakenError // who took the racket over, as far as was asked
	from  map[plan.Piece]supply
	// parked says that the racket was set aside; the first thing done to it takes it up again.
	parked bool
}

// supply is what a piece of string is cut from and how long it is.
type supply struct {
	stock string // its UID
	mm    float64
	cut   bool // the first was entered at the desk
}

// benchCut is how the UIDs of the cuts begin that the bench notes.
func benchCut(uid, piece string) string { return fmt.Sprintf("%s-cut-%s-", uid, piece) }

// Record returns when the event is on the disk.
func (r *Recorder) Record(ctx context.Context, e progress.Event) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	next, err := r.state.Apply(e)
	if err != nil {
		return err
	}
	if r.id == 0 {
		err = r.begin(ctx, e)
	} else {
		err = r.book.Append(ctx, r.id, len(r.known), e, r.cuts(r.uid, e)...)
	}
	if lost := (*book.LostError)(nil); errors.As(err, &lost) {
		err = r.salvage(ctx, lost, e)
	}
	if errors.As(err, &r.taken) {
		return r.taken
	}
	if moved := (*book.MovedError)(nil); errors.As(err, &moved) {
		return moved // says all that is to be said in the room that there is
	}
	if err != nil {
		return err
	}
	r.known, r.state, r.taken = append(r.known, e), next, nil
	if r.parked {
		_, err = r.book.Correct(ctx, r.uid, book.Change{Fields: parking(false), At: e.At})
		r.parked = err != nil // the event is kept; parked is only where the racket lies, and is tried again
	}
	return nil
}

// enter writes a job that waits, with all that happened at it and what was cut for it, at once.
func (r *Recorder) enter(ctx context.Context, events []progress.Event) (err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	d, state, cuts := r.draft, r.state, []book.Record{}
	d.At = events[0].At
	of := Recorder{from: r.from, state: state}
	for _, e := range events {
		cuts = append(cuts, of.cuts(d.UID, e)...)
		if of.state, err = of.state.Apply(e); err != nil {
			return err
		}
	}
	if r.id, err = r.book.Enter(ctx, d, events, cuts...); err != nil {
		return err
	}
	r.uid, r.known, r.state = d.UID, events, of.state
	return nil
}

// salvage goes on with what is known of the job here, where the book went away and nothing else could be saved.
func (r *Recorder) salvage(ctx context.Context, lost *book.LostError, e progress.Event) error {
	d := r.draft
	d.UID = cmp.Or(r.uid, d.UID)
	if d.At.IsZero() {
		d.At = e.At
	}
	id, err := r.book.Salvage(ctx, lost, d, append(slices.Clone(r.known), e))
	if err != nil {
		return err
	}
	j, err := r.book.Job(ctx, id)
	if err == nil {
		r.id, r.uid, r.from, r.parked = id, j.UID, nil, false // the stock is in the lost book
	}
	return err
}

// Alarm is what has to be known at once: where the work is kept since the book went away, or that another bench has taken the racket
// over. It is empty for nothing. The book is asked where others did something; each event asks by itself.
func (r *Recorder) Alarm(ctx context.Context, others bool) string {
	r.mu.Lock()
	defer r.mu.Unlock()
	if text := elsewhere(r.book); text != "" {
		return text
	}
	if others && r.id != 0 {
		if err := r.book.Held(ctx, r.id); err == nil {
			r.taken = nil
		} else {
			errors.As(err, &r.taken) // a book that cannot be read says so with the next event
		}
	}
	if r.taken == nil {
		return ""
	}
	return fmt.Sprintf("TAKEN OVER by bench %s at %s: nothing counts here; the rack takes it back", r.taken.Bench, r.taken.At.Format("15:04"))
}

// Job is the UID of the job's record, empty until it is in the book.
func (r *Recorder) Job() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.uid
}

// Park sets the racket aside.
func (r *Recorder) Park(ctx context.Context, at time.Time) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	_, err := r.book.Correct(ctx, r.uid, book.Change{Fields: parking(true), At: at})
	if err == nil {
		r.parked = true
	}
	return err
}

// begin writes a new job with its first event.
func (r *Recorder) begin(ctx context.Context, e progress.Event) error {
	r.draft.At = e.At
	id, uid, err := r.book.Begin(ctx, r.draft, e, func(uid string) []book.Record { return r.cuts(uid, e) })
	if err == nil {
		r.id, r.uid = id, uid
	}
	return err
}

// cuts are the pieces of string of a job, by its UID, that have been cut when an event happens.
func (r *Recorder) cuts(uid string, e progress.Event) []book.Record {
	p := r.state.Plan()
	switch {
	case len(r.from) == 0:
		return nil
	case e.Recorded():
		p = e.Plan // what was done of the step in hand when something went wrong
	case e.Kind != progress.Done:
		return nil
	}
	var list []book.Record
	for _, piece := range p.NewPieces(e.Step) {
		from, ok := r.from[piece]
		if !ok || from.mm <= 0 || from.cut && !slices.Contains(p.After(e.Step-1).Begun(), piece) {
			continue
		}
		list = append(list, book.Record{
			UID:  benchCut(uid, string(piece)) + strconv.Itoa(e.Step), // the same after a step back and done again
			Kind: records.KindCut, At: e.At,
			Fields: records.Texts(records.Cut{Stock: from.stock, Length: metres(from.mm), For: records.ForJob, Piece: string(piece), Job: uid}),
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
