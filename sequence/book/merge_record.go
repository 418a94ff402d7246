package book

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"pullcard/sequence/records"
)

// record takes in a record of a file with all that was ever said of it.
func (m *merger) record(r wholeRecord) error {
	if err := m.valid(&r); err != nil {
		return err
	}
	list, err := readRecords(m.ctx, m.q, selectRecords+" WHERE uid = ?", r.UID)
	if err != nil {
		return err
	}
	if err := m.mark(r.Record, list); err != nil {
		return err
	}
	switch {
	case len(list) == 0:
	case list[0].Kind != r.Kind:
		return fmt.Errorf("it is a %s here", list[0].Kind)
	case list[0].State == Forgotten:
		m.merged.Records.Same++
		return nil
	case r.State == Forgotten:
		m.merged.Forgotten = append(m.merged.Forgotten, list[0])
		fallthrough
	case m.blanked[r.UID]:
		m.merged.Records.Same++
		return nil
	}
	said, err := changesOf(m.ctx, m.q, r.UID)
	if err != nil {
		return err
	}
	ours, fresh := said[r.UID], 0
	for _, c := range r.Changes {
		_, added, err := m.change(c, ours)
		if err != nil {
			return err
		}
		if added {
			fresh++
		}
	}
	return m.tallyRecord(r, ours, fresh)
}

// tallyRecord brings a record to what is known of it now, and tells what came of it.
func (m *merger) tallyRecord(r wholeRecord, ours []change, fresh int) error {
	n := &m.merged.Records
	known := func(c change) bool {
		return slices.ContainsFunc(r.Changes, func(t change) bool { return t.Stamp == c.Stamp })
	}
	switch {
	case len(ours) == 0:
		n.Added++
	case fresh > 0:
		n.Newer++
	case slices.ContainsFunc(ours, func(c change) bool { return !known(c) }):
		n.Older++
	default:
		n.Same++
	}
	now, err := record(m.ctx, m.q, r.UID)
	if fresh > 0 && err == nil || errors.Is(err, errNoRecord) {
		now, err = refold(m.ctx, m.tx, r.UID)
	}
	if err != nil {
		return err
	}
	if len(ours) == 0 && r.Kind == records.KindPlayer && now.State == Kept {
		for _, p := range m.players[records.Fold(now.Label())] {
			m.merged.MaybeSame = append(m.merged.MaybeSame, Pair{p, now})
		}
	}
	if fresh > 0 && len(ours) > 0 && now.State == Removed {
		if err := m.tellRemoved(now); err != nil {
			return err
		}
	}
	return m.tellDispute(now)
}

// wasRemoved says what a conflict about a record that went is.
const wasRemoved = "it was removed in one book and changed in the other, and stays removed"

// tellRemoved lists a record that one book removed and the other went on to change: it stays removed, and what was said is shown.
func (m *merger) tellRemoved(r Record) error {
	all, err := changesOf(m.ctx, m.q, r.UID)
	if err != nil {
		return err
	}
	last, said, removed := heads(all[r.UID]), records.Fields{}, false
	for _, c := range all[r.UID] {
		switch {
		case !slices.Contains(last, c.Stamp):
		case c.Fields[keyState] == string(Removed):
			removed = true
		default:
			maps.Copy(said, c.Fields)
		}
	}
	if removed && len(said) > 0 {
		m.merged.Conflicts = append(m.merged.Conflicts, Conflict{r.Kind, r.UID, r.ID, wasRemoved, records.Fields{keyState: string(Removed)}, said})
	}
	return nil
}

// tellDispute lists what several benches said of a record, none knowing of the other.
func (m *merger) tellDispute(r Record) error {
	var is bool
	if err := m.q.QueryRowContext(m.ctx, "SELECT EXISTS (SELECT 1 FROM disputes WHERE uid = ?)", r.UID).Scan(&is); err != nil || !is {
		return err
	}
	said, err := changesOf(m.ctx, m.q, r.UID)
	if err != nil {
		return err
	}
	one, other := records.Fields{}, records.Fields{}
	for _, d := range fold(said[r.UID]).dispute {
		var rest []string
		for _, s := range d.Said[:len(d.Said)-1] {
			rest = append(rest, s.Value)
		}
		one[d.Key], other[d.Key] = d.Said[len(d.Said)-1].Value, strings.Join(rest, " / ")
	}
	m.merged.Conflicts = append(m.merged.Conflicts, Conflict{r.Kind, r.UID, r.ID, "it was changed in both books", one, other})
	return nil
}

