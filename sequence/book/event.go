package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"sync"
	"time"

	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
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
// on the disk, with the plan that it brings; otherwise nothing is written. The error is or wraps a *MovedError when
// the job has not that many events, and says what is wrong when the event does not fit where the job stands.
//
// also are records that are written with the event, such as the string that was cut for it; one whose UID the book has
// already is not written again.
func (b *Book) Append(ctx context.Context, job int64, known int, e progress.Event, also ...Record) error {
	err := b.appender.prepare(ctx, b.db)
	if err == nil {
		err = b.write(ctx, func(tx *sql.Tx) error {
			return errors.Join(b.appender.event(ctx, tx, job, known, e), addNew(ctx, tx, also))
		})
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
		{&a.moves, `SELECT first.length, events.kind, events.step, events.what, events.recorded, next.length FROM jobs JOIN plans AS first ON first.id = jobs.plan
			LEFT JOIN events ON events.job = jobs.id LEFT JOIN plans AS next ON next.id = events.plan
			WHERE jobs.id = ? ORDER BY seq`},
		{&a.insert, insertEvent},
		{&a.update, "UPDATE jobs SET state = ?, step = ?, steps = ?, last = ? WHERE id = ?"},
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

func (a *appender) event(ctx context.Context, tx *sql.Tx, job int64, known int, e progress.Event) error {
	at, err := e.At.MarshalText()
	if err != nil {
		return fmt.Errorf("time of the event: %w", err)
	}
	s, have, err := a.state(ctx, tx, job, e)
	if err != nil {
		return err
	}
	if have != known {
		return &MovedError{Job: job, Known: known, Have: have}
	}
	if s, err = s.Apply(e); err != nil {
		return err
	}
	if err := explains(e, known); err != nil {
		return err
	}
	var next sql.NullInt64
	if bringsPlan(e) {
		next.Valid = true
		if next.Int64, err = keepPlan(ctx, tx, e.Plan); err != nil {
			return err
		}
	}
	_, err = tx.StmtContext(ctx, a.insert).ExecContext(ctx, job, known+1, string(at), e.Kind, e.Step, e.What, e.Why, next, e.Of, bringsPlan(e) && e.Recorded())
	if err != nil {
		return err
	}
	_, err = tx.StmtContext(ctx, a.update).ExecContext(ctx, s.Status(), s.Current(), s.Steps(), string(at), job)
	return err
}

const insertEvent = "INSERT INTO events (job, seq, at, kind, step, what, why, plan, of, recorded) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"

// bringsPlan says whether an event brings a plan that is followed from then on.
func bringsPlan(e progress.Event) bool {
	return e.Kind == progress.Mishap || e.Kind == progress.Redo && e.Plan != nil
}

// explains says why an event does not explain one of those that are known.
func explains(e progress.Event, known int) error {
	if (e.Kind == progress.Why) != (e.Of != 0) || e.Of < 0 || e.Of > known {
		return fmt.Errorf("%s does not fit: a why names one of the %d events before it, no other event names one", e.Kind, known)
	}
	return nil
}

// state folds what the book has of a job and counts its events. Whole plans are read only where steps are compared, or
// where an older program left away how many there are.
func (a *appender) state(ctx context.Context, tx *sql.Tx, job int64, next progress.Event) (s progress.State, have int, err error) {
	if !bringsPlan(next) {
		if s, have, err = a.outline(ctx, tx, job); err != nil || s.Plan() != nil {
			return s, have, err
		}
	}
	first, moves, err := history(ctx, tx, job, folder{})
	if err != nil {
		return s, 0, err
	}
	s, err = progress.Fold(first, moves)
	return s, len(moves), err
}

// outline folds a job by what decides where it stands: of events kind and step, of plans how many steps they have. The state
// has no plan where that is not known.
func (a *appender) outline(ctx context.Context, tx *sql.Tx, job int64) (s progress.State, have int, err error) {
	rows, err := tx.StmtContext(ctx, a.moves).QueryContext(ctx, job)
	if err != nil {
		return s, 0, err
	}
	defer rows.Close()
	begun := false
	for rows.Next() {
		var (
			steps      int
			kind, what sql.NullString
			step, next sql.NullInt64
			recorded   sql.NullBool
		)
		if err := rows.Scan(&steps, &kind, &step, &what, &recorded, &next); err != nil {
			return s, 0, err
		}
		if steps == 0 || next.Valid && next.Int64 == 0 {
			return progress.State{}, 0, nil
		}
		if !begun {
			s, begun = progress.Start(blank(steps)), true
		}
		if !kind.Valid {
			continue // the job has no events
		}
		e := progress.Event{Kind: progress.Kind(kind.String), Step: int(step.Int64)}
		if next.Valid {
			e.Plan = outlinePlan(s, int(next.Int64), recorded.Bool, what.String)
		}
		if s, err = s.Apply(e); err != nil {
			return s, 0, fmt.Errorf("event %d: %w", have+1, err)
		}
		have++
	}
	if err := rows.Err(); err != nil {
		return s, 0, err
	}
	if !begun {
		return s, 0, noJob(job)
	}
	return s, have, nil
}

// outlinePlan is the plan that an event brings: the steps that are done, then one of which only that much is known, then blank ones.
func outlinePlan(s progress.State, steps int, recorded bool, what string) *plan.Plan {
	p := blank(steps)
	if done := copy(p.Steps, s.Plan().Steps[:s.Last()]); done < steps {
		p.Steps[done].Record, p.Steps[done].Ops = recorded, []plan.Op{{Op: plan.Fault, Fault: plan.Mishap(what)}}
	}
	return p
}

// blank is a plan of which only the number of steps is known.
func blank(steps int) *plan.Plan { return &plan.Plan{Steps: make([]plan.Step, steps)} }

// events reads a job's events in the order in which they were appended, the plans of mishaps only where there is a folder
// for them.
func events(ctx context.Context, q querier, job int64, s folder) ([]progress.Event, error) {
	list, plans, err := moves(ctx, q, job)
	if s == nil || err != nil {
		return list, err
	}
	for i, id := range plans {
		if id.Valid {
			if list[i].Plan, err = s.plan(ctx, q, id.Int64); err != nil {
				return nil, err
			}
		}
	}
	return list, nil
}

// moves reads a job's events without the plans of mishaps, whose numbers stand beside them.
func moves(ctx context.Context, q querier, job int64) (list []progress.Event, plans []sql.NullInt64, err error) {
	rows, err := q.QueryContext(ctx, "SELECT at, kind, step, what, why, of, plan FROM events WHERE job = ? ORDER BY seq", job)
	if err != nil {
		return nil, nil, err
	}
	defer rows.Close()
	list = []progress.Event{}
	for rows.Next() {
		var e progress.Event
		var id sql.NullInt64
		if err := rows.Scan(moment{&e.At}, &e.Kind, &e.Step, &e.What, &e.Why, &e.Of, &id); err != nil {
			return nil, nil, err
		}
		list, plans = append(list, e), append(plans, id)
	}
	return list, plans, rows.Err()
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
