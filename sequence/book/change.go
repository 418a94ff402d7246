package book

import (
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"pullcard/sequence/records"
)

// The keys under which a change says what is no field of its kind: when the record happened or was begun, and whether it counts.
const (
	keyAt    = "@at"
	keyState = "@state"
)

// change is one thing that was said of a record. All books that have the same changes of a record say the same of it,
// whatever the order in which they came: fold sees to that.
type change struct {
	id   int64        // in this book
	UID  string       `json:"uid"`
	Kind records.Name `json:"kind"`
	// Stamp names the change among those of its record: the time of a hybrid logical clock, at least 1 ns after everything that
	// its bench knew then, and a random word, as the file of a book may have been copied. A change of a book that had no log
	// yet has the word old there.
	Stamp string `json:"stamp"`
	// Over are the stamps of the changes that whoever made this one saw as the last, empty for the first and for old ones.
	Over   []string       `json:"over"`
	At     time.Time      `json:"at"` // by the clock
	Why    string         `json:"why,omitempty"`
	Fields records.Fields `json:"fields"` // what it sets; an empty text takes a field away
	// Salt is random, so that nobody finds out by trying what was said once the text is gone and its hash is left.
	Salt string `json:"salt,omitempty"`
}

// ahead is how far a clock may be ahead before it is not followed any more.
const ahead = 24 * time.Hour

// tick is the stamp of a change that is made now. The clock of a book never goes back and never stands.
func tick(ctx context.Context, tx *sql.Tx, now time.Time) (text string, err error) {
	var last string
	if err := tx.QueryRowContext(ctx, "SELECT clock FROM self").Scan(&last); err != nil {
		return "", err
	}
	if before, err := time.Parse(stampForm, last); err == nil && !now.After(before) {
		now = before.Add(1)
	}
	_, err = tx.ExecContext(ctx, "UPDATE self SET clock = ?", stamp(now))
	return stamp(now) + " " + salt(), err
}

// follow sets the clock of a book after that of a change from elsewhere, unless that is too far ahead.
func (c change) follow(ctx context.Context, tx *sql.Tx, now time.Time) error {
	text, _, _ := strings.Cut(c.Stamp, " ")
	if at, err := time.Parse(stampForm, text); err != nil || at.After(now.Add(ahead)) {
		return nil
	}
	_, err := tx.ExecContext(ctx, "UPDATE self SET clock = max(clock, ?)", text)
	return err
}

// ClocksAhead lists the benches that made changes by a clock more than a day ahead of now, each with the furthest. Nobody's clock follows
// theirs, but what they said last holds until it is corrected.
func (b *Book) ClocksAhead(ctx context.Context, now time.Time) (map[string]time.Time, error) {
	out := map[string]time.Time{}
	err := eachRow(ctx, b.db, func(rows *sql.Rows) (err error) {
		var bench, text string
		if err := rows.Scan(&bench, &text); err != nil {
			return err
		}
		text, _, _ = strings.Cut(text, " ")
		out[bench], err = time.Parse(stampForm, text)
		return err
	}, `SELECT bench, max(stamp) FROM changes JOIN log ON log.row = changes.id AND log.kind IN ('record', 'forget')
		JOIN sources ON sources.id = log.source WHERE stamp > ? GROUP BY bench`, stamp(now.Add(ahead)))
	if err != nil {
		return nil, b.problem("look for clocks that are ahead", err)
	}
	return out, nil
}

// salt is a random word.
func salt() string {
	word := make([]byte, 8)
	_, _ = rand.Read(word) // never fails
	return hex.EncodeToString(word)
}

// say writes a change of a record that is made now, over all that is known of it. Words about somebody who was forgotten are left
// out of it, as every other book would leave them out; blanked says that they may have been.
func say(ctx context.Context, tx *sql.Tx, r Record, set records.Fields, why string, at time.Time) (blanked bool, err error) {
	before, err := changesOf(ctx, tx, r.UID)
	if err != nil {
		return false, err
	}
	c := change{UID: r.UID, Kind: r.Kind, Over: heads(before[r.UID]), At: at, Why: why, Fields: set, Salt: salt()}
	if c.Stamp, err = tick(ctx, tx, at); err != nil {
		return false, err
	}
	k, _ := records.Find(r.Kind)
	if blanked, err = ofForgotten(ctx, tx, append(k.Belongs(set), r.UID)...); err != nil {
		return false, err
	}
	if blanked {
		c = c.blank(fieldsLeft)
	}
	_, err = c.insert(ctx, tx)
	return blanked, err
}

