package book

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// kept adds a record n seconds after the clock's beginning.
func kept(t testing.TB, b *Book, n int, kind records.Name, fields records.Fields) Record {
	t.Helper()
	r, err := b.Add(context.Background(), kind, fields, clock(n))
	require.NoError(t, err)
	return r
}

func labels(list []Record) (names []string) {
	for _, r := range list {
		names = append(names, r.Label())
	}
	return names
}

func TestRecordComesBackAsItWasWritten(t *testing.T) {
	b := fresh(t)
	ada := kept(t, b, 0, records.KindPlayer, records.Fields{"name": "Ada Winter (invented)", "contact": " 555 "})
	assert.Equal(t, int64(1), ada.ID)
	assert.Len(t, ada.UID, 32)
	got, err := b.Record(context.Background(), ada.UID)
	require.NoError(t, err)
	assert.True(t, got.At.Equal(clock(0)))
	got.At = ada.At
	assert.Equal(t, ada, got)
	assert.Equal(t, records.Fields{"name": "Ada Winter (invented)", "contact": "555"}, got.Fields)

	racket := kept(t, b, 1, records.KindRacket, records.Fields{"player": ada.UID, "mark": "blue dot"})
	assert.Equal(t, int64(1), racket.ID, "each kind counts for itself")
	_, err = b.Record(context.Background(), "nobody")
	assert.ErrorContains(t, err, "there is no such record in it")
}

func TestAddTellsWhatIsWrongAndWritesNothing(t *testing.T) {
	b := fresh(t)
	ada := kept(t, b, 0, records.KindPlayer, records.Fields{"name": "Ada Winter (invented)"})
	for _, c := range []struct {
		kind   records.Name
		fields records.Fields
		want   []string
	}{
		{records.KindRacket, records.Fields{"player": "nobody", "mass": "x"}, []string{"mark is missing", "mass: ", `player: the book has no player "nobody"`}},
		{records.KindGauge, records.Fields{"machine": ada.UID, "set": "24 kg", "read": "24 kg"}, []string{"machine: the book has no machine"}},
		{"song", nil, []string{`there is no kind of record "song"`}},
	} {
		_, err := b.Add(context.Background(), c.kind, c.fields, clock(1))
		for _, want := range c.want {
			assert.ErrorContains(t, err, want)
		}
	}
	var n int
	require.NoError(t, b.db.QueryRow("SELECT count(*) FROM records").Scan(&n))
	assert.Equal(t, 1, n)
	_, err := b.AddAll(context.Background(), []Record{
		{Kind: records.KindPlayer, Fields: records.Fields{"name": "Ben Lake (invented)"}}, {Kind: records.KindPlayer}})
	require.ErrorContains(t, err, "name is missing")
	list, err := b.Find(context.Background(), records.KindPlayer, "", 0)
	require.NoError(t, err)
	assert.Len(t, list, 1, "all or none")
}

func TestCorrectionsAreKeptBesideWhatWasThere(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	ada := kept(t, b, 0, records.KindPlayer, records.Fields{"name": "Ada Winter (invented)", "contact": "555"})
	_, err := b.Correct(ctx, ada.UID, Change{Fields: records.Fields{"contact": "777"}, Why: "new number", At: clock(5)})
	require.NoError(t, err)
	_, err = b.Correct(ctx, ada.UID, Change{Fields: records.Fields{"contact": "777"}, Why: "nothing new", At: clock(6)})
	require.NoError(t, err)
	got, err := b.Correct(ctx, ada.UID, Change{Fields: records.Fields{"contact": "", "name": "Ada Summer (invented)"}, At: clock(7)})
	require.NoError(t, err)
	assert.Equal(t, records.Fields{"name": "Ada Summer (invented)"}, got.Fields)

	list, err := b.Corrections(ctx, ada.UID)
	require.NoError(t, err)
	require.Len(t, list, 2, "what changes nothing leaves no trace")
	assert.Equal(t, records.Fields{"name": "Ada Winter (invented)", "contact": "555"}, list[0].Before)
	assert.Equal(t, "new number", list[0].Why)
	assert.True(t, list[0].At.Equal(clock(5)))
	assert.Equal(t, "777", list[1].Before["contact"])

	found, err := b.Find(ctx, records.KindPlayer, "summer", 0)
	require.NoError(t, err)
	assert.Len(t, found, 1, "found by what it says now")
	found, err = b.Find(ctx, records.KindPlayer, "winter", 0)
	require.NoError(t, err)
	assert.Empty(t, found)

	_, err = b.Correct(ctx, ada.UID, Change{Fields: records.Fields{"name": " "}, At: clock(8)})
	assert.ErrorContains(t, err, "name is missing")
}

