package book

import (
	"context"
	"database/sql"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/progress"
	"pullcard/sequence/records"
	"pullcard/sequence/report"
)

// What comes in from elsewhere has bounds, and what lies just within them comes in.
func TestBounds(t *testing.T) {
	words := func(valid func(string) error, good, bad []string) {
		t.Helper()
		for _, w := range good {
			assert.NoError(t, valid(w), "%q", w)
		}
		for _, w := range bad {
			assert.Error(t, valid(w), "%q", w)
		}
	}
	words(BenchName, []string{"a", "z", "A", "Z", "0", "9", "-", "_", ".", strings.Repeat("x", 12)},
		[]string{"", strings.Repeat("x", 13), "`", "{", "@", "[", "/", ":", ",", "^", "a b", "é", "+"})
	words(validUID, []string{"!", "~", strings.Repeat("u", 200)}, []string{"", " ", "\x7f", "a b", strings.Repeat("u", 201)})
	day := func(year int) time.Time { return time.Date(year, 6, 1, 0, 0, 0, 0, time.UTC) }
	for year, ok := range map[int]bool{1969: false, 1970: true, 9998: true, 9999: false} {
		assert.Equal(t, ok, validTime(day(year)) == nil, year)
	}
	event := func(what, why int) error {
		return bounded(progress.Event{What: strings.Repeat("x", what), Why: strings.Repeat("y", why)})
	}
	assert.NoError(t, event(4000, 1<<20))
	assert.Error(t, event(4001, 0))
	assert.Error(t, event(0, 1<<20+1))

	long := jobBody{Player: strings.Repeat("p", mostBytes), Racket: strings.Repeat("é", mostBytes/2), Salt: strings.Repeat("s", mostBytes)}
	assert.NoError(t, long.valid())
	assert.Equal(t, long, long.cut())
	over := long
	over.File = strings.Repeat("é", mostBytes/2+1)
	assert.Error(t, over.valid())
	assert.NoError(t, over.cut().valid())
	assert.Len(t, over.cut().File, mostBytes/2*2)
	over.File = strings.Repeat("x", mostBytes+1)
	assert.Error(t, over.valid())
	assert.Equal(t, over.File[:mostBytes], over.cut().File)
	assert.Error(t, jobBody{Player: "\xff"}.valid())
}

// Each thing that may be wrong with a change of a record is found by itself.
func TestChangesAreValid(t *testing.T) {
	b, ctx := fresh(t), context.Background()
	good := change{UID: "ada", Kind: records.KindPlayer, Stamp: clock(0).UTC().Format(stampForm) + " word", At: clock(0), Fields: records.Fields{"name": "Ada (invented)"}}
	try := func(f func(*change)) error {
		c := good
		c.Fields = maps.Clone(c.Fields)
		f(&c)
		var err error
		require.NoError(t, b.transact(ctx, func(tx *sql.Tx) error {
			m, wrong := newMerger(ctx, tx, clock(1))
			require.NoError(t, wrong)
			err = m.validChange(&c)
			return nil
		}))
		return err
	}
	long := func(n int) string { return strings.Repeat("x", n) }
	stamp := clock(0).UTC().Format(stampForm) + " "
	for what, f := range map[string]func(*change){
		"nothing":                    func(*change) {},
		"a long stamp":               func(c *change) { c.Stamp = stamp + long(80-len(stamp)) },
		"a long reason":              func(c *change) { c.Why = long(4000) },
		"a long salt":                func(c *change) { c.Salt = long(80) },
		"made over many":             func(c *change) { c.Over = make([]string, 1000) },
		"kept":                       func(c *change) { c.Fields[keyState] = string(Kept) },
		"removed":                    func(c *change) { c.Fields[keyState] = string(Removed) },
		"forgotten":                  func(c *change) { c.Fields[keyState] = string(Forgotten) },
		"a time":                     func(c *change) { c.Fields[keyAt] = clock(5).UTC().Format(stampForm) },
		"a field that is taken away": func(c *change) { c.Fields["contact"] = "" },
	} {
		assert.NoError(t, try(f), what)
	}
	for what, f := range map[string]func(*change){
		"a kind":                      func(c *change) { c.Kind = "invented" },
		"a uid":                       func(c *change) { c.UID = "" },
		"a stamp without a time":      func(c *change) { c.Stamp = "now word" },
		"a stamp without a word":      func(c *change) { c.Stamp = strings.TrimSpace(stamp) },
		"a stamp too long":            func(c *change) { c.Stamp = stamp + long(81-len(stamp)) },
		"a reason too long":           func(c *change) { c.Why = long(4001) },
		"a salt too long":             func(c *change) { c.Salt = long(81) },
		"made over too many":          func(c *change) { c.Over = make([]string, 1001) },
		"a state":                     func(c *change) { c.Fields[keyState] = "invented" },
		"forgotten, but a machine":    func(c *change) { c.Kind, c.Fields[keyState] = records.KindMachine, string(Forgotten) },
		"a time that is none":         func(c *change) { c.Fields[keyAt] = "noon" },
		"a time of no clock":          func(c *change) { c.Fields[keyAt] = time.Date(1969, 1, 1, 0, 0, 0, 0, time.UTC).Format(stampForm) },
		"a field":                     func(c *change) { c.Fields["invented"] = "x" },
		"a value otherwise than kept": func(c *change) { c.Fields["name"] = " Ada (invented) " },
	} {
		assert.Error(t, try(f), what)
	}
}

