package shop

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"pullcard/sequence/book"
	"pullcard/sequence/room"
	"pullcard/sequence/room/postgres"
)

// Seat is this book's place in a room.
type Seat struct {
	*room.Keeper
	Room   *postgres.Room
	Target *postgres.Target

	posted string // what the wall was told last
}

// errNoRoom says what to do where a book is in no room.
var errNoRoom = errors.New("this book is in no room; pullcard room join URL --as K takes a seat for bench K")

// Seat gives the book's place in the room that it joined; nothing is reached yet. The seat is nil where it is in none. tell is called
// with each change of how the bench stands once the seat is kept running.
func (s *Shop) Seat(ctx context.Context, l postgres.Limits, tell func(room.Status)) (*Seat, error) {
	bench, url, err := s.Book.Seat(ctx)
	if err != nil || url == "" {
		return nil, err
	}
	return s.seat(url, bench, l, tell)
}

func (s *Shop) seat(url, bench string, l postgres.Limits, tell func(room.Status)) (*Seat, error) {
	t, err := postgres.At(url, l)
	if err != nil {
		return nil, err
	}
	r := postgres.Join(t, bench)
	return &Seat{Keeper: room.NewKeeper(room.Syncer{Book: s.Book, Room: r, Now: s.Now}, bench, tell), Room: r, Target: t}, nil
}

// InRoom does something at the book's seat. The error says what to do where there is none.
func (s *Shop) InRoom(ctx context.Context, l postgres.Limits, do func(*Seat) error) error {
	seat, err := s.Seat(ctx, l, nil)
	if err == nil && seat == nil {
		err = errNoRoom
	}
	if err != nil {
		return err
	}
	defer seat.Room.Close()
	return do(seat)
}

// JoinRoom takes a seat for the book in a room, and does a first round. again says that the bench was there before with another book.
func (s *Shop) JoinRoom(ctx context.Context, url, bench string, again bool, l postgres.Limits) (r room.Round, err error) {
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
	seat, err := s.seat(url, bench, l, nil)
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
	if err := s.Book.Sit(ctx, url); err != nil {
		return r, err
	}
	r, err = seat.Round(ctx)
	if refused := (*room.RefusedError)(nil); errors.As(err, &refused) {
		err = errors.Join(err, s.Book.Sit(ctx, sat), s.Book.Join(ctx, cmp.Or(was, bench)))
	}
	return r, err
}

// LeaveRoom gives the room what it has not got yet, and gives the seat up. The book keeps everything. With away it does not matter
// whether the room is reached.
func (s *Shop) LeaveRoom(ctx context.Context, away bool, l postgres.Limits) error {
	return s.InRoom(ctx, l, func(seat *Seat) error {
		_, err := seat.Round(ctx)
		if err == nil {
			err = seat.Room.Leave(ctx)
		}
		if err != nil && !away {
			return fmt.Errorf("%w\nnothing is changed; pullcard room leave --away leaves without giving what waits", err)
		}
		return s.Book.Sit(ctx, "")
	})
}

// RoomMember is a bench as another one sees it.
type RoomMember struct {
	Bench  string    `json:"bench"`
	Login  string    `json:"login"`
	Seen   time.Time `json:"seen"`
	Gone   bool      `json:"left,omitempty"`
	Behind int64     `json:"behind"` // rows of the room that it had not got when it said last what it has
}

// RoomState is how a room stands, as one bench sees it.
type RoomState struct {
	Bench   string               `json:"bench"`
	Room    string               `json:"room"`
	Way     string               `json:"way"`
	Rows    int64                `json:"rows"`
	Waiting int64                `json:"waiting"`          // rows of this bench that the room has not got
	Missing int64                `json:"missing"`          // rows of other benches that this book has and the room has not
	Unfit   []book.Unfit         `json:"unfit,omitempty"`  // rows that are kept and not taken in
	Shared  [][]string           `json:"shared,omitempty"` // benches that come as the same login each
	Members []RoomMember         `json:"members"`
	Ahead   map[string]time.Time `json:"ahead,omitempty"` // benches whose clocks were more than a day ahead of this one's
}

