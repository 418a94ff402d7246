package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"strings"
	"time"

	"pullcard/sequence/records"
)

// Record is one record of the house. Its UID is the same in every book, its number only within its kind and this book.
type Record struct {
	UID    string         `json:"uid"`
	Kind   records.Name   `json:"kind"`
	ID     int64          `json:"id"`
	At     time.Time      `json:"at"` // when it happened or was added
	State  RecordState    `json:"state"`
	Fields records.Fields `json:"fields"`
}

// RecordState says whether a record counts.
type RecordState string

// The states of a record.
const (
	Kept      RecordState = "kept"
	Removed   RecordState = "left"      // in no list, but in the history of what refers to it
	Forgotten RecordState = "forgotten" // somebody of whom nothing is kept but that there was one
)

// Correction is what a record said before it was corrected.
type Correction struct {
	At     time.Time      `json:"at"` // when it was corrected
	Why    string         `json:"why,omitempty"`
	Before records.Fields `json:"before"`
}

// Change is what happens to a record.
type Change struct {
	Fields records.Fields // new values; an empty one takes the field away
	Why    string
	At     time.Time
}

// AmbiguousError reports that several records are meant by what was asked for.
type AmbiguousError struct {
	Asked string
	Found []Record
}

// Error names them.
func (e *AmbiguousError) Error() string {
	var names []string
	for _, r := range e.Found[:min(len(e.Found), 8)] {
		names = append(names, fmt.Sprintf("%d (%s)", r.ID, r.Label()))
	}
	return fmt.Sprintf("%q may be several: %s; write the number", e.Asked, strings.Join(names, ", "))
}

// Label is what a list calls a record.
func (r Record) Label() string {
	k, _ := records.Find(r.Kind)
	if text := k.Label(r.Fields); text != "" {
		return text
	}
	if r.State == Forgotten {
		return "forgotten"
	}
	return fmt.Sprintf("%s %d", r.Kind, r.ID)
}

// Add writes a new record. The fields are checked as records.Kind.Read does; what they refer to must be in the book.
func (b *Book) Add(ctx context.Context, kind records.Name, fields records.Fields, at time.Time) (r Record, err error) {
	err = b.write(ctx, func(tx *sql.Tx) error {
		r, err = add(ctx, tx, Record{Kind: kind, Fields: fields, At: at, State: Kept})
		return err
	})
	if err != nil {
		return Record{}, b.problem("add a "+string(kind), err)
	}
	return r, nil
}

// AddAll writes several new records, all of them or none.
func (b *Book) AddAll(ctx context.Context, list []Record) (added []Record, err error) {
	err = b.write(ctx, func(tx *sql.Tx) error {
		for _, r := range list {
			r.State = Kept
			if r, err = add(ctx, tx, r); err != nil {
				return err
			}
			added = append(added, r)
		}
		return nil
	})
	if err != nil {
		return nil, b.problem("add records", err)
	}
	return added, nil
}

// add writes a record, which gets a UID unless it has one.
func add(ctx context.Context, tx *sql.Tx, r Record) (Record, error) {
	k, fields, err := check(ctx, tx, r.Kind, r.Fields, r.At)
	if err != nil {
		return r, err
	}
	r.Fields = fields
	if r.UID == "" {
		r.UID = newUID(k, fields, false)
	}
	set := maps.Clone(fields)
	set[keyAt] = stamp(r.At)
	blanked, err := say(ctx, tx, r, set, "", r.At)
	if err != nil {
		return r, err
	}
	if blanked {
		return refold(ctx, tx, r.UID)
	}
	r.ID, err = insertRecord(ctx, tx, k, r)
	return r, err
}

// insertRecord writes what a record says under the next number of its kind.
func insertRecord(ctx context.Context, q querier, k records.Kind, r Record) (id int64, err error) {
	body, err := json.Marshal(r.Fields)
	if err != nil {
		return 0, err
	}
	// A kind that is a parameter by itself would be held against what each index is of, and the statement compiled anew for each value.
	err = q.QueryRowContext(ctx, `INSERT INTO records (uid, kind, id, owner, at, words, body, state, waiting)
		VALUES (?1, ?2, (SELECT coalesce(max(id), 0) + 1 FROM records WHERE kind = ?2 || ''), ?3, ?4, ?5, ?6, ?7, ?8) RETURNING id`,
		r.UID, r.Kind, r.Fields[k.Owner], stamp(r.At), k.Words(r.Fields), string(body), r.State, r.waits()).Scan(&id)
	return id, err
}

// owner is the UID of whose record it is, empty for nobody's.
func (r Record) owner() string {
	k, _ := records.Find(r.Kind)
	return r.Fields[k.Owner]
}

// waits says whether a record is a job that can be taken from the queue.
func (r Record) waits() bool {
	return r.Kind == records.KindJob && r.State == Kept && records.As[records.Job](r.Fields).Text != ""
}

// check reads fields by their kind and sees that what they refer to is there.
func check(ctx context.Context, q querier, kind records.Name, fields records.Fields, now time.Time) (records.Kind, records.Fields, error) {
	k, ok := records.Find(kind)
	if !ok {
		return k, nil, fmt.Errorf("there is no kind of record %q", kind)
	}
	fields, err := k.Read(fields, now)
	return k, fields, errors.Join(err, refers(ctx, q, k, fields))
}

