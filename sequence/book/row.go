package book

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"pullcard/sequence"
	"pullcard/sequence/progress"
)

// The kinds of row in the log.
const (
	rowRecord = "record" // a change of a record
	rowForget = "forget" // the change with which a player is forgotten
	rowPlan   = "plan"
	rowJob    = "job" // a job was begun
	rowEvent  = "event"
	rowClaim  = "claim" // a bench takes a job, or takes it over
	rowVoid   = "void"  // a number for which there is nothing any more
)

// Row is one row of a log: an envelope that never changes, and a body beside it.
type Row struct {
	Bench string `json:"bench"` // the letter or word of the bench, empty where it was in no room
	Epoch string `json:"epoch"` // which life of which book numbered it
	Seq   int64  `json:"seq"`   // from 1, without a gap
	Kind  string `json:"kind"`
	// Digest is the SHA-256 of the body, Hash the one of the hash before it, epoch, number, kind and digest: two logs that have the
	// same hash at a number are the same up to there.
	Digest []byte `json:"digest"`
	Hash   []byte `json:"hash"`
	Body   []byte `json:"body,omitempty"` // nil where somebody was forgotten
}

// Chain is the hash of a row that follows one with the hash before.
func (r Row) Chain(before []byte) []byte {
	text := make([]byte, 0, 200)
	text = append(text, before...)
	text = append(append(append(append(text, r.Epoch...), 0), r.Kind...), 0)
	text = binary.BigEndian.AppendUint64(text, uint64(r.Seq))
	return digestOf(append(text, r.Digest...))
}

// Whole says whether the body is the one that the digest is of.
func (r Row) Whole() bool { return bytes.Equal(digestOf(r.Body), r.Digest) }

// Vector says how many rows of each epoch somebody has.
type Vector map[string]int64

// jobBody is the body of a job's row.
type jobBody struct {
	UID    string    `json:"uid"`
	Plan   string    `json:"plan"` // the digest of its body
	Made   time.Time `json:"made"`
	Player string    `json:"player,omitempty"`
	Racket string    `json:"racket,omitempty"`
	File   string    `json:"file,omitempty"`
	Source []byte    `json:"source,omitempty"`
	Salt   string    `json:"salt,omitempty"`
}

// eventBody is the body of an event's row.
type eventBody struct {
	Job   string `json:"job"`
	N     int    `json:"n"`
	Prev  string `json:"prev"` // the name of the event before it, or of the job's begin
	Claim int    `json:"claim,omitempty"`
	progress.Event
	Plan string `json:"plan,omitempty"` // the digest of the one that it brings
	Salt string `json:"salt,omitempty"`
}

// claimBody is the body of a claim's row.
type claimBody struct {
	Job    string    `json:"job"`
	Number int       `json:"number"`
	Bench  string    `json:"bench"`
	At     time.Time `json:"at"`
	After  string    `json:"after,omitempty"` // the name of the last event that the bench knew then, empty where the job was not begun
}

// mostBytes is how long a text of a job may be.
const mostBytes = 4000

// said are the texts in which people said something, beside the job's file itself.
func (j *jobBody) said() []*string { return []*string{&j.Player, &j.Racket, &j.File} }

// unsaid is a begin without what people said.
func (j jobBody) unsaid() jobBody {
	for _, text := range j.said() {
		*text = ""
	}
	j.Source, j.Salt = nonNil(sequence.Anonymous(j.Source)), ""
	return j
}

// cut is a begin that every book takes in: a long name does not stop a job.
func (j jobBody) cut() jobBody {
	for _, text := range j.said() {
		if len(*text) > mostBytes {
			*text = strings.ToValidUTF8((*text)[:mostBytes], "")
		}
	}
	return j
}

// valid says what is wrong with what people said.
func (j jobBody) valid() error {
	for _, text := range append(j.said(), &j.Salt) {
		if len(*text) > mostBytes || !utf8.ValidString(*text) {
			return fmt.Errorf("one of its texts is no text of %d bytes at most", mostBytes)
		}
	}
	return nil
}

// name is what a job's begin is called among all that happened to it. Private words are not in it: they may be forgotten.
func (j jobBody) name() string {
	return nameOf("job", j.UID, j.Plan, j.Made.Format(time.RFC3339Nano))
}

// name is what an event is called. It holds everything before it too, as the name of the event before is in it.
func (e eventBody) name() string {
	return nameOf("event", e.Prev, e.At.Format(time.RFC3339Nano), string(e.Kind), fmt.Sprint(e.Step, " ", e.Of, " ", e.Claim), e.What, e.Plan)
}

func nameOf(parts ...string) string {
	sum := sha256.Sum256([]byte(strings.Join(parts, "\x00")))
	return hex.EncodeToString(sum[:16])
}

func digestOf(body []byte) []byte {
	sum := sha256.Sum256(body)
	return sum[:]
}

// encoder writes the bodies of rows from what the tables say.
type encoder struct {
	ctx   context.Context
	tx    *sql.Tx
	q     statements
	names map[int64][]string // of a job's begin and events
	uids  map[int64]string
}

func newEncoder(ctx context.Context, tx *sql.Tx) *encoder {
	return &encoder{ctx, tx, statements{tx}, map[int64][]string{}, map[int64]string{}}
}

