package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// lineOf is a line by the names of its begin and its events; an event has the claim that stands behind its name.
func lineOf(names ...string) *line {
	l := &line{root: jobBody{Made: clock(0)}}
	for i, name := range names {
		name, claim, _ := strings.Cut(name, "@")
		l.names = append(l.names, name)
		if i > 0 {
			e := lineEvent{eventBody: eventBody{N: i, Claim: len(claim)}}
			e.At = clock(i)
			l.events = append(l.events, e)
		}
	}
	return l
}

// within does something with what takes in rows of other books.
func within(t *testing.T, b *Book, do func(m *merger)) {
	t.Helper()
	require.NoError(t, b.transact(context.Background(), func(tx *sql.Tx) error {
		m, err := newMerger(context.Background(), tx, clock(1))
		require.NoError(t, err)
		do(m)
		return nil
	}))
}

// Of two lines one is the job's own, by claims and times; what was done too late is not, and what another has whole goes.
func TestLines(t *testing.T) {
	short, long := lineOf("r", "x"), lineOf("r", "x", "y")
	assert.Positive(t, before(short, long), "the longer one is the job's own")
	assert.Negative(t, before(long, short))
	claimed := lineOf("r", "x@11111", "y@1")
	for from, most := range []int{5, 5, 1} {
		assert.Equal(t, most, claimed.claim(from), "from %d", from)
	}

	for after, late := range map[string]int{"": 0, "r": 0, "x": 1, "y": -1, "elsewhere": -1} {
		assert.Equal(t, late, lineOf("r", "x", "y").lateFrom([]claimBody{{Number: 1, After: after}}), "taken over after %q", after)
	}
	assert.Equal(t, -1, lineOf("r", "x@1", "y@1").lateFrom([]claimBody{{Number: 1}}))

	short.id, long.id = 1, 2
	a := attempts{lines: []*line{short, long}}
	a.drop()
	assert.Equal(t, []*line{long}, a.lines)
	assert.Equal(t, []*line{short}, a.dropped)
	a = attempts{lines: []*line{lineOf("r", "x"), long}}
	a.drop()
	assert.Equal(t, []*line{long}, a.lines)
	assert.Empty(t, a.dropped, "it has no row")
	a = attempts{lines: []*line{long, lineOf("r", "x", "y")}}
	a.drop()
	assert.NotEmpty(t, a.lines, "of two that are alike not both go")
	long.late = true
	a = attempts{lines: []*line{short, long}}
	a.drop()
	assert.Len(t, a.lines, 2, "what ended in time stays beside what went on too late")
}

// A line that goes on too late is cut off where that begins, if no other has it up to there.
func TestApart(t *testing.T) {
	b := fresh(t)
	newJob(t, b, 3)
	for after, cases := range map[string][]struct {
		lines []*line
		more  []string // the names of the line that is cut off
	}{
		"x": {
			{[]*line{lineOf("r", "x", "y", "z")}, []string{"r", "x"}},
			{[]*line{lineOf("r", "v"), lineOf("r", "x", "y")}, []string{"r", "x"}},
			{[]*line{lineOf("r", "x", "w@1"), lineOf("r", "x", "y")}, nil},
			{[]*line{lineOf("r", "x"), lineOf("r", "x", "y")}, nil},
		},
		"r": {{[]*line{lineOf("r", "x", "y"), lineOf("r", "x", "z")}, []string{"r"}}},
	} {
		sqlExec(t, b.db, "DELETE FROM claims; INSERT INTO claims (job, number, bench, at, after) VALUES ('j', 1, 'K', '', '"+after+"')")
		for _, c := range cases {
			within(t, b, func(m *merger) {
				a := &attempts{uid: "j", lines: slices.Clone(c.lines)}
				require.NoError(t, m.apart(a))
				if c.more == nil {
					assert.Len(t, a.lines, len(c.lines))
					return
				}
				if assert.Len(t, a.lines, len(c.lines)+1) {
					cut := a.lines[len(c.lines)]
					assert.Equal(t, c.more, cut.names)
					assert.Len(t, cut.events, len(c.more)-1)
					assert.False(t, cut.late)
				}
				assert.True(t, a.lines[len(c.lines)-1].late)
			})
		}
	}
}

