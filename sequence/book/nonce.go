package book

import (
	"context"
	"database/sql"
)

// Nonce is the word by which a room knew this file last, and the one by which it will know it from now on, which is written down before
// the room is told. A copy of the file soon has neither of those that the room knows.
func (b *Book) Nonce(ctx context.Context) (last, next string, err error) {
	err = b.write(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, "UPDATE self SET next = ? WHERE next = ''", salt()); err != nil {
			return err
		}
		return tx.QueryRowContext(ctx, "SELECT nonce, next FROM self").Scan(&last, &next)
	})
	if err != nil {
		return "", "", b.problem("say who it is", err)
	}
	return last, next, nil
}

// Known says that the room knows the book by the next word now.
func (b *Book) Known(ctx context.Context) error {
	err := b.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "UPDATE self SET nonce = next, next = '' WHERE next <> ''") // else another program said so already
		return err
	})
	if err != nil {
		return b.problem("say who it is", err)
	}
	return nil
}

// Place names a row by its epoch and number.
type Place struct {
	Epoch string
	Seq   int64
}

// Emptied lists rows that lost their bodies since somebody was forgotten, and of which no room was told yet.
func (b *Book) Emptied(ctx context.Context) (list []Place, err error) {
	rows, err := b.db.QueryContext(ctx, "SELECT epoch, emptied.seq FROM emptied JOIN sources ON sources.id = emptied.source ORDER BY emptied.source, emptied.seq")
	if err != nil {
		return nil, b.problem("list what is forgotten", err)
	}
	defer rows.Close()
	for rows.Next() {
		var p Place
		if err := rows.Scan(&p.Epoch, &p.Seq); err != nil {
			return nil, b.problem("list what is forgotten", err)
		}
		list = append(list, p)
	}
	if err := rows.Err(); err != nil {
		return nil, b.problem("list what is forgotten", err)
	}
	return list, nil
}

// Told says that the room knows of rows that lost their bodies.
func (b *Book) Told(ctx context.Context, list []Place) error {
	err := b.write(ctx, func(tx *sql.Tx) error {
		for _, p := range list {
			_, err := tx.ExecContext(ctx, "DELETE FROM emptied WHERE seq = ? AND source = (SELECT id FROM sources WHERE epoch = ?)", p.Seq, p.Epoch)
			if err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return b.problem("note what the room was told", err)
	}
	return nil
}
