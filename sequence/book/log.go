package book

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
)

// How the log works.
//
// Every change of the book has a number of its own, given in the transaction that makes it: each plan, begin of a job, event,
// change of a record and claim is one row of the log. A row does not hold what was written a second time; it says which row of
// which table that is. Only before rows leave the book are they sealed: their bodies are written from the tables, and
// their hashes are chained. So a key that marks a step costs one short row more, and no JSON and no hash.
//
// Who has all rows of all epochs has the same book: what a record says is folded from its changes, where a job stands is
// folded from its events, and both depend on what there is and not on the order in which it came. There is nothing else that
// could differ but the numbers that a book gives for itself.

// sealed is how many rows are sealed with one transaction.
const sealed = 500

// seal writes hashes to the rows of this book that have none yet, and says whether there are more of them.
func seal(ctx context.Context, tx *sql.Tx) (more bool, err error) {
	var source, last int64
	r := Row{}
	err = tx.QueryRowContext(ctx, "SELECT sources.id, epoch, hash, sources.seq, self.seq FROM self JOIN sources ON sources.id = self.source").
		Scan(&source, &r.Epoch, &r.Hash, &r.Seq, &last)
	if err != nil || r.Seq == last {
		return false, err
	}
	e := newEncoder(ctx, tx)
	for n := 0; n < sealed && r.Seq < last; n++ {
		var row, part int64
		r.Seq++
		err := e.q.QueryRowContext(ctx, "SELECT kind, row, part, body FROM log WHERE source = ? AND seq = ?", source, r.Seq).Scan(&r.Kind, &row, &part, &r.Body)
		if err == nil && r.Body == nil {
			r.Body, err = e.body(r.Kind, row, part)
		}
		if errors.Is(err, sql.ErrNoRows) {
			r.Kind, r.Body = rowVoid, []byte("{}")
			err = e.q.exec(ctx, "INSERT INTO log (source, seq, kind, row, part, body) VALUES (?1, ?2, ?3, 0, 0, ?4) ON CONFLICT DO UPDATE SET kind = ?3, row = 0, part = 0, body = ?4",
				source, r.Seq, r.Kind, r.Body)
		}
		if err != nil {
			return false, fmt.Errorf("row %d of the log: %w", r.Seq, err)
		}
		r.Digest = digestOf(r.Body)
		r.Hash = r.Chain(r.Hash)
		if err := e.q.exec(ctx, "UPDATE log SET hash = ? WHERE source = ? AND seq = ?", r.Hash, source, r.Seq); err != nil {
			return false, err
		}
	}
	_, err = tx.ExecContext(ctx, "UPDATE sources SET seq = ?, hash = ? WHERE id = ?", r.Seq, r.Hash, source)
	return r.Seq < last, err
}

// Seal chains what was written since the last time, a portion at a time so that nobody waits for long. Rows shows it from then on.
func (b *Book) Seal(ctx context.Context) error {
	for more := true; more; {
		err := b.writeBeside(ctx, func(tx *sql.Tx) (err error) {
			more, err = seal(ctx, tx)
			return err
		})
		if err != nil {
			return b.problem("number what was written", err)
		}
	}
	return nil
}

// OwnEpoch is the epoch of this book, and how many rows of it are sealed.
func (b *Book) OwnEpoch(ctx context.Context) (epoch string, seq int64, err error) {
	err = b.db.QueryRowContext(ctx, "SELECT epoch, sources.seq FROM self JOIN sources ON sources.id = self.source").Scan(&epoch, &seq)
	if err != nil {
		err = b.problem("read its epoch", err)
	}
	return epoch, seq, err
}

// OwnEpochs are the epochs of this book's bench, the present one last.
func (b *Book) OwnEpochs(ctx context.Context) ([]string, error) {
	list, err := column[string](ctx, b.db, "SELECT epoch FROM sources WHERE bench = (SELECT bench FROM sources WHERE id = (SELECT source FROM self)) ORDER BY id = (SELECT source FROM self), id")
	if err != nil {
		return nil, b.problem("list its epochs", err)
	}
	return list, nil
}

