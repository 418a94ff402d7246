package book

import (
	"cmp"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"pullcard/sequence/records"
)

var selectRecords = "SELECT " + recordColumns("records") + " FROM records"

// recordColumns are those that scanRecord reads, of records by the name that a query gives them.
func recordColumns(name string) string {
	return strings.ReplaceAll("r.uid, r.kind, r.id, r.at, r.state, r.body", "r.", name+".")
}

// stampForm is how the book writes the time of a record: in one zone and of one length, so that it sorts.
const stampForm = "2006-01-02T15:04:05.000000000Z"

func stamp(t time.Time) string { return t.UTC().Format(stampForm) }

func readRecords(ctx context.Context, q querier, query string, args ...any) ([]Record, error) {
	return allRows(ctx, q, func(rows *sql.Rows) (Record, error) { return scanRecord(rows) }, query, args...)
}

func scanRecord(rows *sql.Rows, more ...any) (r Record, err error) {
	var body sql.RawBytes
	// Into what is no string by type each word would be set by reflection.
	if err := rows.Scan(append([]any{&r.UID, (*string)(&r.Kind), &r.ID, moment{&r.At}, (*string)(&r.State), &body}, more...)...); err != nil {
		return r, err
	}
	if r.Fields, err = readFields(body); err != nil {
		return r, fmt.Errorf("%s %d: %w", r.Kind, r.ID, err)
	}
	return r, nil
}

// oldestFirst sorts records by their time and then their number. SQLite would make a tree of its own for that.
func oldestFirst(a, b Record) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.ID, b.ID)) }

func newestFirst(a, b Record) int { return oldestFirst(b, a) }

func record(ctx context.Context, q querier, uid string) (Record, error) {
	list, err := readRecords(ctx, q, selectRecords+" WHERE uid = ?", uid)
	if err == nil && len(list) == 0 {
		err = errNoRecord
	}
	if err != nil {
		return Record{}, err
	}
	return list[0], nil
}

// Record reads one record.
func (b *Book) Record(ctx context.Context, uid string) (Record, error) {
	r, err := record(ctx, b.db, uid)
	if err != nil {
		return r, b.problem("read a record", err)
	}
	return r, nil
}

// Records reads records by their UIDs, with one question. An empty UID stands for none; the error says so when one is not in the
// book.
func (b *Book) Records(ctx context.Context, uids ...string) (map[string]Record, error) {
	out, err := several(ctx, b.db, uids)
	if err != nil {
		return nil, b.problem("read records", err)
	}
	return out, nil
}

// RecordsAt is Records as they were at a time: before the corrections that came later. One that is younger is as it was at
// first. So what was begun at that time goes on saying what it said.
func (b *Book) RecordsAt(ctx context.Context, at time.Time, uids ...string) (out map[string]Record, err error) {
	err = b.look(ctx, func(tx querier) error {
		if out, err = several(ctx, tx, uids); err != nil {
			return err
		}
		later, err := correctionsOf(ctx, tx, uids...)
		for uid, r := range out {
			later := later[uid]
			if i := slices.IndexFunc(later, func(c Correction) bool { return c.At.After(at) }); i >= 0 {
				r.Fields = later[i].Before
				out[uid] = r
			}
		}
		return err
	})
	if err != nil {
		return nil, b.problem("read records", err)
	}
	return out, nil
}

func several(ctx context.Context, q querier, uids []string) (map[string]Record, error) {
	uids = slices.Compact(slices.Sorted(slices.Values(uids))) // jobs have much in common
	if len(uids) > 0 && uids[0] == "" {
		uids = uids[1:]
	}
	if len(uids) == 0 {
		return nil, nil
	}
	list, err := readRecords(ctx, q, selectRecords+" WHERE uid IN "+among, listed(uids))
	if err != nil {
		return nil, err
	}
	out := make(map[string]Record, len(list))
	for _, r := range list {
		out[r.UID] = r
	}
	for _, uid := range uids {
		if _, ok := out[uid]; !ok {
			return nil, errNoRecord
		}
	}
	return out, nil
}

// among is a list in a query whose members come as one argument, made by listed.
const among = "(SELECT value FROM json_each(?))"

func listed[T ~string | int64](keys []T) string {
	text, _ := json.Marshal(keys) // they always have a JSON form
	return string(text)
}

var errNoRecord = errors.New("there is no such record in it")

// Corrections are what a record said before each correction, the oldest first.
func (b *Book) Corrections(ctx context.Context, uid string) ([]Correction, error) {
	list, err := corrections(ctx, b.db, uid)
	if err != nil {
		return nil, b.problem("read corrections", err)
	}
	return list, nil
}

