package book

import (
	"context"
	"database/sql"
)

// wordsScript has a book know the words again by which a room knew it: one that knows it by such a word was put back from an older copy.
const wordsScript = `CREATE TABLE words (
		n    INTEGER PRIMARY KEY,
		word TEXT NOT NULL UNIQUE
	) STRICT`

// Nonce is the word by which a room knew this file last, and the one by which it will know it from now on, which is written down before
// the room is told. A copy of the file soon has neither of those that the room knows.
func (b *Book) Nonce(ctx context.Context) (last, next string, err error) {
	err = b.writeBeside(ctx, func(tx *sql.Tx) error {
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

// ConfirmNonce says that the room knows the book by the next word now.
func (b *Book) ConfirmNonce(ctx context.Context) error {
	err := b.writeBeside(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT OR IGNORE INTO words (word) SELECT next FROM self WHERE next <> '';
			DELETE FROM words WHERE n < (SELECT max(n) FROM words) - 100000;
			UPDATE self SET nonce = next, next = '' WHERE next <> ''`) // else another program said so already
		return err
	})
	if err != nil {
		return b.problem("say who it is", err)
	}
	return nil
}

// HadNonce says whether a room once knew the book by a word.
func (b *Book) HadNonce(ctx context.Context, word string) (did bool, err error) {
	err = b.db.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM words WHERE word = ?)", word).Scan(&did)
	if err != nil {
		err = b.problem("look by which words it was known", err)
	}
	return did, err
}

// RetellEmptied has the room told once more of all rows that lost their bodies, as it has them again when it was put back from an older copy.
func (b *Book) RetellEmptied(ctx context.Context) error {
	err := b.writeBeside(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT OR IGNORE INTO emptied SELECT source, seq FROM log WHERE digest IS NOT NULL AND body IS NULL")
		return err
	})
	if err != nil {
		return b.problem("list what is forgotten", err)
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
	list, err = allRows(ctx, b.db, func(rows *sql.Rows) (p Place, err error) { return p, rows.Scan(&p.Epoch, &p.Seq) },
		"SELECT epoch, emptied.seq FROM emptied JOIN sources ON sources.id = emptied.source ORDER BY emptied.source, emptied.seq")
	if err != nil {
		return nil, b.problem("list what is forgotten", err)
	}
	return list, nil
}

// ConfirmEmptied says that the room knows of rows that lost their bodies.
func (b *Book) ConfirmEmptied(ctx context.Context, list []Place) error {
	err := b.writeBeside(ctx, func(tx *sql.Tx) error {
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
