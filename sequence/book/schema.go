package book

import (
	"context"
	"database/sql"
	"fmt"
)

// application marks the file as a record book, "PCBK" in ASCII.
const application = 0x5043424b

// scripts make the book, each from the one before it. Books in the field have some of them behind them: append, and
// never change or remove one.
func scripts() []string {
	return []string{
		// A plan is kept as it was when a job began, since another version of the program may make another one of the
		// same frame, technique and tensions. jobs.state and jobs.step follow from the events and are kept beside them
		// so that a list needs no events. Times are RFC 3339 with their zone; seq, not the time, gives the order.
		`CREATE TABLE plans (
			id          INTEGER PRIMARY KEY,
			fingerprint TEXT NOT NULL,
			body        BLOB NOT NULL
		) STRICT;
		CREATE INDEX plans_fingerprint ON plans (fingerprint);
		CREATE TABLE jobs (
			id        INTEGER PRIMARY KEY,
			player    TEXT NOT NULL,
			racket    TEXT NOT NULL,
			frame     TEXT NOT NULL,
			technique TEXT NOT NULL,
			plan      INTEGER NOT NULL REFERENCES plans (id),
			steps     INTEGER NOT NULL CHECK (steps >= 1),
			step      INTEGER NOT NULL CHECK (step BETWEEN 1 AND steps),
			state     TEXT NOT NULL CHECK (state IN ('open', 'done', 'abandoned')),
			made      TEXT NOT NULL,
			last      TEXT NOT NULL,
			file      TEXT NOT NULL,
			source    BLOB NOT NULL
		) STRICT;
		CREATE INDEX jobs_state ON jobs (state);
		CREATE TABLE events (
			job  INTEGER NOT NULL REFERENCES jobs (id),
			seq  INTEGER NOT NULL,
			at   TEXT NOT NULL,
			kind TEXT NOT NULL,
			step INTEGER NOT NULL,
			what TEXT NOT NULL,
			why  TEXT NOT NULL,
			PRIMARY KEY (job, seq)
		) STRICT, WITHOUT ROWID;`,

		// A mishap brings the plan that is followed from then on; jobs.plan stays the first one, jobs.steps are those of the
		// plan followed now. plans.length, the number of steps, spares reading whole plans where no more is asked; 0 is not
		// known, which a program leaves that knows only the script above and has the book open meanwhile.
		`ALTER TABLE events ADD COLUMN plan INTEGER REFERENCES plans (id);
		ALTER TABLE plans ADD COLUMN length INTEGER NOT NULL DEFAULT 0;
		UPDATE plans SET length = coalesce((SELECT steps FROM jobs WHERE jobs.plan = plans.id), 0);`,
	}
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
	if !m.fresh() && m.application != application {
		return fmt.Errorf("the file belongs to another program; name another file for the book")
	}
	if m.version > len(scripts()) {
		return fmt.Errorf("the book was written by a newer version of this program (book version %d, this program knows up to %d); use that one",
			m.version, len(scripts()))
	}
	// The file keeps this. A copy that was made by other means may have lost it, so it is asked for each time. SQLite does
	// not wait here while another program opens a book that has not got it yet; that program then sets it.
	if _, err := b.db.ExecContext(ctx, "PRAGMA journal_mode = WAL"); err != nil && !busy(err) {
		return err
	}
	return b.migrate(ctx, m.version, scripts())
}

// migrate runs the scripts that a book of a version lacks, each in one transaction with the version that it leads to.
func (b *Book) migrate(ctx context.Context, version int, scripts []string) error {
	for version < len(scripts) {
		err := b.write(ctx, func(tx *sql.Tx) error {
			m, err := readMark(ctx, tx) // another program may have been faster
			if err != nil || m.version != version {
				version = m.version
				return err
			}
			_, err = tx.ExecContext(ctx, fmt.Sprintf("%s; PRAGMA application_id = %d; PRAGMA user_version = %d",
				scripts[version], application, version+1))
			version++
			return err
		})
		if err != nil {
			return err
		}
	}
	return nil
}