// Vector says which rows the book has: of its own those that are sealed.
func (b *Book) Vector(ctx context.Context) (v Vector, err error) {
	v = Vector{}
	err = b.read(ctx, func(tx *sql.Tx) error {
		return eachRow(ctx, tx, func(rows *sql.Rows) error {
			var epoch string
			var seq int64
			err := rows.Scan(&epoch, &seq)
			v[epoch] = seq
			return err
		}, "SELECT epoch, seq FROM sources")
	})
	if err != nil {
		return nil, b.problem("read what it has", err)
	}
	return v, nil
}

// Rows lists the rows of an epoch after a number, at most limit of them, with what their bodies are now.
func (b *Book) Rows(ctx context.Context, epoch string, after int64, limit int) (list []Row, err error) {
	err = b.writeBeside(ctx, func(tx *sql.Tx) error { // to name a plan may write
		list, err = rowsAfter(ctx, tx, epoch, after, limit)
		return err
	})
	if err != nil {
		return nil, b.problem("read its log", err)
	}
	return list, nil
}

func rowsAfter(ctx context.Context, tx *sql.Tx, epoch string, after int64, limit int) (list []Row, err error) {
	type reference struct{ row, part int64 }
	var at []reference
	err = eachRow(ctx, tx, func(rows *sql.Rows) error {
		r, ref := Row{Epoch: epoch}, reference{}
		err := rows.Scan(&r.Bench, &r.Seq, &r.Kind, &ref.row, &ref.part, &r.Hash, &r.Digest, &r.Body)
		list, at = append(list, r), append(at, ref)
		return err
	}, `SELECT bench, log.seq, kind, row, part, log.hash, digest, body FROM log JOIN sources ON sources.id = log.source
		WHERE epoch = ? AND log.seq > ? AND log.hash IS NOT NULL ORDER BY log.seq LIMIT ?`, epoch, after, limit)
	if err != nil {
		return nil, err
	}
	e := newEncoder(ctx, tx)
	for i := range list {
		r := &list[i]
		if r.Digest != nil {
			r.Body = nil
			continue
		}
		if r.Body == nil {
			if r.Body, err = e.body(r.Kind, at[i].row, at[i].part); err != nil {
				return nil, fmt.Errorf("row %d of %s: %w", r.Seq, epoch, err)
			}
		}
		r.Digest = digestOf(r.Body)
	}
	return list, nil
}

// checkLog holds the chains of all epochs against the tables.
func (c *checker) log(ctx context.Context, tx *sql.Tx) error {
	epochs, err := column[string](ctx, tx, "SELECT epoch FROM sources ORDER BY id")
	if err != nil {
		return err
	}
	for _, epoch := range epochs {
		before := make([]byte, 32)
		for after, more := int64(0), true; more; {
			list, err := rowsAfter(ctx, tx, epoch, after, sealed)
			if err != nil {
				if ignoring(err) == nil {
					c.add("its log names what is not there: %v", err)
				}
				return ignoring(err)
			}
			for _, r := range list {
				if after++; r.Seq != after || !bytes.Equal(r.Chain(before), r.Hash) {
					c.add("row %d of %s in its log (%s) is not what it was", after, epoch, r.Kind)
					return nil
				}
				before = r.Hash
			}
			more = len(list) > 0
		}
	}
	return nil
}

// references are rows of tables of which the log has rows.
type references struct {
	rows map[string][]int64 // by the kind of row
	jobs []int64            // those whose events have words
}

func (r *references) add(kind string, row, _ int64) {
	if r.rows == nil {
		r.rows = map[string][]int64{}
	}
	r.rows[kind] = append(r.rows[kind], row)
}

