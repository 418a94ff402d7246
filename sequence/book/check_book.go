package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"strings"

	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// Checked says what a check saw and what it found wrong, which is nothing in a book that is sound.
type Checked struct {
	Jobs, Events, Records int
	Findings              []string
}

// Check goes through the whole book: every page, every job with its events, every record. It changes nothing. progress,
// which may be nil, is told how many of the jobs and records are done.
func (b *Book) Check(ctx context.Context, progress func(done, total int)) (Checked, error) {
	c := checker{plans: map[int64]*plan.Plan{}, progress: progress}
	err := b.read(ctx, func(tx *sql.Tx) error { return c.all(ctx, tx) })
	if damaged(err) {
		c.add("what is in it cannot be read any further: %v", err)
		err = nil
	}
	if err != nil {
		return Checked{}, b.problem("check", err)
	}
	return c.Checked, nil
}

type checker struct {
	Checked
	plans       map[int64]*plan.Plan // some of those that were read; most jobs share theirs
	progress    func(done, total int)
	done, total int
}

func (c *checker) add(format string, args ...any) {
	c.Findings = append(c.Findings, strings.ReplaceAll(fmt.Sprintf(format, args...), "\n", "; "))
}

func (c *checker) step() {
	if c.done++; c.progress != nil && (c.done%256 == 0 || c.done == c.total) {
		c.progress(c.done, c.total)
	}
}

func (c *checker) all(ctx context.Context, tx *sql.Tx) error {
	wrong, err := integrityCheck(ctx, tx)
	c.Findings = append(c.Findings, wrong...)
	if err != nil {
		return err
	}
	if wrong, err = foreign(ctx, tx, len(scripts())); err != nil {
		return err
	}
	c.Findings = append(c.Findings, wrong...)
	if err := tx.QueryRowContext(ctx, "SELECT (SELECT count(*) FROM records) + (SELECT count(*) FROM jobs)").Scan(&c.total); err != nil {
		return err
	}
	if err := c.jobs(ctx, tx); err != nil {
		return err
	}
	if err := c.records(ctx, tx); err != nil {
		return err
	}
	if err := c.changes(ctx, tx); err != nil {
		return err
	}
	if err := c.derived(ctx, tx); err != nil {
		return err
	}
	return c.log(ctx, tx)
}

// derived holds what stands in columns of its own, for a reader's haste, against what it comes of. The log has the rest.
func (c *checker) derived(ctx context.Context, tx *sql.Tx) error {
	for what, query := range map[string]string{
		"plan %d is filed under another fingerprint or length than it has": `SELECT id FROM plans WHERE json_valid(CAST(body AS TEXT))
			AND (fingerprint <> json_extract(CAST(body AS TEXT), '$.plan') OR length NOT IN (0, json_array_length(CAST(body AS TEXT), '$.steps')))`,
		"job %d is filed under another frame, technique or tension than its plan has": `SELECT jobs.id FROM jobs JOIN plans ON plans.id = plan WHERE json_valid(CAST(body AS TEXT))
			AND (frame <> json_extract(CAST(body AS TEXT), '$.frame') OR technique <> json_extract(CAST(body AS TEXT), '$.technique')
			OR mains <> coalesce(json_extract(CAST(body AS TEXT), '$.terms.tension_mains.ordered'), '') OR crosses <> coalesce(json_extract(CAST(body AS TEXT), '$.terms.tension_crosses.ordered'), ''))`,
		"job %d was touched last at another time than its events say": `SELECT id FROM jobs WHERE last <> coalesce((SELECT at FROM events WHERE job = id ORDER BY seq DESC LIMIT 1), made)`,
		"job %d is held by another claim than there is": `SELECT id FROM jobs WHERE held <> coalesce((SELECT max(number) FROM claims WHERE job = CASE jobs.of WHEN '' THEN jobs.uid ELSE jobs.of END), 0)
			OR claim NOT IN (SELECT 0 UNION ALL SELECT number FROM claims WHERE job = CASE jobs.of WHEN '' THEN jobs.uid ELSE jobs.of END)`,
		"job %d has an event that says otherwise of its plan than that does": `SELECT job FROM events LEFT JOIN plans ON plans.id = plan WHERE body IS NULL AND recorded <> 0
			OR json_valid(CAST(body AS TEXT)) AND recorded <> coalesce(json_extract(CAST(body AS TEXT), '$.steps[' || (step - 1) || '].record'), 0)`,
		"record %d of its kind was never added": `SELECT id FROM records WHERE state <> 'forgotten' AND json_valid(body) AND NOT EXISTS (SELECT 1 FROM changes WHERE changes.uid = records.uid)
			AND NOT EXISTS (SELECT 1 FROM jobs WHERE jobs.uid = records.uid AND of <> '')`,
	} {
		err := eachRow(ctx, tx, func(rows *sql.Rows) error {
			var id int64
			err := rows.Scan(&id)
			c.add(what, id)
			return err
		}, query)
		if ignoring(err) != nil {
			return err
		}
		if err != nil {
			c.add("what its rows are found by cannot be read: %v", err)
		}
	}
	return nil
}

