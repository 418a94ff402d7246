package book

import (
	"cmp"
	"context"
	"database/sql"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"sync"

	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
)

// attempts is a job that was begun, with everything that was ever done at it. Where two benches went on from the same event
// without knowing of each other there is more than one line; the first is the job's own, any other an attempt beside it, which has
// a row in jobs like the job, but under a name of its own.
type attempts struct {
	uid     string
	row     int64 // of the job itself, 0 where it has none yet
	lines   []*line
	dropped []*line // that have rows still
	changed bool
}

// lines are jobs as a Take leaves them. The next one need not read them again as long as nobody else wrote to them.
type lines struct {
	mu      sync.Mutex
	version int64 // which the database has while no other connection writes
	open    map[string]*attempts
	plans   map[int64]knownPlan
}

// mostLines bounds how many jobs are remembered.
const mostLines = 200

// recall gives the jobs that are still as they were and what is known of their plans, and remembers nothing until keep is called.
func (l *lines) recall(ctx context.Context, q querier) (open map[string]*attempts, plans map[int64]knownPlan, err error) {
	var version int64
	err = q.QueryRowContext(ctx, "SELECT data_version FROM pragma_data_version").Scan(&version)
	l.mu.Lock()
	defer l.mu.Unlock()
	open, plans = map[string]*attempts{}, map[int64]knownPlan{}
	if version == l.version && l.open != nil && len(l.open) < mostLines && len(l.plans) < mostLines {
		open, plans = l.open, l.plans
	}
	l.version, l.open, l.plans = version, nil, nil
	return open, plans, err
}

func (l *lines) keep(open map[string]*attempts, plans map[int64]knownPlan) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.open, l.plans = open, plans
}

func (l *lines) drop() { l.keep(nil, nil) }

// dropJob forgets a job by its row.
func (l *lines) dropJob(row int64) {
	l.mu.Lock()
	defer l.mu.Unlock()
	maps.DeleteFunc(l.open, func(_ string, a *attempts) bool {
		return slices.ContainsFunc(a.lines, func(o *line) bool { return o.id == row })
	})
}

// line is one way from a job's begin through its events.
type line struct {
	id     int64 // its row in jobs, 0 for none yet
	uid    string
	root   jobBody
	plan   int64    // that of its begin
	names  []string // of its begin and its events
	events []lineEvent
	saved  int // so many of the events are in the table
	state  progress.State
	folded bool
	fresh  bool // its begin is new
	late   bool // some of it was done under a claim when the job had been taken over
}

type lineEvent struct {
	eventBody
	name  string // where it is known
	plan  int64  // which it brings, 0 for none
	fresh bool
}

// attempts reads a job as it is in the book.
func (m *merger) attempts(uid string) (*attempts, error) {
	if err := m.look(uid); err != nil { // of a job that is remembered too, of which another portion said whose it is
		return nil, err
	}
	if a := m.open[uid]; a != nil {
		return a, nil
	}
	lines, err := allRows(m.ctx, m.q, func(rows *sql.Rows) (*line, error) {
		l := new(line)
		return l, rows.Scan(&l.id, &l.uid, &l.plan)
	}, "SELECT id, uid, plan FROM jobs WHERE uid = ?1 OR of = ?1 AND of <> '' ORDER BY uid <> ?1, uid", uid)
	if err != nil {
		return nil, err
	}
	a := &attempts{uid: uid, lines: lines}
	for _, l := range lines {
		if l.uid == uid {
			a.row = l.id
		}
		if err := m.load(l); err != nil {
			return nil, err
		}
	}
	m.open[uid] = a
	return a, nil
}

func (m *merger) load(l *line) (err error) {
	e := newEncoder(m.ctx, m.tx)
	e.q = m.q
	if l.root, err = e.job(l.id); err != nil {
		return err
	}
	e.uids[l.id], e.names[l.id] = l.root.UID, []string{l.root.name()}
	err = eachRow(m.ctx, m.q, func(rows *sql.Rows) error {
		b, err := e.scanEvent(rows, l.id)
		if err != nil {
			return err
		}
		ev := lineEvent{eventBody: b}
		if b.Plan != "" {
			if ev.plan, err = m.planOf(b.Plan); err != nil {
				return err
			}
		}
		e.names[l.id] = append(e.names[l.id], b.name())
		l.events = append(l.events, ev)
		return nil
	}, selectEvents+" WHERE job = ? ORDER BY seq", l.id)
	l.names, l.saved = e.names[l.id], len(l.events)
	return err
}

