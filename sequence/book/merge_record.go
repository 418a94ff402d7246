package book

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"

	"pullcard/sequence/records"
)

// record takes in a record.
func (m *merger) record(r wholeRecord) error {
	if err := m.valid(&r); err != nil {
		return err
	}
	list, err := readRecords(m.ctx, m.q, selectRecords+" WHERE uid = ?", r.UID)
	if err != nil {
		return err
	}
	m.mark(r.Record, list)
	if len(list) == 0 {
		return m.add(r)
	}
	ours := list[0]
	switch {
	case ours.Kind != r.Kind:
		return fmt.Errorf("it is a %s here", ours.Kind)
	case ours.State == Forgotten:
		m.merged.Records.Same++
		return nil
	case r.State == Forgotten:
		m.merged.Forgotten = append(m.merged.Forgotten, ours)
		fallthrough
	case m.blanked[r.UID]:
		m.merged.Records.Same++
		return nil
	case m.hidden[r.UID]:
		r.ID = ours.ID
		r.Fields, r.Corrections = anonymous(r.Record), nil
	}
	return m.compare(ours, r)
}

// valid checks a record as if somebody had typed it. What it names must have come before it or be in the book.
func (m *merger) valid(r *wholeRecord) error {
	wrong := errors.Join(validUID(r.UID), validTime(r.At))
	k, ok := records.Find(r.Kind)
	if !ok {
		return fmt.Errorf("there is no kind of record %q", r.Kind)
	}
	if r.State == Forgotten {
		if r.Kind != records.KindPlayer || len(r.Fields)+len(r.Corrections) > 0 {
			return errors.New("only a player of whom nothing is said can be forgotten")
		}
		r.Fields = records.Fields{}
		return wrong
	}
	if r.State != Kept && r.State != Removed {
		return fmt.Errorf("the state %q is not known; write kept, left or forgotten", r.State)
	}
	var err error
	if _, r.Fields, err = check(m.ctx, m.q, r.Kind, r.Fields, r.At); err != nil {
		wrong = errors.Join(wrong, err)
	}
	for i, c := range r.Corrections {
		before, err := k.Read(c.Before, r.At)
		if err = errors.Join(err, validTime(c.At)); err == nil && len(c.Why) > 4000 {
			err = fmt.Errorf("its reason has %d bytes; write 4000 at most", len(c.Why))
		}
		if err != nil {
			wrong = errors.Join(wrong, fmt.Errorf("correction %d: %w", i+1, err))
		}
		r.Corrections[i].Before = before
	}
	return wrong
}

// mark finds out whether a record is of somebody who was forgotten here or there.
func (m *merger) mark(r Record, ours []Record) {
	if r.Kind == records.KindPlayer {
		m.blanked[r.UID] = r.State == Forgotten && len(ours) > 0 && ours[0].State != Forgotten
		return
	}
	k, _ := records.Find(r.Kind)
	for _, f := range k.Fields {
		if of := r.Fields[f.Key]; f.Of != "" && of != "" {
			m.hidden[r.UID] = m.hidden[r.UID] || m.hidden[of]
			m.blanked[r.UID] = m.blanked[r.UID] || m.blanked[of]
		}
	}
}

// add takes in a record that is new here. It gets the next number of its kind.
func (m *merger) add(r wholeRecord) error {
	k, _ := records.Find(r.Kind)
	err := m.q.QueryRowContext(m.ctx, "SELECT coalesce(max(id), 0) + 1 FROM records WHERE kind = ?", r.Kind).Scan(&r.ID)
	if err != nil {
		return err
	}
	if m.hidden[r.UID] {
		r.Fields, r.Corrections = anonymous(r.Record), nil
	}
	body, err := json.Marshal(r.Fields)
	if err != nil {
		return err
	}
	err = m.q.exec(m.ctx, "INSERT INTO records (uid, kind, id, owner, at, words, body, state, waiting) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
		r.UID, r.Kind, r.ID, r.Fields[k.Owner], stamp(r.At), k.Words(r.Fields), string(body), r.State, r.waits())
	if err != nil {
		return err
	}
	m.merged.Records.Added++
	if r.Kind == records.KindPlayer && r.State == Kept {
		for _, ours := range m.players[records.Fold(r.Label())] {
			m.merged.MaybeSame = append(m.merged.MaybeSame, Pair{ours, r.Record})
		}
	}
	return m.correct(r.UID, r.Corrections)
}

