package book

import (
	"bufio"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"io"
	"os"
	"slices"
	"time"

	"pullcard/patterns/harmless"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// wholeVersion is the version of the lines that ExportAll writes.
// Version 1 has what records said before in place of their changes, and no attempts.
const wholeVersion = 2

// heading is the first line of a whole book. The counts tell a file that was cut off.
type heading struct {
	Version int `json:"pullcard book"`
	Records int `json:"records"`
	Plans   int `json:"plans"`
	Jobs    int `json:"jobs"`
}

// item is any other line: one of the three. What an item names comes before it.
type item struct {
	Record *wholeRecord `json:"record,omitempty"`
	Plan   *wholePlan   `json:"plan,omitempty"`
	Job    *wholeJob    `json:"job,omitempty"`
}

type wholeRecord struct {
	Record
	Changes     []change     `json:"changes,omitempty"`
	Corrections []Correction `json:"corrections,omitempty"`
}

// wholePlan is a plan under a number that holds within the file.
type wholePlan struct {
	ID   int64           `json:"id"`
	Body json.RawMessage `json:"body"`
}

type wholeJob struct {
	UID    string       `json:"uid"`
	Of     string       `json:"of,omitempty"` // the job of which it is another attempt
	Player string       `json:"player,omitempty"`
	Racket string       `json:"racket,omitempty"`
	File   string       `json:"file,omitempty"`
	Source []byte       `json:"source,omitempty"`
	Made   time.Time    `json:"made"`
	Plan   int64        `json:"plan"` // the first one
	Events []wholeEvent `json:"events"`
}

type wholeEvent struct {
	progress.Event
	Plan  int64 `json:"plan,omitempty"` // which it brings
	Claim int   `json:"claim,omitempty"`
}

// ExportAll writes everything that the book holds into a new file for its owner's eyes only, as lines of JSON: a heading,
// the records with what they said before, the plans, the jobs with their events. It shows the book as it is at one
// moment and holds one job in memory at a time. A file that is there is never overwritten. Import reads it.
//
// progress, which may be nil, is told how many of the lines are done.
func (b *Book) ExportAll(ctx context.Context, path string, progress func(done, total int)) error {
	err := place(path, func(temporary string) error {
		f, err := os.OpenFile(temporary, os.O_WRONLY, 0)
		if err != nil {
			return err
		}
		w := bufio.NewWriter(f)
		err = b.read(ctx, func(tx *sql.Tx) error { return exportAll(ctx, tx, w, progress) })
		return errors.Join(err, w.Flush(), f.Close())
	})
	if err != nil {
		return problem("export "+path+" of the book "+b.at.now(), "write", err)
	}
	return nil
}

func exportAll(ctx context.Context, tx *sql.Tx, w io.Writer, progress func(done, total int)) error {
	h, err := readHeading(ctx, tx)
	if err != nil {
		return err
	}
	if err := harmless.WriteJSON(w, h, ""); err != nil {
		return err
	}
	done, total := 0, h.Records+h.Plans+h.Jobs
	return walk(ctx, tx, func(i item) error {
		if done++; progress != nil && (done%256 == 0 || done == total) {
			progress(done, total)
		}
		return harmless.WriteJSON(w, i, "")
	})
}

func readHeading(ctx context.Context, q querier) (heading, error) {
	h := heading{Version: wholeVersion}
	err := q.QueryRowContext(ctx, "SELECT (SELECT count(*) FROM records) - (SELECT count(*) FROM jobs WHERE of <> ''), (SELECT count(*) FROM plans), (SELECT count(*) FROM jobs)").
		Scan(&h.Records, &h.Plans, &h.Jobs)
	return h, err
}

// walk goes through everything in a book, what is named before what names it.
func walk(ctx context.Context, tx *sql.Tx, each func(item) error) error {
	for _, kind := range namedFirst() {
		if err := walkRecords(ctx, tx, kind, each); err != nil {
			return err
		}
	}
	if err := walkPlans(ctx, tx, each); err != nil {
		return err
	}
	return walkJobs(ctx, tx, each)
}

// namedFirst lists the kinds of record in such an order that a kind comes after those that its fields name.
func namedFirst() (order []records.Name) {
	left := records.Kinds()
	for before := len(left) + 1; len(left) > 0; {
		if len(left) == before {
			panic("kinds of record name each other in a circle")
		}
		before = len(left)
		left = slices.DeleteFunc(left, func(k records.Kind) bool {
			for _, f := range k.Fields {
				if f.Of != "" && !slices.Contains(order, f.Of) {
					return false
				}
			}
			order = append(order, k.Name)
			return true
		})
	}
	return order
}

func walkRecords(ctx context.Context, tx *sql.Tx, kind records.Name, each func(item) error) error {
	var some []wholeRecord
	err := eachRow(ctx, tx, func(rows *sql.Rows) error {
		r, err := scanRecord(rows)
		if some = append(some, wholeRecord{Record: r}); err != nil || len(some) < atOnce {
			return err
		}
		err = tellRecords(ctx, tx, some, each)
		some = nil
		return err
	}, selectRecords+" WHERE kind = ? AND uid NOT IN (SELECT uid FROM jobs WHERE of <> '') ORDER BY id", kind)
	if err != nil {
		return err
	}
	return tellRecords(ctx, tx, some, each)
}

// atOnce is how many records are held in memory, and asked for what was said of them, at a time.
const atOnce = 256

func tellRecords(ctx context.Context, tx *sql.Tx, some []wholeRecord, each func(item) error) error {
	uids := make([]string, len(some))
	for i := range some {
		uids[i] = some[i].UID
	}
	said, err := changesOf(ctx, tx, uids...)
	for i := 0; i < len(some) && err == nil; i++ {
		some[i].Changes = said[some[i].UID]
		err = each(item{Record: &some[i]})
	}
	return err
}

func walkPlans(ctx context.Context, tx *sql.Tx, with func(item) error) error {
	return eachRow(ctx, tx, func(rows *sql.Rows) error {
		var p wholePlan
		if err := rows.Scan(&p.ID, (*[]byte)(&p.Body)); err != nil {
			return err
		}
		return with(item{Plan: &p})
	}, "SELECT id, body FROM plans ORDER BY id")
}

// walkJobs goes through the jobs, those first that are no other attempt at one.
func walkJobs(ctx context.Context, tx *sql.Tx, with func(item) error) error {
	for _, which := range []string{"of = ''", "of <> ''"} {
		told, err := readAlong(ctx, tx, scanWholeEvent, selectWholeEvents+" WHERE job IN (SELECT id FROM jobs WHERE "+which+") ORDER BY job, seq")
		if err != nil {
			return err
		}
		err = eachRow(ctx, tx, func(rows *sql.Rows) (err error) {
			var id int64
			var j wholeJob
			if err := rows.Scan(&id, &j.UID, &j.Of, &j.Player, &j.Racket, &j.File, &j.Source, moment{&j.Made}, &j.Plan); err != nil {
				return err
			}
			if j.Events, err = told.of(id); err != nil {
				return err
			}
			return with(item{Job: &j})
		}, "SELECT id, uid, of, player, racket, file, source, made, plan FROM jobs WHERE "+which+" ORDER BY id")
		if err := errors.Join(err, told.rows.Close()); err != nil {
			return err
		}
	}
	return nil
}

const selectWholeEvents = "SELECT job, at, kind, step, what, why, events.of, coalesce(plan, 0), claim FROM events"

func scanWholeEvent(rows *sql.Rows) (job int64, e wholeEvent, err error) {
	err = rows.Scan(&job, moment{&e.At}, (*string)(&e.Kind), integer{&e.Step}, &e.What, &e.Why, integer{&e.Of}, &e.Plan, integer{&e.Claim})
	return job, e, err
}

// eventsOf reads the events of jobs by their numbers, in the order in which they were appended. Of all jobs at once they would have to be
// sorted, which takes longer than a question for each.
func eventsOf(ctx context.Context, q querier, jobs ...int64) (map[int64][]wholeEvent, error) {
	out := make(map[int64][]wholeEvent, len(jobs))
	for _, job := range jobs {
		err := eachRow(ctx, q, func(rows *sql.Rows) error {
			_, e, err := scanWholeEvent(rows)
			out[job] = append(out[job], e)
			return err
		}, selectWholeEvents+" WHERE job = ? ORDER BY seq", job)
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}
