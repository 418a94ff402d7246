package book

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// ofBench names the bench of a book, as joining a room does.
func ofBench(t testing.TB, b *Book, name string) *Book {
	t.Helper()
	require.NoError(t, b.Join(context.Background(), name))
	return b
}

// logOf is everything in a book's log that another has not got.
func logOf(t testing.TB, b *Book, have Vector) (list []Row) {
	t.Helper()
	ctx := context.Background()
	require.NoError(t, b.Seal(ctx))
	v, err := b.Vector(ctx)
	require.NoError(t, err)
	for _, epoch := range sortedKeys(v) {
		rows, err := b.Rows(ctx, epoch, have[epoch], 1<<20)
		require.NoError(t, err)
		require.Len(t, rows, int(max(v[epoch]-have[epoch], 0)))
		list = append(list, rows...)
	}
	return list
}

func sortedKeys(v Vector) (keys []string) {
	for key := range v {
		keys = append(keys, key)
	}
	slices.Sort(keys)
	return keys
}

// tell gives a book what another has.
func tell(t testing.TB, from, to *Book) TakeResult {
	t.Helper()
	ctx := context.Background()
	require.NoError(t, to.Seal(ctx))
	have, err := to.Vector(ctx)
	require.NoError(t, err)
	took, err := to.Take(ctx, logOf(t, from, have), clock(100))
	require.NoError(t, err)
	return took
}

func TestLogMakesTheSameBook(t *testing.T) {
	s := invite(t, ofBench(t, fresh(t), "K"))
	b := ofBench(t, fresh(t), "L")
	took := tell(t, s.Book, b)
	assert.Equal(t, TakeResult{Rows: 19}, took) // 9 records, 3 corrections, 2 plans, a job, 4 events
	assert.Equal(t, content(t, s.Book), content(t, b))
	requireSound(t, b)
	assert.Equal(t, TakeResult{}, tell(t, s.Book, b), "nothing is told twice")
	assert.Equal(t, TakeResult{}, tell(t, b, s.Book), "what was taken in is nobody's new work")
	var stored int
	require.NoError(t, b.db.QueryRow("SELECT count(*) FROM log WHERE body IS NOT NULL").Scan(&stored))
	assert.Zero(t, stored, "the tables say all of it")
	assert.Equal(t, logOf(t, s.Book, nil), logOf(t, b, nil), "and it is passed on byte for byte")

	all := logOf(t, s.Book, nil)
	took, err := b.Take(context.Background(), all, clock(100))
	require.NoError(t, err)
	assert.Zero(t, took.Rows, "once more changes nothing")
}

// The rows of one bench may come before those of another that they name.
func TestLogInAnyOrder(t *testing.T) {
	ctx, s := context.Background(), invite(t, ofBench(t, fresh(t), "K"))
	other := ofBench(t, fresh(t), "L")
	tell(t, s.Book, other)
	do(t, other, 2, 4, event(progress.Done, 3))
	corrected(t, other, s.racket, records.Fields{"mass": "306 g"})
	third := ofBench(t, fresh(t), "M")
	have, err := other.Vector(ctx)
	require.NoError(t, err)
	epoch, _, err := other.OwnEpoch(ctx)
	require.NoError(t, err)
	have[epoch] = 0
	late := logOf(t, other, have)
	require.Len(t, late, 2)
	took, err := third.Take(ctx, late, clock(100))
	require.NoError(t, err)
	assert.Equal(t, TakeResult{Rows: 2, Waiting: 2}, took)
	unfit, err := third.Unfit(ctx)
	require.NoError(t, err)
	require.Len(t, unfit, 2)
	assert.Contains(t, unfit[0].Why, "has no event 4 of that name")
	for _, r := range logOf(t, s.Book, nil) { // one by one
		took, err := third.Take(ctx, []Row{r}, clock(100))
		require.NoError(t, err)
		assert.Zero(t, took.Late, "what is new frees what waited")
	}
	unfit, err = third.Unfit(ctx)
	require.NoError(t, err)
	assert.Empty(t, unfit)
	assert.Equal(t, content(t, other), content(t, third))
	requireSound(t, third)
}

