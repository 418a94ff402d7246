package book

import (
	"context"
	"database/sql"
	"strings"
)

// again tries the rows that wait for something, as long as that helps, those that were refused once.
func (t *taker) again() error {
	for helped := t.took.Rows > 0 || !t.tried; helped; t.tried = true {
		helped = false
		list, err := t.waiting()
		if err != nil {
			return err
		}
		for _, w := range list {
			t.at = -1
			b := readBody(w.Row)
			p, why, err := t.apply(&source{id: w.source}, w.Row, &b)
			if err != nil {
				return err
			}
			if why == w.why || why != "" && !strings.HasPrefix(why, refused) {
				continue
			}
			helped = true
			if why == "" && t.took.Rows == 0 {
				t.took.Late++
			}
			digest, body := []byte(nil), w.Body
			switch {
			case p.gone:
				digest, body = w.Digest, nil
			case p.derived:
				body = nil
			}
			err = t.q.exec(t.ctx, "UPDATE log SET row = ?, part = ?, digest = ?, body = ?, waits = nullif(?, '') WHERE source = ? AND seq = ?",
				p.row, p.part, digest, body, why, w.source, w.Seq)
			if err != nil {
				return err
			}
		}
	}
	return nil
}

// newer begins what is said of a row that a newer program wrote.
const newer = "a newer program wrote it: "

type waitingRow struct {
	Row
	source int64
	why    string
}

func (t *taker) waiting() ([]waitingRow, error) {
	return allRows(t.ctx, t.q, func(rows *sql.Rows) (w waitingRow, err error) {
		err = rows.Scan(&w.source, &w.Bench, &w.Epoch, &w.Seq, &w.Kind, &w.Body, &w.why)
		w.Digest = digestOf(w.Body)
		return w, err
	}, `SELECT log.source, bench, epoch, log.seq, kind, body, waits FROM log JOIN sources ON sources.id = log.source
		WHERE waits IS NOT NULL AND (NOT ?1 OR substr(waits, 1, length(?2)) <> ?2) AND body IS NOT NULL ORDER BY log.source, log.seq`, t.tried, refused)
}

// Unfit is a row that the book keeps and has not taken in.
type Unfit struct {
	Bench, Epoch string
	Seq          int64
	Kind, Why    string
	Newer        bool // a newer program wrote it
}

// Unfit lists the rows that the book keeps and has not taken in: they name what has not come yet, do not fit, or were written by a
// newer program.
func (b *Book) Unfit(ctx context.Context) (list []Unfit, err error) {
	list, err = allRows(ctx, b.db, func(rows *sql.Rows) (u Unfit, err error) {
		err = rows.Scan(&u.Bench, &u.Epoch, &u.Seq, &u.Kind, &u.Why)
		u.Newer = strings.HasPrefix(u.Why, newer)
		return u, err
	}, `SELECT bench, epoch, log.seq, kind, CASE WHEN waits LIKE '!%' THEN substr(waits, instr(waits, ' ') + 1) ELSE waits END FROM log JOIN sources ON sources.id = log.source
		WHERE waits IS NOT NULL ORDER BY log.source, log.seq`)
	if err != nil {
		return nil, b.problem("list what it could not take in", err)
	}
	return list, nil
}
