package book

import (
	"context"
	"database/sql"
	"errors"
)

// seatScript gives a book a place for the room that it is in. It is of this file and goes into no export and no log.
const seatScript = `CREATE TABLE seat (
		one INTEGER PRIMARY KEY CHECK (one = 1),
		url TEXT NOT NULL
	) STRICT`

// Seat is the bench that the book is of and the URL of the room that it is in, each empty where there is none.
func (b *Book) Seat(ctx context.Context) (bench, url string, err error) {
	err = b.db.QueryRowContext(ctx, "SELECT bench, coalesce((SELECT url FROM seat), '') FROM sources WHERE id = (SELECT source FROM self)").Scan(&bench, &url)
	if err != nil {
		return "", "", b.problem("look which room it is in", err)
	}
	return bench, url, nil
}

// SetRoom writes down the URL of the room that the book is in, empty for none.
func (b *Book) SetRoom(ctx context.Context, url string) error {
	err := b.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "DELETE FROM seat; INSERT INTO seat SELECT 1, ?1 WHERE ?1 <> ''", url)
		return err
	})
	if err != nil {
		return b.problem("note which room it is in", err)
	}
	return nil
}

// Unsealed is how many rows of its own the book has that were never ready to be given to anybody.
func (b *Book) Unsealed(ctx context.Context) (n int64, err error) {
	err = b.db.QueryRowContext(ctx, "SELECT self.seq - sources.seq FROM self JOIN sources ON sources.id = self.source").Scan(&n)
	if err != nil && !errors.Is(err, context.Canceled) {
		err = b.problem("count what waits", err)
	}
	return n, err
}

// Changed tells after a change that this program made. Several changes may be told of once, and it may tell when there was none.
func (b *Book) Changed() <-chan struct{} { return b.stir }
