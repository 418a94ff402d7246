package postgres

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"sync"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"pullcard/sequence/book"
	"pullcard/sequence/room"
)

// Room is what a bench has of a room on a server: one connection, made when it is first needed and again when it broke.
type Room struct {
	target *Target
	bench  string
	turn   chan struct{} // whoever has put one in has the connection
	conn   *pgx.Conn
	// through says that the portions of the log had nothing more for this bench.
	through bool

	mu     sync.Mutex
	asking int    // how many want the connection
	hush   func() // has a Wait give the connection up
}

var _ room.Room = (*Room)(nil)

// Join gives what a bench has of a room. Nothing is reached yet.
func Join(t *Target, bench string) *Room {
	return &Room{target: t, bench: bench, turn: make(chan struct{}, 1), hush: func() {}}
}

// Close gives the connection back.
func (r *Room) Close() {
	_ = r.do(context.Background(), "leave", func(ctx context.Context, c *pgx.Conn) error { return c.Close(ctx) })
}

// take gets the connection for itself.
func (r *Room) take(ctx context.Context) error {
	r.ask(1)
	defer r.ask(-1)
	select {
	case r.turn <- struct{}{}:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (r *Room) ask(n int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.asking += n
	r.hush()
}

func (r *Room) give() { <-r.turn }

// do does something with the connection.
func (r *Room) do(ctx context.Context, what string, f func(context.Context, *pgx.Conn) error) error {
	ctx, cancel := context.WithTimeout(ctx, r.target.limits.Connect+r.target.limits.Statement)
	defer cancel()
	err := r.take(ctx)
	if err == nil {
		defer r.give()
		if err = r.reach(ctx); err == nil {
			err = f(ctx, r.conn)
		}
	}
	return r.problem(what, err)
}

// reach connects where there is no connection.
func (r *Room) reach(ctx context.Context) error {
	if r.conn != nil && !r.conn.IsClosed() {
		return nil
	}
	c, err := r.target.connect(ctx)
	if err != nil {
		return err
	}
	v, err := version(ctx, c)
	switch {
	case err != nil:
	case v == 0:
		err = fmt.Errorf("there is no room in %s yet; its owner makes it with pullcard room open", r.target)
	case v < schema:
		err = fmt.Errorf("the room in %s is of an older program; its owner brings it up to date with pullcard room open", r.target)
	}
	if err == nil {
		// What keeps a copy up to date for others to read cannot say that something is new; there it is looked for.
		if _, err = c.Exec(ctx, "LISTEN pullcard"); code(err) == "25006" || code(err) == "0A000" {
			err = nil
		}
	}
	if err != nil {
		return errors.Join(err, c.Close(ctx))
	}
	r.conn, r.through = c, false
	return nil
}

// problem makes of what the server said what a Room says.
func (r *Room) problem(what string, err error) error {
	var said *pgconn.PgError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &said):
		switch said.Code {
		case "PC001", "PC005":
			return &room.RefusedError{Why: said.Message, Later: said.Code == "PC005"}
		case "PC002":
			seq, _ := strconv.ParseInt(said.Hint, 10, 64) // as the function wrote it
			return &book.ForkError{Epoch: said.Detail, Seq: seq}
		case "PC004":
			held := &room.HeldError{}
			if err = json.Unmarshal([]byte(said.Detail), held); err == nil {
				held.At = held.At.Local() // the server has a clock's place of its own
				return held
			}
		case "55P03":
			return &room.RefusedError{Why: "somebody else is at it at this moment", Later: true}
		case "42501":
			return &room.RefusedError{Why: fmt.Sprintf("the login %s may not do that: %s", r.target.config.User, said.Message)}
		}
	}
	return fmt.Errorf("%s: room %s: %w", what, r.target, err)
}

// Enter implements room.Room.
func (r *Room) Enter(ctx context.Context, epoch, last, next string) error {
	err := r.do(ctx, "enter", func(ctx context.Context, c *pgx.Conn) error {
		_, err := c.Exec(ctx, "SELECT pullcard.enter($1, $2, $3, $4)", r.bench, epoch, last, next)
		return err
	})
	if said := (*pgconn.PgError)(nil); errors.As(err, &said) && said.Code == "PC003" {
		return &room.CopyError{Bench: said.Detail, Epoch: epoch, Word: said.Hint}
	}
	return err
}

// Vector implements room.Room.
func (r *Room) Vector(ctx context.Context) (v book.Vector, err error) {
	v = book.Vector{}
	err = r.do(ctx, "ask what it has", func(ctx context.Context, c *pgx.Conn) error {
		rows, err := c.Query(ctx, "SELECT epoch, seq FROM pullcard.epochs")
		if err != nil {
			return err
		}
		var epoch string
		var seq int64
		_, err = pgx.ForEachRow(rows, []any{&epoch, &seq}, func() error { v[epoch] = seq; return nil })
		return err
	})
	return v, err
}

