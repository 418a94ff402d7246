// Package booktest fills books for benchmarks. Fill is what to call.
package booktest

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	_ "modernc.org/sqlite" // the driver by which the file is filled

	"pullcard/sequence/records"
)

// Like is how the jobs of a filled book are strung: by the newest plan that the book has, with so many steps.
type Like struct {
	Steps            int
	Frame, Technique string
	Mains, Crosses   string // the tensions as ordered
	File, Source     string
	// Open is how many of the jobs, the newest, are still in work.
	Open int
	// From is when the first job was begun; the others follow 20 minutes apart.
	From time.Time
}

// Fill adds to the book in a file so many jobs, all invented: one in ten as many players with a racket each, for each job a cut and a
// reading, for every fifth an answer. The book must have a plan. It writes past the book's methods, since it would take an hour
// otherwise.
func Fill(tb testing.TB, path string, jobs int, like Like) {
	tb.Helper()
	db, err := sql.Open("sqlite", "file:"+path+"?_pragma=synchronous(OFF)&_pragma=cache_size(-65536)&_txlock=immediate")
	require.NoError(tb, err)
	defer func() { require.NoError(tb, db.Close()) }()
	tx, err := db.Begin()
	require.NoError(tb, err)
	f := filler{tb: tb, tx: tx, like: like, ids: map[records.Name]int{}, ready: map[string]*sql.Stmt{}}
	f.house(max(jobs/10, 1))
	for i := range jobs {
		f.job(i, i < jobs-like.Open)
	}
	require.NoError(tb, tx.Commit())
}

type filler struct {
	tb    testing.TB
	tx    *sql.Tx
	like  Like
	ids   map[records.Name]int
	ready map[string]*sql.Stmt

	players, rackets, machines, stringers, stock []string
	plan, first                                  int64
}

func (f *filler) at(i int) time.Time { return f.like.From.Add(time.Duration(i) * 20 * time.Minute) }

func (f *filler) exec(query string, args ...any) {
	if f.ready[query] == nil {
		s, err := f.tx.Prepare(query)
		require.NoError(f.tb, err)
		f.ready[query] = s
	}
	_, err := f.ready[query].ExecContext(context.Background(), args...)
	require.NoError(f.tb, err)
}

func (f *filler) record(kind records.Name, fields records.Fields, at time.Time) string {
	k, _ := records.Find(kind)
	fields, err := k.Read(fields, at)
	require.NoError(f.tb, err)
	body, err := json.Marshal(fields)
	require.NoError(f.tb, err)
	f.ids[kind]++
	uid := fmt.Sprintf("%s-%024d", kind, f.ids[kind])
	f.exec(`INSERT INTO records (uid, kind, id, owner, at, words, body, state, waiting)
		SELECT ?1, ?2, coalesce(max(id), 0) + 1, ?3, ?4, ?5, ?6, 'kept', 0 FROM records WHERE kind = ?2`,
		uid, kind, fields[k.Owner], at.UTC().Format("2006-01-02T15:04:05.000000000Z"), k.Words(fields), string(body))
	return uid
}

func (f *filler) house(players int) {
	require.NoError(f.tb, f.tx.QueryRow("SELECT max(id), (SELECT coalesce(max(id), 0) FROM jobs) FROM plans").Scan(&f.plan, &f.first))
	for n := range 3 {
		f.machines = append(f.machines, f.record(records.KindMachine, records.Texts(records.Machine{Name: fmt.Sprint("machine ", n)}), f.at(0)))
		f.stringers = append(f.stringers, f.record(records.KindStringer, records.Texts(records.Stringer{Name: fmt.Sprint("stringer ", n)}), f.at(0)))
	}
	for n := range 20 {
		f.stock = append(f.stock, f.record(records.KindStock, records.Texts(records.Stock{Name: fmt.Sprint("Invented ", n), Form: "reel", Length: "200 m", Material: "polyester"}), f.at(0)))
	}
	for n := range players {
		player := f.record(records.KindPlayer, records.Texts(records.Player{Name: fmt.Sprintf("%c%c Player %d (invented)", 'A'+n%26, 'a'+n/26%26, n), Plays: "3"}), f.at(0))
		f.players = append(f.players, player)
		f.rackets = append(f.rackets, f.record(records.KindRacket, records.Texts(records.Racket{Player: player, Mark: fmt.Sprint("racket ", n)}), f.at(0)))
	}
}

func (f *filler) job(i int, finished bool) {
	at, of := f.at(i), i*7%len(f.players)
	uid := f.record(records.KindJob, records.Texts(records.Job{Player: f.players[of], Racket: f.rackets[of], Machine: f.machines[i%3], Stringer: f.stringers[i/7%3],
		Mains: f.stock[i%20]}), at)
	done, state := f.like.Steps, "done"
	if !finished {
		done, state = f.like.Steps/2, "open"
	}
	id := f.first + int64(i) + 1
	f.exec(`INSERT INTO jobs (id, uid, player, racket, frame, technique, plan, steps, step, state, made, last, file, source, mains, crosses)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		id, uid, fmt.Sprint("Player ", of), fmt.Sprint("racket ", of), f.like.Frame, f.like.Technique, f.plan, f.like.Steps, min(done+1, f.like.Steps), state,
		written(at), written(at.Add(time.Duration(done)*20*time.Second)), f.like.File, []byte(f.like.Source), f.like.Mains, f.like.Crosses)
	for n := 1; n <= done; n++ {
		f.exec("INSERT INTO events (job, seq, at, kind, step, what, why) VALUES (?, ?, ?, 'done', ?, '', '')", id, n, written(at.Add(time.Duration(n)*20*time.Second)), n)
	}
	f.record(records.KindCut, records.Texts(records.Cut{Stock: f.stock[i%20], Job: uid, Length: "12 m", For: records.ForJob}), at)
	if !finished {
		return
	}
	f.record(records.KindReading, records.Texts(records.Reading{Job: uid, Value: records.Amount(fmt.Sprintf("%d Hz", 600+i%30)), Expected: "612 Hz"}), at)
	if i%5 == 0 {
		f.record(records.KindVerdict, records.Texts(records.Verdict{Job: uid, Answer: "right"}), at)
	}
}

func written(at time.Time) string { return at.Format(time.RFC3339Nano) }
