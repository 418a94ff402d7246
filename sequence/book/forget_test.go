package book

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"maps"
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

// secret is in everything private that the tests write; it is invented.
const secret = "Quillfeather"

// shop is a book with a player, a job strung for them and all that was said of it, and a job that waits.
type shop struct {
	*Book
	player, racket, job, waiting Record
	id                           int64
}

func added(t testing.TB, b *Book, kind records.Name, f records.Fields) Record {
	t.Helper()
	r, err := b.Add(context.Background(), kind, f, clock(0))
	require.NoError(t, err)
	return r
}

func corrected(t testing.TB, b *Book, r Record, f records.Fields) Record {
	t.Helper()
	r, err := b.Correct(context.Background(), r.UID, Change{Fields: f, Why: "told so by " + secret, At: clock(9)})
	require.NoError(t, err)
	return r
}

func invite(t testing.TB, b *Book) shop {
	t.Helper()
	ctx := context.Background()
	s := shop{Book: b}
	s.player = added(t, b, records.KindPlayer, records.Fields{"name": secret + " (invented)", "contact": secret + "@example.org", "notes": "is " + secret, "plays": "3"})
	s.player = corrected(t, b, s.player, records.Fields{"name": "Old " + secret})
	s.racket = added(t, b, records.KindRacket, records.Fields{"player": s.player.UID, "mark": secret + " red", "mass": "305 g"})
	s.racket = corrected(t, b, s.racket, records.Fields{"mark": secret + " blue", "notes": secret})
	lot := added(t, b, records.KindLot, records.Fields{"player": s.player.UID, "name": secret + "'s seven"})
	reel := added(t, b, records.KindStock, records.Fields{"name": "Invented 1.25", "form": "reel", "length": "200 m"})
	text := "# for " + secret + "\nplayer = \"" + secret + "\"\nracket = \"" + secret + " blue\"\nframe = \"club-sixteen\"\ntechnique = \"two-piece-skip\"\n[tension]\nmains = \"24 kg\"\n"
	s.waiting = added(t, b, records.KindJob, records.Fields{"player": s.player.UID, "racket": s.racket.UID, "lot": lot.UID, "text": text, "file": "/home/" + secret + "/job.toml", "notes": secret})
	id, err := b.NewJob(ctx, Draft{Player: secret, Racket: secret + " blue", File: "/home/" + secret, Source: []byte(text), At: clock(1), Plan: invented(3),
		Job: records.Job{Player: s.player.UID, Racket: s.racket.UID, Reason: secret + " wants it so"}})
	require.NoError(t, err)
	s.id = id
	note := event(progress.Note, 1)
	note.Why = secret + " dropped it"
	do(t, b, id, 0, note, event(progress.Done, 1), mishap(2, mended(invented(3), 1, 1)), event(progress.Done, 2))
	j, err := b.Job(ctx, id)
	require.NoError(t, err)
	s.job, err = b.Record(ctx, j.UID)
	require.NoError(t, err)
	reading := added(t, b, records.KindReading, records.Fields{"job": s.job.UID, "value": "612 Hz", "notes": secret + " held it"})
	corrected(t, b, reading, records.Fields{"value": "613 Hz"})
	added(t, b, records.KindVerdict, records.Fields{"job": s.job.UID, "answer": "right", "notes": "says " + secret})
	added(t, b, records.KindCut, records.Fields{"stock": reel.UID, "job": s.job.UID, "length": "6.2 m", "for": "job", "notes": "for " + secret})
	return s
}

// where lists the book's files that hold some bytes.
func where(t testing.TB, path, text string) (names []string) {
	t.Helper()
	for _, more := range companions() {
		data, err := os.ReadFile(path + more)
		if err != nil {
			require.ErrorIs(t, err, os.ErrNotExist)
		}
		if bytes.Contains(data, []byte(text)) {
			names = append(names, "book"+more)
		}
	}
	return names
}

