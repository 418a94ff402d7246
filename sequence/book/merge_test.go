package book

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/sweep"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// takenOut exports a whole book and returns the file.
func takenOut(t testing.TB, b *Book) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "whole")
	require.NoError(t, b.ExportAll(context.Background(), path, nil))
	return path
}

func takeIn(t testing.TB, b *Book, path string) Merged {
	t.Helper()
	m, err := b.Import(context.Background(), path, clock(100), nil)
	require.NoError(t, err)
	requireSound(t, b)
	return m
}

// requireSound holds that everything in a book fits together.
func requireSound(t testing.TB, b *Book) {
	t.Helper()
	c, err := b.Check(context.Background(), nil)
	require.NoError(t, err)
	require.Empty(t, c.Findings)
}

// content is everything in a book by UID, without what is only of this book: its numbers, and those of plans.
func content(t testing.TB, b *Book) map[string]string {
	t.Helper()
	all, prints := map[string]string{}, map[int64]string{}
	require.NoError(t, itemReader{b.path, func(i item) error {
		switch {
		case i.Record != nil:
			all[i.Record.UID] = fmt.Sprint(i.Record.Kind, i.Record.State, i.Record.Fields, i.Record.At.UTC())
		case i.Plan != nil:
			prints[i.Plan.ID] = string(i.Plan.Body)
		default:
			j := i.Job
			text := fmt.Sprint(j.Player, j.Racket, j.File, string(j.Source), j.Made.UTC(), prints[j.Plan])
			for _, e := range j.Events {
				text += fmt.Sprint(e.At.UTC(), e.Kind, e.Step, e.What, e.Why, prints[e.Plan])
			}
			all["job "+j.UID] = text
		}
		return nil
	}}.read(context.Background()))
	return all
}

func TestImportIntoAnEmptyBook(t *testing.T) {
	s := invite(t, fresh(t))
	want := content(t, s.Book)
	for name, path := range map[string]string{"an export": takenOut(t, s.Book), "the book itself, in use": s.path} {
		t.Run(name, func(t *testing.T) {
			b := fresh(t)
			m := takeIn(t, b, path)
			assert.Equal(t, Tally{Added: 9}, m.Records)
			assert.Equal(t, Tally{Added: 1}, m.Jobs)
			assert.Empty(t, m.Conflicts)
			assert.Equal(t, want, content(t, b))
			before, err := s.Corrections(context.Background(), s.racket.UID)
			require.NoError(t, err)
			after, err := b.Corrections(context.Background(), s.racket.UID)
			require.NoError(t, err)
			require.Len(t, after, 1)
			assert.Equal(t, before, after)
			assert.Equal(t, 2, plans(t, b))
			j, err := b.Job(context.Background(), 2)
			require.NoError(t, err, "a job has the number of its record")
			assert.Equal(t, s.job.UID, j.UID)
			requireAsTold(t, b, 2)
			queue, err := b.Queue(context.Background())
			require.NoError(t, err)
			require.Len(t, queue, 1)
			assert.Equal(t, s.waiting.UID, queue[0].UID)

			m = takeIn(t, b, path)
			assert.Equal(t, Merged{Records: Tally{Same: 9}, Jobs: Tally{Same: 1}, Conflicts: []Conflict{}, MaybeSame: []Pair{}, Forgotten: []Record{}}, m)
		})
	}
}

// What came in by an import is chained when the book is closed, as all that was written.
func TestImportIsChained(t *testing.T) {
	ctx, path := context.Background(), filepath.Join(t.TempDir(), "book.db")
	b, err := Open(ctx, path)
	require.NoError(t, err)
	takeIn(t, b, takenOut(t, invite(t, fresh(t)).Book))
	require.NoError(t, b.Close())
	b, err = Open(ctx, path)
	require.NoError(t, err)
	defer b.Close()
	var rows, open int
	require.NoError(t, b.db.QueryRow("SELECT count(*), count(*) - count(hash) FROM log").Scan(&rows, &open))
	assert.Greater(t, rows, 9)
	assert.Zero(t, open)
}

func TestExportAllIsForTheOwnerOnly(t *testing.T) {
	s := invite(t, fresh(t))
	path := takenOut(t, s.Book)
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	assert.Len(t, files(t, filepath.Dir(path)), 1)
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	require.ErrorContains(t, s.ExportAll(context.Background(), path, nil), "the file is there already")
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, before, after)
	ctx, stop := context.WithCancel(context.Background())
	stop()
	assert.ErrorIs(t, s.ExportAll(ctx, path+"2", nil), context.Canceled)
	assert.Len(t, files(t, filepath.Dir(path)), 1)
}