// What comes of a job is told by where its lines part.
func TestTally(t *testing.T) {
	b := fresh(t)
	for _, c := range []struct {
		lines []*line
		what  string
	}{
		{[]*line{lineOf("r", "x"), lineOf("r", "y")}, "event 1 is another one there"},
		{[]*line{lineOf("r", "x", "y"), lineOf("r", "x", "z")}, "event 2 is another one there"},
		{[]*line{lineOf("r", "x"), lineOf("q", "x")}, "it follows another plan there"},
		{[]*line{lineOf("r", "x", "y"), lineOf("r", "x")}, ""},
		{[]*line{lineOf("r", "x", "y")}, ""},
	} {
		for _, l := range c.lines {
			within(t, b, func(m *merger) {
				for _, uid := range []string{"j", "k", "j"} {
					m.tally(&attempts{uid: uid, lines: c.lines}, l, l.names, false, false, 0)
				}
				if c.what == "" {
					assert.Empty(t, m.merged.Conflicts)
				} else if assert.Len(t, m.merged.Conflicts, 2, "of each job once, whichever of its lines came") {
					assert.Equal(t, []string{c.what, c.what}, []string{m.merged.Conflicts[0].What, m.merged.Conflicts[1].What})
				}
			})
		}
	}
}

// What is wrong with a plan, a job or an event of a file is found, and at which event.
func TestJobsOfAFileAreValid(t *testing.T) {
	b := fresh(t)
	ada := added(t, b, records.KindPlayer, records.Fields{"name": "Ada (invented)"})
	j := added(t, b, records.KindJob, records.Fields{"player": ada.UID, "text": "x"})
	body := func(steps int, print string) []byte {
		p := invented(steps)
		p.Plan = print
		text, err := json.Marshal(p)
		require.NoError(t, err)
		return text
	}
	within(t, b, func(m *merger) {
		assert.Error(t, m.plan(wholePlan{ID: 0, Body: body(1, "f1")}))
		assert.NoError(t, m.plan(wholePlan{ID: 1, Body: body(1, "f1")}))
		assert.Error(t, m.plan(wholePlan{ID: 1, Body: body(2, "f2")}), "its number is taken")
		assert.Error(t, m.plan(wholePlan{ID: 2, Body: body(0, "f0")}))
		assert.Error(t, m.plan(wholePlan{ID: 2, Body: body(2, "")}))

		job := wholeJob{UID: j.UID, Plan: 1, Made: clock(0)}
		done := wholeEvent{Event: event(progress.Done, 1)}
		long, late := done, done
		long.What, late.Step = strings.Repeat("x", 4001), 9
		job.Events = []wholeEvent{long}
		assert.ErrorContains(t, m.job(job), "event 1: ")
		job.Events = []wholeEvent{late}
		assert.ErrorContains(t, m.job(job), "event 1: ")
		for who, wrong := range map[string]func(*jobBody){
			"no job":        func(r *jobBody) { r.UID = ada.UID },
			"no record":     func(r *jobBody) { r.UID = "nobody" },
			"no time":       func(r *jobBody) { r.Made = clock(0).AddDate(-90, 0, 0) },
			"no valid text": func(r *jobBody) { r.File = "\xff" },
		} {
			root := jobBody{UID: j.UID, Made: clock(0)}
			assert.NoError(t, m.validRoot(root))
			wrong(&root)
			assert.Error(t, m.validRoot(root), who)
		}
		tk := taker{merger: m, sources: map[string]*source{}}
		for n, ok := range map[int]bool{40: true, 41: false} {
			_, err := tk.source(Row{Bench: strings.Repeat("b", n), Epoch: "e"})
			assert.Equal(t, ok, err == nil, "a bench of %d letters", n)
			delete(tk.sources, "e")
			_, err = tk.source(Row{Bench: "b", Epoch: strings.Repeat("e", n)})
			assert.Equal(t, ok, err == nil, "an epoch of %d letters", n)
		}
		for n, ok := range map[int]bool{0: false, 1: true} {
			_, err := tk.takeClaim(Row{Bench: "K", Kind: rowClaim}, &read{claim: &claimBody{Job: j.UID, Number: n, Bench: "K", At: clock(0)}})
			assert.Equal(t, ok, err == nil, "claim %d", n)
		}
	})
	good := eventBody{Job: "j", Event: event(progress.Done, 1)}
	assert.NoError(t, validEvent(good))
	for what, wrong := range map[string]func(*eventBody){
		"a claim below nought":        func(e *eventBody) { e.Claim = -1 },
		"a mishap without a plan":     func(e *eventBody) { e.Event.Kind = progress.Mishap },
		"a plan that is not followed": func(e *eventBody) { e.Plan = "00" },
		"no digest":                   func(e *eventBody) { e.Event.Kind, e.Plan = progress.Mishap, "x" },
		"no text":                     func(e *eventBody) { e.Why = "\xff" },
		"too much":                    func(e *eventBody) { e.What = strings.Repeat("x", 4001) },
		"no time":                     func(e *eventBody) { e.At = clock(0).AddDate(-90, 0, 0) },
	} {
		e := good
		wrong(&e)
		assert.Error(t, validEvent(e), what)
	}
}

