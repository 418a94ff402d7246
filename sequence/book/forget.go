package book

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"pullcard/sequence"
	"pullcard/sequence/records"
)

// HeldError reports that somebody is forgotten, but that their name still lies in the book's files, because another
// program uses the book. Forget is to be called again when that is closed.
type HeldError struct{ path string }

// Error says what to do.
func (e *HeldError) Error() string {
	return fmt.Sprintf("they are forgotten, but another program uses the book and keeps the old pages in %s and the files beside it; "+
		"close it there and forget them once more", e.path)
}

// Concerns counts, by kind, the records that hold something of a player: their rackets, lots and jobs, and what was said
// of those. What a stringer strung is others', and says nothing of them but who it was.
func (b *Book) Concerns(ctx context.Context, who string) (map[records.Name]int, error) {
	n := map[records.Name]int{}
	err := b.read(ctx, func(tx *sql.Tx) error {
		p, err := person(ctx, tx, who)
		if err != nil {
			return err
		}
		nameless, err := namedOnly(ctx, tx, p)
		if err != nil {
			return err
		}
		n[records.KindJob] = len(nameless)
		list, err := readRecords(ctx, tx, dependants("uid = ?"), who)
		count(n, list)
		return err
	})
	if err != nil {
		return nil, b.problem("see what is kept of somebody", err)
	}
	return n, nil
}

func count(n map[records.Name]int, list []Record) {
	for _, r := range list {
		n[r.Kind]++
	}
}

// Forget takes everything that says who a player or a stringer is out of the book, for good: the private and the free fields, what they said
// before they were corrected, and of a player the marks of their rackets, the names of their lots, what was written beside their jobs, and the free words in the
// journals. What was strung stays, without a name: the tensions, events, readings and answers. It cannot be taken back. Copies of the book are not touched, nor is what other records say in free words.
//
// It counts the records that it went over, by kind. Afterwards no file of the book has a byte of what went. The error is or
// wraps a *HeldError while another program keeps that from being so. They may be forgotten again.
func (b *Book) Forget(ctx context.Context, who string) (n map[records.Name]int, err error) {
	if _, err := b.db.ExecContext(ctx, "PRAGMA secure_delete = ON; PRAGMA temp_store = MEMORY"); err != nil {
		return nil, b.problem("forget somebody", err)
	}
	n = map[records.Name]int{}
	err = b.write(ctx, func(tx *sql.Tx) error {
		if err := forget(ctx, tx, who); err != nil {
			return err
		}
		list, err := readRecords(ctx, tx, dependants("uid = ?"), who)
		if err != nil {
			return err
		}
		count(n, list)
		return blankAll(ctx, tx, who, list, false)
	})
	if err == nil {
		err = b.scrub(ctx)
	}
	if err != nil {
		return nil, b.problem("forget somebody", err)
	}
	return n, nil
}

// Mentions lists where a book says a name: what a record says or said, as "stock 3", what was written when a job was begun or at the bench, as
// "job 7", and what a plan was made for, as "the plan of job 7".
func (b *Book) Mentions(ctx context.Context, name string) (where []string, err error) {
	quoted, err := json.Marshal(name) // as the rows have it
	if err != nil {
		return nil, err
	}
	says, err := regexp.Compile(`(^|[^\pL\pN])` + regexp.QuoteMeta(records.Fold(strings.Trim(string(quoted), `"`))) + `($|[^\pL\pN])`)
	if err != nil {
		return nil, err
	}
	err = eachRow(ctx, b.db, func(rows *sql.Rows) error {
		var what, text string
		err := rows.Scan(&what, &text)
		if err == nil && !slices.Contains(where, what) && says.MatchString(records.Fold(text)) {
			where = append(where, what)
		}
		return err
	}, `SELECT kind || ' ' || id, body FROM records
		UNION ALL SELECT r.kind || ' ' || r.id, c.fields || ' ' || c.why FROM changes AS c JOIN records AS r ON r.uid = c.uid
		UNION ALL SELECT 'job ' || r.id, json_array(j.player, j.racket, j.file, CAST(j.source AS TEXT)) FROM jobs AS j JOIN records AS r ON r.uid = j.uid
		UNION ALL SELECT 'job ' || r.id, json_array(e.what, e.why) FROM events AS e JOIN jobs AS j ON j.id = e.job JOIN records AS r ON r.uid = j.uid
		UNION ALL SELECT 'the plan of job ' || r.id, j.frame || ' ' || j.technique FROM jobs AS j JOIN records AS r ON r.uid = j.uid`)
	if err != nil {
		return nil, b.problem("see where a name is said", err)
	}
	return where, nil
}