// Whatever of somebody else names a player who is forgotten stays, and is said: records, what they said before and why that was corrected, and
// what was written when another's racket was begun and at the bench.
func TestWhatStaysIsSaid(t *testing.T) {
	sweep.Only(t)
	rapid.Check(t, func(rt *rapid.T) {
		ctx, s := context.Background(), invite(t, fresh(t))
		says := func(what string) string {
			if rapid.Bool().Draw(rt, what) {
				return "for " + secret + ", they say"
			}
			return ""
		}
		put := func(kind records.Name, f records.Fields) Record {
			f["notes"] = says(string(kind))
			return added(t, s.Book, kind, f)
		}
		cy := put(records.KindStringer, records.Fields{"name": strings.TrimSpace("Cy " + says("stringer's name"))})
		window := put(records.KindMachine, records.Fields{"name": "window", "accepted": says("who accepted")})
		put(records.KindGauge, records.Fields{"machine": window.UID, "set": "24 kg", "read": "23.7 kg", "stringer": cy.UID})
		put(records.KindStock, records.Fields{"name": "Invented 1.30", "form": "reel", "length": "200 m"})
		bo := put(records.KindPlayer, records.Fields{"name": "Bo (invented)", "contact": says("contact")})
		red := put(records.KindRacket, records.Fields{"player": bo.UID, "mark": "red"})
		id, err := s.NewJob(ctx, Draft{Player: "Bo (invented)", Racket: "red", File: says("file"), Source: []byte("# " + says("source")), At: clock(20), Plan: invented(3),
			Job: records.Job{Player: bo.UID, Racket: red.UID, Reason: says("reason")}})
		require.NoError(rt, err)
		note := event(progress.Note, 1)
		note.Why = "note " + says("journal")
		do(t, s.Book, id, 0, note)
		j, err := s.Job(ctx, id)
		require.NoError(rt, err)
		put(records.KindReading, records.Fields{"job": j.UID, "value": "612 Hz", "with": says("with")})
		put(records.KindVerdict, records.Fields{"job": j.UID, "answer": "right"})
		for _, r := range []Record{cy, bo, red} {
			_, err := s.Correct(ctx, r.UID, Change{Fields: records.Fields{"notes": "nothing"}, Why: says("why"), At: clock(30)})
			require.NoError(rt, err)
		}
		_, err = s.Forget(ctx, s.player.UID)
		require.NoError(rt, err)

		kept := map[string]bool{}
		all, err := os.ReadFile(takenOut(t, s.Book))
		require.NoError(rt, err)
		for _, line := range bytes.Split(bytes.TrimSpace(all), []byte("\n"))[1:] {
			var i item
			require.NoError(rt, json.Unmarshal(line, &i))
			switch {
			case !bytes.Contains(line, []byte(secret)) && (i.Job == nil || !bytes.Contains(i.Job.Source, []byte(secret))):
			case i.Record != nil:
				kept[fmt.Sprint(i.Record.Kind, " ", i.Record.ID)] = true
			default:
				r, err := s.Record(ctx, i.Job.UID)
				require.NoError(rt, err)
				kept[fmt.Sprint("job ", r.ID)] = true
			}
		}
		said, err := s.Mentions(ctx, secret)
		require.NoError(rt, err)
		require.ElementsMatch(rt, slices.Collect(maps.Keys(kept)), said)
	})
}

func TestForget(t *testing.T) {
	ctx, s := context.Background(), invite(t, fresh(t))
	stranger := added(t, s.Book, records.KindPlayer, records.Fields{"name": "Somebody else"})
	require.NoError(t, s.Close())
	require.Equal(t, []string{"book"}, where(t, s.path, secret), "or nothing would be tested")
	s.Book = open(t, s.path)
	_, err := s.Correct(ctx, s.player.UID, Change{Fields: records.Fields{"notes": secret + " again"}, At: clock(10)})
	require.NoError(t, err)
	require.Equal(t, []string{"book", "book-wal"}, where(t, s.path, secret), "or nothing would be tested")
	before, err := s.Job(ctx, s.id)
	require.NoError(t, err)

	want := map[records.Name]int{records.KindRacket: 1, records.KindLot: 1, records.KindJob: 2, records.KindReading: 1, records.KindVerdict: 1, records.KindCut: 1}
	n, err := s.Concerns(ctx, s.player.UID)
	require.NoError(t, err)
	assert.Equal(t, want, n)
	n, err = s.Forget(ctx, s.player.UID)
	require.NoError(t, err)
	assert.Equal(t, want, n)
	assert.Empty(t, where(t, s.path, secret))
	require.NoError(t, s.Close())
	assert.Empty(t, where(t, s.path, secret))
	s.Book = open(t, s.path)

	p, err := s.Record(ctx, s.player.UID)
	require.NoError(t, err)
	assert.Equal(t, Forgotten, p.State)
	assert.Empty(t, p.Fields)
	racket, err := s.Record(ctx, s.racket.UID)
	require.NoError(t, err)
	assert.Equal(t, records.Fields{"player": s.player.UID, "mark": "racket 1", "mass": "305 g"}, racket.Fields)
	found, err := s.Find(ctx, records.KindRacket, secret, 0)
	require.NoError(t, err)
	assert.Empty(t, found)

	after, err := s.Job(ctx, s.id)
	require.NoError(t, err)
	assert.Equal(t, before.Plan, after.Plan)
	require.Len(t, after.Events, len(before.Events))
	for i, e := range after.Events {
		assert.Equal(t, before.Events[i].Unsaid(), e)
	}
	assert.Equal(t, "frame = 'club-sixteen'\ntechnique = 'two-piece-skip'\n\n[tension]\nmains = '24 kg'\ncrosses = '24 kg'\n", string(after.Source))
	cards, err := s.History(ctx, records.Job{Player: s.player.UID})
	require.NoError(t, err)
	require.Len(t, cards, 2)
	assert.Equal(t, records.Fields{"job": s.job.UID, "value": "613 Hz"}, cards[0].Readings[0].Fields)
	assert.Equal(t, records.Fields{"job": s.job.UID, "answer": "right"}, cards[0].Verdicts[0].Fields)

	// The others stay, and the work goes on.
	other, err := s.Record(ctx, stranger.UID)
	require.NoError(t, err)
	assert.Equal(t, stranger.Fields, other.Fields)
	do(t, s.Book, s.id, len(after.Events), event(progress.Done, 3))
	_, err = s.Correct(ctx, s.player.UID, Change{Fields: records.Fields{"name": secret}, At: clock(11)})
	assert.ErrorContains(t, err, "the player was forgotten")
}