// So with a record that comes with its changes; what is wrong is told by its number.
func TestRecordsAreValid(t *testing.T) {
	b, ctx := fresh(t), context.Background()
	fields := records.Fields{"name": "Ada (invented)"}
	good := wholeRecord{Record: Record{UID: "ada", Kind: records.KindPlayer, State: Kept, At: clock(0), Fields: fields},
		Corrections: []Correction{{At: clock(1), Why: strings.Repeat("y", 4000), Before: records.Fields{"name": "Adda (invented)"}}, {At: clock(2), Before: fields}}}
	try := func(f func(*wholeRecord)) error {
		r := good
		r.Fields, r.Corrections = maps.Clone(r.Fields), append([]Correction{}, r.Corrections...)
		r.Changes = oldChanges(r.Record, r.Corrections)
		f(&r)
		var err error
		require.NoError(t, b.transact(ctx, func(tx *sql.Tx) error {
			m, wrong := newMerger(ctx, tx, clock(3))
			require.NoError(t, wrong)
			err = m.valid(&r)
			return nil
		}))
		return err
	}
	assert.NoError(t, try(func(*wholeRecord) {}))
	assert.NoError(t, try(func(r *wholeRecord) { r.Changes = nil }), "from before there were changes")
	for want, f := range map[string]func(*wholeRecord){
		"correction 2: its reason has 4001 bytes":  func(r *wholeRecord) { r.Corrections[1].Why = strings.Repeat("y", 4001) },
		"correction 1: the time":                   func(r *wholeRecord) { r.Corrections[0].At = time.Time{} },
		"change 2 is one of another record":        func(r *wholeRecord) { r.Changes[1].UID = "bo" },
		"change 3 is one of another record":        func(r *wholeRecord) { r.Changes[2].Kind = records.KindMachine },
		"change 1: the stamp":                      func(r *wholeRecord) { r.Changes[0].Stamp = "" },
		"what its changes come to":                 func(r *wholeRecord) { r.State = Removed },
		"not say what its changes come to":         func(r *wholeRecord) { r.At = clock(9) },
		"it does not say what its changes come to": func(r *wholeRecord) { r.Fields["name"] = "Bo (invented)" },
		"no kind of record":                        func(r *wholeRecord) { r.Kind = "invented" },
		"the state \"invented\" is not known":      func(r *wholeRecord) { r.State = "invented" },
		"the uid":                                  func(r *wholeRecord) { r.UID = "" },
		"the time":                                 func(r *wholeRecord) { r.At = time.Time{} },
		"only somebody of whom nothing is said":    func(r *wholeRecord) { r.State = Forgotten },
		"somebody of whom nothing is said can":     func(r *wholeRecord) { r.State, r.Fields = Forgotten, nil },
		"only somebody of whom nothing is said can ": func(r *wholeRecord) {
			r.State, r.Corrections, r.Kind, r.Fields = Forgotten, nil, records.KindMachine, nil
		},
		"of whom nothing is said can be forgotten": func(r *wholeRecord) { r.State, r.Corrections = Forgotten, nil },
	} {
		assert.ErrorContains(t, try(f), want)
	}
}

// What was kept as corrections before there were changes is a change for each, at times of their own.
func TestOldCorrectionsAreChanges(t *testing.T) {
	name := func(n string) records.Fields { return records.Fields{"name": n} }
	r := Record{UID: "ada", Kind: records.KindPlayer, State: Kept, At: clock(1), Fields: name("Ada 3 (invented)")}
	list := oldChanges(r, []Correction{{At: clock(1), Why: "one", Before: name("Ada 1 (invented)")}, {At: clock(1), Why: "two", Before: name("Ada 2 (invented)")}})
	var said []string
	stamps := map[string]bool{}
	for _, c := range list {
		said = append(said, c.Why+": "+c.Fields["name"])
		assert.Equal(t, r.UID, c.UID)
		assert.True(t, c.old())
		stamps[c.Stamp] = true
	}
	assert.Equal(t, []string{": Ada 1 (invented)", "one: Ada 2 (invented)", "two: Ada 3 (invented)"}, said)
	assert.Len(t, stamps, 3)
	f := fold(list)
	assert.Equal(t, r.Fields, f.fields)
	assert.True(t, f.at.Equal(r.At))
	assert.Equal(t, Kept, f.state)
}