// Nothing that comes from elsewhere is believed.
func TestTakeRefuses(t *testing.T) {
	ctx, s := context.Background(), invite(t, ofBench(t, fresh(t), "K"))
	all := logOf(t, s.Book, nil)
	for name, c := range map[string]struct {
		spoil func([]Row) []Row
		want  string
	}{
		"a gap":           {func(l []Row) []Row { return slices.Delete(l, 3, 4) }, "row 5 of %s comes after row 3"},
		"another body":    {func(l []Row) []Row { l[3].Body = []byte("{}"); return l }, "row 4 of %s has not the body"},
		"another digest":  {func(l []Row) []Row { l[3].Body, l[3].Digest = []byte("{}"), digestOf([]byte("{}")); return l }, "row 4 of %s is another one"},
		"another kind":    {func(l []Row) []Row { l[3].Kind = "plan"; return l }, "row 4 of %s is another one"},
		"another hash":    {func(l []Row) []Row { l[3].Hash = l[2].Hash; return l }, "row 4 of %s is another one"},
		"an odd epoch":    {func(l []Row) []Row { l[0].Epoch = "a b"; return l }, "is no epoch of a bench"},
		"a nameless one":  {func(l []Row) []Row { l[0].Bench = ""; return l }, "is no epoch of a bench"},
		"its own numbers": {nil, "it is an older copy"},
	} {
		t.Run(name, func(t *testing.T) {
			b := ofBench(t, fresh(t), "L")
			list, epoch := slices.Clone(all), all[0].Epoch
			if c.spoil != nil {
				list = c.spoil(list)
			} else {
				own, _, err := b.OwnEpoch(ctx)
				require.NoError(t, err)
				list[0].Epoch = own
			}
			_, err := b.Take(ctx, list, clock(100))
			if c.want[:3] == "row" {
				require.ErrorContains(t, err, fmt.Sprintf(c.want, epoch))
			} else {
				require.ErrorContains(t, err, c.want)
			}
			assert.Empty(t, content(t, b), "nothing is taken in")
			v, err := b.Vector(ctx)
			require.NoError(t, err)
			assert.Len(t, v, 1)
		})
	}
}

// rowsOf are well-formed rows of a stranger.
func rowsOf(epoch string, bodies ...[2]string) (list []Row) {
	hash := make([]byte, 32)
	for i, b := range bodies {
		r := Row{Bench: "X", Epoch: epoch, Seq: int64(i + 1), Kind: b[0], Body: []byte(b[1]), Digest: digestOf([]byte(b[1]))}
		r.Hash = r.Chain(hash)
		hash = r.Hash
		list = append(list, r)
	}
	return list
}

