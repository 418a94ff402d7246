package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"
)

// Claim says that a bench works on a job. Of several claims on a job the one with the greatest number holds.
type Claim struct {
	Job    string // the UID of its record
	Number int    // from 1
	Bench  string
	At     time.Time
}

// TakenError reports that another bench has taken a job over. The event was not written.
type TakenError struct {
	Job   int64
	Bench string
	At    time.Time
}

// Error says what to do.
func (e *TakenError) Error() string {
	return fmt.Sprintf("bench %s took job %d over at %s; take it over again to go on with it here", e.Bench, e.Job, e.At.Format("15:04"))
}

// Claim records that this bench has taken a job, under a number that whoever decides about claims gave it. What is done at the
// job from then on, in whichever attempt, carries that number.
func (b *Book) Claim(ctx context.Context, c Claim) error {
	err := b.write(ctx, func(tx *sql.Tx) error {
		if _, err := record(ctx, tx, c.Job); err != nil {
			return err
		}
		after, err := newEncoder(ctx, tx).last(c.Job)
		if err != nil {
			return err
		}
		if _, err := claim(ctx, tx, claimBody{c.Job, c.Number, c.Bench, c.At, after}); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, "UPDATE jobs SET claim = ?1 WHERE (uid = ?2 OR of = ?2 AND of <> '') AND claim < ?1", c.Number, c.Job)
		return err
	})
	if err != nil {
		return b.problem("claim a job", err)
	}
	return nil
}

// claim writes a claim unless it is there.
func claim(ctx context.Context, q querier, c claimBody) (id int64, err error) {
	at, err := c.At.MarshalText()
	if err != nil {
		return 0, err
	}
	// A room that was put back from an older copy may give a number twice. Then both claims stay.
	err = q.QueryRowContext(ctx, "INSERT INTO claims (job, number, bench, at, after) VALUES (?, ?, ?, ?, ?) ON CONFLICT DO UPDATE SET at = at RETURNING id",
		c.Job, c.Number, c.Bench, string(at), c.After).Scan(&id)
	if err != nil {
		return 0, err
	}
	err = q.QueryRowContext(ctx, "UPDATE jobs SET held = max(held, ?1) WHERE uid = ?2 OR of = ?2 AND of <> '' RETURNING 0", c.Number, c.Job).Scan(new(int))
	if errors.Is(err, sql.ErrNoRows) {
		err = nil // it has not been begun
	}
	return id, err
}

// Root is the UID of the job at which one of a UID is an attempt, the same where it is the job itself.
func Root(uid string) string {
	uid, _, _ = strings.Cut(uid, "+")
	return uid
}

// Attempts says which bench made each attempt that is not the job's own line, by their UIDs, as far as that is known.
func (b *Book) Attempts(ctx context.Context) (map[string]string, error) {
	out := map[string]string{}
	err := eachRow(ctx, b.db, func(rows *sql.Rows) error {
		var uid, bench string
		err := rows.Scan(&uid, &bench)
		out[uid] = bench
		return err
	}, "SELECT uid, bench FROM jobs JOIN claims ON claims.job = of AND number = (SELECT max(claim) FROM events WHERE events.job = jobs.id) WHERE of <> ''")
	if err != nil {
		return nil, b.problem("list the attempts", err)
	}
	return out, nil
}

// Claims lists the claim that holds of each job that has one, by the UIDs of the jobs.
func (b *Book) Claims(ctx context.Context) (out map[string]Claim, err error) {
	out = map[string]Claim{}
	err = eachRow(ctx, b.db, func(rows *sql.Rows) error {
		var c Claim
		err := rows.Scan(&c.Job, &c.Number, &c.Bench, moment{&c.At})
		out[c.Job] = c
		return err
	}, "SELECT job, number, bench, at FROM claims ORDER BY number, bench DESC, at DESC")
	if err != nil {
		return nil, b.problem("list the claims", err)
	}
	return out, nil
}

// Held reports whether this bench may go on with a job; the error is a *TakenError where another one has taken it over.
func (b *Book) Held(ctx context.Context, job int64) error { return takenOver(ctx, b.db, job) }

// takenOver says when a job was taken over from this bench, nil where it was not.
func takenOver(ctx context.Context, q querier, job int64) error {
	e := &TakenError{Job: job}
	err := q.QueryRowContext(ctx, "SELECT bench, at FROM claims JOIN jobs ON claims.job = CASE jobs.of WHEN '' THEN jobs.uid ELSE jobs.of END AND jobs.held > jobs.claim WHERE jobs.id = ? ORDER BY number DESC LIMIT 1", job).
		Scan(&e.Bench, moment{&e.At})
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	if err != nil {
		return err
	}
	return e
}
