package book

import (
	"context"
	"database/sql"
	"fmt"
)

// application marks the file as a record book, "PCBK" in ASCII.
const application = 0x5043424b

// fillIn gives a book what a script alone cannot: hashes and what a record said when. scripts[version-1] was run just before.
func fillIn(ctx context.Context, tx *sql.Tx, version int) error {
	if version != logVersion {
		return nil
	}
	return fillLog(ctx, tx)
}

// mark is what a file says of itself.
type mark struct{ application, version, tables int }

func (m mark) fresh() bool { return m == mark{} }

func readMark(ctx context.Context, q querier) (m mark, err error) {
	err = q.QueryRowContext(ctx, `SELECT application_id, user_version, (SELECT count(*) FROM sqlite_schema)
		FROM pragma_application_id, pragma_user_version`).Scan(&m.application, &m.version, &m.tables)
	return m, err
}

// querier is a database or a transaction.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// ready checks that the file is a book and brings it up to date. Nothing is written to a file that is none.
func (b *Book) ready(ctx context.Context) error {
	m, err := readMark(ctx, b.db)
	if err != nil {
		return err
	}
	if err := m.checkOurs(); err != nil {
		return err
	}
	if err := m.own(ctx, b.db); err != nil {
		return err
	}
	// The file keeps this. A copy that was made by other means may have lost it, so it is asked for each time. SQLite does
	// not wait here while another program opens a book that has not got it yet; that program then sets it.
	if b.alone != nil {
		_, err := b.db.ExecContext(ctx, "PRAGMA journal_mode = DELETE; BEGIN EXCLUSIVE; COMMIT") // the lock stays from now on
		if err != nil {
			return err
		}
	} else if _, err := b.db.ExecContext(ctx, "PRAGMA journal_mode = WAL"); err != nil && !busy(err) {
		return err
	}
	return b.migrate(ctx, m.version, scripts())
}

// migrate runs the scripts that a book of a version lacks, each in one transaction with the version that it leads to.
func (b *Book) migrate(ctx context.Context, version int, scripts []string) error {
	b.knows = len(scripts)
	for version < len(scripts) {
		err := b.write(ctx, func(tx *sql.Tx) error {
			m, err := readMark(ctx, tx) // another program may have been faster
			if err != nil || m.version != version {
				version = m.version
				return err
			}
			_, err = tx.ExecContext(ctx, fmt.Sprintf("%s; PRAGMA application_id = %d; PRAGMA user_version = %d",
				scripts[version], application, version+1))
			if version++; err != nil {
				return err
			}
			return fillIn(ctx, tx, version)
		})
		if err != nil {
			return err
		}
	}
	return nil
}
