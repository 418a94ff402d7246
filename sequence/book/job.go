package book

import (
	"context"
	"database/sql"
	"fmt"
	"time"

	"pullcard/sequence/plan"
	"pullcard/sequence/run"
)

// Draft is a job before it is in the book.
type Draft struct {
	Player, Racket string // as people write them, may be empty
	File           string // the job file's path
	Source         []byte // its content, from which the plan was made
	At             time.Time
	Plan           *plan.Plan // has steps
}

// Entry is what a list shows of a job. Its JSON form is the beginning of the export's.
type Entry struct {
	ID          int64      `json:"id"`
	Player      string     `json:"player"`
	Racket      string     `json:"racket"`
	Frame       string     `json:"frame"`
	Technique   string     `json:"technique"`
	Fingerprint string     `json:"plan"` // of the first plan: a mishap makes no other job of it
	State       run.Status `json:"state"`
	Step        int        `json:"step"`  // the current one, the last one when the job is done
	Steps       int        `json:"steps"` // of the plan that is followed now
	File        string     `json:"-"`
	Made        time.Time  `json:"-"`
	Last        time.Time  `json:"-"` // when the last event happened, Made when there is none
}

// Job is a job with everything that the book knows of it. run.Fold of Plan and Events gives where it stands and the plan
// that is followed now.
type Job struct {
	Entry
	Source []byte
	Plan   *plan.Plan  // the first one
	Events []run.Event // those of mishaps with their plans
}

// Filter chooses jobs. The zero Filter chooses all.
type Filter struct {
	State run.Status // only jobs in this state, unless empty
}

// NewJob writes a job that stands at its first step and returns its number. Jobs with the very same plan share it.
func (b *Book) NewJob(ctx context.Context, d Draft) (id int64, err error) {
	if d.Plan == nil || len(d.Plan.Steps) == 0 {
		return 0, fmt.Errorf("book: a job needs a plan with steps")
	}
	at, err := d.At.MarshalText()
	if err != nil {
		return 0, fmt.Errorf("book: time of the job: %w", err)
	}
	err = b.write(ctx, func(tx *sql.Tx) error {
		planID, err := keepPlan(ctx, tx, d.Plan)
		if err != nil {
			return err
		}
		return tx.QueryRowContext(ctx, `INSERT INTO jobs (player, racket, frame, technique, plan, steps, step, state, made, last, file, source)
			VALUES (?1, ?2, ?3, ?4, ?5, ?6, 1, ?7, ?8, ?8, ?9, ?10) RETURNING id`,
			d.Player, d.Racket, d.Plan.Frame, d.Plan.Technique, planID, len(d.Plan.Steps), run.Open, string(at), d.File,
			nonNil(d.Source)).Scan(&id)
	})
	if err != nil {
		return 0, b.problem("write the new job", err)
	}
	return id, nil
}

// nonNil keeps an empty source from becoming NULL.
func nonNil(source []byte) []byte {
	if source == nil {
		return []byte{}
	}
	return source
}

// Jobs lists jobs, the open ones first and among them the newest first.
func (b *Book) Jobs(ctx context.Context, f Filter) ([]Entry, error) {
	query, args := selectEntries, []any{}
	if f.State != "" {
		query, args = query+" WHERE state = ?", []any{f.State}
	}
	list, err := entries(ctx, b.db, query+" ORDER BY state <> 'open', jobs.id DESC", args...)
	if err != nil {
		return nil, b.problem("list the jobs", err)
	}
	return list, nil
}

const selectEntries = `SELECT jobs.id, player, racket, frame, technique, fingerprint, state, step, steps, file, made, last
	FROM jobs JOIN plans ON plans.id = jobs.plan`

func entries(ctx context.Context, q querier, query string, args ...any) (list []Entry, err error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		e, err := scanEntry(rows)
		if err != nil {
			return nil, err
		}
		list = append(list, e)
	}
	return list, rows.Err()
}

func scanEntry(rows *sql.Rows) (e Entry, err error) {
	err = rows.Scan(&e.ID, &e.Player, &e.Racket, &e.Frame, &e.Technique, &e.Fingerprint, &e.State, &e.Step, &e.Steps,
		&e.File, moment{&e.Made}, moment{&e.Last})
	return e, err
}

// Job reads one job. The error says so when the book has no such job.
func (b *Book) Job(ctx context.Context, id int64) (*Job, error) {
	var j Job
	err := b.read(ctx, func(tx *sql.Tx) error {
		list, err := entries(ctx, tx, selectEntries+" WHERE jobs.id = ?", id)
		if err != nil {
			return err
		}
		if len(list) == 0 {
			return noJob(id)
		}
		j.Entry = list[0]
		if err := tx.QueryRowContext(ctx, "SELECT source FROM jobs WHERE id = ?", id).Scan(&j.Source); err != nil {
			return err
		}
		j.Source = nonNil(j.Source)
		j.Plan, j.Events, err = history(ctx, tx, id)
		return err
	})
	if err != nil {
		return nil, b.problem(fmt.Sprintf("read job %d", id), err)
	}
	return &j, nil
}

func noJob(id int64) error { return fmt.Errorf("there is no job %d in it", id) }