// What is well-formed and does not fit is kept as it came, passed on, and told of; the rest of its bench is taken in.
func TestTakeKeepsWhatDoesNotFit(t *testing.T) {
	ctx, b := context.Background(), ofBench(t, fresh(t), "L")
	const stamp = `"stamp":"2031-05-04T16:32:01.123456789Z x","over":[],"at":"2031-05-04T16:32:01Z"`
	rows := rowsOf("cafe",
		[2]string{"record", `{"uid":"p1","kind":"player",` + stamp + `,"fields":{"@at":"2031-05-04T16:32:01.000000000Z","name":"Ada (invented)"}}`},
		[2]string{"song", `{"text":"la"}`},
		[2]string{"record", `{"uid":"p2","kind":"player",` + stamp + `,"fields":{"@at":"2031-05-04T16:32:01.000000000Z","shoe size":"9"}}`},
		[2]string{"record", `{"uid":"p3","kind":"player","more":1,` + stamp + `,"fields":{}}`},
		[2]string{"record", `{"uid":"r1","kind":"racket",` + stamp + `,"fields":{"mass":"heavy"}}`},
		[2]string{"record", `{"uid":"r2","kind":"racket",` + stamp + `,"fields":{"player":"nobody"}}`},
		[2]string{"record", `{"uid":"r3","kind":"racket",` + stamp + `,"fields":{"@state":"forgotten"}}`},
		[2]string{"forget", `{"uid":"p1","kind":"player",` + stamp + `,"fields":{"name":"Ada"}}`},
		[2]string{"job", `{"uid":"j1","plan":"00","made":"2031-05-04T16:32:01Z"}`},
		[2]string{"event", `{"job":"j1","n":1,"prev":"00","at":"2031-05-04T16:32:01Z","kind":"done","step":1}`},
		[2]string{"plan", `{"steps":[]}`},
		[2]string{"claim", `{"job":"j1","number":1,"bench":"X","at":"2031-05-04T16:32:01Z"}`},
		[2]string{"event", `[`})
	took, err := b.Take(ctx, rows, clock(100))
	require.NoError(t, err)
	assert.Equal(t, TakeResult{Rows: 13, Waiting: 12}, took)
	assert.Len(t, content(t, b), 1)
	unfit, err := b.Unfit(ctx)
	require.NoError(t, err)
	for i, want := range []string{"a newer program wrote it", `a player has no "shoe size"`, `unknown field "more"`, `mass: "heavy"`, `no player "nobody"`,
		"it is no record", "it is no forget", "it has no record of a job", "has no event 0", "no steps or no fingerprint", `has no job "j1"`, "no line of an export"} {
		assert.Contains(t, unfit[i].Why, want)
		assert.Equal(t, int64(i+2), unfit[i].Seq)
	}
	passed, err := b.Rows(ctx, "cafe", 0, 100)
	require.NoError(t, err)
	assert.Equal(t, rows, passed)
	requireSound(t, b)
}

// Two copies of one file that were both written on are told apart by the first row that differs.
func TestLogOfACopiedBook(t *testing.T) {
	ctx, s := context.Background(), invite(t, ofBench(t, fresh(t), "K"))
	require.NoError(t, s.Seal(ctx))
	path := filepath.Join(t.TempDir(), "copy")
	require.NoError(t, s.Backup(ctx, path, nil))
	b := open(t, path)
	do(t, s.Book, s.id, 4, event(progress.Done, 3))
	do(t, b, s.id, 4, event(progress.Back, 3))
	require.NoError(t, b.Seal(ctx))
	_, err := b.Take(ctx, logOf(t, s.Book, nil), clock(100))
	var fork *ForkError
	require.ErrorAs(t, err, &fork)
	assert.Equal(t, int64(20), fork.Seq)
	assert.ErrorContains(t, err, "a copy of this book was written on elsewhere")
}

// A copy that is put back begins an epoch of its own. What had not left it goes under that, the rest comes back from elsewhere.
func TestRestoredBookHasANewEpoch(t *testing.T) {
	ctx, s := context.Background(), invite(t, ofBench(t, fresh(t), "K"))
	other := ofBench(t, fresh(t), "L")
	tell(t, s.Book, other)
	do(t, s.Book, s.id, 4, event(progress.Done, 3)) // it is in the copy, but not sealed
	path := filepath.Join(t.TempDir(), "copy")
	require.NoError(t, s.Backup(ctx, path, nil))
	corrected(t, s.Book, s.racket, records.Fields{"mass": "306 g"})
	tell(t, s.Book, other)
	was, had, err := s.OwnEpoch(ctx)
	require.NoError(t, err)
	_, err = Restore(ctx, s.path, path, clock(0))
	require.NoError(t, err)
	is, has, err := s.OwnEpoch(ctx)
	require.NoError(t, err)
	assert.NotEqual(t, was, is)
	assert.Equal(t, []int64{21, 1}, []int64{had, has}, "what had not left it is of the new epoch, and chained when the book was closed")
	added(t, s.Book, records.KindPlayer, records.Fields{"name": "Somebody"})
	tell(t, s.Book, other)
	tell(t, other, s.Book)
	assert.Equal(t, content(t, other), content(t, s.Book))
	v, err := s.Vector(ctx)
	require.NoError(t, err)
	assert.Equal(t, []int64{21, 2}, []int64{v[was], v[is]}, "the event and the player; the correction came back")
	requireSound(t, s.Book)
	requireSound(t, other)
}

