package book

import (
	"context"
	"database/sql"
	"errors"
	"slices"
	"strings"

	"pullcard/sequence/records"
)

// refold brings a record, and those of other attempts at a job, to what all their changes say. One that is new gets a number.
func refold(ctx context.Context, tx *sql.Tx, uid string) (Record, error) {
	all, err := changesOf(ctx, tx, uid)
	if err != nil {
		return Record{}, err
	}
	return project(ctx, tx, uid, all[uid])
}

// project does the same from all that was ever said.
func project(ctx context.Context, tx *sql.Tx, uid string, list []change) (r Record, err error) {
	if len(list) == 0 {
		return r, errNoRecord
	}
	f := fold(list)
	r = Record{UID: uid, Kind: list[0].Kind, At: f.at, State: f.state, Fields: f.fields}
	k, _ := records.Find(r.Kind)
	fresh := false
	if r.ID, err = numberOf(ctx, tx, uid); errors.Is(err, sql.ErrNoRows) {
		fresh = true
		r.ID, err = insertRecord(ctx, tx, k, r)
	}
	if err != nil {
		return r, err
	}
	if r.State != Forgotten {
		said := len(r.Fields)
		r.Fields = anonymous(r, r.Fields)
		fresh = fresh && len(r.Fields) == said
	}
	if fresh && len(list) == 1 {
		return r, nil // all of it is written
	}
	var keys []string
	for _, d := range f.dispute {
		keys = append(keys, d.Key)
	}
	if _, err := tx.ExecContext(ctx, "DELETE FROM disputes WHERE uid = ?", uid); err != nil {
		return r, err
	}
	if len(keys) > 0 {
		if _, err := tx.ExecContext(ctx, "INSERT INTO disputes VALUES (?, ?)", uid, strings.Join(keys, " ")); err != nil {
			return r, err
		}
	}
	return r, rewrite(ctx, tx, r)
}

func numberOf(ctx context.Context, q querier, uid string) (id int64, err error) {
	err = q.QueryRowContext(ctx, "SELECT id FROM records WHERE uid = ?", uid).Scan(&id)
	return id, err
}

// rewriteAttempts gives the other attempts at a job what its record says. They have no changes of their own.
func rewriteAttempts(ctx context.Context, tx *sql.Tx, r Record) error {
	list, err := column[string](ctx, tx, "SELECT uid FROM jobs WHERE of = ? AND of <> '' ORDER BY uid", r.UID)
	if err != nil {
		return err
	}
	for _, uid := range list {
		a := r
		a.UID = uid
		if a.ID, err = numberOf(ctx, tx, uid); err != nil {
			return err
		}
		if err := rewrite(ctx, tx, a); err != nil {
			return err
		}
	}
	return nil
}

// decides lists the keys of fields that are in dispute and of which somebody says now what they are.
func decides(ctx context.Context, q querier, uid string, said records.Fields) (keys []string, err error) {
	list, err := column[string](ctx, q, "SELECT fields FROM disputes WHERE uid = ?", uid)
	for _, key := range strings.Fields(strings.Join(list, " ")) {
		if _, ok := said[key]; ok {
			keys = append(keys, key)
		}
	}
	return keys, err
}

// Disputed is a record with what several benches said of it, none knowing of the other.
type Disputed struct {
	Record
	Fields []Dispute `json:"disputes"`
}

// Disputes lists the records about which a person has to decide, by their kinds and numbers.
func (b *Book) Disputes(ctx context.Context) (out []Disputed, err error) {
	err = b.read(ctx, func(tx *sql.Tx) error {
		list, err := readRecords(ctx, tx, selectRecords+" WHERE uid IN (SELECT uid FROM disputes) ORDER BY kind, id")
		if err != nil {
			return err
		}
		uids := make([]string, len(list))
		for i, r := range list {
			uids[i] = r.UID
		}
		all, err := changesOf(ctx, tx, uids...)
		for _, r := range list {
			out = append(out, Disputed{r, fold(all[r.UID]).dispute})
		}
		return err
	})
	if err != nil {
		return nil, b.problem("list what is in dispute", err)
	}
	return slices.Clip(out), nil
}
