package seat

import (
	"context"
	"errors"
	"fmt"

	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/room"
	"pullcard/sequence/shop"
)

// Open opens a job that this bench takes in the room, with over from the bench that has it. Away from the room, or where that does not
// answer soon, it goes on all the same; nothing is taken where the seat is nil.
func (s *Seat) Open(ctx context.Context, over bool, open shop.Opener) (shop.Bench, error) {
	b, err := open(ctx)
	if err != nil || s == nil || b.Recorder.Job() == "" {
		return b, err
	}
	if _, err := s.Take(ctx, book.Root(b.Recorder.Job()), over); err != nil {
		if held := (*room.HeldError)(nil); errors.As(err, &held) {
			err = fmt.Errorf("%w; choose it on the rack to take it over", err)
		}
		return shop.Bench{}, err
	}
	return open(ctx) // taking it wrote to it
}

// Recorder keeps the events of a job, and tells the room in its own time that this bench has the racket.
type Recorder struct {
	*shop.Recorder
	seat *Seat
}

// Recorder is a job's recorder at this seat, which is nil where the book is in no room.
func (s *Seat) Recorder(r *shop.Recorder) Recorder { return Recorder{r, s} }

// Record returns when the event is on the disk.
func (r Recorder) Record(ctx context.Context, e progress.Event) error {
	fresh := r.Job() == ""
	err := r.Recorder.Record(ctx, e)
	if err == nil && fresh && r.seat != nil {
		r.seat.Want(book.Root(r.Job()))
	}
	return err
}
