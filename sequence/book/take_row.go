package book

import (
	"bytes"
	"database/sql"
	"errors"
	"fmt"

	"pullcard/sequence/records"
)

func (t *taker) do(s *source, r Row, b *read) (spot, error) {
	if b.err != nil {
		return spot{}, b.err
	}
	switch r.Kind {
	case rowPlan:
		known, err := t.keep(r.Body)
		return spot{row: known.id, derived: err == nil && known.digest == fmt.Sprintf("%x", r.Digest)}, err
	case rowRecord, rowForget:
		return t.takeChange(r, b)
	case rowJob:
		return t.takeJob(s, r, b)
	case rowEvent:
		return t.takeEvent(s, r, b)
	case rowClaim:
		return t.takeClaim(r, b)
	}
	return spot{}, fmt.Errorf(newer+"there is no kind of row %.50q", r.Kind)
}

// knows says whether this program has the kind of a change and all its fields.
func knows(c change) bool {
	k, ok := records.Find(c.Kind)
	for key := range c.Fields {
		_, has := k.Field(key)
		ok = ok && has
	}
	return ok
}

func (t *taker) takeChange(r Row, b *read) (spot, error) {
	c := *b.change
	if r.Kind != c.row() || Lesson(c.UID) {
		return spot{}, fmt.Errorf("it is no %s that may be shared", r.Kind)
	}
	if err := t.validChange(&c); err != nil {
		if !knows(c) {
			err = fmt.Errorf(newer+"%w", err)
		}
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
	if err := t.mark(Record{UID: c.UID, Kind: c.Kind, Fields: c.Fields}, nil); err != nil {
		return spot{}, err
	}
	hidden := t.hidden[c.UID]
	id, added, err := t.change(c, known)
	if err != nil {
		return spot{}, err
	}
	left := c.blank(fieldsLeft)
	left.Salt = c.Salt // one that says nothing of anybody keeps it and its row, as where it was written
	p := spot{row: id, derived: b.same && !hidden, gone: hidden && !canonical(r.Body, left)}
	if !added || c.Salt == "" { // it came before from elsewhere, with another salt, or gets one here
		now, err := (&encoder{ctx: t.ctx, q: t.q}).body(rowRecord, id, 0)
		p.derived = p.derived && err == nil && bytes.Equal(now, r.Body)
	}
	if added && p.gone { // others will meet the row without its body, and who wrote it may have an older book by now
		if err := number(t.ctx, t.tx, c.row(), id, 0); err != nil {
			return p, err
		}
	}
	if len(known) == 0 && !hidden {
		known = []change{c}
		_, err = project(t.ctx, t.tx, c.UID, known)
	} else {
		_, err = refold(t.ctx, t.tx, c.UID)
	}
	if err != nil {
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

// forget takes out what is private of somebody who was forgotten elsewhere.
func (t *taker) forget(who string) error {
	if err := t.settleAll(); err != nil {
		return err
	}
	list, err := readRecords(t.ctx, t.q, dependants("uid = ?"), who)
	if err != nil {
		return err
	}
	if err := blankAll(t.ctx, t.tx, who, list, true); err != nil {
		return err
	}
	t.hidden[who] = true
	for _, r := range list {
		t.hidden[r.UID] = true
	}
	t.open = map[string]*attempts{} // they were read before
	t.took.Forgotten = append(t.took.Forgotten, who)
	return nil
}

func (t *taker) takeJob(s *source, r Row, b *read) (p spot, err error) {
	j := *b.job
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
	t.place(s, r, j.UID, j.name())
	hidden := t.hidden[j.UID]
	same := b.same && (!hidden || canonical(r.Body, quiet))
	return spot{derived: added && same, gone: hidden && !same}, nil
}

func (t *taker) takeEvent(s *source, r Row, b *read) (p spot, err error) {
	e := *b.event
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
	quiet.name = b.name
	_, added, err := t.put(a, quiet)
	if err != nil {
		return p, err
	}
	t.place(s, r, e.Job, b.name)
	hidden := t.hidden[e.Job]
	same := b.same && (!hidden || canonical(r.Body, quiet.eventBody))
	return spot{derived: added && same, gone: hidden && !same}, nil
}

func (t *taker) takeClaim(r Row, b *read) (p spot, err error) {
	c := *b.claim
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
