package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

	"pullcard/patterns/harmless"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
)

// keepPlan writes a plan unless the very same one is there, and returns its number.
func keepPlan(ctx context.Context, tx *sql.Tx, p *plan.Plan) (id int64, err error) {
	body, err := json.Marshal(p)
	if err != nil {
		return 0, fmt.Errorf("write the plan: %w", err)
	}
	id, _, err = keepBody(ctx, tx, p, body)
	return id, err
}

// keepBody does the same for a plan that is written already. It is kept as exports write it, so that it is the very same
// when it comes back.
func keepBody(ctx context.Context, q querier, p *plan.Plan, body []byte) (id int64, added bool, err error) {
	body = harmless.EscapeJSON(body)
	err = q.QueryRowContext(ctx, "SELECT id FROM plans WHERE fingerprint = ? AND body = ?", p.Plan, body).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		added = true
		err = q.QueryRowContext(ctx, "INSERT INTO plans (fingerprint, body, length, digest) VALUES (?, ?, ?, ?) RETURNING id",
			p.Plan, body, len(p.Steps), digestOf(body)).Scan(&id)
	}
	return id, added, err
}

// folder holds the plans that were read already, by their numbers, so that jobs which share one read it once. A plan never
// changes in the book.
type folder map[int64]*plan.Plan

func (s folder) plan(ctx context.Context, q querier, id int64) (*plan.Plan, error) {
	if p := s[id]; p != nil {
		return p, nil
	}
	var body []byte
	if err := q.QueryRowContext(ctx, "SELECT body FROM plans WHERE id = ?", id).Scan(&body); err != nil {
		return nil, err
	}
	p, err := readPlan(body)
	if err == nil {
		s[id] = p
	}
	return p, err
}

// history reads the first plan of a job and its events with the plans of mishaps.
func history(ctx context.Context, tx *sql.Tx, job int64, s folder) (first *plan.Plan, list []progress.Event, err error) {
	var id int64
	err = tx.QueryRowContext(ctx, "SELECT plan FROM jobs WHERE id = ?", job).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil, noJob(job)
	}
	if err != nil {
		return nil, nil, err
	}
	if first, err = s.plan(ctx, tx, id); err != nil {
		return nil, nil, err
	}
	list, err = events(ctx, tx, job, s)
	return first, list, err
}

func readPlan(body []byte) (*plan.Plan, error) {
	p := new(plan.Plan)
	if err := json.Unmarshal(body, p); err != nil {
		return nil, fmt.Errorf("its plan: %w", err)
	}
	return p, nil
}