// An older book gets the log that it would have had, and books that shared what they had before say the same of it afterwards.
func TestLogOfAnOldBook(t *testing.T) {
	ctx, b := context.Background(), ofBench(t, open(t, versionOne(t)), "K")
	other := ofBench(t, fresh(t), "L")
	assert.Equal(t, TakeResult{Rows: 12}, tell(t, b, other)) // 3 records, 2 plans, 3 jobs, 4 events
	assert.Equal(t, exported(t, b), exported(t, other))
	requireSound(t, other)
	twin := ofBench(t, open(t, versionOne(t)), "M")
	tell(t, twin, b)
	tell(t, b, twin)
	assert.Equal(t, exported(t, b), exported(t, twin))
	list, err := b.Disputes(ctx)
	require.NoError(t, err)
	assert.Empty(t, list)
	requireSound(t, b)
}

// What was said of an old record, and when, stands there as before.
func TestOldChanges(t *testing.T) {
	at := func(n int) time.Time { return clock(n).UTC() }
	r := Record{UID: "r", Kind: records.KindRacket, At: at(0), State: Removed, Fields: records.Fields{"player": "p", "mass": "307 g"}}
	before := []Correction{{at(1), "weighed", records.Fields{"player": "p", "mass": "305 g", "mark": "red"}}, {at(2), "", records.Fields{"player": "p", "mass": "305 g"}}}
	f := fold(oldChanges(r, before))
	assert.Equal(t, folded{fields: r.Fields, state: Removed, at: at(0), before: before}, f)

	// A job that waited in one book and was begun in the other.
	waits := Record{UID: "j", Kind: records.KindJob, At: at(0), State: Kept, Fields: records.Fields{"notes": "soon", "text": "x"}}
	begun := Record{UID: "j", Kind: records.KindJob, At: at(5), State: Kept, Fields: records.Fields{"notes": "soon", "text": "x", "machine": "m"}}
	said := []Correction{{at(1), "", records.Fields{"notes": "now", "text": "x"}}}
	f = fold(append(oldChanges(waits, said), oldChanges(begun, said)[2:]...))
	assert.Equal(t, begun.Fields, f.fields)
	assert.Equal(t, at(5), f.at)
	assert.Empty(t, f.dispute)
	f = fold(oldChanges(begun, said))
	assert.Equal(t, begun.Fields, f.fields)
}