// twin is a second bench with everything that the first has.
func twin(t testing.TB, b *Book) *Book {
	t.Helper()
	other := fresh(t)
	takeIn(t, other, takenOut(t, b))
	return other
}

func TestImportTakesTheNewer(t *testing.T) {
	ctx, s := context.Background(), invite(t, fresh(t))
	other := twin(t, s.Book)
	corrected(t, other, s.racket, records.Fields{"mass": "306 g"})
	corrected(t, other, s.racket, records.Fields{"mass": "307 g"})
	do(t, other, 2, 4, event(progress.Done, 3))
	m := takeIn(t, s.Book, takenOut(t, other))
	assert.Equal(t, Tally{Newer: 1, Same: 8}, m.Records)
	assert.Equal(t, Tally{Newer: 1}, m.Jobs)
	assert.Equal(t, content(t, other), content(t, s.Book))
	list, err := s.Corrections(ctx, s.racket.UID)
	require.NoError(t, err)
	assert.Equal(t, []string{"305 g", "305 g", "306 g"}, []string{list[0].Before["mass"], list[1].Before["mass"], list[2].Before["mass"]})
	requireAsTold(t, s.Book, s.id)

	// What was behind stays behind.
	corrected(t, s.Book, s.racket, records.Fields{"mass": "308 g"})
	do(t, s.Book, s.id, 5, event(progress.Done, 4))
	m = takeIn(t, s.Book, takenOut(t, other))
	assert.Equal(t, Tally{Older: 1, Same: 8}, m.Records)
	assert.Equal(t, Tally{Older: 1}, m.Jobs)
}

// A job that waited in both books and was begun in one.
func TestImportAJobBegunThere(t *testing.T) {
	ctx, s := context.Background(), invite(t, fresh(t))
	other := twin(t, s.Book)
	_, err := other.NewJob(ctx, Draft{UID: s.waiting.UID, Machine: "by the window", At: clock(20), Plan: invented(2)})
	require.NoError(t, err)
	behind := takenOut(t, s.Book)
	m := takeIn(t, s.Book, takenOut(t, other))
	assert.Equal(t, Tally{Added: 1, Same: 1}, m.Jobs)
	assert.Empty(t, m.Conflicts)
	assert.Equal(t, content(t, other), content(t, s.Book))
	queue, err := s.Queue(ctx)
	require.NoError(t, err)
	assert.Empty(t, queue)
	m = takeIn(t, other, behind)
	assert.Equal(t, Tally{Same: 1}, m.Jobs)
	assert.Equal(t, Tally{Same: 8, Older: 1}, m.Records)
}

// A record that was removed in one book and changed in the other is listed, whichever of them takes the other in, once.
func TestImportTellsOfWhatWasRemovedAndChanged(t *testing.T) {
	ctx, s := context.Background(), invite(t, fresh(t))
	other := twin(t, s.Book)
	require.NoError(t, s.Remove(ctx, s.waiting.UID))
	_, err := other.Correct(ctx, s.waiting.UID, Change{Fields: records.Fields{"notes": "ends left long"}, At: clock(20)})
	require.NoError(t, err)
	here, there := takenOut(t, s.Book), takenOut(t, other)
	for _, m := range []Merged{takeIn(t, s.Book, there), takeIn(t, other, here)} {
		require.Len(t, m.Conflicts, 1)
		assert.Equal(t, "it was removed in one book and changed in the other, and stays removed", m.Conflicts[0].What)
		assert.Equal(t, "ends left long", m.Conflicts[0].Theirs["notes"])
	}
	assert.Empty(t, takeIn(t, s.Book, there).Conflicts, "it was told")
}

