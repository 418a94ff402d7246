package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strconv"
	"strings"
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
// the job has not that many events, or a *TakenError when another bench has taken it over, and says what is wrong when the event does not fit where the job stands.
//
// also are records that are written with the event, such as the string that was cut for it; one whose UID the book has
// already is not written again.
func (b *Book) Append(ctx context.Context, job int64, known int, e progress.Event, also ...Record) error {
	err := b.writeBeside(ctx, func(tx *sql.Tx) error {
		b.lines.dropJob(job)
		err := errors.Join(b.appender.event(ctx, tx, job, known, e), addNew(ctx, tx, also))
		if err == nil {
			err = resettle(ctx, tx, job, e.At)
		}
		return err
	})
	if err == nil {
		b.appender.tell(job, known+1, e.At.Format(time.RFC3339Nano))
	}
	if err != nil {
		return b.problem(fmt.Sprintf("write to job %d", job), err)
	}
	return nil
}

// resettle settles a job with several attempts anew, as the one that was gone on with may be the job's own now; whoever is at it takes it
// up again then.
func resettle(ctx context.Context, tx *sql.Tx, job int64, now time.Time) error {
	var uid string
	err := tx.QueryRowContext(ctx, `SELECT root FROM (SELECT CASE of WHEN '' THEN uid ELSE of END AS root FROM jobs WHERE id = ?)
		WHERE EXISTS (SELECT 1 FROM jobs WHERE of = root AND of <> '')`, job).Scan(&uid)
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	if err != nil {
		return err
	}
	m, err := newMerger(ctx, tx, now)
	if err != nil {
		return err
	}
	a, err := m.attempts(uid)
	if err != nil {
		return err
	}
	a.changed = true
	if err := m.settle(a); err != nil {
		return err
	}
	return m.q.exec(ctx, "UPDATE self SET taking = 0")
}

// appender remembers what was told of a job last.
type appender struct {
	mu   sync.Mutex
	told map[int64]known
}

// known is how many events a caller knows of a job, and when the last was. Where benches share what they write, a job may get as
// many other events as it had.
type known struct {
	n  int
	at string
}

// tell remembers what is known of a job from now on.
func (a *appender) tell(job int64, n int, at string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.told == nil {
		a.told = map[int64]known{}
	}
	a.told[job] = known{n, at}
}

func (a *appender) forgetTold() {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.told = nil
}

// toldOf is when the last of so many events of a job was that somebody was told of, empty where that is not known.
func (a *appender) toldOf(job int64, n int) string {
	a.mu.Lock()
	defer a.mu.Unlock()
	if told := a.told[job]; told.n == n {
		return told.at
	}
	return ""
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
		return movedOn(ctx, tx, &MovedError{Job: job, Known: known, Have: have})
	}
	if s, err = s.Apply(e); err != nil {
		return a.misfit(ctx, tx, job, known, err)
	}
	if err := writeEvent(ctx, tx, job, known, e); err != nil {
		return err
	}
	done, err := tx.ExecContext(ctx, updateJob+" AND held <= claim AND (?6 = '' OR last = ?6)", append(stands(s, at, job), a.toldOf(job, known))...)
	if err != nil {
		return err
	}
	if n, err := done.RowsAffected(); err != nil || n == 0 {
		return errors.Join(err, movedOn(ctx, tx, &MovedError{Job: job, Known: known, Have: have}))
	}
	return nil
}

// movedOn says why a job is not as its bench knows it: another one took it over, or another program wrote to it.
func movedOn(ctx context.Context, q querier, e *MovedError) error {
	return errors.Join(takenOver(ctx, q, e.Job), e)
}

// updateJob writes where a job stands by its events; stands are the values that it takes.
const updateJob = "UPDATE jobs SET state = ?1, step = ?2, steps = ?3, last = ?4 WHERE id = ?5"

func stands(s progress.State, last []byte, job int64) []any {
	return []any{s.Status(), s.Current(), s.Steps(), string(last), job}
}

// writeEvent writes an event that fits where its job stands, without words about somebody who was forgotten.
func writeEvent(ctx context.Context, tx *sql.Tx, job int64, known int, e progress.Event) error {
	at, err := e.At.MarshalText()
	if err != nil {
		return fmt.Errorf("time of the event: %w", err)
	}
	if err := errors.Join(explains(e, known), bounded(e)); err != nil {
		return err
	}
	if e.Said() != "" {
		var uid string
		if err := tx.QueryRowContext(ctx, "SELECT CASE of WHEN '' THEN uid ELSE of END FROM jobs WHERE id = ?", job).Scan(&uid); err != nil {
			return err
		}
		if gone, err := ofForgotten(ctx, tx, uid); err != nil {
			return err
		} else if gone {
			e = e.Unsaid()
		}
	}
	var next sql.NullInt64
	if bringsPlan(e) {
		next.Valid = true
		if next.Int64, err = keepPlan(ctx, tx, e.Plan); err != nil {
			return err
		}
	}
	_, err = tx.ExecContext(ctx, insertEvent, job, known+1, string(at), e.Kind, e.Step, e.What, e.Why, next, e.Of, bringsPlan(e) && e.Recorded(), saltFor(e))
	return err
}