// Who strung is forgotten in their own record, on every bench and with what was said of them before; what they strung and counted stays as it was,
// with what was written of the players, then and later.
func TestForgetAStringer(t *testing.T) {
	ctx, s := context.Background(), ofBench(t, fresh(t), "K")
	away := ofBench(t, fresh(t), "L")
	cy := added(t, s, records.KindStringer, records.Fields{"name": secret, "since": "2031-05-04 13:00", "away": "2031-05-05 09:00", "notes": "ill, says " + secret})
	cy = corrected(t, s, cy, records.Fields{"name": "Cy " + secret})
	ada := added(t, s, records.KindPlayer, records.Fields{"name": "Ada (invented)", "notes": "likes it soft"})
	red := added(t, s, records.KindRacket, records.Fields{"player": ada.UID, "mark": "red"})
	window := added(t, s, records.KindMachine, records.Fields{"name": "window"})
	gauge := added(t, s, records.KindGauge, records.Fields{"machine": window.UID, "set": "24 kg", "read": "23.7 kg", "stringer": cy.UID, "notes": "in the morning"})
	id, err := s.NewJob(ctx, Draft{Player: "Ada (invented)", Racket: "red", Source: []byte("frame = \"club-sixteen\"\n"), At: clock(1), Plan: invented(3),
		Job: records.Job{Player: ada.UID, Racket: red.UID, Stringer: cy.UID, Notes: "mind the handle"}})
	require.NoError(t, err)
	j, err := s.Job(ctx, id)
	require.NoError(t, err)
	tell(t, s, away)
	corrected(t, away, cy, records.Fields{"notes": secret + " is back"})
	require.NotEmpty(t, where(t, s.path, secret), "or nothing would be tested")

	n, err := s.Forget(ctx, cy.UID)
	require.NoError(t, err)
	assert.Empty(t, n, "nothing else is theirs")
	tell(t, s, away)
	_, err = away.Forget(ctx, cy.UID) // takes the bytes out of the file too
	require.NoError(t, err)
	tell(t, away, s)
	assert.Equal(t, content(t, s), content(t, away))
	for _, b := range []*Book{s, away} {
		requireSound(t, b)
		gone, err := b.Record(ctx, cy.UID)
		require.NoError(t, err)
		assert.Equal(t, Forgotten, gone.State)
		assert.Empty(t, gone.Fields)
		_, err = b.Correct(ctx, cy.UID, Change{Fields: records.Fields{"name": secret}, At: clock(20)})
		assert.ErrorContains(t, err, "the stringer was forgotten")
		for _, was := range []Record{ada, red, window, gauge} {
			is, err := b.Record(ctx, was.UID)
			require.NoError(t, err)
			assert.Equal(t, was.Fields, is.Fields)
		}
		job, err := b.Record(ctx, j.UID)
		require.NoError(t, err)
		assert.Equal(t, "mind the handle", job.Fields["notes"])
		assert.Equal(t, cy.UID, job.Fields["stringer"], "somebody of whom nobody knows who it was")
	}
	job, err := s.Correct(ctx, j.UID, Change{Fields: records.Fields{"notes": "and the bumper"}, Why: "seen late", At: clock(21)})
	require.NoError(t, err)
	assert.Equal(t, "and the bumper", job.Fields["notes"], "what is said of a player's racket stays")
	note := event(progress.Note, 1)
	note.Why = "dropped it"
	do(t, s, id, 0, note)
	again, err := s.Job(ctx, id)
	require.NoError(t, err)
	assert.Equal(t, "dropped it", again.Events[0].Why)
	require.NoError(t, s.Close())
	require.NoError(t, away.Close())
	assert.Empty(t, append(where(t, s.path, secret), where(t, away.path, secret)...))
}