func corrections(ctx context.Context, q querier, uid string) ([]Correction, error) {
	all, err := correctionsOf(ctx, q, uid)
	return append([]Correction{}, all[uid]...), err
}

// correctionsOf are the corrections of several records, with one question.
func correctionsOf(ctx context.Context, q querier, uids ...string) (map[string][]Correction, error) {
	all, err := changesOf(ctx, q, uids...)
	if err != nil {
		return nil, err
	}
	out := map[string][]Correction{}
	for uid, list := range all {
		if before := fold(list).before; len(before) > 0 {
			out[uid] = before
		}
	}
	return out, nil
}

// Find lists the records of a kind in which all the words of letters occur, in any order: in its own name, in that of one to
// which it refers, as of a racket's player, or of a job in where it stands, its day, its promise, its number and its Code. Those that begin
// with the letters come first and then the newest; no letters find all. limit is the most that are wanted, 0 for all of them.
func (b *Book) Find(ctx context.Context, kind records.Name, letters string, limit int) ([]Record, error) {
	list, err := find(ctx, b.db, kind, letters, limit)
	if err != nil {
		return nil, b.problem("find a "+string(kind), err)
	}
	return list, nil
}

// Code is what a job is called where several books know it, each by a number of its own: by how its UID begins.
func Code(uid string) string { return "job-" + uid[:min(len(uid), codeLength)] }

const codeLength = 6 // of 16 million; two jobs of one code are both found

// jobWords are what a job is found by beside the names of those to whom it refers.
func jobWords() string {
	var j records.Job
	return fmt.Sprintf(`(coalesce((SELECT CASE state WHEN 'open' THEN 'in work ' WHEN 'done' THEN 'strung ' ELSE 'given up ' END || date(last, 'localtime') || ' ' || jobs.player || ' ' || jobs.racket
		FROM jobs WHERE jobs.uid = records.uid), 'waits') || CASE WHEN json_extract(body, '$.%s') IS NULL THEN '' ELSE ' parked' END
	|| ' ' || date(at, 'localtime') || ' ' || coalesce(replace(json_extract(body, '$.%s'), 'T', ' '), '') || ' job' || id || ' %s' || substr(uid, 1, %d) || ' ')`, records.Key(&j, &j.Parked), records.Key(&j, &j.Promised), Code(""), codeLength)
}

// namedBy are the fields by which a record of a kind refers to others.
func namedBy(kind records.Name) []records.Field {
	k, _ := records.Find(kind)
	return slices.DeleteFunc(slices.Clone(k.Fields), func(f records.Field) bool { return f.Of == "" })
}

func find(ctx context.Context, q querier, kind records.Name, letters string, limit int) ([]Record, error) {
	// What is a parameter by itself would be held against what each index is of, or taken for how many rows come, and the statement compiled
	// anew for each value.
	const newest = " ORDER BY at DESC, rowid DESC LIMIT ? + 0" // as the index has them; records of a kind are numbered as they come
	if limit <= 0 {
		limit = -1 // all of them
	}
	all, args := selectRecords+" WHERE kind = ? || '' AND state = 'kept'", []any{kind}
	folded := records.Fold(letters)
	if folded == "" {
		return readRecords(ctx, q, all+newest, kind, limit)
	}
	where := ""
	refers := namedBy(kind)
	for _, word := range strings.Fields(folded) {
		where += " AND (instr(words, ?) > 0"
		args = append(args, word)
		for _, f := range refers { // those of the word are looked up once, and a body is only taken apart where it has the field
			where += " OR instr(body, ?) > 0 AND json_extract(body, '$." + f.Key + "') IN (SELECT uid FROM records WHERE kind = ? || '' AND instr(words, ?) > 0)"
			args = append(args, fmt.Sprintf("%q:", f.Key), f.Of, word)
		}
		if kind == records.KindJob {
			where += " OR instr(" + jobWords() + ", ?) > 0"
			args = append(args, word)
		}
		where += ")"
	}
	// Those that begin with the letters have all their words; the others are looked through from the newest on until there are enough.
	const begins = "words >= ? || '' AND words < ? || ''"
	from, to := folded, folded+string(unicode.MaxRune)
	return readRecords(ctx, q, "SELECT * FROM ("+all+" AND "+begins+newest+") UNION ALL SELECT * FROM ("+all+where+" AND NOT ("+begins+")"+newest+") LIMIT ? + 0",
		slices.Concat([]any{kind, from, to, limit}, args, []any{from, to, limit, limit})...)
}