// ofForgotten says whether one of some records is somebody who was forgotten, or of one.
func ofForgotten(ctx context.Context, q querier, uids ...string) (is bool, err error) {
	err = q.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM records WHERE state = 'forgotten')").Scan(&is)
	if err != nil || !is {
		return false, err
	}
	for len(uids) > 0 {
		list, err := readRecords(ctx, q, selectRecords+" WHERE uid IN "+among, listed(uids))
		if err != nil {
			return false, err
		}
		uids = nil
		for _, r := range list {
			if r.State == Forgotten {
				return true, nil
			}
			k, _ := records.Find(r.Kind)
			uids = append(uids, k.Belongs(r.Fields)...) // which are of other kinds: it comes to an end
		}
	}
	return false, nil
}

func (c change) insert(ctx context.Context, q querier) (id int64, err error) {
	if c.Over == nil {
		c.Over = []string{}
	}
	over, err := json.Marshal(c.Over)
	if err != nil {
		return 0, err
	}
	fields, err := json.Marshal(c.Fields)
	if err != nil {
		return 0, err
	}
	at, err := c.At.MarshalText()
	if err != nil {
		return 0, fmt.Errorf("time of the change: %w", err)
	}
	err = q.QueryRowContext(ctx, "INSERT INTO changes (uid, kind, stamp, over, at, why, fields, salt) VALUES (?, ?, ?, ?, ?, ?, ?, ?) RETURNING id",
		c.UID, c.Kind, c.Stamp, string(over), string(at), c.Why, string(fields), c.Salt).Scan(&id)
	return id, err
}

const selectChanges = "SELECT id, uid, kind, stamp, over, at, why, fields, salt FROM changes"

// changesOf reads all that was said of some records, by their UIDs.
func changesOf(ctx context.Context, q querier, uids ...string) (map[string][]change, error) {
	out := map[string][]change{}
	err := eachRow(ctx, q, func(rows *sql.Rows) error {
		c, err := scanChange(rows)
		out[c.UID] = append(out[c.UID], c)
		return err
	}, selectChanges+" WHERE uid IN "+among+" ORDER BY uid, stamp", listed(uids))
	return out, err
}

func scanChange(rows interface{ Scan(...any) error }) (c change, err error) {
	var over, fields []byte
	err = rows.Scan(&c.id, &c.UID, &c.Kind, &c.Stamp, &over, moment{&c.At}, &c.Why, &fields, &c.Salt)
	if err == nil {
		err = json.Unmarshal(over, &c.Over)
	}
	if err == nil {
		c.Fields, err = readFields(fields)
	}
	if err != nil {
		return c, fmt.Errorf("change %d: %w", c.id, err)
	}
	return c, nil
}

// differing is what has to be set to come from some fields to others.
func differing(before, after records.Fields) records.Fields {
	set := records.Fields{}
	for _, key := range records.Differing(before, after) {
		set[key] = after[key]
	}
	return set
}

// oldChanges are the changes of a record of a book that had no log yet. A job that was begun has the time of that, and older
// books do not say what it was before; all books that knew it then make the same changes of it.
func oldChanges(r Record, before []Correction) (list []change) {
	states := []records.Fields{}
	for _, c := range before {
		states = append(states, c.Before)
	}
	states = append(states, r.Fields)
	first := slices.IndexFunc(before, func(c Correction) bool { return !c.At.Before(r.At) })
	if first < 0 {
		first = len(before)
	}
	at := func(when time.Time, why string, set records.Fields) {
		text := stamp(when) + " old"
		for slices.ContainsFunc(list, func(c change) bool { return c.Stamp == text }) {
			when = when.Add(1)
			text = stamp(when) + " old"
		}
		list = append(list, change{UID: r.UID, Kind: r.Kind, Stamp: text, At: when, Why: why, Fields: set, Salt: salt()})
	}
	added := maps.Clone(states[first])
	if added == nil {
		added = records.Fields{}
	}
	added[keyAt] = stamp(r.At)
	if r.State == Forgotten {
		added[keyState] = string(Forgotten)
	}
	if first > 0 {
		at(time.Unix(0, 0), "", states[0])
	}
	for i := range before {
		if i == first {
			at(r.At, "", added)
		}
		at(before[i].At, before[i].Why, differing(states[i], states[i+1]))
	}
	if first == len(before) {
		at(r.At, "", added)
	}
	if r.State == Removed {
		last, _ := time.Parse(stampForm+" old", list[len(list)-1].Stamp)
		at(last.Add(1), "", records.Fields{keyState: string(Removed)})
	}
	return list
}