func TestImportConflicts(t *testing.T) {
	ctx, s := context.Background(), invite(t, fresh(t))
	other := twin(t, s.Book)
	corrected(t, s.Book, s.racket, records.Fields{"mass": "299 g"})
	_, err := other.Correct(ctx, s.racket.UID, Change{Fields: records.Fields{"mass": "306 g"}, At: clock(20)})
	require.NoError(t, err)
	require.NoError(t, s.Remove(ctx, s.waiting.UID))
	do(t, other, 2, 4, event(progress.Done, 3))
	do(t, s.Book, s.id, 4, event(progress.Back, 3))
	ours := takenOut(t, s.Book)
	m := takeIn(t, s.Book, takenOut(t, other))
	require.Len(t, m.Conflicts, 2)
	assert.Equal(t, 1, m.Records.Older, "what was left away here stays so")
	assert.Equal(t, []string{"306 g", "299 g"}, []string{m.Conflicts[0].Ours["mass"], m.Conflicts[0].Theirs["mass"]}, "what was said last counts")
	assert.Equal(t, "event 5 is another one there", m.Conflicts[1].What)
	assert.ElementsMatch(t, []string{"back", "done"}, []string{m.Conflicts[1].Ours["kind"], m.Conflicts[1].Theirs["kind"]})
	again := takeIn(t, s.Book, takenOut(t, other))
	assert.Equal(t, m.Conflicts, again.Conflicts, "and once more")
	takeIn(t, other, ours)
	assert.Equal(t, content(t, other), content(t, s.Book), "nothing is lost on either side")
	jobs, err := s.Jobs(ctx, Filter{})
	require.NoError(t, err)
	require.Len(t, jobs, 2)
	assert.Equal(t, s.job.UID, jobs[1].UID, "the job keeps its number")
	assert.Contains(t, jobs[0].UID, s.job.UID+"+", "what else was done is an attempt beside it")

	// A person decides.
	list, err := s.Disputes(ctx)
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Equal(t, []Dispute{{"mass", []DisputedValue{{"299 g", list[0].Fields[0].Said[0].At}, {"306 g", list[0].Fields[0].Said[1].At}}}}, list[0].Fields)
	_, err = s.Correct(ctx, s.racket.UID, Change{Fields: records.Fields{"mass": "306 g"}, At: clock(30)})
	require.NoError(t, err)
	list, err = s.Disputes(ctx)
	require.NoError(t, err)
	assert.Empty(t, list)
	m = takeIn(t, other, takenOut(t, s.Book))
	assert.Len(t, m.Conflicts, 1, "the job's own")
	requireSound(t, other)
}

func TestImportMaybeTheSame(t *testing.T) {
	ctx, b, other := context.Background(), fresh(t), fresh(t)
	ours := added(t, b, records.KindPlayer, records.Fields{"name": "Zoë Example"})
	theirs := added(t, other, records.KindPlayer, records.Fields{"name": "zoe example"})
	racket := added(t, other, records.KindRacket, records.Fields{"player": theirs.UID, "mark": "blue"})
	file := takenOut(t, other)
	m := takeIn(t, b, file)
	require.Len(t, m.MaybeSame, 1)
	assert.Equal(t, []string{ours.UID, theirs.UID}, []string{m.MaybeSame[0].Ours.UID, m.MaybeSame[0].Theirs.UID})
	assert.Equal(t, int64(2), m.MaybeSame[0].Theirs.ID)

	n, err := b.MergePlayers(ctx, ours.UID, theirs.UID, clock(5))
	require.NoError(t, err)
	assert.Equal(t, 1, n)
	list, err := b.Of(ctx, records.KindRacket, ours.UID)
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Equal(t, racket.UID, list[0].UID)
	found, err := b.Find(ctx, records.KindPlayer, "zoe", 0)
	require.NoError(t, err)
	assert.Len(t, found, 1)
	m = takeIn(t, b, file)
	assert.Equal(t, Tally{Older: 2}, m.Records, "what a person decided stays decided")
	assert.Empty(t, m.Conflicts)
	_, err = b.MergePlayers(ctx, ours.UID, ours.UID, clock(5))
	assert.Error(t, err)
	_, err = b.MergePlayers(ctx, ours.UID, racket.UID, clock(5))
	assert.Error(t, err)
}

// An older export does not bring back who was forgotten, nor their names in what it has that is new.
func TestImportAfterForgetting(t *testing.T) {
	ctx, s := context.Background(), invite(t, fresh(t))
	other := twin(t, s.Book)
	_, err := s.Forget(ctx, s.player.UID)
	require.NoError(t, err)
	kept := content(t, s.Book)
	m := takeIn(t, s.Book, takenOut(t, other))
	assert.Equal(t, kept, content(t, s.Book))
	assert.Equal(t, Tally{Same: 9}, m.Records)

	added(t, other, records.KindRacket, records.Fields{"player": s.player.UID, "mark": secret + " green"})
	added(t, other, records.KindVerdict, records.Fields{"job": s.job.UID, "answer": "right", "notes": secret})
	corrected(t, other, s.racket, records.Fields{"mass": "300 g", "mark": secret})
	note := event(progress.Note, 3)
	note.Why = secret
	do(t, other, 2, 4, note)
	_, err = other.NewJob(ctx, Draft{Player: secret, Source: []byte("player = '" + secret + "'"), File: secret, At: clock(30), Plan: invented(2),
		Job: records.Job{Player: s.player.UID, Notes: secret}})
	require.NoError(t, err)
	m = takeIn(t, s.Book, takenOut(t, other))
	assert.Equal(t, Tally{Newer: 1}, Tally{Newer: m.Jobs.Newer})
	assert.Equal(t, 1, m.Jobs.Added)
	assert.Equal(t, 3, m.Records.Added)
	assert.NotContains(t, fmt.Sprint(content(t, s.Book)), secret)
	assert.NotContains(t, fmt.Sprint(m), secret, "nor is it in what is told")
	require.NoError(t, s.Close())
	assert.Empty(t, where(t, s.path, secret))
}

