package book

import (
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"time"
	"unicode/utf8"

	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// knownPlan is what jobs take of a plan that came in.
type knownPlan struct {
	id                               int64 // here
	steps                            int
	frame, technique, mains, crosses string
}

// plan takes in a plan. The referee sees it when its job is taken up.
func (m *merger) plan(p wholePlan) error {
	if _, ok := m.plans[p.ID]; ok || p.ID < 1 {
		return errors.New("its number is taken or none")
	}
	read, err := readPlan(p.Body)
	if err != nil {
		return err
	}
	if len(read.Steps) == 0 || validUID(read.Plan) != nil {
		return errors.New("it has no steps or no fingerprint")
	}
	if _, err := json.Marshal(read); err != nil { // it has an op that there is not
		return err
	}
	body, err := json.Marshal(p.Body)
	if err != nil {
		return err
	}
	t := read.Terms
	known := knownPlan{steps: len(read.Steps), frame: read.Frame, technique: read.Technique, mains: t.PullMains.Ordered, crosses: t.PullCrosses.Ordered}
	known.id, err = keepBody(m.ctx, m.q, read, body)
	m.plans[p.ID] = known
	return err
}

// job takes in a job that was begun.
func (m *merger) job(j wholeJob) error {
	if err := m.validJob(&j); err != nil {
		return err
	}
	hidden := m.hidden[j.UID]
	if hidden {
		j.Player, j.Racket, j.File, j.Source = "", "", "", sequence.Anonymous(j.Source)
		for i := range j.Events {
			j.Events[i].Why = ""
		}
	}
	var id, first int64
	err := m.q.QueryRowContext(m.ctx, "SELECT id, plan FROM jobs WHERE uid = ?", j.UID).Scan(&id, &first)
	if errors.Is(err, sql.ErrNoRows) {
		return m.addJob(j)
	}
	if err != nil {
		return err
	}
	ours, err := wholeEvents(m.ctx, m.q, id)
	if err != nil {
		return err
	}
	n := 0
	for n < min(len(ours), len(j.Events)) && sameEvent(ours[n], j.Events[n], hidden || m.blanked[j.UID]) {
		n++
	}
	switch {
	case first != m.plans[j.Plan].id:
		m.conflict(j, id, "it follows another plan there", records.Fields{}, records.Fields{})
	case n < min(len(ours), len(j.Events)):
		m.conflict(j, id, fmt.Sprintf("event %d is another one there", n+1), ours[n].fields(), j.Events[n].fields())
	case len(ours) == len(j.Events):
		m.merged.Jobs.Same++
	case len(ours) > len(j.Events):
		m.merged.Jobs.Older++
	default:
		m.merged.Jobs.Newer++
		return m.goOn(id, j, n)
	}
	return nil
}

func (m *merger) conflict(j wholeJob, id int64, what string, ours, theirs records.Fields) {
	m.merged.Conflicts = append(m.merged.Conflicts, Conflict{records.KindJob, j.UID, id, what, ours, theirs})
}

// validJob checks a job and brings the numbers of its events' plans into those of this book.
func (m *merger) validJob(j *wholeJob) error {
	var kind records.Name
	err := m.q.QueryRowContext(m.ctx, "SELECT kind FROM records WHERE uid = ?", j.UID).Scan(&kind)
	if errors.Is(err, sql.ErrNoRows) || err == nil && kind != records.KindJob {
		return errors.New("it has no record of a job")
	}
	if err != nil {
		return err
	}
	for _, text := range []string{j.Player, j.Racket, j.File} {
		if len(text) > 4000 || !utf8.ValidString(text) {
			return errors.New("its player, racket or file is no text of 4000 bytes at most")
		}
	}
	if _, ok := m.plans[j.Plan]; !ok {
		return fmt.Errorf("its plan %d has not come before it", j.Plan)
	}
	wrong := validTime(j.Made)
	for i := range j.Events {
		e := &j.Events[i]
		known, ok := m.plans[e.Plan]
		if !ok && (e.Kind == progress.Mishap || e.Plan != 0) || ok && e.Kind != progress.Mishap && e.Kind != progress.Redo {
			return fmt.Errorf("event %d: a mishap has a plan that came before it, a redo may have one, no other event has one", i+1)
		}
		if err := explains(e.Event, i); err != nil {
			return fmt.Errorf("event %d: %w", i+1, err)
		}
		e.Plan = known.id
		if err := validTime(e.At); err != nil {
			wrong = errors.Join(wrong, fmt.Errorf("event %d: %w", i+1, err))
		}
	}
	return wrong
}

// fold finds out where a job stands, and gives its events their plans. Whole plans are read only where steps are compared.
func (m *merger) fold(j wholeJob) (progress.State, error) {
	first, list := blank(m.plans[j.Plan].steps), make([]progress.Event, len(j.Events))
	for i := range j.Events {
		e := &j.Events[i]
		if e.Plan != 0 {
			var err error
			if e.Event.Plan, err = m.wholePlan(e.Plan); err != nil {
				return progress.State{}, err
			}
		}
		if list[i] = e.Event; e.Plan == 0 {
			continue
		}
		if len(first.Steps[0].Ops) == 0 {
			var err error
			if first, err = m.wholePlan(m.plans[j.Plan].id); err != nil {
				return progress.State{}, err
			}
		}
	}
	return progress.Fold(first, list)
}

func (m *merger) wholePlan(id int64) (*plan.Plan, error) {
	var body []byte
	if err := m.q.QueryRowContext(m.ctx, "SELECT body FROM plans WHERE id = ?", id).Scan(&body); err != nil {
		return nil, err
	}
	return readPlan(body)
}

// addJob takes in a job that was not begun here. It gets the number of its record, if no other job has that.
func (m *merger) addJob(j wholeJob) error {
	made, err := j.Made.MarshalText()
	if err != nil {
		return err
	}
	p := m.plans[j.Plan]
	var id int64
	err = m.q.QueryRowContext(m.ctx, `INSERT INTO jobs (id, uid, player, racket, frame, technique, plan, steps, step, state, made, last, file, source, mains, crosses)
		VALUES ((SELECT CASE WHEN EXISTS (SELECT 1 FROM jobs WHERE jobs.id = records.id) THEN (SELECT max(id) + 1 FROM jobs) ELSE records.id END
			FROM records WHERE uid = ?1), ?1, ?2, ?3, ?4, ?5, ?6, ?7, 1, 'open', ?8, ?8, ?9, ?10, ?11, ?12) RETURNING id`,
		j.UID, j.Player, j.Racket, p.frame, p.technique, p.id, p.steps, string(made), j.File, nonNil(j.Source), p.mains, p.crosses).Scan(&id)
	if err != nil {
		return err
	}
	if err := m.q.exec(m.ctx, "UPDATE records SET waiting = 0 WHERE uid = ?", j.UID); err != nil {
		return err
	}
	m.merged.Jobs.Added++
	return m.goOn(id, j, 0)
}

// goOn appends the events of a job from one on.
func (m *merger) goOn(id int64, j wholeJob, from int) error {
	s, err := m.fold(j)
	if err != nil {
		return err
	}
	at := j.Made
	for i := from; i < len(j.Events); i++ {
		e := j.Events[i]
		at = e.At
		text, err := e.At.MarshalText()
		if err != nil {
			return err
		}
		next := sql.NullInt64{Int64: e.Plan, Valid: e.Plan != 0}
		err = m.q.exec(m.ctx, insertEvent, id, i+1, string(text), e.Kind, e.Step, e.What, e.Why, next, e.Of, e.Recorded())
		if err != nil {
			return err
		}
	}
	text, err := at.MarshalText()
	if err != nil {
		return err
	}
	return m.q.exec(m.ctx, "UPDATE jobs SET state = ?, step = ?, steps = ?, last = ? WHERE id = ?", s.Status(), s.Current(), s.Steps(), string(text), id)
}

// sameEvent compares what happened, and unless somebody was forgotten what was written beside it.
func sameEvent(a, b wholeEvent, quiet bool) bool {
	return a.At.Format(time.RFC3339Nano) == b.At.Format(time.RFC3339Nano) && a.Kind == b.Kind && a.Step == b.Step && a.What == b.What &&
		(quiet || a.Why == b.Why) && a.Plan == b.Plan && a.Of == b.Of
}

// fields are an event for the list of conflicts.
func (e wholeEvent) fields() records.Fields {
	return records.Fields{"at": e.At.Format(time.RFC3339), "kind": string(e.Kind), "step": strconv.Itoa(e.Step), "what": e.What, "why": e.Why}
}
