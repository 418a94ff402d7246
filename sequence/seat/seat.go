// Package seat is the place that a book has in a room on a server: how it is taken and left, how the room stands, and what a program
// with screens is told of it. Only here and in sequence/room/postgres the server's library is linked.
//
// Begin with Take, which has a book join a room; Of gives the seat of a book that joined one, Here does something at it.
package seat

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"pullcard/sequence/book"
	"pullcard/sequence/room"
	"pullcard/sequence/room/postgres"
	"pullcard/sequence/shop"
)

// Seat is the place of a shop's book in a room.
type Seat struct {
	*room.Keeper
	Room   *postgres.Room
	Target *postgres.Target

	shop   *shop.Shop
	posted string    // what the wall was told last
	at     time.Time // and when
}

// errNoRoom says what to do where a book is in no room.
var errNoRoom = errors.New("this book is in no room; pullcard room join URL --as K takes a seat for bench K")

// Of gives the seat of a shop's book in the room that it joined; nothing is reached yet. The seat is nil where it is in none.
func Of(ctx context.Context, s *shop.Shop, l room.Limits) (*Seat, error) {
	bench, url, err := s.Book.Seat(ctx)
	if err != nil || url == "" {
		return nil, err
	}
	return at(s, url, bench, l)
}

func at(s *shop.Shop, url, bench string, l room.Limits) (*Seat, error) {
	t, err := postgres.At(url, l)
	if err != nil {
		return nil, err
	}
	r := postgres.Join(t, bench)
	return &Seat{Keeper: room.NewKeeper(room.Syncer{Book: s.Book, Room: r, Now: s.Now}, bench, nil), Room: r, Target: t, shop: s}, nil
}

// Here does something at the seat of a shop's book. The error says what to do where it has none.
func Here(ctx context.Context, s *shop.Shop, l room.Limits, do func(*Seat) error) error {
	seat, err := Of(ctx, s, l)
	if err == nil && seat == nil {
		err = errNoRoom
	}
	if err != nil {
		return err
	}
	defer seat.Room.Close()
	return do(seat)
}

// Reach does something in the room that a URL names, as a bench that may have no book.
func Reach(url, bench string, l room.Limits, do func(*postgres.Room) error) error {
	t, err := postgres.At(url, l)
	if err != nil {
		return err
	}
	r := postgres.Join(t, bench)
	defer r.Close()
	return do(r)
}

// Take takes a seat for a shop's book in a room, and does a first round. again says that the bench was there before with another book.
func Take(ctx context.Context, s *shop.Shop, url, bench string, again bool, l room.Limits) (r room.Round, err error) {
	was, sat, err := s.Book.Seat(ctx)
	if err != nil {
		return r, err
	}
	if sat != "" && sat != url {
		return r, fmt.Errorf("this book is in a room already, as bench %s; pullcard room leave takes it out", was)
	}
	if err := book.BenchName(bench); err != nil {
		return r, err
	}
	seat, err := at(s, url, bench, l)
	if err != nil {
		return r, err
	}
	defer seat.Room.Close()
	list, err := seat.Room.Members(ctx)
	if err != nil {
		return r, err
	}
	for _, m := range list {
		if m.Bench == bench && !m.Gone && !again && (was != bench || sat == "") {
			return r, fmt.Errorf("bench %s is in the room already, seen at %s; choose another name or, where this is that bench with a new book, add --again",
				bench, m.Seen.In(s.Now().Location()).Format("2006-01-02 15:04"))
		}
	}
	if err := s.Book.Join(ctx, bench); err != nil {
		return r, err
	}
	if err := s.Book.SetRoom(ctx, url); err != nil {
		return r, err
	}
	r, err = seat.Round(ctx)
	if copied := (*room.CopyError)(nil); errors.As(err, &copied) && (again || was != bench || sat == "") {
		if err = s.Book.Renew(ctx); err == nil { // who joins says that this file goes on by itself
			r, err = seat.Round(ctx)
		}
	}
	for later(err) && ctx.Err() == nil {
		select {
		case <-ctx.Done():
		case <-time.After(5 * time.Second):
		}
		before := r
		r, err = seat.Round(ctx)
		r.Given, r.Taken = r.Given+before.Given, r.Taken+before.Taken
	}
	if refused := (*room.RefusedError)(nil); errors.As(err, &refused) {
		err = errors.Join(err, s.Book.SetRoom(ctx, sat), s.Book.Join(ctx, cmp.Or(was, bench)))
	}
	return r, err
}

// Leave gives the room what it has not got yet, and gives the seat up. The book keeps everything. With away it does not matter
// whether the room is reached.
func (s *Seat) Leave(ctx context.Context, away bool) error {
	_, err := s.Round(ctx)
	if err == nil {
		err = s.Room.Leave(ctx)
	}
	if err != nil && !away {
		return fmt.Errorf("%w\nnothing is changed; pullcard room leave --away leaves without giving what waits", err)
	}
	return s.Book.SetRoom(ctx, "")
}

// RepairFrom is Repair as somebody who may: the one of a URL, or this bench where that is empty.
func (s *Seat) RepairFrom(ctx context.Context, url string, l room.Limits) (n int, err error) {
	if url == "" {
		return s.Repair(ctx)
	}
	err = Reach(url, s.Bench, l, func(r *postgres.Room) error {
		as := s.Syncer
		as.Room = r
		n, err = as.Repair(ctx)
		return err
	})
	return n, err
}

// anew is how long what the wall was told holds. Benches tell it again after that, though nothing changed, so that it knows that they
// are there.
const anew = 4 * time.Minute

// post writes what the wall shows, where it is another than the bench wrote last or that is long ago.
func (s *Seat) post(ctx context.Context, as shop.Naming) error {
	w, err := s.shop.Wall(ctx, as)
	if err != nil {
		return err
	}
	text, err := json.Marshal(w)
	if err != nil || string(text) == s.posted && s.Now().Sub(s.at) < anew {
		return err
	}
	if err := s.Room.Show(ctx, string(text)); err != nil {
		if later(err) {
			return nil // somebody else writes it at this moment; after the next round it is held against this again
		}
		return err
	}
	s.posted, s.at = string(text), s.Now()
	return nil
}
