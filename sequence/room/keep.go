package room

import (
	"context"
	"errors"
	"sync"
	"time"

	"pullcard/sequence/book"
)

// Status is how a bench stands to its room.
type Status struct {
	Alone   time.Time // since when the room was not reached, zero while it is
	Waiting int64     // rows of its own that the room has not got
	Err     error     // why it is alone
	News    bool      // something of others came in
	Newer   int       // rows that are kept until a newer program takes them in
}

// How often a keeper looks.
const (
	full   = 5 * time.Minute       // after how long a whole round is done though nothing went wrong
	least  = time.Second           // how long it waits after one that did go wrong, longer each time,
	most   = 30 * time.Second      // and at most
	pause  = 80 * time.Millisecond // between two rounds, so that who sends notices without end costs no more
	breath = 25 * time.Millisecond // how long a change is left alone, so that who made it sees it painted first
)

// Keeper brings a book and a room up to each other as long as it is kept running, and is asked by a bench for claims meanwhile. It
// is what a program with screens has; nothing there waits for it.
type Keeper struct {
	Syncer
	Bench string
	// Tell is called with each change of how the bench stands, from the keeper's goroutine.
	Tell func(Status)
	// After is called after a round in which something came or went, at most once in a while, nil for nothing.
	After func(context.Context) error

	after  time.Time // when it was called last
	due    bool      // something came or went since
	said   time.Time // when the room was told last between full rounds what the bench has
	unsaid bool      // it has more since
	mu     sync.Mutex
	turn   sync.Mutex // of rounds and claims
	status Status
	wanted map[string]bool // jobs to claim where nobody has them
	ask    chan struct{}
}

// NewKeeper makes a keeper of a syncer.
func NewKeeper(s Syncer, bench string, tell func(Status)) *Keeper {
	return &Keeper{Syncer: s, Bench: bench, Tell: tell, wanted: map[string]bool{}, ask: make(chan struct{}, 1)}
}

// Status is how the bench stands now.
func (k *Keeper) Status() Status {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.status
}

// Want has the keeper claim a job for the bench soon, unless somebody has it by then. It waits for nothing. A lesson
// is the bench's own, and nobody is asked.
func (k *Keeper) Want(job string) {
	if book.Lesson(job) {
		return
	}
	k.mu.Lock()
	k.wanted[job] = true
	k.mu.Unlock()
	select {
	case k.ask <- struct{}{}:
	default:
	}
}

// Run keeps book and room up to each other until ctx is done.
func (k *Keeper) Run(ctx context.Context) {
	wait, last := least, time.Time{}
	for ctx.Err() == nil {
		whole := last.IsZero() || k.Now().Sub(last) > full
		r, err := k.round(ctx, whole)
		if ctx.Err() != nil {
			return
		}
		k.stand(ctx, r, err)
		if err != nil {
			last = time.Time{}
			k.rest(ctx, wait, true)
			wait = min(2*wait, most)
			continue
		}
		if wait = least; whole {
			last = k.Now()
		}
		k.rest(ctx, pause, false)
		k.idle(ctx)
	}
}

func (k *Keeper) round(ctx context.Context, whole bool) (r Round, err error) {
	k.turn.Lock()
	defer k.turn.Unlock()
	if whole {
		r, err = k.Round(ctx)
	} else {
		r, err = k.short(ctx)
	}
	if err == nil {
		err = k.claims(ctx, &r)
	}
	k.due = k.due || r.Given+r.Taken > 0 || whole
	if err == nil && k.After != nil && k.due && k.Now().Sub(k.after) > seldom {
		k.after, k.due = k.Now(), false
		err = k.After(ctx)
	}
	k.unsaid = (k.unsaid || r.Given+r.Taken > 0) && !whole
	if err == nil && k.unsaid && k.Now().Sub(k.said) > saying {
		k.said, k.unsaid = k.Now(), false
		err = k.acknowledge(ctx)
	}
	return r, err
}

// seldom is how long there is at least between two calls of After, saying between two times that the room is told what the bench has.
const (
	seldom = 2 * time.Second
	saying = 10 * time.Second
)

// claims asks for the jobs that are wanted, and gives what that wrote.
func (k *Keeper) claims(ctx context.Context, r *Round) error {
	k.mu.Lock()
	wanted := k.wanted
	k.wanted = map[string]bool{}
	k.mu.Unlock()
	for job := range wanted {
		claims, err := k.Book.Claims(ctx)
		if err != nil {
			return err
		}
		if claims[job].Number > 0 {
			continue // by this bench, or by one that was faster: who works on asks before taking over
		}
		err = k.Claim(ctx, k.Bench, job, false)
		held, refused := (*HeldError)(nil), (*RefusedError)(nil)
		switch {
		case err == nil || errors.As(err, &held):
		case errors.As(err, &refused) && refused.Later:
			k.Want(job)
		default:
			k.Want(job)
			return err
		}
	}
	if len(wanted) == 0 {
		return nil
	}
	more, err := k.short(ctx)
	r.Given += more.Given
	r.Taken += more.Taken
	return err
}