// forget takes a player out, and makes theirs the jobs of old books that only name them.
func forget(ctx context.Context, tx *sql.Tx, who string) error {
	p, err := person(ctx, tx, who)
	if err != nil {
		return err
	}
	jobs, err := namedOnly(ctx, tx, p)
	if err != nil {
		return err
	}
	for _, j := range jobs {
		k, _ := records.Find(j.Kind)
		j.Fields[k.Owner] = who
		if _, err := say(ctx, tx, j, records.Fields{k.Owner: who}, "", j.At); err != nil {
			return err
		}
		if err := rewrite(ctx, tx, j); err != nil {
			return err
		}
	}
	if p.State != Forgotten {
		_, err = say(ctx, tx, p, records.Fields{keyState: string(Forgotten)}, "", p.At)
	}
	return err
}

func person(ctx context.Context, q querier, uid string) (Record, error) {
	p, err := record(ctx, q, uid)
	if err == nil && !p.Kind.Person() {
		err = fmt.Errorf("%s %d is nobody; only players and stringers are forgotten", p.Kind, p.ID)
	}
	return p, err
}

// namedOnly lists the jobs whose record says nothing of a player but that name this one, as books have them from before
// there were records.
func namedOnly(ctx context.Context, q querier, p Record) (list []Record, err error) {
	name := records.Fold(records.As[records.Player](p.Fields).Name)
	if p.Kind != records.KindPlayer || name == "" {
		return nil, nil
	}
	err = eachRow(ctx, q, func(rows *sql.Rows) error {
		var called string
		r, err := scanRecord(rows, &called)
		if records.Fold(called) == name {
			list = append(list, r)
		}
		return err
	}, "SELECT "+recordColumns("records")+`, jobs.player
		FROM jobs JOIN records ON records.uid = jobs.uid WHERE records.owner = '' AND jobs.player <> ''`)
	return list, err
}

// dependants chooses the records that hold something of the players chosen.
func dependants(players string) string {
	return `WITH who AS (SELECT uid FROM records WHERE kind = 'player' AND ` + players + `),
		things AS (SELECT uid FROM records WHERE kind IN ('racket', 'lot') AND owner <> '' AND owner IN who),
		work AS (SELECT uid FROM records WHERE kind = 'job' AND owner <> '' AND owner IN who` + naming("things", records.KindJob, records.KindRacket, records.KindLot) + `),
		said AS (SELECT uid FROM records WHERE kind IN ('reading', 'verdict') AND owner <> '' AND owner IN work` + naming("work", records.KindCut, records.KindJob) + `)
		` + selectRecords + " WHERE uid IN (SELECT * FROM things UNION SELECT * FROM work UNION SELECT * FROM said)"
}

// naming chooses besides the records of a kind that name one of a set in a field that refers to such kinds.
// The plus takes the type off the column, which has none in the index.
func naming(set string, kind records.Name, of ...records.Name) (union string) {
	k, _ := records.Find(kind)
	for _, f := range k.Fields {
		if slices.Contains(of, f.Of) {
			union += fmt.Sprintf(" UNION SELECT r.uid FROM %s AS s CROSS JOIN records AS r ON r.kind = '%s' AND json_valid(r.body) AND json_extract(r.body, '$.%s') = +s.uid", set, kind, f.Key)
		}
	}
	return union
}

// blankAll takes everything private out of a player's record and those that hold something of them, and out of the jobs that were
// begun of those. Rows of the log that have left this bench lose their bodies, and what is left of them gets new rows; own
// says that only those of this bench do, since whoever forgot the player sees to the others.
func blankAll(ctx context.Context, tx *sql.Tx, who string, list []Record, own bool) error {
	b := blanking{ctx: ctx, tx: tx}
	if err := b.changes(who, func(records.Kind, records.Fields) records.Fields { return records.Fields{} }); err != nil {
		return err
	}
	for _, r := range list {
		if err := b.changes(r.UID, fieldsLeft); err != nil {
			return err
		}
		if r.Kind == records.KindJob {
			if err := b.job(r.UID); err != nil {
				return err
			}
		}
	}
	if err := b.log.empty(ctx, tx, own); err != nil {
		return err
	}
	for _, do := range b.blank {
		if err := do(); err != nil {
			return err
		}
	}
	for _, uid := range append([]string{who}, uidsOf(list)...) {
		if _, err := refold(ctx, tx, uid); err != nil && !errors.Is(err, errNoRecord) {
			return err
		}
	}
	return nil
}

