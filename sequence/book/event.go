package book

import (
	"context"
	"database/sql"
	"fmt"
	"sync"
	"time"

	"pullcard/sequence/run"
)

// MovedError reports that a job has other events than the caller knows: another program has written to it. The event
// was not written; read the job again.
type MovedError struct {
	Job         int64
	Known, Have int // number of events
}

// Error says what to do.
func (e *MovedError) Error() string {
	return fmt.Sprintf("another program has worked on job %d (%d events are known here, the book has %d); take the job up again",
		e.Job, e.Known, e.Have)
}

// Append records an event of a job of which the caller knows the first known events. When it returns nil the event is
// on the disk; otherwise nothing is written. The error is or wraps a *MovedError when the job has not that many events,
// and says what is wrong when the event does not fit where the job stands.
func (b *Book) Append(ctx context.Context, job int64, known int, e run.Event) error {
	err := b.appender.prepare(ctx, b.db)
	if err == nil {
		err = b.write(ctx, func(tx *sql.Tx) error { return b.appender.event(ctx, tx, job, known, e) })
	}
	if err != nil {
		return b.problem(fmt.Sprintf("write to job %d", job), err)
	}
	return nil
}

// appender holds the statements of Append, compiled at its first use so that opening a book need not wait for them.
type appender struct {
	mu                    sync.Mutex
	moves, insert, update *sql.Stmt
}

func (a *appender) prepare(ctx context.Context, db *sql.DB) (err error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	for _, s := range []struct {
		stmt  **sql.Stmt
		query string
	}{
		{&a.moves, `SELECT steps, events.kind, events.step FROM jobs LEFT JOIN events ON events.job = jobs.id
			WHERE jobs.id = ? ORDER BY seq`},
		{&a.insert, "INSERT INTO events (job, seq, at, kind, step, what, why) VALUES (?, ?, ?, ?, ?, ?, ?)"},
		{&a.update, "UPDATE jobs SET state = ?, step = ?, last = ? WHERE id = ?"},
	} {
		if *s.stmt != nil {
			continue
		}
		if *s.stmt, err = db.PrepareContext(ctx, s.query); err != nil {
			return err
		}
	}
	return nil
}

func (a *appender) event(ctx context.Context, tx *sql.Tx, job int64, known int, e run.Event) error {
	at, err := e.At.MarshalText()
	if err != nil {
		return fmt.Errorf("time of the event: %w", err)
	}
	s, have, err := a.state(ctx, tx, job)
	if err != nil {
		return err
	}
	if have != known {
		return &MovedError{Job: job, Known: known, Have: have}
	}
	if s, err = s.Apply(e); err != nil {
		return err
	}
	_, err = tx.StmtContext(ctx, a.insert).ExecContext(ctx, job, known+1, string(at), e.Kind, e.Step, e.What, e.Why)
	if err != nil {
		return err
	}
	_, err = tx.StmtContext(ctx, a.update).ExecContext(ctx, s.Status(), s.Current(), string(at), job)
	return err
}

// state folds what the book has of a job and counts its events. Only kind and step matter for it.
func (a *appender) state(ctx context.Context, tx *sql.Tx, job int64) (s run.State, have int, err error) {
	rows, err := tx.StmtContext(ctx, a.moves).QueryContext(ctx, job)
	if err != nil {
		return s, 0, err
	}
	defer rows.Close()
	var (
		steps int
		moves []run.Event
		kind  sql.NullString
		step  sql.NullInt64
	)
	for rows.Next() {
		if err := rows.Scan(&steps, &kind, &step); err != nil {
			return s, 0, err
		}
		if kind.Valid {
			moves = append(moves, run.Event{Kind: run.Kind(kind.String), Step: int(step.Int64)})
		}
	}
	if err := rows.Err(); err != nil {
		return s, 0, err
	}
	if steps == 0 {
		return s, 0, noJob(job)
	}
	s, err = run.Start(steps).ApplyAll(moves)
	return s, len(moves), err
}

// events reads a job's events in the order in which they were appended.
func events(ctx context.Context, q querier, job int64) ([]run.Event, error) {
	rows, err := q.QueryContext(ctx, "SELECT at, kind, step, what, why FROM events WHERE job = ? ORDER BY seq", job)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	list := []run.Event{}
	for rows.Next() {
		var e run.Event
		if err := rows.Scan(moment{&e.At}, &e.Kind, &e.Step, &e.What, &e.Why); err != nil {
			return nil, err
		}
		list = append(list, e)
	}
	return list, rows.Err()
}

// moment reads a time with its zone and all its digits.
type moment struct{ t *time.Time }

// Scan implements sql.Scanner.
func (m moment) Scan(v any) error {
	text, ok := v.(string)
	if !ok {
		return fmt.Errorf("a time is text, not %T", v)
	}
	return m.t.UnmarshalText([]byte(text))
}