func TestFindByAFewLetters(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	for i, name := range []string{"Zoë Adler (invented)", "Ada Winter (invented)", "Ben Lake (invented)", "100% Ä_b (invented)"} {
		kept(t, b, i, records.KindPlayer, records.Fields{"name": name})
	}
	for letters, want := range map[string][]string{
		"zoe": {"Zoë Adler (invented)"}, "ZOË": {"Zoë Adler (invented)"},
		"ad":   {"Ada Winter (invented)", "Zoë Adler (invented)"}, // those that begin with it first
		"a w":  {"Ada Winter (invented)"},
		"wi a": {"Ada Winter (invented)"},
		"%":    {"100% Ä_b (invented)"}, "_": {"100% Ä_b (invented)"}, "a_": {"100% Ä_b (invented)"},
		"xyz": nil,
	} {
		list, err := b.Find(ctx, records.KindPlayer, letters, 0)
		require.NoError(t, err)
		assert.Equal(t, want, labels(list), letters)
	}
	list, err := b.Find(ctx, records.KindPlayer, "", 2)
	require.NoError(t, err)
	assert.Equal(t, []string{"100% Ä_b (invented)", "Ben Lake (invented)"}, labels(list), "the newest first")
}

func TestOne(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	kept(t, b, 0, records.KindPlayer, records.Fields{"name": "Ada (invented)"})
	kept(t, b, 1, records.KindPlayer, records.Fields{"name": "Ada (invented) Winter"})
	ben := kept(t, b, 2, records.KindPlayer, records.Fields{"name": "Ben (invented)"})
	kept(t, b, 3, records.KindPlayer, records.Fields{"name": "Court 9 (invented)"})
	kept(t, b, 4, records.KindPlayer, records.Fields{"name": "17"})
	for asked, want := range map[string]int64{"2": 2, "ben": 3, ben.UID: 3, "ada (invented)": 1, "winter": 2, "court 9": 4, "17": 5} {
		r, err := b.Lookup(ctx, records.KindPlayer, asked)
		require.NoError(t, err, asked)
		assert.Equal(t, want, r.ID, asked)
	}
	_, err := b.Lookup(ctx, records.KindPlayer, "ada")
	var several *AmbiguousError
	require.ErrorAs(t, err, &several)
	assert.ErrorContains(t, err, `"ada" may be several: 2 (Ada (invented) Winter), 1 (Ada (invented)); write the number`)
	for _, asked := range []string{"", " ", "9", "cara", "99999999999999999999"} {
		_, err := b.Lookup(ctx, records.KindPlayer, asked)
		assert.ErrorContains(t, err, "there is no player", asked)
	}
}

func TestLeaveAway(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	ada := kept(t, b, 0, records.KindPlayer, records.Fields{"name": "Ada (invented)"})
	kept(t, b, 1, records.KindRacket, records.Fields{"player": ada.UID, "mark": "blue"})
	require.NoError(t, b.Remove(ctx, ada.UID))
	list, err := b.Find(ctx, records.KindPlayer, "ada", 0)
	require.NoError(t, err)
	assert.Empty(t, list)
	r, err := b.Record(ctx, ada.UID)
	require.NoError(t, err)
	assert.Equal(t, Removed, r.State, "what refers to it still finds it")
	require.NoError(t, b.Recall(ctx, ada.UID))
	list, err = b.Find(ctx, records.KindPlayer, "ada", 0)
	require.NoError(t, err)
	assert.Len(t, list, 1)
}

// A job brings its player, racket, machine and stringer into the book, each once.
func TestNewJobKeepsWhoseItIs(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	draft := Draft{Player: "Ada (invented)", Racket: "blue", Machine: "window", Stringer: "Cy (invented)", At: clock(0), Plan: invented(2)}
	first, err := b.NewJob(ctx, draft)
	require.NoError(t, err)
	draft.At, draft.Player, draft.Machine = clock(1), "ADA (invented)", "Window"
	second, err := b.NewJob(ctx, draft)
	require.NoError(t, err)
	assert.Equal(t, []int64{1, 2}, []int64{first, second})
	for kind, want := range map[records.Name]int{records.KindPlayer: 1, records.KindRacket: 1, records.KindMachine: 1, records.KindStringer: 1, records.KindJob: 2} {
		list, err := b.Find(ctx, kind, "", 0)
		require.NoError(t, err)
		assert.Len(t, list, want, kind)
	}
	ada, err := b.Lookup(ctx, records.KindPlayer, "ada")
	require.NoError(t, err)
	history, err := b.History(ctx, records.Job{Player: ada.UID})
	require.NoError(t, err)
	require.Len(t, history, 2)
	assert.Equal(t, second, history[0].ID, "the newest first")
	assert.Equal(t, "f002", history[0].Entry.Fingerprint)
}