// refers sees that what fields refer to is in the book.
func refers(ctx context.Context, q querier, k records.Kind, fields records.Fields) error {
	var wrong []error
	for _, f := range k.Fields {
		uid := fields[f.Key]
		if f.Of == "" || uid == "" {
			continue
		}
		var is records.Name
		err := q.QueryRowContext(ctx, "SELECT kind FROM records WHERE uid = ?", uid).Scan(&is)
		switch {
		case errors.Is(err, sql.ErrNoRows) || err == nil && is != f.Of:
			wrong = append(wrong, &absentError{fmt.Sprintf("%s: the book has no %s %q", f.Key, f.Of, uid)})
		case err != nil:
			wrong = append(wrong, err)
		}
	}
	return errors.Join(wrong...)
}

// absentError reports that something names what the book has not got. It may come later where several benches share what they write.
type absentError struct{ what string }

func (e *absentError) Error() string { return e.what }

// Correct changes fields of a record and keeps beside it what was there. Nothing is written when nothing changes.
func (b *Book) Correct(ctx context.Context, uid string, c Change) (r Record, err error) {
	err = b.write(ctx, func(tx *sql.Tx) error {
		r, err = correct(ctx, tx, uid, c)
		return err
	})
	if err != nil {
		return Record{}, b.problem("correct a record", err)
	}
	return r, nil
}

// CorrectAll corrects several records, all of them or none; the i-th change is that of the i-th record.
func (b *Book) CorrectAll(ctx context.Context, uids []string, changes []Change) (list []Record, err error) {
	err = b.write(ctx, func(tx *sql.Tx) error {
		for i, uid := range uids {
			r, err := correct(ctx, tx, uid, changes[i])
			if err != nil {
				return err
			}
			list = append(list, r)
		}
		return nil
	})
	if err != nil {
		return nil, b.problem("correct records", err)
	}
	return list, nil
}

func correct(ctx context.Context, tx *sql.Tx, uid string, c Change) (Record, error) {
	r, err := record(ctx, tx, uid)
	if err != nil {
		return r, err
	}
	if r.State == Forgotten {
		return r, fmt.Errorf("the %s was forgotten; nothing can be written about them any more", r.Kind)
	}
	fields := maps.Clone(r.Fields)
	maps.Copy(fields, c.Fields)
	_, fields, err = check(ctx, tx, r.Kind, fields, c.At)
	if err != nil {
		return r, err
	}
	set := differing(r.Fields, fields)
	decided, err := decides(ctx, tx, r.UID, c.Fields)
	for _, key := range decided {
		set[key] = fields[key]
	}
	if err != nil || len(set) == 0 {
		return r, err
	}
	blanked, err := say(ctx, tx, r, set, c.Why, c.At)
	if err != nil {
		return r, err
	}
	if blanked || len(decided) > 0 {
		return refold(ctx, tx, r.UID)
	}
	r.Fields = fields
	return r, rewrite(ctx, tx, r)
}

// rewrite writes a record that is there already, a job's with that of each attempt at it.
func rewrite(ctx context.Context, tx *sql.Tx, r Record) error {
	k, _ := records.Find(r.Kind)
	body, err := json.Marshal(r.Fields)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `UPDATE records SET owner = ?2, words = ?3, body = ?4, state = ?5, at = ?7,
		waiting = ?6 AND NOT EXISTS (SELECT 1 FROM jobs WHERE jobs.uid = ?1) WHERE uid = ?1`,
		r.UID, r.Fields[k.Owner], k.Words(r.Fields), string(body), r.State, r.waits(), stamp(r.At))
	if err == nil && r.Kind == records.KindJob {
		err = rewriteAttempts(ctx, tx, r)
	}
	return err
}

// Remove takes a record out of every list; what refers to it still finds it. Recall brings it back.
func (b *Book) Remove(ctx context.Context, uid string) error { return b.state(ctx, uid, Removed) }

// Recall brings back a record that was removed.
func (b *Book) Recall(ctx context.Context, uid string) error { return b.state(ctx, uid, Kept) }

func (b *Book) state(ctx context.Context, uid string, s RecordState) error {
	err := b.write(ctx, func(tx *sql.Tx) error {
		r, err := record(ctx, tx, uid)
		if err != nil {
			return err
		}
		if r.State == Forgotten {
			return fmt.Errorf("the %s was forgotten", r.Kind)
		}
		return counts(ctx, tx, r, s)
	})
	if err != nil {
		return b.problem("remove or recall a record", err)
	}
	return nil
}

// counts says whether a record counts from now on. It has no time of its own: that of the book's clock, which never stands, will do.
func counts(ctx context.Context, tx *sql.Tx, r Record, s RecordState) error {
	if r.State == s {
		return nil
	}
	if _, err := say(ctx, tx, r, records.Fields{keyState: string(s)}, "", r.At); err != nil {
		return err
	}
	r.State = s
	return rewrite(ctx, tx, r)
}