// stand works out how the bench stands after a round.
func (k *Keeper) stand(ctx context.Context, r Round, err error) {
	waiting, wrong := k.Syncer.Waiting(ctx)
	k.mu.Lock()
	was := k.status
	now := Status{Waiting: waiting, Err: errors.Join(err, wrong), News: r.Taken > 0, Newer: was.Newer}
	if err != nil {
		if now.Alone = was.Alone; now.Alone.IsZero() {
			now.Alone = k.Now()
		}
	}
	if r.Taken > 0 && r.Waiting == 0 {
		now.Newer = 0
	} else if r.Waiting > 0 {
		now.Newer = k.newer(ctx)
	}
	k.status = now
	k.mu.Unlock()
	if now.News || !now.Alone.Equal(was.Alone) || now.Waiting != was.Waiting || now.Newer != was.Newer {
		if k.Tell != nil {
			k.Tell(now)
		}
	}
}

// newer counts the rows that a newer program wrote.
func (k *Keeper) newer(ctx context.Context) (n int) {
	list, err := k.Book.Unfit(ctx)
	if err != nil {
		return 0 // the next round says what is wrong with the book
	}
	for _, u := range list {
		if u.Newer {
			n++
		}
	}
	return n
}

// rest waits. Alone it counts what comes to wait meanwhile.
func (k *Keeper) rest(ctx context.Context, d time.Duration, alone bool) {
	t := time.NewTimer(d)
	defer t.Stop()
	var changed <-chan struct{}
	if alone {
		changed = k.Book.Changed()
	}
	for {
		select {
		case <-changed:
			k.stand(ctx, Round{}, k.Status().Err)
			continue
		case <-t.C:
		case <-ctx.Done():
		}
		return
	}
}

// idle returns when there may be something to do.
func (k *Keeper) idle(ctx context.Context) {
	wait, cancel := context.WithCancel(ctx)
	come := make(chan struct{})
	go func() {
		defer close(come)
		_ = k.Room.Wait(wait) // the round that follows finds out what is wrong
	}()
	defer func() { cancel(); <-come }()
	for {
		select {
		case <-come:
			return
		case <-k.ask:
			return
		case <-k.Book.Changed():
			k.rest(ctx, breath, false)
			if n, err := k.Book.Unsealed(ctx); n > 0 || err != nil {
				return
			}
		}
	}
}

// Take claims a job for the bench, over another's claim where that was asked, and returns soon, whatever the room does: reached says
// whether the room decided. Where it did not the bench may go on all the same; what both do then is kept apart. The error is a
// *HeldError where another bench has it.
func (k *Keeper) Take(ctx context.Context, job string, over bool) (reached bool, err error) {
	if book.Lesson(job) {
		return false, nil
	}
	if !k.Status().Alone.IsZero() {
		return false, k.takeAlone(ctx, job, over)
	}
	wait, cancel := context.WithTimeout(ctx, soon)
	defer cancel()
	done := make(chan error, 1)
	go func() {
		k.turn.Lock()
		defer k.turn.Unlock()
		if wait.Err() != nil {
			done <- wait.Err()
			return
		}
		done <- k.Claim(wait, k.Bench, job, over)
	}()
	select {
	case err = <-done:
	case <-wait.Done():
		err = wait.Err()
	}
	held := (*HeldError)(nil)
	if err == nil || errors.As(err, &held) {
		return true, err
	}
	return false, k.takeAlone(ctx, job, over)
}

// takeAlone takes a job without the room. Where somebody has it the number is the bench's own guess, and what both do is kept apart.
func (k *Keeper) takeAlone(ctx context.Context, job string, over bool) error {
	claims, err := k.Book.Claims(ctx)
	if err != nil {
		return err
	}
	switch held := claims[job]; {
	case held.Number == 0:
		k.Want(job)
		return nil
	case held.Bench == k.Bench:
		return nil
	case !over:
		return &HeldError{Job: job, Bench: held.Bench, Number: held.Number, At: held.At}
	default:
		return k.Book.Claim(ctx, book.Claim{Job: job, Number: held.Number + 1, Bench: k.Bench, At: k.Now()})
	}
}

// soon is how long a stringer who takes a racket waits for the room at most.
const soon = 500 * time.Millisecond
