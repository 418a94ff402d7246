package book

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"modernc.org/sqlite"

	"pullcard/sequence/records"
)

// Took says what came of rows that were taken in.
type Took struct {
	Rows      int      // that are new here
	Waiting   int      // rows that the book has and that name what it has not got yet, or that it cannot take in
	Forgotten []string // the UIDs of players who were forgotten with them
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
// not know, is kept as it came and waits. All of it is one transaction. The error is or wraps a *ForkError or *BehindError where
// the log itself is not that of this book.
func (b *Book) Take(ctx context.Context, rows []Row, now time.Time) (took Took, err error) {
	if len(rows) == 0 {
		return Took{}, nil
	}
	err = b.write(ctx, func(tx *sql.Tx) error {
		m, err := newMerger(ctx, tx, now)
		if err != nil {
			return err
		}
		t := taker{merger: m, sources: map[string]*source{}}
		if err := t.all(rows); err != nil {
			return err
		}
		took = t.took
		_, err = tx.ExecContext(ctx, "UPDATE self SET taking = 0")
		return err
	})
	if err != nil {
		return Took{}, b.problem("take in what others wrote", err)
	}
	return took, nil
}

// taker takes rows in.
type taker struct {
	*merger
	took    Took
	sources map[string]*source
	placed  []placed // rows that stand for what is written when all are through
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
}

func (t *taker) all(rows []Row) error {
	for _, r := range rows {
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
		if err := t.next(s, r); err != nil {
			return err
		}
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
func (t *taker) next(s *source, r Row) error {
	switch {
	case r.Seq != s.seq+1:
		return fmt.Errorf("row %d of %s comes after row %d", r.Seq, r.Epoch, s.seq)
	case r.Body != nil && !r.Whole():
		return fmt.Errorf("row %d of %s has not the body that its digest says", r.Seq, r.Epoch)
	case !bytes.Equal(r.Chain(s.hash), r.Hash):
		return &ForkError{r.Epoch, r.Seq}
	}
	s.seq, s.hash = r.Seq, r.Hash
	t.took.Rows++
	at, why, err := t.apply(s, r)
	if err != nil {
		return err
	}
	var digest, body []byte
	switch {
	case r.Body == nil || at.gone:
		digest = r.Digest
	case !at.derived:
		body = r.Body
	}
	waits := sql.NullString{String: why, Valid: why != ""}
	return t.q.exec(t.ctx, "INSERT INTO log (source, seq, kind, row, part, hash, digest, body, waits) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
		s.id, r.Seq, r.Kind, at.row, at.part, r.Hash, digest, body, waits)
}

// spot says where a row stands in the tables.
type spot struct {
	row, part int64
	derived   bool // the tables say the same as its body, byte for byte
	gone      bool // its body says who somebody is who was forgotten
}

// apply does what a row says. why says why it was not done.
func (t *taker) apply(s *source, r Row) (p spot, why string, err error) {
	if r.Body == nil || r.Kind == rowVoid {
		return p, "", nil
	}
	p, err = t.do(s, r)
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

// refused stands before the reason of a row that will not fit later either, or only for a newer program.
const refused = "!"

// unreadable says whether an error is about the book and not about what was to be written.
func unreadable(err error) bool {
	var e *sqlite.Error
	return errors.As(err, &e) || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) || errors.Is(err, sql.ErrTxDone)
}

func (t *taker) do(s *source, r Row) (spot, error) {
	switch r.Kind {
	case rowPlan:
		known, err := t.keep(r.Body)
		return spot{row: known.id, derived: err == nil && known.digest == fmt.Sprintf("%x", r.Digest)}, err
	case rowRecord, rowForget:
		return t.takeChange(r)
	case rowJob:
		return t.takeJob(s, r)
	case rowEvent:
		return t.takeEvent(s, r)
	case rowClaim:
		return t.takeClaim(r)
	}
	return spot{}, fmt.Errorf("a newer program wrote it: there is no kind of row %.50q", r.Kind)
}

// canonical says whether a body is written as this program writes it.
func canonical(body []byte, read any) bool {
	text, err := json.Marshal(read)
	return err == nil && bytes.Equal(text, body)
}

func (t *taker) takeChange(r Row) (spot, error) {
	var c change
	if err := strict(r.Body, &c); err != nil {
		return spot{}, err
	}
	if r.Kind != c.row() {
		return spot{}, fmt.Errorf("it is no %s", r.Kind)
	}
	if err := t.validChange(&c); err != nil {
		return spot{}, err
	}
	all, err := changesOf(t.ctx, t.q, c.UID)
	if err != nil {
		return spot{}, err
	}
	known := all[c.UID]
	if err := fitsKnown(c, known); err != nil {
		return spot{}, err
	}
	t.mark(Record{UID: c.UID, Kind: c.Kind, Fields: c.Fields}, nil)
	hidden := t.hidden[c.UID]
	if _, err := t.change(c, known); err != nil {
		return spot{}, err
	}
	p := spot{derived: canonical(r.Body, c) && !hidden, gone: hidden && !canonical(r.Body, c.blank(fieldsLeft))}
	var stored string
	err = t.q.QueryRowContext(t.ctx, "SELECT id, salt FROM changes WHERE uid = ? AND stamp = ?", c.UID, c.Stamp).Scan(&p.row, &stored)
	if err != nil {
		return p, err
	}
	if now, err := (&encoder{ctx: t.ctx, q: t.q}).body(rowRecord, p.row, 0); err != nil || !bytes.Equal(now, r.Body) {
		p.derived = false // it came before from elsewhere, with another salt
	}
	if _, err := refold(t.ctx, t.tx, c.UID); err != nil {
		return p, err
	}
	if r.Kind == rowForget && !t.hidden[c.UID] {
		return p, t.forget(c.UID)
	}
	return p, nil
}

// fitsKnown says why a change does not go with those of its record that are there.
func fitsKnown(c change, known []change) error {
	have := map[string]bool{}
	for _, k := range known {
		have[k.Stamp] = true
		if k.Kind != c.Kind {
			return fmt.Errorf("it is a %s here", k.Kind)
		}
	}
	for _, s := range c.Over {
		if !have[s] {
			return &absentError{fmt.Sprintf("the book has no change %.80q of %s", s, c.UID)}
		}
	}
	return nil
}

// forget takes out what is private of a player who was forgotten elsewhere.
func (t *taker) forget(player string) error {
	if err := t.settleAll(); err != nil {
		return err
	}
	list, err := readRecords(t.ctx, t.q, dependants("uid = ?"), player)
	if err != nil {
		return err
	}
	if err := blankAll(t.ctx, t.tx, player, list, true); err != nil {
		return err
	}
	t.hidden[player] = true
	for _, r := range list {
		t.hidden[r.UID] = true
	}
	t.open = map[string]*attempts{} // they were read before
	t.took.Forgotten = append(t.took.Forgotten, player)
	return nil
}

func (t *taker) takeJob(s *source, r Row) (p spot, err error) {
	var j jobBody
	if err := strict(r.Body, &j); err != nil {
		return p, err
	}
	if err := t.validRoot(j); err != nil {
		return p, err
	}
	plan, err := t.planOf(j.Plan)
	if err != nil {
		return p, err
	}
	a, err := t.attempts(j.UID)
	if err != nil {
		return p, err
	}
	quiet := t.quietJob(j)
	_, added := a.begin(quiet, plan)
	t.placed = append(t.placed, placed{s.id, r.Seq, j.UID, j.name()})
	same := canonical(r.Body, quiet)
	return spot{derived: added && same, gone: t.hidden[j.UID] && !same}, nil
}

func (t *taker) takeEvent(s *source, r Row) (p spot, err error) {
	var e eventBody
	if err := strict(r.Body, &e); err != nil {
		return p, err
	}
	if err := errors.Join(validUID(e.Job), validEvent(e)); err != nil {
		return p, err
	}
	plan := int64(0)
	if e.Plan != "" {
		if plan, err = t.planOf(e.Plan); err != nil {
			return p, err
		}
	}
	a, err := t.attempts(e.Job)
	if err != nil {
		return p, err
	}
	quiet := t.quiet(e, plan)
	_, added, err := t.put(a, quiet)
	if err != nil {
		return p, err
	}
	t.placed = append(t.placed, placed{s.id, r.Seq, e.Job, e.name()})
	same := canonical(r.Body, quiet.eventBody)
	return spot{derived: added && same, gone: t.hidden[e.Job] && !same}, nil
}

func (t *taker) takeClaim(r Row) (p spot, err error) {
	var c claimBody
	if err := strict(r.Body, &c); err != nil {
		return p, err
	}
	var is records.Name
	err = t.q.QueryRowContext(t.ctx, "SELECT kind FROM records WHERE uid = ?", c.Job).Scan(&is)
	switch {
	case errors.Is(err, sql.ErrNoRows) || err == nil && is != records.KindJob:
		return p, &absentError{fmt.Sprintf("the book has no job %.80q", c.Job)}
	case err != nil:
		return p, err
	case c.Number < 1 || validUID(c.Bench) != nil || c.Bench != r.Bench:
		return p, errors.New("it is no claim of its bench")
	}
	if err := validTime(c.At); err != nil {
		return p, err
	}
	if p.row, err = claim(t.ctx, t.q, c); err != nil {
		return p, err
	}
	now, err := (&encoder{ctx: t.ctx, q: t.q}).body(rowClaim, p.row, 0)
	p.derived = bytes.Equal(now, r.Body)
	a, wrong := t.attempts(c.Job)
	if a != nil {
		a.changed = true // what was done under an older claim may not be the job's own any more
	}
	return p, errors.Join(err, wrong)
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
			if n := l.index(p.name); n >= 0 {
				if err := t.q.exec(t.ctx, "UPDATE log SET row = ?, part = ? WHERE source = ? AND seq = ?", l.id, n, p.source, p.seq); err != nil {
					return err
				}
				break
			}
		}
	}
	t.placed = nil
	return nil
}

// again tries the rows that wait for something, as long as that helps.
func (t *taker) again() error {
	for helped := t.took.Rows > 0; helped; {
		helped = false
		list, err := t.waiting()
		if err != nil {
			return err
		}
		for _, w := range list {
			p, why, err := t.apply(&source{id: w.source}, w.Row)
			if err != nil {
				return err
			}
			if why != "" && why[:1] != refused {
				continue
			}
			helped = true
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

type waitingRow struct {
	Row
	source int64
}

func (t *taker) waiting() (list []waitingRow, err error) {
	rows, err := t.q.QueryContext(t.ctx, `SELECT log.source, bench, epoch, log.seq, kind, body FROM log JOIN sources ON sources.id = log.source
		WHERE waits IS NOT NULL AND waits NOT LIKE '!%' AND body IS NOT NULL ORDER BY log.source, log.seq`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var w waitingRow
		if err := rows.Scan(&w.source, &w.Bench, &w.Epoch, &w.Seq, &w.Kind, &w.Body); err != nil {
			return nil, err
		}
		w.Digest = digestOf(w.Body)
		list = append(list, w)
	}
	return list, rows.Err()
}

// Unfit is a row that the book keeps and has not taken in.
type Unfit struct {
	Bench, Epoch string
	Seq          int64
	Kind, Why    string
}

// Unfit lists the rows that the book keeps and has not taken in: they name what has not come yet, do not fit, or were written by a
// newer program.
func (b *Book) Unfit(ctx context.Context) (list []Unfit, err error) {
	rows, err := b.db.QueryContext(ctx, `SELECT bench, epoch, log.seq, kind, ltrim(waits, '!') FROM log JOIN sources ON sources.id = log.source
		WHERE waits IS NOT NULL ORDER BY log.source, log.seq`)
	if err != nil {
		return nil, b.problem("list what it could not take in", err)
	}
	defer rows.Close()
	for rows.Next() {
		var u Unfit
		if err := rows.Scan(&u.Bench, &u.Epoch, &u.Seq, &u.Kind, &u.Why); err != nil {
			return nil, b.problem("list what it could not take in", err)
		}
		list = append(list, u)
	}
	if err := rows.Err(); err != nil {
		return nil, b.problem("list what it could not take in", err)
	}
	return list, nil
}