// jobs holds every job against its events and sees that it has its record.
func (c *checker) jobs(ctx context.Context, tx *sql.Tx) error {
	return eachRow(ctx, tx, func(rows *sql.Rows) error {
		var id, first int64
		var state progress.Status
		var step, steps int
		var kind records.Name
		if err := rows.Scan(&id, &first, &state, &step, &steps, &kind); err != nil {
			return err
		}
		c.Jobs++
		c.step()
		if kind != records.KindJob {
			c.add("job %d has no record", id)
		}
		s, err := c.fold(ctx, tx, id, first)
		switch {
		case damaged(err) || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded):
			return err
		case err != nil:
			c.add("job %d: %v", id, err)
		case s.Status() != state || s.Current() != step || s.Steps() != steps:
			c.add("job %d is written as %s at step %d of %d; by its events it is %s at step %d of %d", id, state.Says(), step, steps, s.Status().Says(), s.Current(), s.Steps())
		}
		return nil
	}, `SELECT jobs.id, jobs.plan, jobs.state, jobs.step, jobs.steps, coalesce(records.kind, '')
		FROM jobs LEFT JOIN records ON records.uid = jobs.uid ORDER BY jobs.id`)
}

func (c *checker) fold(ctx context.Context, tx *sql.Tx, id, first int64) (s progress.State, err error) {
	all, err := eventsOf(ctx, tx, id)
	if err != nil {
		return s, err
	}
	list := all[id]
	c.Events += len(list)
	begun, err := c.plan(ctx, tx, first)
	if err != nil {
		return s, err
	}
	told := make([]progress.Event, len(list))
	for i, e := range list {
		told[i] = e.Event
		if e.Plan == 0 {
			continue
		}
		if told[i].Plan, err = c.plan(ctx, tx, e.Plan); err != nil {
			return s, err
		}
	}
	return progress.Fold(begun, told)
}

// plan reads a plan and keeps some of those that it read.
func (c *checker) plan(ctx context.Context, q querier, id int64) (*plan.Plan, error) {
	if p, ok := c.plans[id]; ok {
		return p, nil
	}
	var body []byte
	if err := q.QueryRowContext(ctx, "SELECT body FROM plans WHERE id = ?", id).Scan(&body); err != nil {
		return nil, fmt.Errorf("plan %d: %w", id, err)
	}
	p, err := readPlan(body)
	if err != nil {
		return nil, err
	}
	if len(c.plans) >= 64 {
		clear(c.plans)
	}
	c.plans[id] = p
	return p, nil
}

// records holds every record against its kind and sees that what it names is there.
func (c *checker) records(ctx context.Context, tx *sql.Tx) error {
	return eachRow(ctx, tx, func(rows *sql.Rows) error {
		var r Record
		var body []byte
		var at, owner, words string
		var waiting int
		var begun bool
		if err := rows.Scan(&r.UID, &r.Kind, &r.ID, &at, &r.State, &body, &owner, &words, &waiting, &begun); err != nil {
			return err
		}
		c.Records++
		c.step()
		err := r.At.UnmarshalText([]byte(at))
		if err = errors.Join(err, json.Unmarshal(body, &r.Fields)); err == nil {
			err = fits(ctx, tx, r, owner, words)
		}
		if queued := r.waits() && !begun; err == nil && (waiting == 1) != queued || waiting&^1 != 0 {
			err = errors.New("it stands in the queue, or does not, otherwise than it should")
		}
		if ctx.Err() != nil || damaged(err) {
			return errors.Join(ctx.Err(), err)
		}
		if err != nil {
			c.add("%s %d: %v", r.Kind, r.ID, err)
		}
		return nil
	}, "SELECT uid, kind, id, at, state, CAST(body AS BLOB), owner, words, waiting, EXISTS (SELECT 1 FROM jobs WHERE jobs.uid = records.uid) FROM records ORDER BY kind, id")
}

// fits says what is wrong with a record and with what is kept beside it.
func fits(ctx context.Context, q querier, r Record, owner, words string) error {
	if r.State == Forgotten {
		if len(r.Fields) > 0 || words != "" || !r.Kind.Person() {
			return errors.New("it was forgotten, but something is kept of it")
		}
		return nil
	}
	k, fields, err := check(ctx, q, r.Kind, r.Fields, r.At)
	switch {
	case err != nil:
		return err
	case !maps.Equal(fields, r.Fields):
		return errors.New("its fields are not written as they are kept")
	case owner != fields[k.Owner]:
		return errors.New("it is filed under another owner")
	case words != k.Words(fields):
		return errors.New("it is found by other words than it has")
	}
	return nil
}

// changes sees that all that was ever said of a record comes to what it says.
func (c *checker) changes(ctx context.Context, tx *sql.Tx) error {
	rows, err := tx.QueryContext(ctx, selectChanges+" ORDER BY uid, stamp")
	if err != nil {
		return err
	}
	defer rows.Close()
	var list []change
	hold := func() error {
		if len(list) == 0 {
			return nil
		}
		r, err := record(ctx, tx, list[0].UID)
		if err != nil || r.State == Forgotten {
			return ignoring(err)
		}
		f := fold(list)
		if f.state != r.State || !f.at.Equal(r.At) || !maps.Equal(anonymous(r, f.fields), r.Fields) {
			c.add("%s %d does not say what its changes come to", r.Kind, r.ID)
		}
		return nil
	}
	for rows.Next() {
		said, err := scanChange(rows)
		if ctx.Err() != nil || damaged(err) {
			return errors.Join(ctx.Err(), err)
		}
		if err != nil {
			c.add("what was said of a record cannot be read: %v", err)
			return nil
		}
		if len(list) > 0 && list[0].UID != said.UID {
			if err := hold(); err != nil {
				return err
			}
			list = nil
		}
		list = append(list, said)
	}
	return errors.Join(hold(), rows.Err())
}

// ignoring is what is wrong with the file in an error; what is wrong with a record was said already.
func ignoring(err error) error {
	if damaged(err) || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return nil
}