// misfit says why an event does not fit: it may be that the job has other events than the caller knows, though as many.
func (a *appender) misfit(ctx context.Context, q querier, job int64, known int, why error) error {
	var moved bool
	err := q.QueryRowContext(ctx, "SELECT ?1 <> '' AND last <> ?1 FROM jobs WHERE id = ?2", a.toldOf(job, known), job).Scan(&moved)
	if err != nil || moved {
		return errors.Join(err, &MovedError{Job: job, Known: known, Have: known})
	}
	return why
}

// saltFor is salt where there are words that may be forgotten.
func saltFor(e progress.Event) string {
	if e.Said() == "" {
		return ""
	}
	return salt()
}

// insertEvent gives an event the number of this book's claim on the job.
const insertEvent = `INSERT INTO events (job, seq, at, kind, step, what, why, plan, of, recorded, claim, salt) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10,
	(SELECT claim FROM jobs WHERE id = ?1), ?11)`

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
	whole, err := readJobs(ctx, tx, new(plansRead), job)
	if err != nil {
		return s, 0, err
	}
	j := whole[job]
	if j == nil {
		return s, 0, noJob(job)
	}
	s, err = progress.Fold(j.Plan, j.Events)
	return s, len(j.Events), err
}

// outline folds a job by what decides where it stands: of events kind and step, of plans how many steps they have. The state
// has no plan where that is not known.
func (a *appender) outline(ctx context.Context, tx *sql.Tx, job int64) (s progress.State, have int, err error) {
	var steps int
	var text string
	// All events come in one text: to fetch each as a row of its own would take most of the time of a key.
	err = tx.QueryRowContext(ctx, `SELECT first.length, coalesce((SELECT group_concat(kind || char(31) || step || char(31) || recorded || char(31) || coalesce(next.length, '') || char(31) ||
			replace(what, char(30), ''), char(30) ORDER BY seq) FROM events LEFT JOIN plans AS next ON next.id = events.plan WHERE job = jobs.id), '')
		FROM jobs JOIN plans AS first ON first.id = jobs.plan WHERE jobs.id = ?`, job).Scan(&steps, &text)
	if errors.Is(err, sql.ErrNoRows) {
		err = noJob(job)
	}
	if err != nil || steps == 0 {
		return s, 0, err
	}
	s = progress.Start(blank(steps))
	for text != "" {
		var move string
		move, text, _ = strings.Cut(text, "\x1e")
		e, whole := outlineEvent(s, move)
		if !whole {
			return progress.State{}, 0, nil
		}
		if s, err = s.Apply(e); err != nil {
			return s, 0, fmt.Errorf("event %d: %w", have+1, err)
		}
		have++
	}
	return s, have, nil
}

// outlineEvent reads what decides where a job stands after an event. It is not whole where an older program left the length of
// the plan away that it brings.
func outlineEvent(s progress.State, text string) (e progress.Event, whole bool) {
	kind, text, _ := strings.Cut(text, "\x1f")
	step, text, _ := strings.Cut(text, "\x1f")
	recorded, text, _ := strings.Cut(text, "\x1f")
	next, what, _ := strings.Cut(text, "\x1f")
	e.Kind = progress.Kind(kind)
	e.Step, _ = strconv.Atoi(step) // the book wrote it
	if next == "" {
		return e, true
	}
	n, _ := strconv.Atoi(next)
	if n == 0 {
		return e, false
	}
	e.Plan = outlinePlan(s, n, recorded == "1", what)
	return e, true
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

// moment reads a time with its zone and all its digits.
type moment struct{ t *time.Time }

// Scan implements sql.Scanner.
func (m moment) Scan(v any) error {
	text, ok := v.(string)
	if !ok || strings.Contains(text, ",") { // which would be read as a point
		return fmt.Errorf("%v is no time as the book writes it", v)
	}
	return m.t.UnmarshalText([]byte(text))
}

// integer reads a whole number, which the driver's package would write out and read again.
type integer struct{ n *int }

// Scan implements sql.Scanner.
func (n integer) Scan(v any) error {
	is, ok := v.(int64)
	if !ok {
		return fmt.Errorf("%v is no whole number", v)
	}
	*n.n = int(is)
	return nil
}
