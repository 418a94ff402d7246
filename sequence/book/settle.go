package book

import (
	"cmp"
	"database/sql"
	"fmt"
	"slices"
	"time"

	"pullcard/sequence/plan"
	"pullcard/sequence/records"
)

// parts says where two lines part: the first place in their names that differs, the length of the shorter one where none does.
func parts(a, b *line) int {
	n := 0
	for n < min(len(a.names), len(b.names)) && a.names[n] == b.names[n] {
		n++
	}
	return n
}

// before says which of two lines is the job's own: the one under the later claim, and where that says nothing the one whose first
// event beside the other is older.
func before(a, b *line) int {
	if a.late != b.late {
		if a.late {
			return 1
		}
		return -1
	}
	n := parts(a, b)
	if n == min(len(a.names), len(b.names)) {
		return cmp.Compare(len(b.names), len(a.names))
	}
	return cmp.Or(cmp.Compare(b.claim(n), a.claim(n)), a.at(n).Compare(b.at(n)), cmp.Compare(a.names[n], b.names[n]))
}

// apart sets apart what was done under an older claim after another bench had taken the job over: the job's own line ends before it.
func (m *merger) apart(a *attempts) error {
	claims, err := allRows(m.ctx, m.q, func(rows *sql.Rows) (c claimBody, err error) {
		return c, rows.Scan(&c.Number, &c.After)
	}, "SELECT number, after FROM claims WHERE job = ?", a.uid)
	if err != nil {
		return err
	}
	for _, l := range slices.Clone(a.lines) {
		n := l.lateFrom(claims)
		if l.late = n >= 0; !l.late || slices.ContainsFunc(a.lines, func(o *line) bool { return o != l && parts(o, l) > n && o.lateFrom(claims) < 0 }) {
			continue
		}
		a.lines = append(a.lines, &line{root: l.root, plan: l.plan, names: slices.Clone(l.names[:n+1]), events: old(l.events[:n])})
	}
	return nil
}

// lateFrom is how many events of a line come before the first that was done too late, -1 where none was.
func (l *line) lateFrom(claims []claimBody) int {
	at := make([]int, len(claims))
	for i, c := range claims {
		if at[i] = -1; c.After != "" {
			if at[i] = l.index(c.After); at[i] < 0 {
				at[i] = len(l.names)
			}
		}
	}
	for n, e := range l.events {
		for i, c := range claims {
			if c.Number > e.Claim && at[i] <= n {
				return n
			}
		}
	}
	return -1
}

// claim is the greatest claim of a line from a place in its names on.
func (l *line) claim(from int) (most int) {
	for _, e := range l.events[max(from-1, 0):] {
		most = max(most, e.Claim)
	}
	return most
}

// index is where a line has an event of a name, -1 where it has none.
func (l *line) index(name string) int { return slices.Index(l.names, name) }

func (l *line) at(n int) time.Time {
	if n == 0 {
		return l.root.Made
	}
	return l.events[n-1].At
}

// settle writes what was added to a job.
func (m *merger) settle(a *attempts) error {
	if !a.changed {
		return nil
	}
	a.changed = false
	if err := m.apart(a); err != nil {
		return err
	}
	a.drop()
	slices.SortFunc(a.lines, before)
	moved := len(a.dropped) > 0
	for i, l := range a.lines {
		uid := a.uid
		if i > 0 {
			at := 0 // the first place where it is like none before it
			for _, o := range a.lines[:i] {
				at = max(at, parts(o, l))
			}
			uid += "+" + l.names[at][:16]
		}
		moved = moved || l.uid != "" && l.uid != uid
		l.uid = uid
	}
	if moved {
		return m.move(a)
	}
	return m.save(a)
}

// drop leaves out lines of which another one has all, but for one that ends in time where the other goes on too late.
func (a *attempts) drop() {
	all := slices.Clone(a.lines)
	a.lines = slices.DeleteFunc(a.lines, func(l *line) bool {
		within := slices.ContainsFunc(all, func(o *line) bool {
			return o != l && parts(o, l) == len(l.names) && len(o.names) > len(l.names) && (l.late || !o.late)
		})
		if within && l.id != 0 {
			a.dropped = append(a.dropped, l)
		}
		return within
	})
}

