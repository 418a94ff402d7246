package book

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"

	"pullcard/sequence"
	"pullcard/sequence/records"
)

// HeldError reports that a player is forgotten, but that their name still lies in the book's files, because another
// program uses the book. Forget is to be called again when that is closed.
type HeldError struct{ path string }

// Error says what to do.
func (e *HeldError) Error() string {
	return fmt.Sprintf("the player is forgotten, but another program uses the book and keeps the old pages in %s and the files beside it; "+
		"close it there and forget the player once more", e.path)
}

// Concerns counts, by kind, the records that hold something of a player: their rackets, lots and jobs, and what was said
// of those.
func (b *Book) Concerns(ctx context.Context, player string) (map[records.Name]int, error) {
	n := map[records.Name]int{}
	err := b.read(ctx, func(tx *sql.Tx) error {
		p, err := playerRecord(ctx, tx, player)
		if err != nil {
			return err
		}
		nameless, err := namedOnly(ctx, tx, p)
		if err != nil {
			return err
		}
		n[records.KindJob] = len(nameless)
		list, err := readRecords(ctx, tx, dependants("uid = ?"), player)
		count(n, list)
		return err
	})
	if err != nil {
		return nil, b.problem("see what is kept of a player", err)
	}
	return n, nil
}

func count(n map[records.Name]int, list []Record) {
	for _, r := range list {
		n[r.Kind]++
	}
}

// Forget takes everything that says who a player is out of the book, for good: the name, contact and notes, the marks of
// their rackets, the names of their lots, what was written beside their jobs, what those records said before they were
// corrected, and the free words in the journals. What was strung stays, without a name: the tensions, events, readings
// and answers. It cannot be taken back. Copies of the book are not touched, nor is what other records say in free words.
//
// It counts the records that it went over, by kind. Afterwards no file of the book has a byte of what went. The error is or
// wraps a *HeldError while another program keeps that from being so. A player may be forgotten again.
func (b *Book) Forget(ctx context.Context, player string) (n map[records.Name]int, err error) {
	if _, err := b.db.ExecContext(ctx, "PRAGMA secure_delete = ON; PRAGMA temp_store = MEMORY"); err != nil {
		return nil, b.problem("forget a player", err)
	}
	n = map[records.Name]int{}
	err = b.write(ctx, func(tx *sql.Tx) error {
		if err := forget(ctx, tx, player); err != nil {
			return err
		}
		list, err := readRecords(ctx, tx, dependants("uid = ?"), player)
		if err != nil {
			return err
		}
		count(n, list)
		return blankAll(ctx, tx, list)
	})
	if err == nil {
		err = b.scrub(ctx)
	}
	if err != nil {
		return nil, b.problem("forget a player", err)
	}
	return n, nil
}

// forget takes a player out, and makes theirs the jobs of old books that only name them.
func forget(ctx context.Context, tx *sql.Tx, player string) error {
	p, err := playerRecord(ctx, tx, player)
	if err != nil {
		return err
	}
	jobs, err := namedOnly(ctx, tx, p)
	if err != nil {
		return err
	}
	for _, j := range jobs {
		k, _ := records.Find(j.Kind)
		j.Fields[k.Owner] = player
		if err := rewrite(ctx, tx, j); err != nil {
			return err
		}
	}
	p.State, p.Fields = Forgotten, records.Fields{}
	return errors.Join(rewrite(ctx, tx, p), uncorrected(ctx, tx, p.UID))
}

func playerRecord(ctx context.Context, q querier, uid string) (Record, error) {
	p, err := record(ctx, q, uid)
	if err == nil && p.Kind != records.KindPlayer {
		err = fmt.Errorf("%s %d is no player; only players are forgotten", p.Kind, p.ID)
	}
	return p, err
}

// namedOnly lists the jobs whose record says nothing of a player but that name this one, as books have them from before
// there were records.
func namedOnly(ctx context.Context, q querier, p Record) (list []Record, err error) {
	name := records.Fold(records.As[records.Player](p.Fields).Name)
	if name == "" {
		return nil, nil
	}
	rows, err := q.QueryContext(ctx, `SELECT records.uid, records.kind, records.id, records.at, records.state, records.body, jobs.player
		FROM jobs JOIN records ON records.uid = jobs.uid WHERE records.owner = '' AND jobs.player <> ''`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var called string
		r, err := scanRecord(rows, &called)
		if err != nil {
			return nil, err
		}
		if records.Fold(called) == name {
			list = append(list, r)
		}
	}
	return list, rows.Err()
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

// blankAll takes everything private out of records, and out of the jobs that were begun of them.
func blankAll(ctx context.Context, tx *sql.Tx, list []Record) error {
	for _, r := range list {
		r.Fields = anonymous(r)
		if err := errors.Join(rewrite(ctx, tx, r), uncorrected(ctx, tx, r.UID)); err != nil {
			return err
		}
		if r.Kind != records.KindJob {
			continue
		}
		if err := blankJob(ctx, tx, r.UID); err != nil {
			return err
		}
	}
	return nil
}

// anonymous are the fields of a record without what says who somebody is. A private field that cannot be left away says
// which record it is.
func anonymous(r Record) records.Fields {
	k, _ := records.Find(r.Kind)
	kept := k.Blank(r.Fields)
	for _, f := range k.Fields {
		switch {
		case f.Private && f.Needed:
			kept[f.Key] = fmt.Sprintf("%s %d", r.Kind, r.ID)
		case f.Whole && kept[f.Key] != "":
			if kept[f.Key] = string(bytes.TrimSpace(sequence.Anonymous([]byte(kept[f.Key])))); kept[f.Key] == "" {
				delete(kept, f.Key)
			}
		}
	}
	return kept
}

// blankJob takes everything private out of a job that was begun; of one that was not there is nothing.
func blankJob(ctx context.Context, tx *sql.Tx, uid string) error {
	var id int64
	var text []byte
	err := tx.QueryRowContext(ctx, "SELECT id, source FROM jobs WHERE uid = ?", uid).Scan(&id, &text)
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	if err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, "UPDATE jobs SET player = '', racket = '', file = '', source = ? WHERE id = ?", sequence.Anonymous(text), id); err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, "UPDATE events SET why = '' WHERE job = ? AND why <> ''", id)
	return err
}

// uncorrected deletes what a record said before.
func uncorrected(ctx context.Context, tx *sql.Tx, uid string) error {
	_, err := tx.ExecContext(ctx, "DELETE FROM corrections WHERE uid = ?", uid)
	return err
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