// planOf is the number of the plan of a digest.
func (m *merger) planOf(digest string) (id int64, err error) {
	want, err := hex.DecodeString(digest)
	if err != nil {
		return 0, fmt.Errorf("the digest %.80q of a plan is none", digest)
	}
	for range 2 {
		err = m.q.QueryRowContext(m.ctx, "SELECT id FROM plans WHERE digest = ?", want).Scan(&id)
		if err != sql.ErrNoRows {
			return id, err
		}
		if err := m.digestAll(); err != nil {
			return 0, err
		}
	}
	return 0, &absentError{fmt.Sprintf("the book has no plan of the digest %s", digest)}
}

// digestAll names the plans that have no digest yet.
func (m *merger) digestAll() error {
	ids, err := column[int64](m.ctx, m.q, "SELECT id FROM plans WHERE digest IS NULL")
	if err != nil {
		return err
	}
	e := encoder{ctx: m.ctx, q: m.q}
	for _, id := range ids {
		if _, err := e.digest(id); err != nil {
			return err
		}
	}
	return nil
}

// begin finds the line that begins so, or adds one.
func (a *attempts) begin(root jobBody, plan int64) (l *line, added bool) {
	name := root.name()
	for _, l := range a.lines {
		if l.names[0] == name {
			return l, false
		}
	}
	l = &line{root: root, plan: plan, names: []string{name}, fresh: true}
	a.lines, a.changed = append(a.lines, l), true
	return l, true
}

// put adds an event after the one that it names, on the line that has that as its last, or else on one of its own.
func (m *merger) put(a *attempts, e lineEvent) (l *line, added bool, err error) {
	if e.name == "" {
		e.name = e.eventBody.name()
	}
	name, n := e.name, e.N
	e.fresh = true
	var tip, fork *line
	for _, l := range a.lines {
		switch {
		case n < 1 || len(l.names) < n || l.names[n-1] != e.Prev:
		case len(l.names) == n:
			tip = cmp.Or(tip, l)
		case l.names[n] == name:
			return l, false, nil
		default:
			fork = cmp.Or(fork, l)
		}
	}
	switch {
	case tip != nil:
		if err := m.extend(tip, e, name); err != nil {
			return nil, false, err
		}
		a.changed = true
		return tip, true, nil
	case fork == nil:
		return nil, false, &absentError{fmt.Sprintf("the job %s has no event %d of that name", e.Job, n-1)}
	}
	l = &line{root: fork.root, plan: fork.plan, names: slices.Clone(fork.names[:n]), events: old(fork.events[:n-1])}
	if err := m.extend(l, e, name); err != nil {
		return nil, false, err
	}
	a.lines, a.changed = append(a.lines, l), true
	return l, true, nil
}

// old are events of another line, which sees to their numbers.
func old(list []lineEvent) []lineEvent {
	list = slices.Clone(list)
	for i := range list {
		list[i].fresh = false
	}
	return list
}

// extend holds an event against where its line stands, and appends it.
func (m *merger) extend(l *line, e lineEvent, name string) error {
	if err := explains(e.Event, len(l.events)); err != nil {
		return err
	}
	if err := m.fold(l, e.plan != 0); err != nil {
		return err
	}
	if e.plan != 0 {
		var err error
		if e.Event.Plan, err = m.wholePlan(e.plan); err != nil {
			return err
		}
	}
	s, err := l.state.Apply(e.Event)
	if err != nil {
		return err
	}
	l.state, l.names, l.events = s, append(l.names, name), append(l.events, e)
	return nil
}

// fold finds out where a line stands. Whole plans are read only where steps are compared.
func (m *merger) fold(l *line, whole bool) (err error) {
	if l.folded && !(whole && len(l.state.Plan().Steps[0].Ops) == 0) {
		return nil
	}
	for _, e := range l.events {
		whole = whole || e.plan != 0
	}
	var first *plan.Plan
	if whole {
		first, err = m.wholePlan(l.plan)
	} else {
		var steps int
		if err = m.q.QueryRowContext(m.ctx, "SELECT length FROM plans WHERE id = ?", l.plan).Scan(&steps); err == nil && steps > 0 {
			first = blank(steps)
		} else if err == nil {
			first, err = m.wholePlan(l.plan)
		}
	}
	if err != nil {
		return err
	}
	list := make([]progress.Event, len(l.events))
	for i := range l.events {
		e := &l.events[i]
		if e.plan != 0 && e.Event.Plan == nil {
			if e.Event.Plan, err = m.wholePlan(e.plan); err != nil {
				return err
			}
		}
		list[i] = e.Event
	}
	l.state, err = progress.Fold(first, list)
	l.folded = err == nil
	return err
}

func (m *merger) wholePlan(id int64) (*plan.Plan, error) {
	var body []byte
	if err := m.q.QueryRowContext(m.ctx, "SELECT body FROM plans WHERE id = ?", id).Scan(&body); err != nil {
		return nil, err
	}
	return readPlan(body)
}