// Who is forgotten on one bench is forgotten on all, with what a bench wrote of them while it was away; no byte of it is left, and what was
// strung stays and comes to a bench that is new.
func TestForgottenEverywhere(t *testing.T) {
	ctx, s := context.Background(), invite(t, ofBench(t, fresh(t), "K"))
	away := ofBench(t, fresh(t), "L")
	tell(t, s.Book, away)
	added(t, away, records.KindVerdict, records.Fields{"job": s.job.UID, "answer": "right", "notes": secret + " again"})
	corrected(t, away, s.racket, records.Fields{"mass": "300 g", "mark": secret})
	note := event(progress.Note, 3)
	note.Why = secret
	do(t, away, 2, 4, note)
	before := logOf(t, away, nil) // as somebody has it who got it in time
	_, err := s.Forget(ctx, s.player.UID)
	require.NoError(t, err)

	took := tell(t, s.Book, away)
	assert.Equal(t, []string{s.player.UID}, took.Forgotten)
	_, err = away.Forget(ctx, s.player.UID) // takes the bytes out of the file too
	require.NoError(t, err)
	tell(t, away, s.Book)
	assert.Equal(t, content(t, s.Book), content(t, away))
	r, err := s.Record(ctx, s.racket.UID)
	require.NoError(t, err)
	assert.Equal(t, "300 g", r.Fields["mass"])

	late := ofBench(t, fresh(t), "M")
	tell(t, away, late)
	assert.Equal(t, content(t, away), content(t, late))
	job, err := late.Lookup(ctx, records.KindJob, s.job.UID)
	require.NoError(t, err)
	j, err := late.Job(ctx, job.ID)
	require.NoError(t, err)
	assert.Len(t, j.Events, 5)

	hostile := ofBench(t, fresh(t), "N") // it has them still, and knows of the forgetting
	forgets := slices.DeleteFunc(logOf(t, s.Book, nil), func(r Row) bool { return r.Epoch == before[0].Epoch && r.Seq < 2 })
	assert.NotEmpty(t, forgets)
	_, err = hostile.Take(ctx, before, clock(100))
	require.NoError(t, err)
	tell(t, s.Book, hostile)
	assert.NotContains(t, fmt.Sprint(content(t, hostile)), secret)
	for _, b := range []*Book{s.Book, away, late, hostile} {
		requireSound(t, b)
		require.NoError(t, b.Seal(ctx))
		for _, r := range logOf(t, b, nil) {
			assert.NotContains(t, string(r.Body), secret)
		}
	}
	require.NoError(t, s.Close())
	require.NoError(t, away.Close())
	assert.Empty(t, append(where(t, s.path, secret), where(t, away.path, secret)...))
}

// What another bench did at a job of somebody who is forgotten here comes without their words, in whatever portions it comes.
func TestForgottenInPortions(t *testing.T) {
	ctx, s := context.Background(), invite(t, ofBench(t, fresh(t), "K"))
	away := ofBench(t, fresh(t), "L")
	tell(t, s.Book, away)
	note := event(progress.Note, 2)
	note.Why = secret
	id, err := away.NewJob(ctx, Draft{At: clock(1), Plan: invented(3), Job: records.Job{Player: s.player.UID, Racket: s.racket.UID}})
	require.NoError(t, err)
	do(t, away, id, 0, event(progress.Done, 1), note)
	_, err = s.Forget(ctx, s.player.UID)
	require.NoError(t, err)
	have, err := s.Vector(ctx)
	require.NoError(t, err)
	for _, r := range logOf(t, away, have) {
		_, err := s.Take(ctx, []Row{r}, clock(100))
		require.NoError(t, err)
	}
	assert.NotContains(t, fmt.Sprint(content(t, s.Book)), secret)
	tell(t, s.Book, away)
	assert.Equal(t, content(t, s.Book), content(t, away))
	requireSound(t, s.Book)
}

// What a forgotten player's racket was told that says nothing of anybody, as that it was given back, keeps its row on every bench, also on
// one that hears of it after it heard who is forgotten: the next one would never get it.
func TestWhatSaysNothingOfTheForgotten(t *testing.T) {
	ctx := context.Background()
	k, l, m := ofBench(t, fresh(t), "K"), ofBench(t, fresh(t), "L"), ofBench(t, fresh(t), "M")
	p, err := k.Add(ctx, records.KindPlayer, records.Fields{"name": "Ada Example"}, clock(1))
	require.NoError(t, err)
	r, err := k.Add(ctx, records.KindRacket, records.Fields{"player": p.UID, "mark": "blue"}, clock(2))
	require.NoError(t, err)
	tell(t, k, l)
	_, err = k.Correct(ctx, r.UID, Change{Fields: records.Fields{"mass": "305 g"}, Why: "Ada says so", At: clock(3)})
	require.NoError(t, err)
	require.NoError(t, k.Remove(ctx, r.UID))
	_, err = l.Forget(ctx, p.UID)
	require.NoError(t, err)
	tell(t, k, l)
	emptied, err := l.Emptied(ctx)
	require.NoError(t, err)
	require.Len(t, emptied, 2, "who it is, and the racket's mark")
	n := ofBench(t, fresh(t), "N")
	tell(t, l, n) // where K's book is an older one by now nobody else knows what is left of that
	got, err := n.Record(ctx, r.UID)
	require.NoError(t, err)
	require.Equal(t, "305 g", got.Fields["mass"])
	tell(t, l, k)
	for _, from := range []*Book{l, k} {
		tell(t, from, m)
	}
	for _, b := range []*Book{k, l, m} {
		got, err := b.Record(ctx, r.UID)
		require.NoError(t, err)
		require.Equal(t, Removed, got.State)
	}
}

