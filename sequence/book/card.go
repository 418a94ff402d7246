package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"maps"

	"pullcard/sequence/records"
)

// alone refuses to begin a job file anew while a job of it is in work.
func alone(ctx context.Context, tx *sql.Tx, d Draft) error {
	if !d.Alone || d.File == "" {
		return nil
	}
	var id int64
	err := tx.QueryRowContext(ctx, `SELECT jobs.id FROM jobs JOIN plans ON plans.id = jobs.plan
		WHERE jobs.state = 'open' AND file = ? AND fingerprint = ? LIMIT 1`, d.File, d.Plan.Plan).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	if err == nil {
		err = fmt.Errorf("%s was begun meanwhile at another bench, as job %d; leave this one and take that up from the rack", d.File, id)
	}
	return err
}

// begin is the record of a job that is begun: the waiting one, or a new one.
func begin(ctx context.Context, tx *sql.Tx, d Draft) (Record, error) {
	card := Record{Kind: records.KindJob, At: d.At, State: Kept, Fields: records.Fields{}}
	if d.UID != "" {
		var err error
		if card, err = record(ctx, tx, d.UID); err != nil {
			return card, err
		}
		var begun bool
		if err := tx.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM jobs WHERE uid = ?)", d.UID).Scan(&begun); err != nil {
			return card, err
		}
		if begun {
			return card, fmt.Errorf("job %d was begun already, maybe by another program; take it up again", card.ID)
		}
	} else if err := alone(ctx, tx, d); err != nil {
		return card, err
	} else if d.Lesson {
		card.UID = newUID(records.Kind{}, nil, true)
	}
	waited := card.Fields
	known := records.Texts(d.Job)
	maps.Copy(known, card.Fields)
	j := records.As[records.Job](known)
	if err := adopt(ctx, tx, d, &j); err != nil {
		return card, err
	}
	card.Fields = records.Texts(j)
	if d.UID == "" {
		return add(ctx, tx, card)
	}
	if _, err := tx.ExecContext(ctx, "UPDATE records SET at = ? WHERE uid = ?", stamp(d.At), d.UID); err != nil {
		return card, err
	}
	_, fields, err := check(ctx, tx, records.KindJob, card.Fields, d.At)
	if err != nil {
		return card, err
	}
	set := differing(waited, fields)
	set[keyAt] = stamp(d.At)
	blanked, err := say(ctx, tx, card, set, "", d.At)
	if err != nil {
		return card, err
	}
	card.At, card.Fields = d.At, fields
	if blanked {
		card, err = refold(ctx, tx, card.UID)
	} else {
		err = rewrite(ctx, tx, card)
	}
	if err != nil {
		return card, err
	}
	_, err = tx.ExecContext(ctx, "UPDATE records SET waiting = 0 WHERE uid = ?", d.UID)
	return card, err
}

// adopt finds the records of those whom a draft names, or adds them. A racket is somebody's.
func adopt(ctx context.Context, tx *sql.Tx, d Draft, j *records.Job) (err error) {
	adopted := func(uid *string, kind records.Name, fields records.Fields) {
		if err != nil || *uid != "" {
			return
		}
		r := Record{Kind: kind, Fields: fields, At: d.At}
		if d.Lesson && kind == records.KindPlayer {
			r.UID = newUID(records.Kind{}, nil, true)
		}
		*uid, err = namesake(ctx, tx, r)
	}
	adopted(&j.Player, records.KindPlayer, records.Texts(records.Player{Name: d.Player}))
	if j.Player != "" {
		adopted(&j.Racket, records.KindRacket, records.Texts(records.Racket{Player: j.Player, Mark: d.Racket}))
	}
	adopted(&j.Machine, records.KindMachine, records.Texts(records.Machine{Name: d.Machine}))
	adopted(&j.Stringer, records.KindStringer, records.Texts(records.Stringer{Name: d.Stringer}))
	return err
}

// namesake is the UID of the record that is called like one, which is added when there is none; empty where it has no name
// that the book keeps, and the job goes on without.
func namesake(ctx context.Context, tx *sql.Tx, r Record) (string, error) {
	k, _ := records.Find(r.Kind)
	if records.Fold(k.Label(r.Fields)) == "" {
		return "", nil
	}
	if _, err := k.Read(r.Fields, r.At); err != nil {
		return "", nil
	}
	r, err := named(ctx, tx, r)
	return r.UID, err
}

// addNew adds records whose UID the book has not got.
func addNew(ctx context.Context, tx *sql.Tx, list []Record) error {
	for _, r := range list {
		var there bool
		if err := tx.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM records WHERE uid = ?)", r.UID).Scan(&there); err != nil {
			return err
		}
		if there {
			continue
		}
		r.State = Kept
		if _, err := add(ctx, tx, r); err != nil {
			return err
		}
	}
	return nil
}
