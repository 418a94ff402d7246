package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"sync"

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

// readJobs reads jobs by their numbers, each sort of row at once; those that follow the same plan share it. One that the book has not got is
// not among them.
func readJobs(ctx context.Context, q querier, read *plansRead, jobs ...int64) (map[int64]*Job, error) {
	out, first := map[int64]*Job{}, map[int64]int64{}
	err := eachRow(ctx, q, func(rows *sql.Rows) (err error) {
		j := &Job{Events: []progress.Event{}}
		var id int64
		j.Entry, err = scanEntry(rows, &id, &j.Source)
		j.Source = nonNil(j.Source)
		out[j.ID], first[j.ID] = j, id
		return err
	}, "SELECT "+entryColumns+", jobs.plan, source"+fromEntries+" WHERE jobs.id IN "+among, listed(jobs))
	if err != nil {
		return nil, err
	}
	told, err := eventsOf(ctx, q, jobs...)
	if err != nil {
		return nil, err
	}
	ids := slices.Collect(maps.Values(first))
	for _, list := range told {
		for _, e := range list {
			if e.Plan != 0 {
				ids = append(ids, e.Plan)
			}
		}
	}
	plans, err := read.plans(ctx, q, ids)
	if err != nil {
		return nil, err
	}
	for id, j := range out {
		j.Plan = plans[first[id]]
		for _, e := range told[id] {
			e.Event.Plan = plans[e.Plan]
			j.Events = append(j.Events, e.Event)
		}
	}
	return out, nil
}

// plansRead are plans that were read, by their texts: whatever the book has by now, a plan is what its text says. The zero plansRead has none.
type plansRead struct {
	mu sync.Mutex
	of map[string]*plan.Plan // not to be changed
}

// mostPlans bounds how many are kept: those of a job with its mishaps, or of a few jobs that are looked at in turn.
const mostPlans = 4

// read is readPlan, once for a text as long as it is kept.
func (r *plansRead) read(body []byte) (*plan.Plan, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if p := r.of[string(body)]; p != nil {
		return p, nil
	}
	p, err := readPlan(body)
	if err != nil {
		return nil, err
	}
	if r.of == nil || len(r.of) >= mostPlans {
		r.of = map[string]*plan.Plan{}
	}
	r.of[string(body)] = p
	return p, nil
}

// plans reads plans by their numbers.
func (r *plansRead) plans(ctx context.Context, q querier, ids []int64) (map[int64]*plan.Plan, error) {
	plans := map[int64]*plan.Plan{}
	err := eachRow(ctx, q, func(rows *sql.Rows) (err error) {
		var id int64
		var body sql.RawBytes
		if err := rows.Scan(&id, &body); err != nil {
			return err
		}
		plans[id], err = r.read(body)
		return err
	}, "SELECT id, body FROM plans WHERE id IN "+among, listed(ids))
	return plans, err
}

func readPlan(body []byte) (*plan.Plan, error) {
	p := new(plan.Plan)
	if readPlain(body, reflect.ValueOf(p).Elem(), planReader()) {
		return p, nil
	}
	p = new(plan.Plan)
	if err := json.Unmarshal(body, p); err != nil {
		return nil, fmt.Errorf("its plan: %w", err)
	}
	return p, nil
}

// planReader is made once: a plan has some hundred fields.
var planReader = sync.OnceValue(func() reader { return readerOf(reflect.TypeFor[plan.Plan]()) })
