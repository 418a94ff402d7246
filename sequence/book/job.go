package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// Draft is a job before it is begun.
type Draft struct {
	// UID is that of a job which waits in the book already, empty for a new one.
	UID string
	// Job is what is known of the job besides; what the waiting job says already stays.
	Job            records.Job
	Player, Racket string // as people write them, may be empty
	File           string // the job file's path
	Source         []byte // its content, from which the plan was made
	Machine        string // by its name, may be empty
	Stringer       string // likewise
	At             time.Time
	Plan           *plan.Plan // has steps
	// Lesson says that it is one, which no room hears of.
	Lesson bool
	// Alone refuses it while a job of the same file and plan is in work.
	Alone bool
}

// Entry is what a list shows of a job. Its JSON form is the beginning of the export's.
type Entry struct {
	ID          int64           `json:"id"`
	UID         string          `json:"-"` // that of the job's record
	Player      string          `json:"player"`
	Racket      string          `json:"racket"`
	Frame       string          `json:"frame"`
	Technique   string          `json:"technique"`
	Fingerprint string          `json:"plan"` // of the first plan: a mishap makes no other job of it
	State       progress.Status `json:"state"`
	Step        int             `json:"step"`  // the current one, the last one when the job is done
	Steps       int             `json:"steps"` // of the plan that is followed now
	Mains       string          `json:"-"`     // the tensions as ordered
	Crosses     string          `json:"-"`
	File        string          `json:"-"`
	Made        time.Time       `json:"-"`
	Last        time.Time       `json:"-"` // when the last event happened, Made when there is none
}

// Job is a job with everything that the book knows of it. progress.Fold of Plan and Events gives where it stands and the plan
// that is followed now.
type Job struct {
	Entry
	Source []byte
	Plan   *plan.Plan       // the first one
	Events []progress.Event // those of mishaps with their plans
}

// Draft is the job as one that is begun anew, where its work goes on in another book.
func (j *Job) Draft() Draft {
	return Draft{Player: j.Player, Racket: j.Racket, File: j.File, Source: j.Source, At: j.Made, Plan: j.Plan, Lesson: Lesson(j.UID)}
}

// Filter chooses jobs. The zero Filter chooses all.
type Filter struct {
	State progress.Status // only jobs in this state, unless empty
}

// NewJob writes a job that stands at its first step and returns its number. Jobs with the very same plan share it. The
// player, the racket and the machine that the draft names are taken from the book's records, and added where there is
// none of that name.
func (b *Book) NewJob(ctx context.Context, d Draft) (id int64, err error) {
	err = b.write(ctx, func(tx *sql.Tx) error {
		id, _, err = writeJob(ctx, tx, d)
		return err
	})
	if err != nil {
		return 0, b.problem("write the new job", err)
	}
	return id, nil
}

// Begin is NewJob and Append of its first event at once: all of it or nothing is written, and the disk is waited for once. also are the
// records that are written with the event, by the UID of the job's record, which is returned beside its number.
func (b *Book) Begin(ctx context.Context, d Draft, e progress.Event, also func(uid string) []Record) (id int64, uid string, err error) {
	err = b.write(ctx, func(tx *sql.Tx) error {
		if id, uid, err = writeJob(ctx, tx, d); err != nil {
			return err
		}
		return errors.Join(b.appender.event(ctx, tx, id, 0, e), addNew(ctx, tx, also(uid)))
	})
	if err != nil {
		return 0, "", b.problem("write the new job", err)
	}
	b.appender.tell(id, 1, e.At.Format(time.RFC3339Nano))
	return id, uid, nil
}

// writeJob gives a job's number and the UID of its record.
func writeJob(ctx context.Context, tx *sql.Tx, d Draft) (id int64, uid string, err error) {
	if d.Plan == nil || len(d.Plan.Steps) == 0 {
		return 0, "", errors.New("a job needs a plan with steps")
	}
	at, err := d.At.MarshalText()
	if err != nil {
		return 0, "", fmt.Errorf("time of the job: %w", err)
	}
	card, err := begin(ctx, tx, d)
	if err != nil {
		return 0, "", err
	}
	planID, err := keepPlan(ctx, tx, d.Plan)
	if err != nil {
		return 0, "", err
	}
	root := jobBody{Player: d.Player, Racket: d.Racket, File: d.File, Source: nonNil(d.Source), Salt: salt()}.cut()
	gone, err := ofForgotten(ctx, tx, card.UID)
	if err != nil {
		return 0, "", err
	}
	if gone {
		root = root.unsaid()
	}
	t := d.Plan.Terms
	// A program that knows of no records may have taken the record's number; then the job gets another.
	err = tx.QueryRowContext(ctx, `INSERT INTO jobs (id, uid, player, racket, frame, technique, plan, steps, step, state, made, last, file, source, mains, crosses, salt, claim, held)
		VALUES (CASE WHEN EXISTS (SELECT 1 FROM jobs WHERE id = ?1) THEN NULL ELSE ?1 END, ?2, ?3, ?4, ?5, ?6, ?7, ?8, 1, ?9, ?10, ?10, ?11, ?12, ?13, ?14,
			?15, coalesce((SELECT max(number) FROM claims, self JOIN sources ON sources.id = self.source WHERE job = ?2 AND claims.bench = sources.bench), 0),
			coalesce((SELECT max(number) FROM claims WHERE job = ?2), 0)) RETURNING id`,
		card.ID, card.UID, root.Player, root.Racket, d.Plan.Frame, d.Plan.Technique, planID, len(d.Plan.Steps), progress.Open, string(at), root.File,
		root.Source, t.PullMains.Ordered, t.PullCrosses.Ordered, root.Salt).Scan(&id)
	return id, card.UID, err
}

