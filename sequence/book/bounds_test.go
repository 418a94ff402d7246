package book

import (
	"context"
	"database/sql"
	"maps"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/progress"
	"pullcard/sequence/records"
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
		"only a player of whom nothing is said":    func(r *wholeRecord) { r.State = Forgotten },
		"a player of whom nothing is said can":     func(r *wholeRecord) { r.State, r.Fields = Forgotten, nil },
		"only a player of whom nothing is said can ": func(r *wholeRecord) {
			r.State, r.Corrections, r.Kind, r.Fields = Forgotten, nil, records.KindMachine, nil
		},
		"of whom nothing is said can be forgotten": func(r *wholeRecord) { r.State, r.Corrections = Forgotten, nil },
	} {
		assert.ErrorContains(t, try(f), want)
	}
}
