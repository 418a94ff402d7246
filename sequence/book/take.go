package book

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"modernc.org/sqlite"
)

// TakeResult says what came of rows that were taken in.
type TakeResult struct {
	Rows      int      // that are new here
	Late      int      // rows that had waited and were taken in now, where no new ones came
	Waiting   int      // rows that the book has and that name what it has not got yet, or that it cannot take in
	Forgotten []string // the UIDs of people who were forgotten with them
}

// ForkError reports that a book was written on from one point in two places, as happens when its file was copied: the same number of the
// same epoch stands for different things.
type ForkError struct {
	Epoch string
	Seq   int64
}

// Error says what to do.
func (e *ForkError) Error() string {
	return fmt.Sprintf("row %d of %s is another one here than there: a copy of this book was written on elsewhere; "+
		"nothing was taken or given, close the copy and give this book a new epoch", e.Seq, e.Epoch)
}

// BehindError reports that rows of this book's own epoch are known elsewhere which it has not got, as after its file was put back from
// an older copy. With a new epoch, which Renew begins, they are taken in like anybody's.
type BehindError struct {
	Epoch       string
	Have, Known int64
}

// Error says what there is.
func (e *BehindError) Error() string {
	return fmt.Sprintf("this book has %d rows of its own epoch %s, but %d are known elsewhere; it is an older copy", e.Have, e.Epoch, e.Known)
}

// Take takes in rows from other books, of each epoch in the order of their numbers. Rows that are there already change nothing. None is
// trusted: each is checked as an import is, and one that does not fit, or is of a kind or has a field that this program does
// not know, is kept as it came and waits; the first Take of an opened book tries all of those again, as the program may be a newer
// one by now, and needs no new rows for it. All of it is one transaction. The error is or wraps a *ForkError or *BehindError where
// the log itself is not that of this book.
func (b *Book) Take(ctx context.Context, rows []Row, now time.Time) (took TakeResult, err error) {
	ctx = context.WithoutCancel(ctx) // a portion takes moments, and to watch for its end at each statement would take longer
	tried := b.tried.Load()
	if len(rows) == 0 && !tried {
		var wait bool
		if err := b.db.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM log WHERE waits IS NOT NULL)").Scan(&wait); err != nil {
			return TakeResult{}, b.problem("look for what waits", err)
		}
		tried = !wait
	}
	if len(rows) == 0 && tried {
		b.tried.Store(true)
		return TakeResult{}, nil
	}
	err = b.writeBeside(ctx, func(tx *sql.Tx) error {
		m, err := newMerger(ctx, tx, now)
		if err == nil {
			m.open, m.known, err = b.lines.recall(ctx, tx)
		}
		if err != nil {
			return err
		}
		t := taker{merger: m, tried: tried, sources: map[string]*source{}}
		if err := t.all(rows); err != nil {
			return err
		}
		took = t.took
		b.lines.keep(t.open, t.known)
		_, err = tx.ExecContext(ctx, "UPDATE self SET taking = 0")
		return err
	})
	if err != nil {
		return TakeResult{}, b.problem("take in what others wrote", err)
	}
	b.tried.Store(true)
	return took, nil
}

// taker takes rows in.
type taker struct {
	*merger
	took    TakeResult
	tried   bool // what was refused once need not be tried again
	sources map[string]*source
	placed  []placed // rows that stand for what is written when their jobs are settled
	entries []entry  // rows that are not in the log yet
	at      int      // which of them is being applied, -1 where it is in the log already
}

// entry is a row as it comes into the log.
type entry struct {
	row    Row
	source int64
	at     spot
	why    string
}

// source is an epoch as the book has it.
type source struct {
	id, seq int64
	hash    []byte
}

// placed is a row of the log whose place in the tables is only known when its job is settled.
type placed struct {
	source, seq int64
	uid, name   string
	entry       int // which it is of those that are not in the log yet, -1 where it is in
}

func (t *taker) all(rows []Row) error {
	ahead := readAhead(rows)
	for _, r := range rows {
		b := <-ahead
		s, err := t.source(r)
		if err != nil {
			return err
		}
		if r.Seq <= s.seq {
			if err := t.same(s, r); err != nil {
				return err
			}
			continue
		}
		if err := t.next(s, r, &b); err != nil {
			return err
		}
	}
	if err := t.settleAll(); err != nil {
		return err
	}
	if err := t.again(); err != nil {
		return err
	}
	if err := t.settleAll(); err != nil {
		return err
	}
	for _, s := range t.sources {
		if err := t.q.exec(t.ctx, "UPDATE sources SET seq = ?, hash = ? WHERE id = ? AND seq < ?", s.seq, s.hash, s.id, s.seq); err != nil {
			return err
		}
	}
	return t.q.QueryRowContext(t.ctx, "SELECT count(*) FROM log WHERE waits IS NOT NULL").Scan(&t.took.Waiting)
}