// Numbers that nothing stands under any more are sealed too, so that who fetches the log goes on, and all portions of them.
func TestSealWhatIsGone(t *testing.T) {
	b, ctx := fresh(t), context.Background()
	sqlExec(t, b.db, fmt.Sprintf("UPDATE self SET seq = %d", 2*sealed+1))
	require.NoError(t, b.Seal(ctx))
	epoch, seq, err := b.OwnEpoch(ctx)
	require.NoError(t, err)
	require.Equal(t, int64(2*sealed+1), seq)
	rows, err := b.Rows(ctx, epoch, 0, 3*sealed)
	require.NoError(t, err)
	require.Len(t, rows, 2*sealed+1)
	for _, r := range rows {
		require.Equal(t, rowVoid, r.Kind)
	}
}

// What one's own bench wrote may come back, up to the last of it.
func TestTakeOnesOwn(t *testing.T) {
	b := ofBench(t, fresh(t), "K")
	newJob(t, b, 2)
	for _, r := range logOf(t, b, nil) {
		took, err := b.Take(context.Background(), []Row{r}, clock(100))
		require.NoError(t, err)
		assert.Zero(t, took.Rows)
	}
}

// Two programs that share a book take in the same job by turns.
func TestTakeByTurns(t *testing.T) {
	ctx, from, path := context.Background(), ofBench(t, fresh(t), "K"), filepath.Join(t.TempDir(), "book")
	programs := []*Book{ofBench(t, open(t, path), "L"), open(t, path)}
	do(t, from, newJob(t, from, 9), 0, event(progress.Done, 1), event(progress.Done, 2), event(progress.Done, 3), event(progress.Done, 4))
	for i, r := range logOf(t, from, nil) {
		took, err := programs[i%2].Take(ctx, []Row{r}, clock(100))
		require.NoError(t, err)
		require.Equal(t, TakeResult{Rows: 1}, took)
	}
	assert.Equal(t, content(t, from), content(t, programs[0]))
}

// An attempt beside a job keeps its number when the job goes on.
func TestAttemptsKeepTheirNumbers(t *testing.T) {
	ctx, k, l := context.Background(), ofBench(t, fresh(t), "K"), ofBench(t, fresh(t), "L")
	id := newJob(t, k, 5)
	do(t, k, id, 0, event(progress.Done, 1))
	tell(t, k, l)
	do(t, l, 1, 1, event(progress.Note, 2))
	do(t, k, id, 1, event(progress.Done, 2))
	tell(t, l, k)
	newJob(t, k, 3)
	numbers := func() (list []int64) {
		all, err := k.Jobs(ctx, Filter{})
		require.NoError(t, err)
		for _, j := range all {
			list = append(list, j.ID)
		}
		return list
	}
	before := numbers()
	require.Len(t, before, 3)
	note := event(progress.Note, 2)
	note.Why = "goes on"
	own, err := l.Jobs(ctx, Filter{})
	require.NoError(t, err)
	do(t, l, own[0].ID, len(mustJob(t, l, own[0].ID).Events), note)
	tell(t, l, k)
	assert.Equal(t, before, numbers())
}

func mustJob(t testing.TB, b *Book, id int64) *Job {
	t.Helper()
	j, err := b.Job(context.Background(), id)
	require.NoError(t, err)
	return j
}