// A change that was made without knowing of another forks the record, whatever stands between; old ones never do.
func TestForkedAndHeads(t *testing.T) {
	at := func(n int, word string, over ...string) change {
		return change{Stamp: stamp(clock(n)) + " " + word, Over: over}
	}
	old1, old2 := at(0, "old"), at(1, "old")
	a := at(2, "a", old2.Stamp)
	b, c := at(3, "b", a.Stamp), at(4, "c", a.Stamp)
	d := at(5, "d", b.Stamp, c.Stamp)
	for _, x := range []struct {
		list   []change
		forked bool
		heads  []string
	}{
		{nil, false, []string{}},
		{[]change{a}, false, []string{a.Stamp}},
		{[]change{old1, old2}, false, []string{old2.Stamp}},
		{[]change{old1, old2, a, b}, false, []string{b.Stamp}},
		{[]change{old1, old2, a, b, c}, true, []string{b.Stamp, c.Stamp}},
		{[]change{a, b, c, d}, true, []string{d.Stamp}},
		{[]change{old1, at(2, "e")}, true, []string{old1.Stamp, at(2, "e").Stamp}},
		{[]change{at(2, "e"), b}, true, []string{at(2, "e").Stamp, b.Stamp}},
	} {
		assert.Equal(t, x.forked, forked(x.list), x)
		assert.Equal(t, x.heads, heads(x.list), x)
	}
}

// What a merge, a copy put back and a rescue say.
func TestWordsOfTheBook(t *testing.T) {
	told := func(s report.Section) string { return fmt.Sprint(s) }
	assert.NotContains(t, told(Restored{}.Tell("copy")), "forgotten")
	assert.Contains(t, told(Restored{Forgotten: 1}.Tell("copy")), "1 forgotten")
	assert.Contains(t, told(Restored{Damaged: true, Kept: "aside"}.Tell("copy")), "damaged and set aside as aside")
	assert.Contains(t, told(Restored{Kept: "aside"}.Tell("copy")), "is kept in aside")
	assert.Contains(t, Rescue{File: "f", Why: "w"}.String(), "all of it is kept")
	assert.Contains(t, Rescue{File: "f", Why: "w", JobOnly: true}.String(), "only the job at hand is kept")
	player := Record{UID: "u", ID: 7, Kind: records.KindPlayer}
	assert.Equal(t, "player 7", player.Label())
	player.State = Forgotten
	assert.Equal(t, "forgotten", player.Label())
	assert.Equal(t, `player "u"`, item{Record: &wholeRecord{Record: player}}.String())
	assert.Equal(t, "plan 3", item{Plan: &wholePlan{ID: 3}}.String())
	assert.Equal(t, `job "j"`, item{Job: &wholeJob{UID: "j"}}.String())
}

// The first line of an export says of what kind it is.
func TestHeading(t *testing.T) {
	for line, wrong := range map[string]string{
		`{"pullcard book": 1}`:            "",
		`{"pullcard book": 0}`:            "no book and no export",
		`{"pullcard book": -1}`:           "no book and no export",
		`{}`:                              "no book and no export",
		`{"pullcard book": 1`:             "no book and no export",
		`{"pullcard book": 99}`:           "newer version",
		`{"pullcard book": 1, "x": 1}`:    "a newer one may",
		`{"pullcard book": 1} {"x": 1}`:   "no book and no export",
		`{"pullcard book": 1, "jobs": 1}`: "",
	} {
		var h heading
		if err := h.read([]byte(line)); wrong == "" {
			assert.NoError(t, err, line)
		} else {
			assert.ErrorContains(t, err, wrong, line)
		}
	}
}

// A time is read as the book writes it, and nothing else.
func TestMoment(t *testing.T) {
	var at time.Time
	require.NoError(t, moment{&at}.Scan(clock(1).Format(time.RFC3339Nano)))
	assert.True(t, at.Equal(clock(1)))
	for _, v := range []any{nil, 7, "noon", "2031-05-04T13:02:01,5Z"} {
		assert.Error(t, moment{&at}.Scan(v), v)
	}
}

// What begins as a book or is empty may be one.
func TestBegins(t *testing.T) {
	for text, is := range map[string]bool{"": true, "S": false, "SQLite format 3\x00": true, "SQLite format 3\x00more": true, "SQLite format 4\x00": false} {
		path := filepath.Join(t.TempDir(), "file")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		got, err := begins(path)
		require.NoError(t, err)
		assert.Equal(t, is, got, "%q", text)
	}
	_, err := begins(filepath.Join(t.TempDir(), "none"))
	assert.Error(t, err)
}