// body is the body of a row. The error is sql.ErrNoRows when that is not in the book any more.
func (e *encoder) body(kind string, row, part int64) ([]byte, error) {
	switch kind {
	case rowPlan:
		var body []byte
		err := e.q.QueryRowContext(e.ctx, "SELECT body FROM plans WHERE id = ?", row).Scan(&body)
		return body, err
	case rowRecord, rowForget:
		c, err := scanChange(e.q.QueryRowContext(e.ctx, selectChanges+" WHERE id = ?", row))
		if err != nil {
			return nil, err
		}
		return json.Marshal(c)
	case rowJob:
		j, err := e.job(row)
		if err != nil {
			return nil, err
		}
		return json.Marshal(j)
	case rowEvent:
		return e.event(row, part)
	case rowClaim:
		var c claimBody
		err := e.q.QueryRowContext(e.ctx, "SELECT job, number, bench, at, after FROM claims WHERE id = ?", row).Scan(&c.Job, &c.Number, &c.Bench, moment{&c.At}, &c.After)
		if err != nil {
			return nil, err
		}
		return json.Marshal(c)
	}
	return nil, sql.ErrNoRows
}

func (e *encoder) job(id int64) (j jobBody, err error) {
	var plan int64
	var of string
	err = e.q.QueryRowContext(e.ctx, "SELECT uid, of, plan, made, player, racket, file, source, salt FROM jobs WHERE id = ?", id).
		Scan(&j.UID, &of, &plan, moment{&j.Made}, &j.Player, &j.Racket, &j.File, &j.Source, &j.Salt)
	if err == nil {
		j.Plan, err = e.digest(plan)
	}
	if of != "" {
		j.UID = of
	}
	return j, err
}

// digest names a plan. Where nobody has done so yet it is written down.
func (e *encoder) digest(plan int64) (string, error) {
	var digest, body []byte
	err := e.q.QueryRowContext(e.ctx, "SELECT digest FROM plans WHERE id = ?", plan).Scan(&digest)
	if err == nil && digest == nil {
		if err = e.q.QueryRowContext(e.ctx, "SELECT body FROM plans WHERE id = ?", plan).Scan(&body); err == nil {
			digest = digestOf(body)
			err = e.q.exec(e.ctx, "UPDATE plans SET digest = ? WHERE id = ?", digest, plan)
		}
	}
	return hex.EncodeToString(digest), err
}

// last names what was done last at a job, empty where it was not begun.
func (e *encoder) last(uid string) (string, error) {
	var id, n int64
	err := e.q.QueryRowContext(e.ctx, "SELECT id, (SELECT count(*) FROM events WHERE job = id) FROM jobs WHERE uid = ?", uid).Scan(&id, &n)
	if errors.Is(err, sql.ErrNoRows) {
		return "", nil
	}
	if err == nil {
		err = e.moreNames(id, n+1)
	}
	if err != nil {
		return "", err
	}
	return e.names[id][n], nil
}

// spoken is what people said with an event, empty where nothing; unspoken takes it away.
const spoken, unspoken = "why", "why = ''"

const selectEvents = "SELECT seq, at, kind, step, what, why, of, plan, claim, salt FROM events"

func (e *encoder) event(job, seq int64) ([]byte, error) {
	for int64(len(e.names[job])) < seq {
		if err := e.moreNames(job, seq); err != nil {
			return nil, err
		}
	}
	rows, err := e.q.QueryContext(e.ctx, selectEvents+" WHERE job = ? AND seq = ?", job, seq)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	if !rows.Next() {
		return nil, errors.Join(rows.Err(), sql.ErrNoRows)
	}
	b, err := e.scanEvent(rows, job)
	if err != nil {
		return nil, err
	}
	if names := e.names[job]; int64(len(names)) == seq {
		e.names[job] = append(names, b.name())
	}
	return json.Marshal(b)
}

// moreNames works out the names of a job's events before one.
func (e *encoder) moreNames(job, before int64) error {
	j, err := e.job(job)
	if err != nil {
		return err
	}
	e.uids[job], e.names[job] = j.UID, []string{j.name()}
	err = eachRow(e.ctx, e.q, func(rows *sql.Rows) error {
		b, err := e.scanEvent(rows, job)
		if err == nil && b.N != len(e.names[job]) {
			err = sql.ErrNoRows
		}
		e.names[job] = append(e.names[job], b.name())
		return err
	}, selectEvents+" WHERE job = ? AND seq < ? ORDER BY seq", job, before)
	if err != nil {
		return err
	}
	if int64(len(e.names[job])) < before {
		return sql.ErrNoRows
	}
	return nil
}

func (e *encoder) scanEvent(rows *sql.Rows, job int64) (b eventBody, err error) {
	var plan sql.NullInt64
	err = rows.Scan(&b.N, moment{&b.At}, &b.Event.Kind, &b.Step, &b.What, &b.Why, &b.Of, &plan, &b.Claim, &b.Salt)
	if err != nil {
		return b, err
	}
	b.Job = e.uids[job]
	if n := e.names[job]; b.N >= 1 && b.N <= len(n) {
		b.Prev = n[b.N-1]
	}
	if plan.Valid {
		b.Plan, err = e.digest(plan.Int64)
	}
	return b, err
}