// RoomState asks how the room stands.
func (s *Shop) RoomState(ctx context.Context, seat *Seat) (st RoomState, err error) {
	st = RoomState{Bench: seat.Bench, Room: seat.Target.String(), Way: seat.Target.Way()}
	has, err := seat.Room.Vector(ctx)
	if err != nil {
		return st, err
	}
	list, err := seat.Room.Members(ctx)
	if err != nil {
		return st, err
	}
	logins := map[string][]string{}
	for _, n := range has {
		st.Rows += n
	}
	for _, m := range list {
		behind := int64(0)
		for epoch, n := range has {
			behind += max(n-m.Has[epoch], 0)
		}
		st.Members = append(st.Members, RoomMember{m.Bench, m.Login, m.Seen, m.Gone, behind})
		if !m.Gone {
			logins[m.Login] = append(logins[m.Login], m.Bench)
		}
	}
	for _, login := range slices.Sorted(maps.Keys(logins)) {
		if len(logins[login]) > 1 {
			st.Shared = append(st.Shared, logins[login])
		}
	}
	own, err := s.Book.OwnEpochs(ctx)
	if err != nil {
		return st, err
	}
	missing, err := seat.Missing(ctx)
	if err != nil {
		return st, err
	}
	if st.Waiting, err = s.Book.Unsealed(ctx); err != nil {
		return st, err
	}
	for epoch, n := range missing {
		if slices.Contains(own, epoch) {
			st.Waiting += n
		} else {
			st.Missing += n
		}
	}
	if st.Unfit, err = s.Book.Unfit(ctx); err != nil {
		return st, err
	}
	st.Ahead, err = s.Book.Ahead(ctx, s.Now())
	return st, err
}

// RoomFinding is what differs between a room and a book, or a bench that has not all.
type RoomFinding string

// CheckRoom holds the room against the book: who has what, and whether the logs are the same as far as both have them.
func (s *Shop) CheckRoom(ctx context.Context, seat *Seat) (list []RoomFinding, err error) {
	add := func(format string, args ...any) { list = append(list, RoomFinding(fmt.Sprintf(format, args...))) }
	tips, err := seat.Room.Tips(ctx)
	if err != nil {
		return nil, err
	}
	have, err := s.Book.Vector(ctx)
	if err != nil {
		return nil, err
	}
	own, err := s.Book.OwnEpochs(ctx)
	if err != nil {
		return nil, err
	}
	for _, t := range tips {
		if n := min(t.Seq, have[t.Epoch]); n > 0 {
			here, err := s.Book.Rows(ctx, t.Epoch, n-1, 1)
			if err != nil {
				return nil, err
			}
			there, err := seat.Room.Hash(ctx, t.Epoch, n)
			if err != nil {
				return nil, err
			}
			if len(here) != 1 || !bytes.Equal(here[0].Hash, there) {
				add("bench %s, %s: row %d is another one here than in the room", t.Bench, t.Epoch, n)
			}
		}
		if n := t.Seq - have[t.Epoch]; n > 0 {
			add("bench %s, %s: %d rows of the room are not in this book; pullcard room sync fetches them", t.Bench, t.Epoch, n)
		}
		delete(have, t.Epoch)
		for _, m := range t.Lack {
			add("bench %s has not said that it has all of bench %s, %s: %d rows are to come", m.Bench, t.Bench, t.Epoch, m.Rows)
		}
	}
	missing, err := seat.Missing(ctx)
	if err != nil {
		return nil, err
	}
	for _, epoch := range slices.Sorted(maps.Keys(missing)) {
		whose := "of a bench that is not here, " + epoch + ": the owner of the room puts them back with pullcard room repair"
		if slices.Contains(own, epoch) {
			whose = "of this bench: pullcard room sync gives them"
		}
		add("the room has lost or not yet got %d rows %s", missing[epoch], whose)
	}
	return list, nil
}