// Names that the book cannot keep do not stop a job.
func TestNewJobGoesOnWithoutOddNames(t *testing.T) {
	b := fresh(t)
	long := make([]byte, 5000)
	for i := range long {
		long[i] = 'x'
	}
	_, err := b.NewJob(context.Background(), Draft{Player: string(long), Racket: "blue", At: clock(0), Plan: invented(2)})
	require.NoError(t, err)
}

func TestWaitingJobIsBegun(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	ada := kept(t, b, 0, records.KindPlayer, records.Fields{"name": "Ada (invented)"})
	card := kept(t, b, 1, records.KindJob, records.Fields{"player": ada.UID, "text": "frame = \"f\"\n", "promised": "17:30"})
	queue, err := b.Queue(ctx)
	require.NoError(t, err)
	require.Len(t, queue, 1)
	file, text, err := b.Text(ctx, card.UID)
	require.NoError(t, err)
	assert.Equal(t, "", file)
	assert.Equal(t, "frame = \"f\"\n", string(text))

	id, err := b.NewJob(ctx, Draft{UID: card.UID, Player: "Somebody else", Racket: "blue", At: clock(9), Plan: invented(2)})
	require.NoError(t, err)
	assert.Equal(t, card.ID, id)
	queue, err = b.Queue(ctx)
	require.NoError(t, err)
	assert.Empty(t, queue)
	c, err := b.Card(ctx, card.UID)
	require.NoError(t, err)
	assert.Equal(t, ada.UID, c.Fields["player"], "what was said of the job stays")
	assert.NotEmpty(t, c.Fields["racket"])
	assert.True(t, c.At.Equal(clock(9)))
	_, err = b.NewJob(ctx, Draft{UID: card.UID, At: clock(10), Plan: invented(2)})
	assert.ErrorContains(t, err, "job 1 was begun already")
	_, err = b.Correct(ctx, card.UID, Change{Fields: records.Fields{"notes": "later"}, At: clock(11)})
	require.NoError(t, err)
	queue, err = b.Queue(ctx)
	require.NoError(t, err)
	assert.Empty(t, queue, "a correction does not put it back into the queue")
}

func TestHistoryHasReadingsAndVerdicts(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	id, err := b.NewJob(ctx, Draft{Player: "Ada (invented)", At: clock(0), Plan: invented(2)})
	require.NoError(t, err)
	j, err := b.Job(ctx, id)
	require.NoError(t, err)
	kept(t, b, 5, records.KindReading, records.Fields{"job": j.UID, "value": "600 Hz", "expected": "700 Hz"})
	kept(t, b, 4, records.KindReading, records.Fields{"job": j.UID, "value": "610 Hz", "expected": "700 Hz"})
	kept(t, b, 6, records.KindVerdict, records.Fields{"job": j.UID, "answer": "too tight, a bit"})
	ada, err := b.Lookup(ctx, records.KindPlayer, "ada")
	require.NoError(t, err)
	history, err := b.History(ctx, records.Job{Player: ada.UID})
	require.NoError(t, err)
	require.Len(t, history, 1)
	assert.Equal(t, []string{"610 Hz", "600 Hz"}, labels(history[0].Readings))
	assert.Equal(t, []string{"too tight, a bit"}, labels(history[0].Verdicts))
}