// save writes the events that are not in the table yet, and lines that have no row.
func (m *merger) save(a *attempts) error {
	for _, l := range a.lines {
		if err := m.fold(l, false); err != nil {
			return err
		}
		if l.id == 0 {
			if err := m.insertLine(a, l); err != nil {
				return err
			}
		}
		if err := m.number(l.fresh && !Lesson(l.uid), rowJob, l.id, 0); err != nil {
			return err
		}
		l.fresh = false
		if err := m.saveEvents(l); err != nil {
			return err
		}
		text, err := l.at(len(l.events)).MarshalText()
		if err != nil {
			return err
		}
		err = m.q.exec(m.ctx, "UPDATE jobs SET state = ?, step = ?, steps = ?, last = ? WHERE id = ?", l.state.Status(), l.state.Current(), l.state.Steps(), string(text), l.id)
		if err != nil {
			return err
		}
	}
	return nil
}

func (m *merger) saveEvents(l *line) error {
	var plain, rows [][]any // most have nothing but a time and a step
	for _, e := range l.events[l.saved:] {
		at, err := e.At.MarshalText()
		if err != nil {
			return err
		}
		if e.What+e.Why+e.Salt == "" && e.plan == 0 && e.Of == 0 {
			plain = append(plain, []any{l.id, e.N, string(at), e.Kind, e.Step, e.Claim})
			continue
		}
		next := sql.NullInt64{Int64: e.plan, Valid: e.plan != 0}
		rows = append(rows, []any{l.id, e.N, string(at), e.Kind, e.Step, e.What, e.Why, next, e.Of, e.Recorded(), e.Claim, e.Salt})
	}
	if err := m.q.insert(m.ctx, "events (job, seq, at, kind, step, claim, what, why)", plain, "'', ''"); err != nil {
		return err
	}
	if err := m.q.insert(m.ctx, "events (job, seq, at, kind, step, what, why, plan, of, recorded, claim, salt)", rows); err != nil {
		return err
	}
	for ; l.saved < len(l.events); l.saved++ {
		e := &l.events[l.saved]
		if err := m.number(e.fresh && !Lesson(l.uid), rowEvent, l.id, int64(e.N)); err != nil {
			return err
		}
		e.fresh = false
	}
	return nil
}

// insertLine writes a row of jobs. A job gets the number of its record, if no other job has that; an attempt gets a record like
// that of its job, and the number that this will have.
func (m *merger) insertLine(a *attempts, l *line) error {
	made, err := l.root.Made.MarshalText()
	if err != nil {
		return err
	}
	of := ""
	if l.uid != a.uid {
		of = a.uid
	}
	p, err := m.outlineOf(l.plan)
	if err != nil {
		return err
	}
	err = m.q.QueryRowContext(m.ctx, `INSERT INTO jobs (id, uid, of, player, racket, frame, technique, plan, steps, step, state, made, last, file, source, mains, crosses, salt, claim, held)
		VALUES ((SELECT CASE WHEN EXISTS (SELECT 1 FROM jobs WHERE jobs.id = card.id) THEN (SELECT max(id) + 1 FROM jobs) ELSE card.id END
			FROM (SELECT coalesce((SELECT id FROM records WHERE uid = ?1), (SELECT max(id) + 1 FROM records WHERE kind = 'job')) AS id) card), ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, 1, 'open', ?9, ?9, ?10, ?11, ?12, ?13, ?14,
			coalesce((SELECT max(number) FROM claims, self JOIN sources ON sources.id = self.source WHERE job = ?1 AND claims.bench = sources.bench), 0),
			coalesce((SELECT max(number) FROM claims WHERE job = ?15), 0)) RETURNING id`,
		l.uid, of, l.root.Player, l.root.Racket, p.frame, p.technique, l.plan, p.steps, string(made), l.root.File, nonNil(l.root.Source), p.mains, p.crosses, l.root.Salt, a.uid).Scan(&l.id)
	if err != nil {
		return err
	}
	if of == "" {
		a.row = l.id
		return m.q.exec(m.ctx, "UPDATE records SET waiting = 0 WHERE uid = ?", a.uid)
	}
	r, err := record(m.ctx, m.q, a.uid)
	if err != nil {
		return err
	}
	k, _ := records.Find(r.Kind)
	r.UID = l.uid
	if _, err := insertRecord(m.ctx, m.q, k, r); err != nil {
		return err
	}
	return m.q.exec(m.ctx, "UPDATE records SET waiting = 0 WHERE uid = ?", l.uid)
}