// correct keeps what a record said before.
func (m *merger) correct(uid string, list []Correction) error {
	for _, c := range list {
		body, err := json.Marshal(c.Before)
		if err != nil {
			return err
		}
		err = m.q.exec(m.ctx, `INSERT INTO corrections (uid, seq, at, why, body)
			VALUES (?1, (SELECT coalesce(max(seq), 0) + 1 FROM corrections WHERE uid = ?1), ?2, ?3, ?4)`, uid, stamp(c.At), c.Why, string(body))
		if err != nil {
			return err
		}
	}
	return nil
}

// compare finds out which of two states of a record is the newer one, and takes theirs when it is. What was left away
// in one of the books is left away; a job counts from when it was begun.
func (m *merger) compare(ours Record, r wholeRecord) error {
	before, err := corrections(m.ctx, m.q, ours.UID)
	if err != nil {
		return err
	}
	verdict, from := newer(states(before, ours.Fields), states(r.Corrections, r.Fields))
	what := "it was changed in both books"
	switch {
	case verdict == unclear && r.Kind == records.KindJob:
		verdict, from = begunFurther(ours.Fields, r.Fields), len(r.Corrections)
	case r.Kind != records.KindJob && !r.At.Equal(ours.At):
		verdict, what = unclear, "it is of another time there: "+r.At.Format(stampForm)
	}
	if verdict == unclear {
		m.merged.Conflicts = append(m.merged.Conflicts, Conflict{r.Kind, r.UID, ours.ID, what, ours.Fields, r.Fields})
		return nil
	}
	next := ours
	if r.State == Removed {
		next.State = Removed
	}
	if r.At.After(ours.At) {
		next.At = r.At
	}
	if verdict == theirs {
		next.Fields = r.Fields
	}
	switch {
	case verdict == theirs || next.State != ours.State || !next.At.Equal(ours.At):
		m.merged.Records.Newer++
	case verdict == older || r.State != ours.State || !r.At.Equal(ours.At):
		m.merged.Records.Older++
		return nil
	default:
		m.merged.Records.Same++
		return nil
	}
	if verdict == theirs {
		if err := m.correct(r.UID, r.Corrections[from:]); err != nil {
			return err
		}
	}
	if err := m.q.exec(m.ctx, "UPDATE records SET at = ? WHERE uid = ?", stamp(next.At), next.UID); err != nil {
		return err
	}
	return rewrite(m.ctx, m.tx, next)
}

// states is everything that a record said, one after another.
func states(before []Correction, now records.Fields) (list []records.Fields) {
	for _, c := range before {
		list = append(list, c.Before)
	}
	return append(list, now)
}

// outcome says which of two states counts.
type outcome int

const (
	unclear outcome = iota
	same
	theirs
	older
)

// newer compares what a record said in two books. When theirs counts, from is the first of their corrections that is not
// known here, which is what the record says here now.
func newer(here, there []records.Fields) (is outcome, from int) {
	n := 0
	for n < min(len(here), len(there)) && maps.Equal(here[n], there[n]) {
		n++
	}
	switch {
	case n == len(here) && n == len(there):
		return same, 0
	case n == len(here):
		return theirs, n - 1
	case n == len(there):
		return older, 0
	}
	a, b := here[len(here)-1], there[len(there)-1]
	ours, at := last(there, a), last(here, b)
	switch {
	case maps.Equal(a, b):
		return same, 0
	case ours >= 0 && at < 0:
		return theirs, ours
	case at >= 0 && ours < 0:
		return older, 0
	}
	return unclear, 0
}

// last is where a record said something for the last time, -1 when it never did.
func last(said []records.Fields, what records.Fields) int {
	for i := len(said) - 1; i >= 0; i-- {
		if maps.Equal(said[i], what) {
			return i
		}
	}
	return -1
}

// begunFurther compares a job's record in two books. To begin a job adds fields to it and corrects none.
func begunFurther(here, there records.Fields) outcome {
	switch {
	case within(here, there):
		return theirs
	case within(there, here):
		return older
	}
	return unclear
}

func within(part, whole records.Fields) bool {
	for key, text := range part {
		if whole[key] != text {
			return false
		}
	}
	return true
}