func TestSeries(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	for i, machine := range []string{"window", "door", "window"} {
		id, err := b.NewJob(ctx, Draft{Machine: machine, At: clock(i), Plan: invented(2)})
		require.NoError(t, err)
		j, err := b.Job(ctx, id)
		require.NoError(t, err)
		kept(t, b, 10+i, records.KindReading, records.Fields{"job": j.UID, "value": []string{"600 Hz", "610 Hz", "620 Hz"}[i]})
	}
	window, err := b.Lookup(ctx, records.KindMachine, "window")
	require.NoError(t, err)
	list, err := b.Series(ctx, records.Job{Machine: window.UID}, 0)
	require.NoError(t, err)
	require.Len(t, list, 2)
	assert.Equal(t, "Invented sixteen", list[0].Frame)
	assert.True(t, list[0].Strung.Equal(clock(0)), "nothing was done since it was begun")
	assert.False(t, list[0].Played)
	assert.Equal(t, records.Amount("600 Hz"), list[0].Reading.Value, "the oldest first")
	assert.Equal(t, int64(3), list[1].ID)
	list, err = b.Series(ctx, records.Job{}, 2)
	require.NoError(t, err)
	require.Len(t, list, 2)
	assert.Equal(t, []records.Amount{"610 Hz", "620 Hz"}, []records.Amount{list[0].Reading.Value, list[1].Reading.Value}, "the newest two")

	// What is read after a verdict was read of a bed that had been played with.
	strung := list[1].UID
	kept(t, b, 20, records.KindVerdict, records.Fields{"job": strung, "answer": "right"})
	kept(t, b, 21, records.KindReading, records.Fields{"job": strung, "value": "580 Hz"})
	list, err = b.Series(ctx, records.Job{}, 0)
	require.NoError(t, err)
	require.Len(t, list, 4)
	for i, taken := range list {
		assert.Equal(t, i == 3, taken.Played, i)
		taken.Played = i < 3
	}

	// The first job is read once more: that is the newest, of all jobs and of its machine's.
	kept(t, b, 30, records.KindReading, records.Fields{"job": list[0].UID, "value": "500 Hz"})
	last, err := b.Series(ctx, records.Job{Machine: window.UID}, 1)
	require.NoError(t, err)
	require.Len(t, last, 1)
	assert.Equal(t, records.Amount("500 Hz"), last[0].Reading.Value, "also where a job was added since")
	door, err := b.Lookup(ctx, records.KindMachine, "door")
	require.NoError(t, err)
	last, err = b.Series(ctx, records.Job{Machine: door.UID}, 3)
	require.NoError(t, err)
	require.Len(t, last, 1)
	assert.Equal(t, records.Amount("610 Hz"), last[0].Reading.Value, "which are not so many")
	last, err = b.Series(ctx, records.Job{}, 1)
	require.NoError(t, err)
	require.Len(t, last, 1)
	assert.Equal(t, records.Amount("500 Hz"), last[0].Reading.Value, "of all jobs what was read last")
	last, err = b.Series(ctx, records.Job{Machine: window.UID}, 0)
	require.NoError(t, err)
	var values []records.Amount
	for _, r := range last {
		values = append(values, r.Reading.Value)
	}
	assert.Equal(t, []records.Amount{"600 Hz", "620 Hz", "580 Hz", "500 Hz"}, values, "in the order in which they were read")

	require.NoError(t, played(ctx, b.db, slices.Repeat(list, manyJobs))) // of so many by all verdicts
	for i, taken := range list {
		assert.Equal(t, i == 3, taken.Played, i)
	}
}

// String that was cut is written with the event, and once however often the step is done.
func TestAppendWritesCutsOnce(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	reel := kept(t, b, 0, records.KindStock, records.Fields{"name": "Invented round", "form": "reel", "length": "200 m"})
	id := newJob(t, b, 3)
	cut := Record{UID: "job-cut-mains-1", Kind: records.KindCut, At: clock(1),
		Fields: records.Fields{"stock": reel.UID, "length": "6.200 m", "for": "job", "piece": "mains"}}
	require.NoError(t, b.Append(ctx, id, 0, event(progress.Done, 1), cut))
	require.NoError(t, b.Append(ctx, id, 1, event(progress.Back, 2)))
	require.NoError(t, b.Append(ctx, id, 2, event(progress.Done, 1), cut))
	shelf, err := b.Shelf(ctx, reel.UID)
	require.NoError(t, err)
	assert.InDelta(t, 193800, shelf.Left(), 1e-6)
	assert.True(t, shelf.Cuts[0].At.Equal(clock(1)))

	cut.UID, cut.Fields = "another", records.Fields{"stock": "nobody", "length": "1 m", "for": "job"}
	require.ErrorContains(t, b.Append(ctx, id, 3, event(progress.Done, 2), cut), "the book has no stock")
	j, err := b.Job(ctx, id)
	require.NoError(t, err)
	assert.Len(t, j.Events, 3, "an event without its cut is not written either")
	list, err := b.Shelves(ctx, "round")
	require.NoError(t, err)
	assert.Len(t, list, 1)
}

func TestFinished(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	for i, who := range []string{"Cy (invented)", "Di (invented)", "Cy (invented)", "Cy (invented)"} {
		id, err := b.NewJob(ctx, Draft{Stringer: who, At: clock(i), Plan: invented(1)})
		require.NoError(t, err)
		if i < 3 {
			do(t, b, id, 0, event(progress.Done, 1))
		}
	}
	cy, err := b.Lookup(ctx, records.KindStringer, "cy")
	require.NoError(t, err)
	ids, err := b.Finished(ctx, cy.UID, 10)
	require.NoError(t, err)
	assert.Equal(t, []int64{3, 1}, ids)
	ids, err = b.Finished(ctx, "", 2)
	require.NoError(t, err)
	assert.Equal(t, []int64{3, 2}, ids)
}