// The other way round a person decides.
func TestImportOfOneWhoWasForgottenThere(t *testing.T) {
	ctx, s := context.Background(), invite(t, fresh(t))
	other := twin(t, s.Book)
	_, err := other.Forget(ctx, s.player.UID)
	require.NoError(t, err)
	do(t, other, 2, 4, event(progress.Done, 3))
	m := takeIn(t, s.Book, takenOut(t, other))
	require.Len(t, m.Forgotten, 1)
	assert.Equal(t, s.player.UID, m.Forgotten[0].UID)
	assert.Empty(t, m.Conflicts)
	assert.Equal(t, Tally{Newer: 1}, m.Jobs, "the work is taken in")
	p, err := s.Record(ctx, s.player.UID)
	require.NoError(t, err)
	assert.Equal(t, s.player.Fields, p.Fields)
}

func TestImportABookOfVersionOne(t *testing.T) {
	path, b := versionOne(t), fresh(t)
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	m := takeIn(t, b, path)
	assert.Equal(t, Tally{Added: 3}, m.Jobs)
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, before, after, "it stays as it was")
	assert.Equal(t, exported(t, open(t, path)), exported(t, b))
	assert.Equal(t, Tally{Same: 3}, takeIn(t, b, path).Jobs, "brought up to date it is the same")
}