// change takes in one change unless it is known, without what is private where the player was forgotten here.
func (m *merger) change(c change, known []change) (id int64, added bool, err error) {
	if i := slices.IndexFunc(known, func(o change) bool { return o.Stamp == c.Stamp }); i >= 0 {
		return known[i].id, false, nil
	}
	if c.Salt == "" {
		c.Salt = salt()
	}
	if m.hidden[c.UID] {
		c = c.blank(fieldsLeft)
	}
	if err = c.follow(m.ctx, m.tx, m.now); err == nil {
		id, err = c.insert(m.ctx, m.q)
	}
	if err != nil {
		return 0, false, err
	}
	return id, true, m.number(!Lesson(c.UID), c.row(), id, 0)
}

// row is the kind of row that a change is in the log.
func (c change) row() string {
	if c.Fields[keyState] == string(Forgotten) {
		return rowForget
	}
	return rowRecord
}

// valid checks a record as if somebody had typed it. What it names must have come before it or be in the book.
func (m *merger) valid(r *wholeRecord) error {
	wrong := errors.Join(validUID(r.UID), validTime(r.At))
	k, ok := records.Find(r.Kind)
	if !ok {
		return fmt.Errorf("there is no kind of record %q", r.Kind)
	}
	if r.State == Forgotten {
		if !r.Kind.Person() || len(r.Fields)+len(r.Corrections) > 0 {
			return errors.New("only somebody of whom nothing is said can be forgotten")
		}
		r.Fields = records.Fields{}
	} else if r.State != Kept && r.State != Removed {
		return fmt.Errorf("the state %q is not known; write kept, left or forgotten", r.State)
	} else {
		var err error
		if _, r.Fields, err = check(m.ctx, m.q, r.Kind, r.Fields, r.At); err != nil {
			wrong = errors.Join(wrong, err)
		}
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
	if wrong != nil {
		return wrong
	}
	if len(r.Changes) == 0 {
		r.Changes = oldChanges(r.Record, r.Corrections)
	}
	for i := range r.Changes {
		c := &r.Changes[i]
		if c.UID != r.UID || c.Kind != r.Kind {
			return fmt.Errorf("change %d is one of another record", i+1)
		}
		if err := m.validChange(c); err != nil {
			return fmt.Errorf("change %d: %w", i+1, err)
		}
	}
	f := fold(r.Changes)
	if r.State != Forgotten {
		f.fields = anonymous(r.Record, f.fields)
	}
	if f.state != r.State || !f.at.Equal(r.At) || !maps.Equal(f.fields, r.Fields) {
		return errors.New("it does not say what its changes come to")
	}
	return nil
}

// validChange checks one change. What it names must be in the book, but what is needed may stand in another one.
func (m *merger) validChange(c *change) error {
	k, ok := records.Find(c.Kind)
	if !ok {
		return fmt.Errorf("there is no kind of record %q", c.Kind)
	}
	text, word, _ := strings.Cut(c.Stamp, " ")
	at, err := time.Parse(stampForm, text)
	if err != nil || validUID(word) != nil || len(c.Stamp) > 80 {
		return fmt.Errorf("the stamp %.80q is none", c.Stamp)
	}
	if len(c.Why) > 4000 || len(c.Salt) > 80 || len(c.Over) > 1000 {
		return errors.New("its reason, salt or what it was made over is too long")
	}
	said := maps.Clone(c.Fields)
	switch state, ok := said[keyState]; {
	case !ok, state == string(Kept), state == string(Removed):
	case state == string(Forgotten) && c.Kind.Person():
	default:
		return fmt.Errorf("the state %q is not known; write kept, left or forgotten", state)
	}
	if text, ok := said[keyAt]; ok {
		when, err := time.Parse(stampForm, text)
		if err == nil {
			err = validTime(when)
		}
		if err != nil {
			return fmt.Errorf("the time %.80q is none of a clock", text)
		}
	}
	delete(said, keyState)
	delete(said, keyAt)
	kept, err := k.ReadSome(said, at)
	if err == nil {
		err = refers(m.ctx, m.q, k, kept)
	}
	for key, text := range said {
		if text == "" {
			kept[key] = ""
		}
		if err == nil && kept[key] != text {
			err = fmt.Errorf("%s: %.80q is not written as it is kept", key, text)
		}
	}
	return errors.Join(err, validUID(c.UID))
}

// mark finds out whether a record is of somebody who was forgotten here or there.
func (m *merger) mark(r Record, ours []Record) error {
	k, _ := records.Find(r.Kind)
	named := k.Belongs(r.Fields)
	if err := m.look(append(named, r.UID)...); err != nil {
		return err
	}
	if r.Kind.Person() {
		m.blanked[r.UID] = r.State == Forgotten && len(ours) > 0 && ours[0].State != Forgotten
		return nil
	}
	for _, of := range named {
		m.hidden[r.UID] = m.hidden[r.UID] || m.hidden[of]
		m.blanked[r.UID] = m.blanked[r.UID] || m.blanked[of]
	}
	return nil
}