// empty takes the bodies of sealed rows away, before the tables lose what they say, and gives what will be left there new numbers.
func (r references) empty(ctx context.Context, tx *sql.Tx, own bool) error {
	type at struct {
		source, seq, row, part int64
		kind                   string
		ours                   bool
		body                   []byte
	}
	list, err := allRows(ctx, tx, func(rows *sql.Rows) (a at, err error) {
		return a, rows.Scan(&a.source, &a.seq, &a.row, &a.part, &a.kind, &a.ours, &a.body)
	}, `SELECT log.source, log.seq, log.row, log.part, log.kind, sources.bench = mine.bench, log.body FROM log
		JOIN sources ON sources.id = log.source, self JOIN sources AS mine ON mine.id = self.source
		WHERE log.hash IS NOT NULL AND log.digest IS NULL AND (log.kind IN ('record', 'forget') AND log.row IN `+among+` OR log.kind = 'job' AND log.row IN `+among+`
			OR log.kind = 'event' AND log.row IN `+among+` AND EXISTS (SELECT 1 FROM events WHERE events.job = log.row AND events.seq = log.part AND `+spoken+` <> ''))
		ORDER BY log.source, log.seq`, listedIDs(r.rows[rowRecord]), listedIDs(r.rows[rowJob]), listedIDs(r.jobs))
	if err != nil {
		return err
	}
	e, done := newEncoder(ctx, tx), map[string]bool{}
	for _, a := range list {
		if a.body == nil {
			if a.body, err = e.body(a.kind, a.row, a.part); err != nil {
				return err
			}
		}
		if err := e.q.exec(ctx, "UPDATE log SET digest = ?, body = NULL WHERE source = ? AND seq = ?", digestOf(a.body), a.source, a.seq); err != nil {
			return err
		}
		if err := e.q.exec(ctx, "INSERT OR IGNORE INTO emptied VALUES (?, ?)", a.source, a.seq); err != nil {
			return err
		}
		if what := fmt.Sprint(a.kind, a.row, a.part); !done[what] && (a.ours || !own) {
			done[what] = true
			if err := number(ctx, tx, a.kind, a.row, a.part); err != nil {
				return err
			}
		}
	}
	return nil
}

// number gives a row of a table a number in this book's log.
func number(ctx context.Context, tx *sql.Tx, kind string, row, part int64) error {
	_, err := tx.ExecContext(ctx, "UPDATE self SET seq = seq + 1")
	if err == nil {
		_, err = tx.ExecContext(ctx, "INSERT INTO log (source, seq, kind, row, part) SELECT source, seq, ?, ?, ? FROM self", kind, row, part)
	}
	return err
}

// renew begins a new epoch, as a book does that may not be the one any more which numbered its rows. Rows that were not sealed have not
// left it and get numbers of the new one.
func renew(ctx context.Context, tx *sql.Tx) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO sources (bench, epoch, seq, hash) SELECT bench, lower(hex(randomblob(8))), 0, zeroblob(32)
			FROM sources WHERE id = (SELECT source FROM self);
		UPDATE log SET source = (SELECT max(id) FROM sources), seq = seq - (SELECT sources.seq FROM sources JOIN self ON self.source = sources.id)
			WHERE source = (SELECT source FROM self) AND hash IS NULL;
		UPDATE self SET seq = seq - (SELECT sources.seq FROM sources WHERE id = self.source);
		UPDATE self SET source = (SELECT max(id) FROM sources)`)
	return err
}

// Renew begins a new epoch: what is written from now on is numbered from 1 again.
func (b *Book) Renew(ctx context.Context) error {
	if err := b.write(ctx, func(tx *sql.Tx) error { return renew(ctx, tx) }); err != nil {
		return b.problem("begin a new epoch", err)
	}
	return nil
}

// BenchName says why a word names no bench, nil where it may.
func BenchName(bench string) error {
	ok := len(bench) >= 1 && len(bench) <= 12
	for _, c := range []byte(bench) {
		ok = ok && (c >= '0' && c <= '9' || c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' || c == '-' || c == '_' || c == '.')
	}
	if !ok {
		return fmt.Errorf("%.50q names no bench; write a letter or a short word", bench)
	}
	return nil
}

// Join gives this book's bench a name: a letter or a short word. One that had another name begins a new epoch by it: what it wrote before
// is that bench's, in every room.
func (b *Book) Join(ctx context.Context, bench string) error {
	err := b.write(ctx, func(tx *sql.Tx) error {
		if err := BenchName(bench); err != nil {
			return err
		}
		var was string
		if err := tx.QueryRowContext(ctx, "SELECT bench FROM sources WHERE id = (SELECT source FROM self)").Scan(&was); err != nil || was == bench {
			return err
		}
		if was != "" {
			if err := renew(ctx, tx); err != nil {
				return err
			}
		}
		_, err := tx.ExecContext(ctx, "UPDATE sources SET bench = ?1 WHERE id = (SELECT source FROM self) OR ?2 = '' AND bench = ''", bench, was)
		return err
	})
	if err != nil {
		return b.problem("name its bench", err)
	}
	return nil
}