// Each line is what a stranger might have written in place of one of an export.
func TestImportRefuses(t *testing.T) {
	s := invite(t, fresh(t))
	whole, err := os.ReadFile(takenOut(t, s.Book))
	require.NoError(t, err)
	text := string(whole)
	for name, c := range map[string]struct{ old, new, want string }{
		"no export":             {`{"pullcard book":2,`, `{"songs":1,`, `line 1: the file is no book and no export of one`},
		"a newer one":           {`{"pullcard book":2,`, `{"pullcard book":3,"more":1,`, `line 1: the export was written by a newer version of this program (export version 3`},
		"cut off":               {`"jobs":1}`, `"jobs":2}`, "the file is cut off: of what its first line says, 0 records, 0 plans and 1 jobs are not there"},
		"not JSON":              {`{"record":`, `{record:`, "line 2: this is no line of an export"},
		"more behind it":        {"\n{\"plan\"", " 1\n{\"plan\"", "there is something behind its end"},
		"nothing in it":         {"\n{\"plan\"", "\n{}\n{\"plan\"", "line 11: a line is one record, one plan or one job"},
		"an unknown column":     {`"kind":"racket"`, `"kind":"racket","colour":"red"`, `unknown field "colour"`},
		"an unknown kind":       {`"kind":"racket"`, `"kind":"violin"`, `there is no kind of record "violin"`},
		"an unknown field":      {`"mass":"305 g","notes"`, `"weight":"305 g","notes"`, `a racket has no "weight"`},
		"a bad value":           {`"mass":"305 g","notes"`, `"mass":"heavy","notes"`, `mass: "heavy" is not from 1 to 1000 g`},
		"a bad change":          {`"fields":{"@at":"2031-05-04T16:32:01.123456789Z","mark"`, `"fields":{"nonsense":"red","@at":"2031-05-04T16:32:01.123456789Z","mark"`, `change 1: a racket has no "nonsense"`},
		"a change too few":      {`"fields":{"@at":"2031-05-04T16:32:01.123456789Z","mark"`, `"fields":{"@at":"2031-05-04T16:32:01.123456789Z","form":"","mark"`, `change 1: a racket has no "form"`},
		"other changes":         {`,"mass":"305 g","player"`, `,"mass":"304 g","player"`, "it does not say what its changes come to"},
		"a stamp":               {`"stamp":"2031-05-04T16:32:01.123456789Z `, `"stamp":"noon `, `the stamp "noon `},
		"a missing value":       {`"value":"613 Hz"`, `"value":""`, "value is missing; a reading needs it"},
		"too long":              {`"mass":"305 g","notes":"`, `"mass":"305 g","notes":"` + strings.Repeat("x", 4000), "write 4000 at most"},
		"an unknown state":      {`"state":"kept"`, `"state":"lost"`, `the state "lost" is not known`},
		"forgotten, but named":  {`"state":"kept"`, `"state":"forgotten"`, "only somebody of whom nothing is said can be forgotten"},
		"a uid":                 {`"uid":"` + s.racket.UID, `"uid":"a b` + s.racket.UID, "is none; it has 1 to 200 letters"},
		"a reference":           {`"player":"` + s.player.UID + `"},`, `"player":"nobody"},`, `player: the book has no player "nobody"`},
		"a time":                {`"at":"2031-05-04T16:32:01.123456789Z","state"`, `"at":"0001-01-01T00:00:00Z","state"`, "is none of a clock"},
		"a plan without steps":  {`"steps":[{"n":1`, `"steps":[],"step":[{"n":1`, "it has no steps or no fingerprint"},
		"a plan twice":          {`{"plan":{"id":2`, `{"plan":{"id":1`, "its number is taken or none"},
		"an op":                 {`"op":"weave"`, `"op":"juggle"`, "juggle"},
		"a job without record":  {`{"job":{"uid":"`, `{"job":{"uid":"x`, "it has no record of a job"},
		"a job without plan":    {`"plan":1,"events"`, `"plan":9,"events"`, "its plan 9 has not come before it"},
		"an event that misfits": {`"kind":"done","step":1`, `"kind":"done","step":3`, "event 2: done for step 3 does not fit"},
		"an unknown event":      {`"kind":"done","step":1`, `"kind":"dance","step":1`, "event 2: "},
		"a mishap with no plan": {`"plan":2}`, `"plan":0}`, "event 3: a mishap has a plan that came before it"},
		"a note with a plan":    {`dropped it"`, `dropped it","plan":1`, "event 1: a mishap has a plan"},
	} {
		if !sweep.Name(name, 7) {
			continue
		}
		t.Run(name, func(t *testing.T) {
			b := fresh(t)
			added(t, b, records.KindPlayer, records.Fields{"name": "Somebody"})
			before := content(t, b)
			require.Contains(t, text, c.old)
			path := filepath.Join(t.TempDir(), "whole")
			require.NoError(t, os.WriteFile(path, []byte(strings.Replace(text, c.old, c.new, 1)), 0o600))
			_, err := b.Import(context.Background(), path, clock(100), nil)
			require.ErrorContains(t, err, c.want)
			assert.ErrorContains(t, err, path)
			assert.Equal(t, before, content(t, b), "nothing is taken in")
			assert.Zero(t, plans(t, b))
		})
	}
}

func TestImportOtherFiles(t *testing.T) {
	ctx, b, dir := context.Background(), fresh(t), t.TempDir()
	empty, foreign, newer := filepath.Join(dir, "empty"), filepath.Join(dir, "songs"), filepath.Join(dir, "newer")
	require.NoError(t, os.WriteFile(empty, nil, 0o600))
	sqlExec(t, raw(t, foreign), "CREATE TABLE songs (name TEXT)")
	require.NoError(t, open(t, newer).Close())
	sqlExec(t, raw(t, newer), "PRAGMA user_version = 99")
	for path, want := range map[string]string{
		b.path: "that is this book itself", dir: "that is a folder", empty: "the file is empty", foreign: "belongs to another program",
		newer: "newer version of this program", filepath.Join(dir, "none"): "there is no such file",
	} {
		_, err := b.Import(ctx, path, clock(0), nil)
		assert.ErrorContains(t, err, want)
		assert.ErrorContains(t, err, path+": import: ")
	}
}