// Books from before there were records have jobs that only name somebody.
func TestForgetAJobOfAnOldBook(t *testing.T) {
	ctx, path := context.Background(), versionOne(t)
	b := open(t, path)
	p := added(t, b, records.KindPlayer, records.Fields{"name": "player ONE"})
	require.Contains(t, exported(t, b), "Player one")
	n, err := b.Forget(ctx, p.UID)
	require.NoError(t, err)
	assert.Equal(t, map[records.Name]int{records.KindJob: 3}, n)
	assert.NotContains(t, exported(t, b), "Player one")
	assert.Empty(t, where(t, path, "Player one"))
	cards, err := b.History(ctx, records.Job{Player: p.UID})
	require.NoError(t, err)
	assert.Len(t, cards, 3)
}

func TestForgetWhileAnotherProgramReads(t *testing.T) {
	ctx, s := context.Background(), invite(t, fresh(t))
	other := raw(t, s.path)
	other.SetMaxOpenConns(1)
	sqlExec(t, other, "BEGIN")
	sqlExec(t, other, "SELECT count(*) FROM records")
	sqlExec(t, s.db, "PRAGMA busy_timeout = 20")
	_, err := s.Forget(ctx, s.player.UID)
	var held *HeldError
	require.ErrorAs(t, err, &held)
	assert.ErrorContains(t, err, "close it there and forget them once more")
	assert.NotEmpty(t, where(t, s.path, secret))

	sqlExec(t, other, "ROLLBACK")
	_, err = s.Forget(ctx, s.player.UID)
	require.NoError(t, err)
	assert.Empty(t, where(t, s.path, secret))
}

func TestForgetOnlyPlayers(t *testing.T) {
	ctx, s := context.Background(), invite(t, fresh(t))
	for _, uid := range []string{s.racket.UID, s.job.UID, "nobody"} {
		_, err := s.Forget(ctx, uid)
		assert.Error(t, err)
		_, err = s.Concerns(ctx, uid)
		assert.Error(t, err)
	}
	assert.NotEmpty(t, where(t, s.path, secret))
}

func TestOpenOld(t *testing.T) {
	path := filepath.Join(t.TempDir(), "none", "book")
	_, err := OpenExisting(context.Background(), path)
	require.ErrorContains(t, err, "there is no such book")
	assert.NoDirExists(t, filepath.Dir(path))
}

// What is written of a forgotten player's racket and job from then on is without private words, as is what comes of them from elsewhere.
func TestWrittenOfTheForgotten(t *testing.T) {
	ctx, s := context.Background(), invite(t, ofBench(t, fresh(t), "K"))
	away := ofBench(t, fresh(t), "L")
	tell(t, s.Book, away)
	there := added(t, away, records.KindRacket, records.Fields{"player": s.player.UID, "mark": secret + " green", "notes": secret})
	_, err := s.Forget(ctx, s.player.UID)
	require.NoError(t, err)
	tell(t, away, s.Book)
	_, err = s.Record(ctx, there.UID)
	require.NoError(t, err, "it is there")

	said := event(progress.Note, 3)
	said.Why = secret + " fell"
	do(t, s.Book, s.id, 4, said)
	_, err = s.NewJob(ctx, Draft{UID: s.waiting.UID, At: clock(20), Plan: invented(3), Job: records.Job{Reason: secret}})
	require.NoError(t, err)
	reading, err := s.Add(ctx, records.KindReading, records.Fields{"job": s.job.UID, "value": "609 Hz", "notes": secret}, clock(30))
	require.NoError(t, err)
	assert.Empty(t, reading.Fields["notes"])
	assert.NotContains(t, fmt.Sprint(content(t, s.Book)), secret)
	requireSound(t, s.Book)
}

// A stringer has none of the jobs that only name a player, who may be called the same.
func TestStringersHaveNoNamelessJobs(t *testing.T) {
	b, ctx := open(t, versionOne(t)), context.Background()
	for kind, want := range map[records.Name]int{records.KindPlayer: 3, records.KindStringer: 0} {
		n, err := b.Concerns(ctx, added(t, b, kind, records.Fields{"name": "Player one"}).UID)
		require.NoError(t, err)
		assert.Equal(t, want, n[records.KindJob])
	}
}
