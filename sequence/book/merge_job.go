package book

import (
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"time"
	"unicode/utf8"

	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// knownPlan is what jobs take of a plan that came in.
type knownPlan struct {
	id                               int64 // here
	steps                            int
	frame, technique, mains, crosses string
	digest                           string
}

// plan takes in a plan of a file, under a number that holds there.
func (m *merger) plan(p wholePlan) error {
	if _, ok := m.plans[p.ID]; ok || p.ID < 1 {
		return errors.New("its number is taken or none")
	}
	body, err := json.Marshal(p.Body)
	if err != nil {
		return err
	}
	m.plans[p.ID], err = m.keep(body)
	return err
}

// keep takes in a plan. The referee sees it when its job is taken up.
func (m *merger) keep(body []byte) (knownPlan, error) {
	read, err := readPlan(body)
	if err != nil {
		return knownPlan{}, err
	}
	if len(read.Steps) == 0 || validUID(read.Plan) != nil {
		return knownPlan{}, errors.New("it has no steps or no fingerprint")
	}
	if _, err := json.Marshal(read); err != nil { // it has an op that there is not
		return knownPlan{}, err
	}
	id, added, err := keepBody(m.ctx, m.q, read, body)
	if err == nil {
		err = m.number(added, rowPlan, id, 0)
	}
	if err != nil {
		return knownPlan{}, err
	}
	known := outlined(id, read)
	known.digest, err = (&encoder{ctx: m.ctx, q: m.q}).digest(id)
	m.known[id] = known
	return known, err
}

// number gives what came in from a file, and is new, a number in this book's log; what comes from a room has one.
func (m *merger) number(fresh bool, kind string, row, part int64) error {
	if !fresh || !m.file {
		return nil
	}
	return number(m.ctx, m.tx, kind, row, part)
}

// job takes in a job of a file with all its events.
func (m *merger) job(j wholeJob) error {
	if j.Of == "" {
		j.Of = j.UID
	}
	root, err := m.wholeRoot(j)
	if err != nil {
		return err
	}
	a, err := m.attempts(j.Of)
	if err != nil {
		return err
	}
	fresh := len(a.lines) == 0
	l, added := a.begin(m.quietJob(root), m.plans[j.Plan].id)
	newer := 0
	names := []string{l.names[0]}
	for i, e := range j.Events {
		b, err := m.wholeEvent(j, i, e)
		if err != nil {
			return fmt.Errorf("event %d: %w", i+1, err)
		}
		b.Prev = names[i]
		names = append(names, b.name())
		is := false
		if l, is, err = m.put(a, m.quiet(b, m.plans[e.Plan].id)); err != nil {
			return fmt.Errorf("event %d: %w", i+1, err)
		}
		if is {
			newer++
		}
	}
	if err := m.settle(a); err != nil {
		return err
	}
	m.tally(a, l, names, fresh, added, newer)
	return nil
}

// tally counts what came of a job, and tells where its lines part.
func (m *merger) tally(a *attempts, l *line, names []string, fresh, added bool, newer int) {
	n := &m.merged.Jobs
	switch {
	case fresh:
		n.Added++
	case newer > 0 || added:
		n.Newer++
	case len(names) < len(l.names):
		n.Older++
	default:
		n.Same++
	}
	other := a.lines[0]
	if other == l && len(a.lines) > 1 {
		other = a.lines[1]
	}
	at := parts(other, l)
	switch {
	case at == min(len(other.names), len(l.names)):
	case at == 0:
		m.conflict(a, "it follows another plan there", records.Fields{}, records.Fields{})
	default:
		m.conflict(a, fmt.Sprintf("event %d is another one there", at), other.events[at-1].fields(), l.events[at-1].fields())
	}
}

func (m *merger) conflict(a *attempts, what string, ours, theirs records.Fields) {
	if slices.ContainsFunc(m.merged.Conflicts, func(c Conflict) bool { return c.UID == a.uid && c.What == what }) {
		return // told of the other line
	}
	m.merged.Conflicts = append(m.merged.Conflicts, Conflict{records.KindJob, a.uid, a.row, what, ours, theirs})
}

// quietJob takes the private words away where the player was forgotten here.
func (m *merger) quietJob(j jobBody) jobBody {
	if m.hidden[j.UID] {
		return j.unsaid()
	}
	return j
}

func (m *merger) quiet(b eventBody, plan int64) lineEvent {
	if m.hidden[b.Job] {
		b.Event, b.Salt = b.Unsaid(), ""
	}
	return lineEvent{eventBody: b, plan: plan}
}

// wholeRoot checks how a job of a file begins.
func (m *merger) wholeRoot(j wholeJob) (jobBody, error) {
	if _, ok := m.plans[j.Plan]; !ok {
		return jobBody{}, fmt.Errorf("its plan %d has not come before it", j.Plan)
	}
	root := jobBody{UID: j.Of, Plan: m.plans[j.Plan].digest, Made: j.Made, Player: j.Player, Racket: j.Racket, File: j.File, Source: j.Source, Salt: salt()}
	return root, m.validRoot(root)
}

// validRoot says what is wrong with how a job begins.
func (m *merger) validRoot(j jobBody) error {
	var kind records.Name
	err := m.q.QueryRowContext(m.ctx, "SELECT kind FROM records WHERE uid = ?", j.UID).Scan(&kind)
	if errors.Is(err, sql.ErrNoRows) || err == nil && kind != records.KindJob {
		return &absentError{"it has no record of a job"}
	}
	if err != nil {
		return err
	}
	return errors.Join(j.valid(), validTime(j.Made))
}

// wholeEvent checks an event of a file.
func (m *merger) wholeEvent(j wholeJob, i int, e wholeEvent) (eventBody, error) {
	known, ok := m.plans[e.Plan]
	if !ok && e.Plan != 0 {
		return eventBody{}, errors.New("a mishap has a plan that came before it, a redo may have one, no other event has one")
	}
	b := eventBody{Job: j.Of, N: i + 1, Claim: e.Claim, Event: e.Event, Plan: known.digest, Salt: saltFor(e.Event)}
	return b, validEvent(b)
}

// validEvent says what is wrong with an event, wherever its job stands.
func validEvent(e eventBody) error {
	mishap := e.Event.Kind == progress.Mishap
	if mishap && e.Plan == "" || e.Plan != "" && !mishap && e.Event.Kind != progress.Redo {
		return errors.New("a mishap has a plan that came before it, a redo may have one, no other event has one")
	}
	if err := bounded(e.Event); err != nil {
		return err
	}
	if !utf8.ValidString(e.What + e.Said()) {
		return errors.New("its words are no text")
	}
	if e.Claim < 0 {
		return errors.New("its claim is below nought")
	}
	if _, err := hex.DecodeString(e.Plan); err != nil {
		return errors.New("the digest of its plan is none")
	}
	return validTime(e.At)
}

// bounded says when there is too much of an event for other books, whoever writes it.
func bounded(e progress.Event) error {
	if len(e.What) > 4000 || len(e.Said()) > 1<<20 {
		return errors.New("its words are too long")
	}
	return nil
}

// fields are an event for the list of conflicts.
func (e lineEvent) fields() records.Fields {
	return records.Fields{"at": e.At.Format(time.RFC3339), "kind": string(e.Event.Kind), "step": strconv.Itoa(e.Step), "what": e.What, "why": e.Why}
}
