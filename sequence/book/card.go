package book

import (
	"context"
	"database/sql"
	"fmt"
	"maps"

	"pullcard/sequence/house"
)

// begin is the record of a job that is begun: the waiting one, or a new one.
func begin(ctx context.Context, tx *sql.Tx, d Draft) (Record, error) {
	card := Record{Kind: house.Job, At: d.At, State: Kept, Fields: house.Fields{}}
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
	}
	known := card.Fields
	card.Fields = maps.Clone(d.Fields)
	if card.Fields == nil {
		card.Fields = house.Fields{}
	}
	maps.Copy(card.Fields, known)
	if err := adopt(ctx, tx, d, card.Fields); err != nil {
		return card, err
	}
	if d.UID == "" {
		return add(ctx, tx, card)
	}
	if _, err := tx.ExecContext(ctx, "UPDATE records SET at = ? WHERE uid = ?", stamp(d.At), d.UID); err != nil {
		return card, err
	}
	card.At = d.At
	_, fields, err := check(ctx, tx, house.Job, card.Fields, d.At)
	if err != nil {
		return card, err
	}
	card.Fields = fields
	if err := rewrite(ctx, tx, card); err != nil {
		return card, err
	}
	_, err = tx.ExecContext(ctx, "UPDATE records SET waiting = 0 WHERE uid = ?", d.UID)
	return card, err
}

// adopt finds the records of those whom a draft names, or adds them.
func adopt(ctx context.Context, tx *sql.Tx, d Draft, fields house.Fields) error {
	for _, a := range []struct {
		key    string
		named  string
		kind   house.Name
		fields house.Fields
	}{
		{"player", d.Player, house.Player, house.Fields{"name": d.Player}},
		{"racket", d.Racket, house.Racket, house.Fields{"mark": d.Racket}},
		{"machine", d.Machine, house.Machine, house.Fields{"name": d.Machine}},
		{"stringer", d.Stringer, house.Stringer, house.Fields{"name": d.Stringer}},
	} {
		if fields[a.key] != "" || house.Fold(a.named) == "" {
			continue
		}
		if a.key == "racket" {
			if a.fields["player"] = fields["player"]; a.fields["player"] == "" {
				continue // a racket is somebody's
			}
		}
		k, _ := house.Find(a.kind)
		if _, err := k.Read(a.fields, d.At); err != nil {
			continue // no name that the book keeps; the job goes on without
		}
		r, err := named(ctx, tx, Record{Kind: a.kind, Fields: a.fields, At: d.At})
		if err != nil {
			return err
		}
		fields[a.key] = r.UID
	}
	return nil
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