// Who was forgotten there is noted, and what belongs to them.
func TestMark(t *testing.T) {
	within(t, fresh(t), func(m *merger) {
		gone := Record{UID: "p", Kind: records.KindPlayer, State: Forgotten}
		require.NoError(t, m.mark(gone, nil))
		assert.False(t, m.blanked["p"], "who was never here")
		require.NoError(t, m.mark(gone, []Record{gone}))
		assert.False(t, m.blanked["p"], "who was forgotten here too")
		require.NoError(t, m.mark(gone, []Record{{UID: "p", Kind: records.KindPlayer, State: Kept}}))
		assert.True(t, m.blanked["p"])
		require.NoError(t, m.mark(Record{UID: "r", Kind: records.KindRacket, Fields: records.Fields{"player": "p"}}, nil))
		assert.True(t, m.blanked["r"])
	})
}

// Who was forgotten once is not known again, whatever is said later.
func TestForgottenForGood(t *testing.T) {
	c := func(n string, set records.Fields, over ...string) change {
		return change{Stamp: n, Over: over, Fields: set}
	}
	f := fold([]change{c("1 a", records.Fields{"name": "Ada"}), c("2 a", records.Fields{keyState: string(Forgotten)}, "1 a"), c("3 a", records.Fields{keyState: string(Kept)}, "2 a")})
	assert.Equal(t, Forgotten, f.state)
	assert.Empty(t, f.fields)
	assert.True(t, forked([]change{c("1 a", nil), c("2 old", nil)}), "an old one that comes after another, not over it")
}

// What an older book said of a record before it was there comes before all else, and that it was removed after all else.
func TestOldChangesAreInOrder(t *testing.T) {
	r := Record{UID: "u", Kind: records.KindPlayer, State: Removed, At: clock(5), Fields: records.Fields{"name": "C"}}
	list := oldChanges(r, []Correction{{At: clock(1), Before: records.Fields{"name": "A"}}, {At: clock(9), Before: records.Fields{"name": "B"}}})
	var stamps []string
	for _, c := range list {
		stamps = append(stamps, c.Stamp)
	}
	assert.True(t, slices.IsSorted(stamps), stamps)
	assert.Equal(t, records.Fields{"name": "A"}, list[0].Fields)
	assert.Equal(t, string(Removed), list[len(list)-1].Fields[keyState])
	assert.Equal(t, Removed, fold(list).state)
}

// Names of events are the same, whichever was asked for before.
func TestNamesInAnyOrder(t *testing.T) {
	b := fresh(t)
	id := newJob(t, b, 6)
	do(t, b, id, 0, event(progress.Done, 1), event(progress.Done, 2), event(progress.Done, 3), event(progress.Done, 4))
	require.NoError(t, b.transact(context.Background(), func(tx *sql.Tx) error {
		same := newEncoder(context.Background(), tx)
		for _, n := range []int64{3, 1, 4, 2} {
			want, err := newEncoder(context.Background(), tx).event(id, n)
			require.NoError(t, err)
			got, err := same.event(id, n)
			require.NoError(t, err)
			assert.Equal(t, string(want), string(got), "event %d", n)
		}
		_, err := newEncoder(context.Background(), tx).event(id, 99)
		assert.ErrorIs(t, err, sql.ErrNoRows)

		e := newEncoder(context.Background(), tx)
		had, err := e.digest(1)
		require.NoError(t, err)
		_, err = tx.Exec("UPDATE plans SET digest = NULL WHERE id = 1")
		require.NoError(t, err)
		made, err := e.digest(1)
		require.NoError(t, err)
		assert.Equal(t, had, made)
		assert.Len(t, made, 64)
		_, err = tx.Exec("UPDATE plans SET digest = x'00ff' WHERE id = 1")
		require.NoError(t, err)
		kept, err := e.digest(1)
		require.NoError(t, err)
		assert.Equal(t, "00ff", kept, "it is not worked out again")
		return nil
	}))
}
