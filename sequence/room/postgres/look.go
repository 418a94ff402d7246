package postgres

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"
)

// Tip is how far a room has an epoch.
type Tip struct {
	Bench, Epoch string
	Seq          int64
	Lack         []Lack // benches that are waited for and have not said that they have all of it
}

// Lack is how many rows of an epoch a bench has not got.
type Lack struct {
	Bench string
	Rows  int64
}

// Tips lists the epochs that the room has, by bench.
func (r *Room) Tips(ctx context.Context) (list []Tip, err error) {
	err = r.do(ctx, "ask what it has", func(ctx context.Context, c *pgx.Conn) error {
		rows, err := c.Query(ctx, `SELECT e.bench, e.epoch, e.seq, coalesce(json_agg(json_build_object('Bench', m.bench, 'Rows', m.lack) ORDER BY m.bench)
				FILTER (WHERE m.lack > 0), '[]') FROM pullcard.epochs e
			LEFT JOIN LATERAL (SELECT bench, e.seq - coalesce((has ->> e.epoch)::bigint, 0) AS lack FROM pullcard.members
				WHERE NOT gone AND seen > clock_timestamp() - (SELECT silent FROM pullcard.room)) m ON true
			GROUP BY e.bench, e.epoch, e.seq ORDER BY e.bench, e.epoch`)
		if err != nil {
			return err
		}
		list, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (t Tip, err error) {
			err = row.Scan(&t.Bench, &t.Epoch, &t.Seq, &t.Lack)
			return t, err
		})
		return err
	})
	return list, err
}

// Least is the least version of the rows that the room takes.
func (r *Room) Least(ctx context.Context) (least int, err error) {
	err = r.do(ctx, "ask what it takes", func(ctx context.Context, c *pgx.Conn) error {
		return c.QueryRow(ctx, "SELECT least FROM pullcard.room").Scan(&least)
	})
	return least, err
}

// Hash is the hash of a row, nil where the room has not got it.
func (r *Room) Hash(ctx context.Context, epoch string, seq int64) (hash []byte, err error) {
	err = r.do(ctx, "look at a row", func(ctx context.Context, c *pgx.Conn) error {
		return c.QueryRow(ctx, "SELECT (SELECT hash FROM pullcard.envelopes WHERE epoch = $1 AND seq = $2)", epoch, seq).Scan(&hash)
	})
	return hash, err
}

// Wall is what the wall shows and how long ago a bench wrote it by the server's clock, nothing where none did yet.
func (r *Room) Wall(ctx context.Context) (text string, ago time.Duration, err error) {
	err = r.do(ctx, "look at the wall", func(ctx context.Context, c *pgx.Conn) error {
		err := c.QueryRow(ctx, "SELECT shows, clock_timestamp() - at FROM pullcard.board").Scan(&text, &ago)
		if errors.Is(err, pgx.ErrNoRows) {
			return nil
		}
		return err
	})
	return text, ago, err
}

// Leave says that the bench will not come again.
func (r *Room) Leave(ctx context.Context) error {
	return r.do(ctx, "leave", func(ctx context.Context, c *pgx.Conn) error {
		_, err := c.Exec(ctx, "SELECT pullcard.leave($1)", r.bench)
		return err
	})
}

// Show writes what the wall shows.
func (r *Room) Show(ctx context.Context, text string) error {
	return r.do(ctx, "write what the wall shows", func(ctx context.Context, c *pgx.Conn) error {
		_, err := c.Exec(ctx, "SELECT pullcard.show($1, $2)", r.bench, text)
		return err
	})
}
