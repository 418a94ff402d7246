package book

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/house"
	"pullcard/sequence/run"
)

// secret is in everything private that the tests write; it is invented.
const secret = "Quillfeather"

// shop is a book with a player, a job strung for them and all that was said of it, and a job that waits.
type shop struct {
	*Book
	player, racket, job, waiting Record
	id                           int64
}

func added(t testing.TB, b *Book, kind house.Name, f house.Fields) Record {
	t.Helper()
	r, err := b.Add(context.Background(), kind, f, clock(0))
	require.NoError(t, err)
	return r
}

func corrected(t testing.TB, b *Book, r Record, f house.Fields) Record {
	t.Helper()
	r, err := b.Correct(context.Background(), r.UID, Change{Fields: f, Why: "told so by " + secret, At: clock(9)})
	require.NoError(t, err)
	return r
}

func invite(t testing.TB, b *Book) shop {
	t.Helper()
	ctx := context.Background()
	s := shop{Book: b}
	s.player = added(t, b, house.Player, house.Fields{"name": secret + " (invented)", "contact": secret + "@example.org", "notes": "is " + secret, "plays": "3"})
	s.player = corrected(t, b, s.player, house.Fields{"name": "Old " + secret})
	s.racket = added(t, b, house.Racket, house.Fields{"player": s.player.UID, "mark": secret + " red", "mass": "305 g"})
	s.racket = corrected(t, b, s.racket, house.Fields{"mark": secret + " blue", "notes": secret})
	lot := added(t, b, house.Lot, house.Fields{"player": s.player.UID, "name": secret + "'s seven"})
	reel := added(t, b, house.Stock, house.Fields{"name": "Invented 1.25", "form": "reel", "length": "200 m"})
	text := "# for " + secret + "\nplayer = \"" + secret + "\"\nracket = \"" + secret + " blue\"\nframe = \"club-sixteen\"\n[tension]\nmains = \"24 kg\"\n"
	s.waiting = added(t, b, house.Job, house.Fields{"player": s.player.UID, "racket": s.racket.UID, "lot": lot.UID, "text": text, "file": "/home/" + secret + "/job.toml", "notes": secret})
	id, err := b.NewJob(ctx, Draft{Player: secret, Racket: secret + " blue", File: "/home/" + secret, Source: []byte(text), At: clock(1), Plan: invented(3),
		Fields: house.Fields{"player": s.player.UID, "racket": s.racket.UID, "reason": secret + " wants it so"}})
	require.NoError(t, err)
	s.id = id
	note := event(run.Note, 1)
	note.Why = secret + " dropped it"
	do(t, b, id, 0, note, event(run.Done, 1), mishap(2, mended(invented(3), 1, 1)), event(run.Done, 2))
	j, err := b.Job(ctx, id)
	require.NoError(t, err)
	s.job, err = b.Record(ctx, j.UID)
	require.NoError(t, err)
	reading := added(t, b, house.Reading, house.Fields{"job": s.job.UID, "value": "612 Hz", "notes": secret + " held it"})
	corrected(t, b, reading, house.Fields{"value": "613 Hz"})
	added(t, b, house.Verdict, house.Fields{"job": s.job.UID, "answer": "right", "notes": "says " + secret})
	added(t, b, house.Cut, house.Fields{"stock": reel.UID, "job": s.job.UID, "length": "6.2 m", "for": "job", "notes": "for " + secret})
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

func TestForget(t *testing.T) {
	ctx, s := context.Background(), invite(t, fresh(t))
	stranger := added(t, s.Book, house.Player, house.Fields{"name": "Somebody else"})
	require.NoError(t, s.Close())
	require.Equal(t, []string{"book"}, where(t, s.path, secret), "or nothing would be tested")
	s.Book = open(t, s.path)
	_, err := s.Correct(ctx, s.player.UID, Change{Fields: house.Fields{"notes": secret + " again"}, At: clock(10)})
	require.NoError(t, err)
	require.Equal(t, []string{"book", "book-wal"}, where(t, s.path, secret), "or nothing would be tested")
	before, err := s.Job(ctx, s.id)
	require.NoError(t, err)

	want := map[house.Name]int{house.Racket: 1, house.Lot: 1, house.Job: 2, house.Reading: 1, house.Verdict: 1, house.Cut: 1}
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
	assert.Equal(t, house.Fields{"player": s.player.UID, "mark": "racket 1", "mass": "305 g"}, racket.Fields)
	found, err := s.Find(ctx, house.Racket, secret, 0)
	require.NoError(t, err)
	assert.Empty(t, found)

	after, err := s.Job(ctx, s.id)
	require.NoError(t, err)
	assert.Equal(t, before.Plan, after.Plan)
	require.Len(t, after.Events, len(before.Events))
	for i, e := range after.Events {
		was := before.Events[i]
		was.Why = ""
		assert.Equal(t, was, e)
	}
	assert.Equal(t, "frame = 'club-sixteen'\n\n[tension]\nmains = '24 kg'\n", string(after.Source))
	cards, err := s.History(ctx, s.player.UID)
	require.NoError(t, err)
	require.Len(t, cards, 2)
	assert.Equal(t, house.Fields{"job": s.job.UID, "value": "613 Hz"}, cards[0].Readings[0].Fields)
	assert.Equal(t, house.Fields{"job": s.job.UID, "answer": "right"}, cards[0].Verdicts[0].Fields)

	// The others stay, and the work goes on.
	other, err := s.Record(ctx, stranger.UID)
	require.NoError(t, err)
	assert.Equal(t, stranger.Fields, other.Fields)
	do(t, s.Book, s.id, len(after.Events), event(run.Done, 3))
	_, err = s.Correct(ctx, s.player.UID, Change{Fields: house.Fields{"name": secret}, At: clock(11)})
	assert.ErrorContains(t, err, "the player was forgotten")
}

// Books from before there were records have jobs that only name somebody.
func TestForgetAJobOfAnOldBook(t *testing.T) {
	ctx, path := context.Background(), versionOne(t)
	b := open(t, path)
	p := added(t, b, house.Player, house.Fields{"name": "player ONE"})
	require.Contains(t, exported(t, b), "Player one")
	n, err := b.Forget(ctx, p.UID)
	require.NoError(t, err)
	assert.Equal(t, map[house.Name]int{house.Job: 3}, n)
	assert.NotContains(t, exported(t, b), "Player one")
	assert.Empty(t, where(t, path, "Player one"))
	cards, err := b.History(ctx, p.UID)
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
	assert.ErrorContains(t, err, "close it there and forget the player once more")
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

func TestAnonymousFile(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"comments and names go": {"# Ada\nplayer = \"Ada\" # Ada\nframe = 'x'", "frame = 'x'\n"},
		"nothing else in it":    {"player = 'Ada'", ""},
		"not readable":          {"player = Ada", ""},
		"empty":                 {"", ""},
	} {
		assert.Equal(t, c.want, string(anonymousFile([]byte(c.text))), name)
	}
}

func TestOpenOld(t *testing.T) {
	path := filepath.Join(t.TempDir(), "none", "book")
	_, err := OpenOld(context.Background(), path)
	require.ErrorContains(t, err, "there is no such book")
	assert.NoDirExists(t, filepath.Dir(path))
}
