package book

import (
	"bytes"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"pullcard/sequence/records"
)

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
	return spot{}, fmt.Errorf(newer+"there is no kind of row %.50q", r.Kind)
}

// readRow reads a body.
func readRow(body []byte, into any) error {
	err := strict(body, into)
	if err != nil && strings.Contains(err.Error(), "unknown field") {
		return fmt.Errorf(newer+"%w", err)
	}
	return err
}

// canonical says whether a body is written as this program writes it.
func canonical(body []byte, read any) bool {
	text, err := json.Marshal(read)
	return err == nil && bytes.Equal(text, body)
}

func (t *taker) takeChange(r Row) (spot, error) {
	var c change
	if err := readRow(r.Body, &c); err != nil {
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
	if err := readRow(r.Body, &j); err != nil {
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
	if err := readRow(r.Body, &e); err != nil {
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
	if err := readRow(r.Body, &c); err != nil {
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