// move writes all lines of a job anew, as is needed when another one than before is the job's own. The job keeps its number.
func (m *merger) move(a *attempts) error {
	rows, err := m.rowsOf(a)
	if err != nil {
		return err
	}
	for _, query := range []string{
		"DELETE FROM events WHERE job IN (SELECT id FROM jobs WHERE uid = ?1 OR of = ?1 AND of <> '')",
		"DELETE FROM records WHERE uid IN (SELECT uid FROM jobs WHERE of = ?1 AND of <> '')",
		"DELETE FROM jobs WHERE of = ?1 AND of <> ''",
	} {
		if err := m.q.exec(m.ctx, query, a.uid); err != nil {
			return err
		}
	}
	for _, l := range a.lines {
		l.id, l.saved = 0, 0
	}
	own := a.lines[0]
	own.id = a.row
	p, err := m.outlineOf(own.plan)
	if err != nil {
		return err
	}
	made, err := own.root.Made.MarshalText()
	if err != nil {
		return err
	}
	err = m.q.exec(m.ctx, "UPDATE jobs SET plan = ?, frame = ?, technique = ?, mains = ?, crosses = ?, player = ?, racket = ?, file = ?, source = ?, salt = ?, made = ? WHERE id = ?",
		own.plan, p.frame, p.technique, p.mains, p.crosses, own.root.Player, own.root.Racket, own.root.File, nonNil(own.root.Source), own.root.Salt, string(made), own.id)
	if err == nil {
		err = m.save(a)
	}
	if err != nil {
		return err
	}
	a.dropped = nil
	return m.repoint(a, rows)
}

// logged is a row of the log that stands for a job's begin or an event of it.
type logged struct {
	source, seq int64
	name        string
}

// rowsOf lists the rows of the log of a job, with the names of what they stand for.
func (m *merger) rowsOf(a *attempts) (list []logged, err error) {
	at := map[int64]*line{}
	var ids []int64
	for _, l := range slices.Concat(a.lines, a.dropped) {
		if l.id != 0 {
			at[l.id] = l
			ids = append(ids, l.id)
		}
	}
	err = eachRow(m.ctx, m.q, func(rows *sql.Rows) error {
		var r logged
		var row, part int64
		if err := rows.Scan(&r.source, &r.seq, &row, &part); err != nil {
			return err
		}
		if names := at[row].names; part < int64(len(names)) {
			r.name = names[part]
			list = append(list, r)
		}
		return nil
	}, "SELECT source, seq, row, part FROM log WHERE kind IN ('job', 'event') AND row IN "+among, listedIDs(ids))
	return list, err
}

// repoint leads rows of the log to where what they stand for is now.
func (m *merger) repoint(a *attempts, rows []logged) error {
	for _, r := range rows {
		for _, l := range a.lines {
			if n := l.index(r.name); n >= 0 {
				if err := m.q.exec(m.ctx, "UPDATE log SET row = ?, part = ? WHERE source = ? AND seq = ?", l.id, n, r.source, r.seq); err != nil {
					return err
				}
				break
			}
		}
	}
	return nil
}

// outlineOf is what a row of jobs has of a plan.
func (m *merger) outlineOf(id int64) (knownPlan, error) {
	if k, ok := m.known[id]; ok {
		return k, nil
	}
	p, err := m.wholePlan(id)
	if err != nil {
		return knownPlan{}, err
	}
	m.known[id] = outlined(id, p)
	return m.known[id], nil
}

func outlined(id int64, p *plan.Plan) knownPlan {
	t := p.Terms
	return knownPlan{id: id, steps: len(p.Steps), frame: p.Frame, technique: p.Technique, mains: t.PullMains.Ordered, crosses: t.PullCrosses.Ordered}
}

func listedIDs(ids []int64) string {
	text := []byte{'['}
	for i, id := range ids {
		if i > 0 {
			text = append(text, ',')
		}
		text = fmt.Append(text, id)
	}
	return string(append(text, ']'))
}