func uidsOf(list []Record) []string {
	uids := make([]string, len(list))
	for i, r := range list {
		uids[i] = r.UID
	}
	return uids
}

// blanking collects what is private: the rows of the log that say it, and what takes it out of the tables.
type blanking struct {
	ctx   context.Context
	tx    *sql.Tx
	log   references
	blank []func() error
}

// changes blanks all that was said of a record. When it was said stays.
func (b *blanking) changes(uid string, left func(records.Kind, records.Fields) records.Fields) error {
	all, err := changesOf(b.ctx, b.tx, uid)
	if err != nil {
		return err
	}
	for _, c := range all[uid] {
		less := c.blank(left)
		if less.Why == c.Why && maps.Equal(less.Fields, c.Fields) {
			continue
		}
		fields, err := json.Marshal(less.Fields)
		if err != nil {
			return err
		}
		b.log.add(rowRecord, c.id, 0)
		b.exec("UPDATE changes SET fields = ?, why = '', salt = '' WHERE id = ?", string(fields), c.id)
	}
	return nil
}

// blank is a change without what says who somebody is.
func (c change) blank(left func(records.Kind, records.Fields) records.Fields) change {
	k, _ := records.Find(c.Kind)
	fields := left(k, c.Fields)
	for _, key := range []string{keyAt, keyState} {
		if text, ok := c.Fields[key]; ok {
			fields[key] = text
		}
	}
	c.Fields, c.Why, c.Salt = fields, "", ""
	return c
}

// fieldsLeft are the fields of a change that say nothing of anybody.
func fieldsLeft(k records.Kind, said records.Fields) records.Fields {
	kept, _ := k.Blank(said)
	for _, f := range k.Fields {
		if f.Whole && kept[f.Key] != "" {
			kept[f.Key] = string(bytes.TrimSpace(sequence.Anonymous([]byte(kept[f.Key]))))
		}
	}
	return kept
}

func (b *blanking) exec(query string, args ...any) {
	b.blank = append(b.blank, func() error {
		_, err := b.tx.ExecContext(b.ctx, query, args...)
		return err
	})
}

// job takes everything private out of a job that was begun, with all attempts at it; of one that was not there is nothing.
func (b *blanking) job(uid string) error {
	return eachRow(b.ctx, b.tx, func(rows *sql.Rows) error {
		var id int64
		var player, racket, file, salt string
		var text []byte
		if err := rows.Scan(&id, &player, &racket, &file, &text, &salt); err != nil {
			return err
		}
		less := sequence.Anonymous(text)
		if player+racket+file+salt != "" || !bytes.Equal(less, text) {
			b.log.add(rowJob, id, 0)
			b.exec("UPDATE jobs SET player = '', racket = '', file = '', source = ?, salt = '' WHERE id = ?", nonNil(less), id)
		}
		b.log.jobs = append(b.log.jobs, id)
		b.exec("UPDATE events SET "+unspoken+", salt = '' WHERE job = ? AND "+spoken+" <> ''", id)
		return nil
	}, "SELECT id, player, racket, file, source, salt FROM jobs WHERE uid = ?1 OR of = ?1 AND of <> ''", uid)
}

// anonymous are fields in which a private one that cannot be left away and was taken away says which record it is.
func anonymous(r Record, fields records.Fields) records.Fields {
	k, _ := records.Find(r.Kind)
	for _, f := range k.Fields {
		if f.Private && f.Needed && fields[f.Key] == "" {
			fields[f.Key] = fmt.Sprintf("%s %d", r.Kind, r.ID)
		}
	}
	return fields
}

// scrub writes the book's file anew without what was deleted, and empties the file beside it that holds older pages.
func (b *Book) scrub(ctx context.Context) error {
	if _, err := b.db.ExecContext(ctx, "VACUUM"); busy(err) {
		return &HeldError{b.at.now()}
	} else if err != nil {
		return err
	}
	var held bool
	var pages, done int
	err := b.db.QueryRowContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)").Scan(&held, &pages, &done)
	if held || busy(err) {
		return &HeldError{b.at.now()}
	}
	return err
}