// Kept lists all records of some kinds, the newest first.
func (b *Book) Kept(ctx context.Context, kinds ...records.Name) ([]Record, error) {
	list, err := readRecords(ctx, b.db, selectRecords+" WHERE kind IN "+among+" AND state = 'kept'", listed(kinds))
	if err != nil {
		return nil, b.problem("list records", err)
	}
	slices.SortFunc(list, newestFirst)
	return list, nil
}

// Of lists the records of a kind that belong to one of some owners, the newest first.
func (b *Book) Of(ctx context.Context, kind records.Name, owners ...string) ([]Record, error) {
	list, err := readRecords(ctx, b.db, selectRecords+" INDEXED BY records_owner WHERE owner IN "+among+" AND owner <> '' AND kind = ? AND state = 'kept'", listed(owners), kind)
	if err != nil {
		return nil, b.problem("list records", err)
	}
	slices.SortFunc(list, newestFirst)
	return list, nil
}

// Below lists all that belongs to an owner, the newest first.
func (b *Book) Below(ctx context.Context, owner string) ([]Record, error) {
	list, err := readRecords(ctx, b.db, selectRecords+" WHERE owner = ? AND owner <> '' AND state = 'kept'", owner)
	if err != nil {
		return nil, b.problem("list what belongs to a record", err)
	}
	slices.SortFunc(list, newestFirst)
	return list, nil
}

// CountReferences counts the records that name another one, by their kinds.
func (b *Book) CountReferences(ctx context.Context, uid string) (map[records.Name]int, error) {
	out := map[records.Name]int{}
	err := eachRow(ctx, b.db, func(rows *sql.Rows) error {
		var kind records.Name
		var n int
		err := rows.Scan(&kind, &n)
		out[kind] = n
		return err
	}, "SELECT kind, count(*) FROM records WHERE state = 'kept' AND uid <> ?1 AND instr(body, ?2) > 0 GROUP BY kind", uid, `"`+uid+`"`)
	if err != nil {
		return nil, b.problem("look what names a record", err)
	}
	return out, nil
}

// Lookup is the record of a kind that somebody means: by its UID, its number or by letters of its name. The error is or
// wraps an *AmbiguousError when that may be several.
func (b *Book) Lookup(ctx context.Context, kind records.Name, asked string) (Record, error) {
	r, err := one(ctx, b.db, kind, asked)
	if err != nil {
		return r, b.problem("find a "+string(kind), err)
	}
	return r, nil
}

func one(ctx context.Context, q querier, kind records.Name, asked string) (Record, error) {
	where, arg := " WHERE kind = ? AND uid = ?", any(asked)
	id, number := strconv.ParseInt(asked, 10, 64)
	if number == nil {
		where, arg = " WHERE kind = ? AND id = ?", id
	}
	list, err := readRecords(ctx, q, selectRecords+where, kind, arg)
	if err == nil && len(list) == 0 && records.Fold(asked) != "" {
		list, err = find(ctx, q, kind, asked, 0)
		list = Exact(list, asked)
		if number == nil && len(list) > 0 && records.Fold(list[0].Label()) != records.Fold(asked) {
			list = nil // a number that is nobody's is no figure of somebody else's words
		}
	}
	switch {
	case err != nil:
		return Record{}, err
	case len(list) == 0:
		return Record{}, fmt.Errorf("there is no %s %q in it", kind, asked)
	case len(list) > 1:
		return Record{}, &AmbiguousError{asked, list}
	}
	return list[0], nil
}

// Exact keeps of several records those whose whole name was written, where there are such.
func Exact(list []Record, asked string) []Record {
	var same []Record
	for _, r := range list {
		if records.Fold(r.Label()) == records.Fold(asked) {
			same = append(same, r)
		}
	}
	if len(same) > 0 {
		return same
	}
	return list
}

// named is the record of a kind with just this name, made when there is none.
func named(ctx context.Context, tx *sql.Tx, r Record) (Record, error) {
	list, err := find(ctx, tx, r.Kind, r.Label(), 0)
	if err != nil {
		return r, err
	}
	k, _ := records.Find(r.Kind)
	for _, there := range list {
		if records.Fold(there.Label()) == records.Fold(r.Label()) && there.Fields[k.Owner] == r.Fields[k.Owner] {
			return there, nil
		}
	}
	r.State = Kept
	return add(ctx, tx, r)
}