// Enter writes a job with all that happened at it, and records that came of that, as of a racket that was strung elsewhere: all of it or
// nothing.
func (b *Book) Enter(ctx context.Context, d Draft, events []progress.Event, also ...Record) (id int64, err error) {
	err = b.write(ctx, func(tx *sql.Tx) error {
		if id, _, err = writeJob(ctx, tx, d); err != nil {
			return err
		}
		s, last := progress.Start(d.Plan), d.At
		for n, e := range events {
			if s, err = s.Apply(e); err != nil {
				return err
			}
			if err := writeEvent(ctx, tx, id, n, e); err != nil {
				return err
			}
			last = e.At
		}
		at, err := last.MarshalText()
		if err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, updateJob, stands(s, at, id)...)
		return errors.Join(err, addNew(ctx, tx, also))
	})
	if err != nil {
		return 0, b.problem("write a job with what happened at it", err)
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

const (
	entryColumns  = "jobs.id, jobs.uid, player, racket, frame, technique, fingerprint, jobs.state, step, steps, mains, crosses, file, made, last"
	fromEntries   = " FROM jobs JOIN plans ON plans.id = jobs.plan"
	selectEntries = "SELECT " + entryColumns + fromEntries
)

func entries(ctx context.Context, q querier, query string, args ...any) ([]Entry, error) {
	return allRows(ctx, q, func(rows *sql.Rows) (Entry, error) { return scanEntry(rows) }, query, args...)
}

func scanEntry(rows *sql.Rows, more ...any) (e Entry, err error) {
	err = rows.Scan(append([]any{&e.ID, &e.UID, &e.Player, &e.Racket, &e.Frame, &e.Technique, &e.Fingerprint, (*string)(&e.State), &e.Step, &e.Steps,
		&e.Mains, &e.Crosses, &e.File, moment{&e.Made}, moment{&e.Last}}, more...)...)
	return e, err
}

// Job reads one job. The error says so when the book has no such job.
func (b *Book) Job(ctx context.Context, id int64) (*Job, error) {
	list, err := b.Several(ctx, id)
	if err != nil {
		return nil, err
	}
	return list[0], nil
}

// Several reads jobs by their numbers, in that order. Those that follow the same plan share it. The error says so when the
// book has no such job.
func (b *Book) Several(ctx context.Context, ids ...int64) (list []*Job, err error) {
	if len(ids) == 0 {
		return nil, nil
	}
	err = b.look(ctx, func(tx querier) error {
		found, err := readJobs(ctx, tx, &b.plans, ids...)
		for _, id := range ids {
			if err == nil && found[id] == nil {
				err = noJob(id)
			}
			list = append(list, found[id])
		}
		return err
	})
	if err != nil {
		return nil, b.problem("read", err)
	}
	for _, j := range list {
		if n := len(j.Events); n > 0 {
			b.appender.tell(j.ID, n, j.Events[n-1].At.Format(time.RFC3339Nano))
		}
	}
	return list, nil
}

func noJob(id int64) error { return fmt.Errorf("there is no job %d in it", id) }

// selectFinished begins with the records, for the sake of their indexes.
const selectFinished = "SELECT jobs.id FROM records CROSS JOIN jobs ON jobs.uid = records.uid WHERE jobs.state = 'done'"

// Finished lists the numbers of the newest finished jobs, those of one stringer where a UID is given.
func (b *Book) Finished(ctx context.Context, stringer string, limit int) (ids []int64, err error) {
	query, args := "SELECT jobs.id FROM jobs WHERE jobs.state = 'done'", []any{}
	if stringer != "" {
		var where string
		where, args = having("records", records.Job{Stringer: stringer})
		query = selectFinished + where
	}
	query, args = query+" ORDER BY jobs.id DESC LIMIT ?", append(args, limit)
	if ids, err = column[int64](ctx, b.db, query, args...); err != nil {
		return nil, b.problem("list finished jobs", err)
	}
	return ids, nil
}

// Text is the file name and the text from which a job was made, or will be while it waits.
func (b *Book) Text(ctx context.Context, uid string) (file string, text []byte, err error) {
	var begun bool
	var r Record
	err = b.look(ctx, func(tx querier) error {
		err := tx.QueryRowContext(ctx, "SELECT file, source FROM jobs WHERE uid = ?", uid).Scan(&file, &text)
		if begun = err == nil; begun || !errors.Is(err, sql.ErrNoRows) {
			return err
		}
		r, err = record(ctx, tx, uid)
		return err
	})
	if err != nil {
		return "", nil, b.problem("read a job's text", err)
	}
	if !begun {
		j := records.As[records.Job](r.Fields)
		file, text = j.File, []byte(j.Text)
	}
	return file, text, nil
}

// Source is the text from which a job was made, and the file where it stood.
type Source struct {
	File string
	Text []byte
}

// Sources are those of jobs, by their UIDs, of those that were begun.
func (b *Book) Sources(ctx context.Context, uids ...string) (out map[string]Source, err error) {
	out = map[string]Source{}
	if len(uids) == 0 {
		return out, nil
	}
	err = eachRow(ctx, b.db, func(rows *sql.Rows) error {
		var uid string
		var from Source
		err := rows.Scan(&uid, &from.File, &from.Text)
		out[uid] = from
		return err
	}, "SELECT uid, file, source FROM jobs WHERE uid IN "+among, listed(uids))
	if err != nil {
		return nil, b.problem("read the jobs' texts", err)
	}
	return out, nil
}