// Append implements room.Room.
func (r *Room) Append(ctx context.Context, rows []book.Row) error { return r.add(ctx, false, rows) }

// Repair implements room.Room. Only the owner of the room may do it.
func (r *Room) Repair(ctx context.Context, rows []book.Row) error { return r.add(ctx, true, rows) }

func (r *Room) add(ctx context.Context, repair bool, rows []book.Row) error {
	n := len(rows)
	benches, epochs, kinds := make([]string, n), make([]string, n), make([]string, n)
	seqs := make([]int64, n)
	digests, hashes, bodies := make([][]byte, n), make([][]byte, n), make([][]byte, n)
	for i, row := range rows {
		benches[i], epochs[i], kinds[i], seqs[i] = row.Bench, row.Epoch, row.Kind, row.Seq
		digests[i], hashes[i], bodies[i] = row.Digest, row.Hash, row.Body
	}
	err := r.do(ctx, "give rows", func(ctx context.Context, c *pgx.Conn) error {
		_, err := c.Exec(ctx, "SELECT pullcard.append($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)",
			r.bench, room.Version, repair, benches, epochs, seqs, kinds, digests, hashes, bodies)
		return err
	})
	if refused := (*room.RefusedError)(nil); errors.As(err, &refused) && !refused.Later {
		least, wrong := r.Least(ctx)
		refused.Old = wrong == nil && room.Version < least
	}
	return err
}

// Forget implements room.Room. Only desk and owner may do it; what the server keeps in backups of its own goes when those go.
func (r *Room) Forget(ctx context.Context, rows []book.Place) error {
	epochs, seqs := make([]string, len(rows)), make([]int64, len(rows))
	for i, p := range rows {
		epochs[i], seqs[i] = p.Epoch, p.Seq
	}
	return r.do(ctx, "take bodies away", func(ctx context.Context, c *pgx.Conn) error {
		_, err := c.Exec(ctx, "SELECT pullcard.forget($1, $2)", epochs, seqs)
		return err
	})
}

// Acknowledge implements room.Room.
func (r *Room) Acknowledge(ctx context.Context, have book.Vector) error {
	return r.do(ctx, "say what this bench has", func(ctx context.Context, c *pgx.Conn) error {
		_, err := c.Exec(ctx, "SELECT pullcard.acknowledge($1, $2)", r.bench, have)
		return err
	})
}

// Members implements room.Room.
func (r *Room) Members(ctx context.Context) (list []room.Member, err error) {
	err = r.do(ctx, "list the benches", func(ctx context.Context, c *pgx.Conn) error {
		rows, err := c.Query(ctx, "SELECT bench, login, seen, has, gone FROM pullcard.members ORDER BY bench COLLATE \"C\"")
		if err != nil {
			return err
		}
		list, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (m room.Member, err error) {
			err = row.Scan(&m.Bench, &m.Login, &m.Seen, &m.Has, &m.Gone)
			return m, err
		})
		return err
	})
	return list, err
}

// Claim implements room.Room.
func (r *Room) Claim(ctx context.Context, job string, over int) (number int, err error) {
	err = r.do(ctx, "claim a job", func(ctx context.Context, c *pgx.Conn) error {
		return c.QueryRow(ctx, "SELECT pullcard.claim($1, $2, $3)", r.bench, job, over).Scan(&number)
	})
	return number, err
}

// Wait implements room.Room. It gives the connection up to whoever asks for something meanwhile, and returns then too.
func (r *Room) Wait(ctx context.Context) error {
	poll, cancel := context.WithTimeout(ctx, r.target.limits.Poll)
	defer cancel()
	if err := r.take(poll); err != nil {
		return ctx.Err()
	}
	defer r.give()
	reach, stop := context.WithTimeout(ctx, r.target.limits.Connect)
	err := r.reach(reach)
	stop()
	if err != nil {
		return r.problem("wait for something new", errors.Join(ctx.Err(), err))
	}
	r.setHush(cancel)
	defer r.setHush(func() {})
	for {
		n, err := r.conn.WaitForNotification(poll)
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case poll.Err() != nil:
			return nil
		case err != nil:
			return r.problem("wait for something new", err)
		case n.PID != r.conn.PgConn().PID():
			return nil
		}
	}
}

func (r *Room) setHush(hush func()) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.hush = hush
	if r.asking > 0 {
		hush()
	}
}