// source finds an epoch, or adds it.
func (t *taker) source(r Row) (*source, error) {
	if s := t.sources[r.Epoch]; s != nil {
		return s, nil
	}
	if validUID(r.Epoch) != nil || validUID(r.Bench) != nil || len(r.Epoch) > 40 || len(r.Bench) > 40 {
		return nil, fmt.Errorf("%.50q of %.50q is no epoch of a bench", r.Epoch, r.Bench)
	}
	s, own := &source{hash: make([]byte, 32)}, int64(0)
	err := t.q.QueryRowContext(t.ctx, "SELECT id, sources.seq, hash, self.source FROM sources, self WHERE epoch = ?", r.Epoch).Scan(&s.id, &s.seq, &s.hash, &own)
	if errors.Is(err, sql.ErrNoRows) {
		err = t.q.QueryRowContext(t.ctx, "INSERT INTO sources (bench, epoch, seq, hash) VALUES (?, ?, 0, zeroblob(32)) RETURNING id", r.Bench, r.Epoch).Scan(&s.id)
	}
	if err == nil && s.id == own && r.Seq > s.seq {
		err = &BehindError{r.Epoch, s.seq, r.Seq}
	}
	t.sources[r.Epoch] = s
	return s, err
}

// same holds a row that is there already against the one that came.
func (t *taker) same(s *source, r Row) error {
	var hash []byte
	if err := t.q.QueryRowContext(t.ctx, "SELECT hash FROM log WHERE source = ? AND seq = ?", s.id, r.Seq).Scan(&hash); err != nil {
		return err
	}
	if !bytes.Equal(hash, r.Hash) {
		return &ForkError{r.Epoch, r.Seq}
	}
	return nil
}

// next takes in the row after the last one of its epoch.
func (t *taker) next(s *source, r Row, b *read) error {
	switch {
	case r.Seq != s.seq+1:
		return fmt.Errorf("row %d of %s comes after row %d", r.Seq, r.Epoch, s.seq)
	case !b.whole:
		return fmt.Errorf("row %d of %s has not the body that its digest says", r.Seq, r.Epoch)
	case !bytes.Equal(r.Chain(s.hash), r.Hash):
		return &ForkError{r.Epoch, r.Seq}
	}
	s.seq, s.hash = r.Seq, r.Hash
	t.took.Rows++
	t.at = len(t.entries)
	at, why, err := t.apply(s, r, b)
	if err != nil {
		return err
	}
	t.entries = append(t.entries, entry{r, s.id, at, why})
	return nil
}

// values are those of a row of the log.
func (l entry) values() []any {
	var digest, body []byte
	switch {
	case l.row.Body == nil || l.at.gone:
		digest = l.row.Digest
	case !l.at.derived:
		body = l.row.Body
	}
	waits := sql.NullString{String: l.why, Valid: l.why != ""}
	return []any{l.source, l.row.Seq, l.row.Kind, l.at.row, l.at.part, l.row.Hash, digest, body, waits}
}

// place notes a row of which settleAll says where it stands.
func (t *taker) place(s *source, r Row, uid, name string) {
	t.placed = append(t.placed, placed{s.id, r.Seq, uid, name, t.at})
}

// spot says where a row stands in the tables.
type spot struct {
	row, part int64
	derived   bool // the tables say the same as its body, byte for byte
	gone      bool // its body says who somebody is who was forgotten
}

// apply does what a row says. why says why it was not done.
func (t *taker) apply(s *source, r Row, b *read) (p spot, why string, err error) {
	if r.Body == nil || r.Kind == rowVoid {
		return p, "", nil
	}
	p, err = t.do(s, r, b)
	switch absent := (*absentError)(nil); {
	case err == nil:
		return p, "", nil
	case unreadable(err):
		return p, "", fmt.Errorf("row %d of %s: %w", r.Seq, r.Epoch, err)
	case errors.As(err, &absent):
		return spot{}, err.Error(), nil
	}
	return spot{}, refused + err.Error(), nil
}

// refused stands before the reason of a row that will not fit this program later either.
const refused = "! "

// unreadable says whether an error is about the book and not about what was to be written.
func unreadable(err error) bool {
	var e *sqlite.Error
	return errors.As(err, &e) || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) || errors.Is(err, sql.ErrTxDone)
}

// settleAll writes the jobs at which something was done, and where the rows of the log stand that came with them.
func (t *taker) settleAll() error {
	for _, a := range t.open {
		if err := t.settle(a); err != nil {
			return err
		}
	}
	for _, p := range t.placed {
		for _, l := range t.open[p.uid].lines {
			n := l.index(p.name)
			switch {
			case n < 0:
				continue
			case p.entry >= 0:
				t.entries[p.entry].at.row, t.entries[p.entry].at.part = l.id, int64(n)
			default:
				if err := t.q.exec(t.ctx, "UPDATE log SET row = ?, part = ? WHERE source = ? AND seq = ?", l.id, n, p.source, p.seq); err != nil {
					return err
				}
			}
			break
		}
	}
	var plain, rows [][]any
	for _, l := range t.entries {
		if l.at.derived && l.why == "" && !l.at.gone { // as most are
			plain = append(plain, []any{l.source, l.row.Seq, l.row.Kind, l.at.row, l.at.part, l.row.Hash})
			continue
		}
		rows = append(rows, l.values())
	}
	t.placed, t.entries = nil, nil
	if err := t.q.insert(t.ctx, "log (source, seq, kind, row, part, hash)", plain); err != nil {
		return err
	}
	return t.q.insert(t.ctx, "log (source, seq, kind, row, part, hash, digest, body, waits)", rows)
}
