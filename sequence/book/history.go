package book

import (
	"context"
	"database/sql"
	"fmt"
	"maps"
	"slices"
	"time"

	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// Card is a job's record with what the book knows of it.
type Card struct {
	Record
	Entry    *Entry   `json:"strung,omitempty"` // nil while the job waits
	Readings []Record `json:"readings"`         // the oldest first
	Verdicts []Record `json:"verdicts"`         // likewise
}

var selectCards = "SELECT " + recordColumns("records") + ", " + entryColumns + `
	FROM records LEFT JOIN jobs ON jobs.uid = records.uid LEFT JOIN plans ON plans.id = jobs.plan`

// History lists the jobs of a player with their readings and verdicts, the newest first: those that have the values in their fields
// that like has, its player and maybe a racket or a lot.
func (b *Book) History(ctx context.Context, like records.Job) ([]Card, error) {
	where, args := ofPlayer(like)
	list, err := b.cards(ctx, where, args...)
	if err != nil {
		return nil, b.problem("read a history", err)
	}
	return list, nil
}

// OfPlayer is History of all of a player's jobs, with the rackets and lots that are the player's, the newest first. It asks once for all three, which
// stand side by side.
func (b *Book) OfPlayer(ctx context.Context, player string) (jobs []Card, others []Record, err error) {
	list, err := b.cards(ctx, "records.owner = ? AND records.owner <> '' AND records.kind IN ('job', 'racket', 'lot') AND records.state = 'kept'", player)
	if err != nil {
		return nil, nil, b.problem("read what is a player's", err)
	}
	for _, c := range list {
		if c.Kind == records.KindJob {
			jobs = append(jobs, c)
		} else {
			others = append(others, c.Record)
		}
	}
	return jobs, others, nil
}

// ofPlayer chooses the jobs of History. The plus has SQLite go by the racket or the lot, and not take apart what all of a player's jobs say.
func ofPlayer(like records.Job) (where string, args []any) {
	player := like.Player
	like.Player = ""
	if where, args = having("records", like); where != "" {
		return "+records.owner = ? AND records.state = 'kept'" + where, append([]any{player}, args...)
	}
	return "records.owner = ? AND records.owner <> '' AND records.kind = 'job' AND records.state = 'kept'", []any{player}
}

// Card reads the card of one job by its UID.
func (b *Book) Card(ctx context.Context, uid string) (Card, error) {
	list, err := b.cards(ctx, "records.uid = ? AND records.kind = 'job'", uid)
	if err == nil && len(list) == 0 {
		err = fmt.Errorf("there is no such job in it")
	}
	if err != nil {
		return Card{}, b.problem("read a job", err)
	}
	return list[0], nil
}

// Cards reads the cards of jobs by their UIDs, with one question. The plus keeps SQLite from going through all jobs for the kind.
func (b *Book) Cards(ctx context.Context, uids ...string) (map[string]Card, error) {
	list, err := b.cards(ctx, "records.uid IN "+among+" AND +records.kind = 'job'", listed(uids))
	if err != nil {
		return nil, b.problem("read jobs", err)
	}
	out := make(map[string]Card, len(list))
	for _, c := range list {
		out[c.UID] = c
	}
	return out, nil
}

// Strung are the cards of jobs by their UIDs, of their records, without what was said of them.
func (b *Book) Strung(ctx context.Context, jobs ...Record) (map[string]Card, error) {
	out, uids := make(map[string]Card, len(jobs)), make([]string, len(jobs))
	for i, r := range jobs {
		out[r.UID], uids[i] = Card{Record: r}, r.UID
	}
	list, err := entries(ctx, b.db, selectEntries+" WHERE jobs.uid IN "+among, listed(uids))
	if err != nil {
		return nil, b.problem("read how jobs were strung", err)
	}
	for _, e := range list {
		out[e.UID] = Card{Record: out[e.UID].Record, Entry: &e}
	}
	return out, nil
}

// OnMachine lists the jobs of a machine, by the UID of its record, the newest first: all that wait or are in work, and some that were
// added last.
func (b *Book) OnMachine(ctx context.Context, uid string, last int) ([]Card, error) {
	where, args := onMachine(uid, last)
	list, err := b.cards(ctx, where, args...)
	if err != nil {
		return nil, b.problem("list what is strung on a machine", err)
	}
	return list, nil
}

// onMachine chooses the jobs of OnMachine. A UNION would be merged in the order of UIDs, for which SQLite goes through all records.
func onMachine(uid string, last int) (where string, args []any) {
	var j records.Job
	where, args = having("j", records.Job{Machine: uid})
	// Of those that wait or are in work there are few: no index of the machine's.
	on := fmt.Sprintf("CASE WHEN json_valid(body) THEN json_extract(body, '$.%s') END = ?", records.Key(&j, &j.Machine))
	return "records.state = 'kept' AND records.rowid IN (SELECT rowid FROM (SELECT rowid FROM records AS j WHERE state = 'kept'" + where + " ORDER BY rowid DESC LIMIT ?)" +
		" UNION ALL SELECT rowid FROM records WHERE waiting = 1 AND " + on +
		" UNION ALL SELECT rowid FROM records WHERE uid IN (SELECT uid FROM jobs WHERE state = 'open') AND " + on + ")", append(args, last, uid, uid)
}

// InWork lists the jobs that were begun and are not finished, the newest first, without what was said of them.
func (b *Book) InWork(ctx context.Context) ([]Card, error) {
	list, err := scanCards(ctx, b.db, selectCards+" WHERE jobs.state = 'open' ORDER BY jobs.id DESC")
	if err != nil {
		return nil, b.problem("list what is in work", err)
	}
	return list, nil
}

// NewestOfEachRacket are the last strung jobs of each racket that the book has.
func (b *Book) NewestOfEachRacket(ctx context.Context) ([]Card, error) {
	var j records.Job
	list, err := b.cards(ctx, fmt.Sprintf(`records.uid IN (SELECT uid FROM (SELECT r.uid, row_number() OVER (PARTITION BY json_extract(r.body, '$.%[1]s') ORDER BY jobs.id DESC) AS n
		FROM jobs JOIN records AS r ON r.uid = jobs.uid WHERE jobs.state = 'done' AND r.state = 'kept' AND json_extract(r.body, '$.%[1]s') <> '') WHERE n = 1)`, records.Key(&j, &j.Racket)))
	if err != nil {
		return nil, b.problem("list what was strung last", err)
	}
	return list, nil
}

// OfDay lists the jobs that were strung or handed over on a day, as "2031-05-04" in this machine's zone.
func (b *Book) OfDay(ctx context.Context, day string) ([]Card, error) {
	var j records.Job
	list, err := b.cards(ctx, fmt.Sprintf(`records.kind = 'job' AND records.state = 'kept' AND records.uid IN (SELECT uid FROM jobs WHERE state = 'done' AND date(last, 'localtime') = ?1
		UNION ALL SELECT uid FROM records WHERE kind = 'job' AND date(json_extract(body, '$.%s'), 'localtime') = ?1)`, records.Key(&j, &j.Handed)), day)
	if err != nil {
		return nil, b.problem("list a day", err)
	}
	return list, nil
}

// Queue lists the jobs that wait and have not been begun, in the order in which they were added.
func (b *Book) Queue(ctx context.Context) ([]Record, error) {
	list, err := readRecords(ctx, b.db, selectRecords+" WHERE waiting = 1")
	if err != nil {
		return nil, b.problem("list the queue", err)
	}
	slices.SortFunc(list, oldestFirst)
	return list, nil
}

// cards reads jobs and what was said of them in one moment. An owner that is not empty lets SQLite use the index of owners.
func (b *Book) cards(ctx context.Context, where string, args ...any) (list []Card, err error) {
	err = b.look(ctx, func(tx querier) error {
		if list, err = scanCards(ctx, tx, selectCards+" WHERE "+where, args...); err != nil {
			return err
		}
		slices.SortFunc(list, func(a, b Card) int { return newestFirst(a.Record, b.Record) })
		at, uids := map[string]*Card{}, make([]string, len(list))
		for i := range list {
			at[list[i].UID], uids[i] = &list[i], list[i].UID
		}
		said, err := readRecords(ctx, tx, selectRecords+" WHERE owner IN "+among+" AND owner <> '' AND kind IN ('reading', 'verdict') AND state = 'kept'", listed(uids))
		slices.SortFunc(said, oldestFirst)
		for _, r := range said {
			if c := at[r.owner()]; r.Kind == records.KindReading {
				c.Readings = append(c.Readings, r)
			} else {
				c.Verdicts = append(c.Verdicts, r)
			}
		}
		return err
	})
	return list, err
}

func scanCards(ctx context.Context, q querier, query string, args ...any) ([]Card, error) {
	list := []Card{}
	err := eachRow(ctx, q, func(rows *sql.Rows) (err error) {
		c := Card{Readings: []Record{}, Verdicts: []Record{}}
		var e entryRow
		c.Record, err = scanRecord(rows, e.into()...)
		c.Entry = e.entry()
		list = append(list, c)
		return err
	}, query, args...)
	return list, err
}

// entryRow takes the columns of a job that may not be there.
type entryRow struct {
	id, step, steps                                                    sql.NullInt64
	uid, player, racket, frame, technique, plan, state, mains, crosses sql.NullString
	file, made, last                                                   sql.NullString
}

func (e *entryRow) into() []any {
	return []any{&e.id, &e.uid, &e.player, &e.racket, &e.frame, &e.technique, &e.plan, &e.state, &e.step, &e.steps, &e.mains, &e.crosses,
		&e.file, &e.made, &e.last}
}

func (e *entryRow) entry() *Entry {
	if !e.id.Valid {
		return nil
	}
	out := &Entry{ID: e.id.Int64, UID: e.uid.String, Player: e.player.String, Racket: e.racket.String, Frame: e.frame.String,
		Technique: e.technique.String, Fingerprint: e.plan.String, Step: int(e.step.Int64), Steps: int(e.steps.Int64),
		State: progress.Status(e.state.String), Mains: e.mains.String, Crosses: e.crosses.String, File: e.file.String}
	_ = out.Made.UnmarshalText([]byte(e.made.String)) // the book wrote it
	_ = out.Last.UnmarshalText([]byte(e.last.String))
	return out
}

// JobReading is a reading with the job that it was taken of, and how that was strung.
type JobReading struct {
	UID            string // of the job
	ID             int64  // its number
	At             time.Time
	Reading        records.Reading // its value, what was expected, with what and after how long it was read
	Job            records.Job     // its racket, machine, stringer and mains
	Mains, Crosses string          // the tensions as ordered
	Frame          string
	Strung         time.Time // when its last step was done
	Played         bool      // a verdict of it had been given by then
}

// fields are those of the reading's record and of the job's that a chart asks of thousands, by their keys.
func (t *JobReading) fields() (reading, job map[string]*string) {
	r, j := &t.Reading, &t.Job
	return map[string]*string{
			records.Key(r, &r.Value): (*string)(&r.Value), records.Key(r, &r.Expected): (*string)(&r.Expected), records.Key(r, &r.With): &r.With, records.Key(r, &r.After): &r.After,
		}, map[string]*string{
			records.Key(j, &j.Racket): &j.Racket, records.Key(j, &j.Machine): &j.Machine, records.Key(j, &j.Stringer): &j.Stringer, records.Key(j, &j.Mains): &j.Mains,
		}
}

// Series lists readings of strung jobs, the oldest first: of all jobs, or of those that have the values in their fields that like has, such as
// machine or stringer. limit is the most that are wanted, 0 for all: the newest readings, or, where so many of such jobs are not among those
// that were taken lately, those of the jobs that were added last.
func (b *Book) Series(ctx context.Context, like records.Job, limit int) (list []*JobReading, err error) {
	if limit <= 0 {
		limit = -1
	}
	query, args := readingsOf(like)
	err = b.look(ctx, func(tx querier) error {
		if lately, of := latelyOf(like, limit); lately != "" {
			if list, err = series(ctx, tx, lately, of...); err != nil {
				return err
			}
			if len(list) == limit {
				return played(ctx, tx, list)
			}
		}
		if list, err = series(ctx, tx, query+" LIMIT ?", append(args, limit)...); err != nil {
			return err
		}
		return played(ctx, tx, list)
	})
	if err != nil {
		return nil, b.problem("list readings", err)
	}
	return list, nil
}

const selectReadings = "SELECT r.body, j.body, j.uid, j.id, r.at, mains, crosses, frame, last FROM "

// readingsOf chooses the readings of Series, each in the order of an index.
func readingsOf(like records.Job) (query string, args []any) {
	where, args := having("j", like)
	if where == "" {
		return selectReadings + "records AS r JOIN records AS j ON j.uid = r.owner JOIN jobs ON jobs.uid = j.uid WHERE r.kind = 'reading' AND r.state = 'kept' ORDER BY r.at DESC, r.rowid DESC", nil
	}
	return selectReadings + "records AS j CROSS JOIN records AS r ON r.owner = j.uid AND r.owner <> '' JOIN jobs ON jobs.uid = j.uid WHERE r.kind = 'reading' AND r.state = 'kept'" +
		where + " ORDER BY j.rowid DESC, r.at", args
}

// lately is how many times as many readings of all jobs as are wanted are looked through for those of some: this program's own choice.
const lately = 10

// latelyOf chooses the newest readings of some jobs among those that were taken lately, empty where it is asked of all jobs or for all
// readings: an index is in the order of days or of machines, and of a machine that nobody uses any more, all readings would be gone through.
func latelyOf(like records.Job, limit int) (query string, args []any) {
	where, args := having("j", like)
	if where == "" || limit < 0 {
		return "", nil
	}
	return selectReadings + "(SELECT rowid, body, at, owner FROM records WHERE kind = 'reading' AND state = 'kept' ORDER BY at DESC, rowid DESC LIMIT ?) AS r" +
		" CROSS JOIN records AS j ON j.uid = r.owner CROSS JOIN jobs ON jobs.uid = j.uid WHERE 1" + where + " ORDER BY r.at DESC, r.rowid DESC LIMIT ?", slices.Concat([]any{lately * limit}, args, []any{limit})
}

// having chooses jobs by the fields that like has; alias is what the query calls their records.
func having(alias string, like records.Job) (where string, args []any) {
	fields := records.Texts(like)
	if len(fields) > 0 {
		where = fmt.Sprintf(" AND %[1]s.kind = 'job' AND json_valid(%[1]s.body)", alias) // as the indexes have it
	}
	for _, key := range slices.Sorted(maps.Keys(fields)) {
		where += fmt.Sprintf(" AND json_extract(%s.body, '$.%s') = ?", alias, key)
		args = append(args, fields[key])
	}
	return where, args
}

func series(ctx context.Context, q querier, query string, args ...any) ([]*JobReading, error) {
	list := []*JobReading{}
	var t JobReading
	var last string
	var bodies [2]sql.RawBytes
	reading, job := t.fields()
	err := eachRow(ctx, q, func(rows *sql.Rows) error {
		if err := rows.Scan(&bodies[0], &bodies[1], &t.UID, &t.ID, moment{&t.At}, &t.Mains, &t.Crosses, &t.Frame, &last); err != nil {
			return err
		}
		for i, want := range []map[string]*string{reading, job} {
			fields, err := readFields(bodies[i])
			if err != nil {
				return fmt.Errorf("job %d or its reading: %w", t.ID, err)
			}
			for key, into := range want {
				*into = fields[key]
			}
		}
		read := t
		_ = read.Strung.UnmarshalText([]byte(last)) // the book wrote it
		list = append(list, &read)
		return nil
	}, query, args...)
	slices.Reverse(list)
	slices.SortStableFunc(list, func(a, b *JobReading) int { return a.At.Compare(b.At) })
	return list, err
}

// manyJobs is from how many readings on verdicts are found sooner by going through all of them.
const manyJobs = 500

// played notes of which readings a verdict had been given by then: of many by all verdicts that there are, for each of them is cheaper to
// read than a job's to look for.
func played(ctx context.Context, q querier, list []*JobReading) error {
	query, args := "SELECT owner, at FROM records WHERE kind = 'verdict' AND owner <> '' AND state = 'kept'", []any{}
	if len(list) < manyJobs {
		uids := make([]string, len(list))
		for i, t := range list {
			uids[i] = t.UID
		}
		query, args = query+" AND owner IN "+among, []any{listed(uids)}
	}
	first := map[string]time.Time{}
	err := eachRow(ctx, q, func(rows *sql.Rows) error {
		var uid string
		var at time.Time
		err := rows.Scan(&uid, moment{&at})
		if was, told := first[uid]; !told || at.Before(was) {
			first[uid] = at
		}
		return err
	}, query, args...)
	for _, t := range list {
		at, told := first[t.UID]
		t.Played = told && at.Before(t.At)
	}
	return err
}
