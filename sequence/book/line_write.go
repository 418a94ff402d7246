package book

import (
	"database/sql"
	"fmt"
	"slices"

	"pullcard/sequence/plan"
	"pullcard/sequence/records"
)

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
		err = m.q.exec(m.ctx, updateJob, stands(l.state, text, l.id)...)
		if err != nil {
			return err
		}
	}
	return nil
}

func (m *merger) saveEvents(l *line) error {
	var rows [][]any
	for _, e := range l.events[l.saved:] {
		at, err := e.At.MarshalText()
		if err != nil {
			return err
		}
		next := sql.NullInt64{Int64: e.plan, Valid: e.plan != 0}
		rows = append(rows, []any{l.id, e.N, string(at), e.Kind, e.Step, e.What, e.Why, next, e.Of, e.Recorded(), e.Claim, e.Salt})
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