// The records of jobs that a book had before there were records are made when it is brought up to date.
func TestRecordsOfAnOldBook(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book")
	db := raw(t, path)
	for _, script := range scripts()[:2] {
		sqlExec(t, db, script)
	}
	sqlExec(t, db, fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = 2", application))
	sqlExec(t, db, `INSERT INTO plans VALUES (1, 'f001', CAST('{"terms":{"tension_mains":{"ordered":"24 kg"}}}' AS BLOB), 1);
		INSERT INTO jobs VALUES (4, 'p', 'r', 'f', 't', 1, 1, 1, 'open', '2031-05-04T13:02:01.5-03:30', '2031-05-04T13:02:01.5-03:30', '', x'')`)
	b := open(t, path)
	list, err := b.Jobs(context.Background(), Filter{})
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Equal(t, "24 kg", list[0].Mains)
	c, err := b.Card(context.Background(), list[0].UID)
	require.NoError(t, err)
	assert.Equal(t, int64(4), c.ID)
	assert.Equal(t, time.Date(2031, 5, 4, 16, 32, 1, 5e8, time.UTC), c.At.UTC())
	sqlExec(t, b.db, "INSERT INTO jobs (player, racket, frame, technique, plan, steps, step, state, made, last, file, source) SELECT player, racket, frame, technique, plan, steps, step, state, made, last, file, source FROM jobs")
	list, err = b.Jobs(context.Background(), Filter{})
	require.NoError(t, err)
	for _, e := range list {
		_, err := b.Card(context.Background(), e.UID)
		assert.NoError(t, err, "a job of an older program that has the book open gets a record too")
	}
}

// What was begun at a time can still be told as it was then.
func TestRecordsAt(t *testing.T) {
	b := fresh(t)
	ctx := context.Background()
	ada := added(t, b, records.KindPlayer, records.Fields{"name": "Ada (invented)"})
	for i, name := range []string{"Ada Winter (invented)", "Ada Summer (invented)"} {
		_, err := b.Correct(ctx, ada.UID, Change{Fields: records.Fields{"name": name}, At: clock(10 * (i + 1))})
		require.NoError(t, err)
	}
	for at, want := range map[int]string{0: "Ada (invented)", 9: "Ada (invented)", 10: "Ada Winter (invented)", 19: "Ada Winter (invented)", 20: "Ada Summer (invented)", 99: "Ada Summer (invented)"} {
		list, err := b.RecordsAt(ctx, clock(at), ada.UID)
		require.NoError(t, err)
		assert.Equal(t, want, list[ada.UID].Label(), at)
	}
	_, err := b.RecordsAt(ctx, clock(0), "nobody")
	assert.ErrorContains(t, err, "there is no such record")
}

// No question about what records name reads all of them.
func TestFiltersHaveAnIndex(t *testing.T) {
	b := fresh(t)
	readings, args := readingsOf(records.Job{Machine: "u1"})
	finished, _ := having("records", records.Job{Stringer: "u1"})
	machine, on := onMachine("u1", 12)
	racket, whose := ofPlayer(records.Job{Player: "u1", Racket: "u2"})
	for name, q := range map[string]struct {
		query string
		args  []any
		index string
	}{
		"readings": {readings, args, "records_job_machine"},
		"finished": {selectFinished + finished, []any{"u1"}, "records_job_stringer"},
		"machine":  {selectCards + " WHERE " + machine, on, "records_job_machine"},
		"racket":   {selectCards + " WHERE " + racket, whose, "records_job_racket"},
		"forget":   {dependants("uid = ?"), []any{"u1"}, "records_job_racket"},
		"cuts":     {dependants("uid = ?"), []any{"u1"}, "records_cut_job"},
	} {
		rows, err := b.db.Query("EXPLAIN QUERY PLAN "+q.query, q.args...)
		require.NoError(t, err)
		var plan []string
		for rows.Next() {
			var id, parent, unused int
			var detail string
			require.NoError(t, rows.Scan(&id, &parent, &unused, &detail))
			if detail != "SCAN records USING INDEX records_waiting" { // which has those alone
				plan = append(plan, detail)
			}
		}
		require.NoError(t, rows.Err())
		text := strings.Join(plan, "\n")
		assert.Contains(t, text, q.index, "%s:\n%s", name, text)
		assert.NotContains(t, text, "SCAN records", name)
		assert.NotContains(t, text, "SCAN j\n", name)
	}
}