// bench makes random changes to a book.
func bench(t *rapid.T, tb testing.TB, b *Book, side string) {
	ctx := context.Background()
	all, err := readRecords(ctx, b.db, selectRecords+" ORDER BY uid")
	require.NoError(t, err)
	of := func(kind records.Name) (uids []string) {
		for _, r := range all {
			if r.Kind == kind {
				uids = append(uids, r.UID)
			}
		}
		return uids
	}
	for n := range rapid.IntRange(0, 4).Draw(t, side+" changes") {
		at := clock(rapid.IntRange(0, 99).Draw(t, "at"))
		switch rapid.IntRange(0, 6).Draw(t, "what") {
		case 0:
			_, err = b.Add(ctx, records.KindPlayer, records.Fields{"name": fmt.Sprint("Player ", side, n)}, at)
		case 1:
			if players := of(records.KindPlayer); len(players) > 0 {
				_, err = b.Add(ctx, records.KindJob, records.Fields{"player": rapid.SampledFrom(players).Draw(t, "whose"), "text": "x"}, at)
			}
		case 2:
			if players := of(records.KindPlayer); len(players) > 0 {
				_, err = b.Correct(ctx, rapid.SampledFrom(players).Draw(t, "who"), Change{Fields: records.Fields{"plays": fmt.Sprint(rapid.IntRange(0, 3).Draw(t, "plays"))}, At: at})
			}
		case 3:
			queue, wrong := b.Queue(ctx)
			require.NoError(t, wrong)
			d := Draft{Machine: rapid.SampledFrom([]string{"", "by the window " + side}).Draw(t, "machine"), At: at, Plan: invented(rapid.IntRange(1, 3).Draw(t, "steps"))}
			if len(queue) > 0 && rapid.Bool().Draw(t, "waited") {
				d.UID = queue[0].UID
			}
			_, err = b.NewJob(ctx, d)
		case 4:
			if players := of(records.KindPlayer); len(players) > 0 {
				err = b.Remove(ctx, rapid.SampledFrom(players).Draw(t, "gone"))
			}
		default:
			var list []Entry
			list, err = b.Jobs(ctx, Filter{State: progress.Open})
			require.NoError(t, err)
			if len(list) == 0 {
				continue
			}
			j, wrong := b.Job(ctx, rapid.SampledFrom(list).Draw(t, "job").ID)
			require.NoError(t, wrong)
			s, wrong := progress.Fold(j.Plan, j.Events)
			require.NoError(t, wrong)
			e := progress.Event{At: at, Kind: rapid.SampledFrom([]progress.Kind{progress.Done, progress.Note, progress.Mishap}).Draw(t, "kind"), Step: s.Current()}
			if e.Kind == progress.Mishap {
				e.Plan = mended(s.Plan(), s.Last(), 1)
			}
			err = b.Append(ctx, j.ID, len(j.Events), e)
		}
		require.NoError(t, err)
	}
}

// Two benches that had the same book, worked each on its own and take in each other's: both have the same in the end.
func TestMergeIsTheSameOnBothSides(t *testing.T) {
	t.Parallel()
	empty := fresh(t)
	require.NoError(t, empty.Close())
	file, err := os.ReadFile(empty.path)
	require.NoError(t, err)
	clear := 0
	rapid.Check(t, sweep.Some(50, func(rt *rapid.T) {
		books := [2]*Book{}
		for i := range books {
			path := filepath.Join(t.TempDir(), "book")
			require.NoError(rt, os.WriteFile(path, file, 0o600))
			books[i] = open(t, path)
			sqlExec(t, books[i].db, "PRAGMA synchronous = OFF") // nothing is cut off here
		}
		in := func(b *Book, path string) Merged {
			m, err := b.Import(context.Background(), path, clock(100), nil)
			require.NoError(rt, err)
			return m
		}
		bench(rt, t, books[0], "first")
		in(books[1], takenOut(t, books[0]))
		bench(rt, t, books[0], "a")
		bench(rt, t, books[1], "b")
		files := [2]string{takenOut(t, books[0]), takenOut(t, books[1])}
		conflicts := 0
		for i, b := range books {
			m := in(b, files[1-i])
			conflicts += len(m.Conflicts)
			all := content(t, b)
			again := in(b, files[1-i])
			require.Equal(rt, all, content(t, b), "once more changes nothing")
			require.Equal(rt, []int{0, 0, 0, 0}, []int{again.Records.Added, again.Records.Newer, again.Jobs.Added, again.Jobs.Newer})
			stay := slices.DeleteFunc(slices.Clone(m.Conflicts), func(c Conflict) bool { return c.What == wasRemoved }) // there is nothing to decide
			require.Equal(rt, stay, again.Conflicts)
		}
		clear += min(conflicts, 1)
		require.Equal(rt, content(t, books[0]), content(t, books[1]))
		for _, b := range books {
			requireSound(t, b)
			require.NoError(rt, b.Close())
		}
	}))
	require.GreaterOrEqual(t, clear, sweep.Share(1, 2), "there was never a conflict")
}
