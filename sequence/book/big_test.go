package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// BigBook makes a book of so many jobs of 64 steps, all invented: one in ten as many players with a racket each, for each
// job a cut and a reading, for every fifth an answer. The last ten jobs are open, the others done. It writes past the
// book's methods, since it would take an hour otherwise; TestBigBook holds that it is a book all the same.
func BigBook(tb testing.TB, jobs int) string {
	tb.Helper()
	path := filepath.Join(tb.TempDir(), "big")
	b := open(tb, path)
	sqlExec(tb, b.db, "PRAGMA synchronous = OFF; PRAGMA cache_size = -65536")
	require.NoError(tb, b.write(context.Background(), func(tx *sql.Tx) error {
		f := filler{tb: tb, tx: tx, q: statements{tx, map[string]*sql.Stmt{}}, ids: map[records.Name]int{}}
		f.house(max(jobs/10, 1))
		for i := range jobs {
			f.job(i, i < jobs-10)
		}
		return nil
	}))
	require.NoError(tb, b.Close())
	return path
}

type filler struct {
	tb  testing.TB
	tx  *sql.Tx
	q   statements
	ids map[records.Name]int

	players, rackets, machines, stringers, stock []string
	plans                                        []int64
}

// at spreads the jobs over the years, 20 minutes apart.
func (f *filler) at(i int) time.Time { return clock(0).Add(time.Duration(i) * 20 * time.Minute) }

func (f *filler) exec(query string, args ...any) {
	require.NoError(f.tb, f.q.exec(context.Background(), query, args...))
}

func (f *filler) record(kind records.Name, fields records.Fields, at time.Time) string {
	k, _ := records.Find(kind)
	fields, err := k.Read(fields, at)
	require.NoError(f.tb, err)
	body, err := json.Marshal(fields)
	require.NoError(f.tb, err)
	f.ids[kind]++
	uid := fmt.Sprintf("%s-%024d", kind, f.ids[kind])
	f.exec("INSERT INTO records (uid, kind, id, owner, at, words, body, state, waiting) VALUES (?, ?, ?, ?, ?, ?, ?, 'kept', 0)",
		uid, kind, f.ids[kind], fields[k.Owner], stamp(at), k.Words(fields), string(body))
	return uid
}

func (f *filler) house(players int) {
	for n := range 10 {
		p := invented(64)
		p.Plan = fmt.Sprintf("%016x", n)
		id, err := keepPlan(context.Background(), f.tx, p)
		require.NoError(f.tb, err)
		f.plans = append(f.plans, id)
	}
	for n := range 3 {
		f.machines = append(f.machines, f.record(records.KindMachine, records.Fields{"name": fmt.Sprint("machine ", n)}, f.at(0)))
		f.stringers = append(f.stringers, f.record(records.KindStringer, records.Fields{"name": fmt.Sprint("stringer ", n)}, f.at(0)))
	}
	for n := range 20 {
		f.stock = append(f.stock, f.record(records.KindStock, records.Fields{"name": fmt.Sprint("Invented ", n), "form": "reel", "length": "200 m"}, f.at(0)))
	}
	for n := range players {
		player := f.record(records.KindPlayer, records.Fields{"name": fmt.Sprintf("%c%c Player %d (invented)", 'A'+n%26, 'a'+n/26%26, n), "plays": "3"}, f.at(0))
		f.players = append(f.players, player)
		f.rackets = append(f.rackets, f.record(records.KindRacket, records.Fields{"player": player, "mark": fmt.Sprint("racket ", n)}, f.at(0)))
	}
}

func (f *filler) job(i int, finished bool) {
	at, of := f.at(i), i*7%len(f.players)
	uid := f.record(records.KindJob, records.Fields{"player": f.players[of], "racket": f.rackets[of], "machine": f.machines[i%3], "stringer": f.stringers[i/7%3],
		"mains": f.stock[i%20]}, at)
	done, state := 64, progress.Finished
	if !finished {
		done, state = 30, progress.Open
	}
	made, err := at.MarshalText()
	require.NoError(f.tb, err)
	last, err := at.Add(time.Duration(done) * 20 * time.Second).MarshalText()
	require.NoError(f.tb, err)
	f.exec(`INSERT INTO jobs (id, uid, player, racket, frame, technique, plan, steps, step, state, made, last, file, source, mains, crosses)
		VALUES (?, ?, ?, ?, 'Invented sixteen', 'Two pieces', ?, 64, ?, ?, ?, ?, '', ?, '', '')`,
		i+1, uid, fmt.Sprint("Player ", of), fmt.Sprint("racket ", of), f.plans[i%10], min(done+1, 64), state, string(made), string(last), []byte("mains = '24 kg'\n"))
	for n := 1; n <= done; n++ {
		text, err := at.Add(time.Duration(n) * 20 * time.Second).MarshalText()
		require.NoError(f.tb, err)
		f.exec("INSERT INTO events (job, seq, at, kind, step, what, why) VALUES (?, ?, ?, 'done', ?, '', '')", i+1, n, string(text), n)
	}
	f.record(records.KindCut, records.Fields{"stock": f.stock[i%20], "job": uid, "length": "12 m", "for": "job"}, at)
	if !finished {
		return
	}
	f.record(records.KindReading, records.Fields{"job": uid, "value": fmt.Sprintf("%d Hz", 600+i%30), "expected": "612 Hz"}, at)
	if i%5 == 0 {
		f.record(records.KindVerdict, records.Fields{"job": uid, "answer": "right"}, at)
	}
}

func TestBigBook(t *testing.T) {
	b := open(t, BigBook(t, 40))
	requireSound(t, b)
	list, err := b.Jobs(context.Background(), Filter{State: progress.Open})
	require.NoError(t, err)
	require.Len(t, list, 10)
	do(t, b, list[0].ID, 30, event(progress.Done, 31))
}

// BenchmarkBig is what a house asks of a book of 20,000 jobs.
func BenchmarkBig(b *testing.B) {
	ctx, path := context.Background(), BigBook(b, 20_000)
	b.Run("OpenAndList", func(b *testing.B) {
		spread(b, func(int) {}, func(int) {
			bk, err := Open(ctx, path)
			require.NoError(b, err)
			list, err := bk.Jobs(ctx, Filter{State: progress.Open})
			require.NoError(b, err)
			require.NotEmpty(b, list)
			require.NoError(b, bk.Close())
		})
	})
	bk := open(b, path)
	players, err := bk.Find(ctx, records.KindPlayer, "", 0)
	require.NoError(b, err)
	machines, err := bk.Find(ctx, records.KindMachine, "", 0)
	require.NoError(b, err)
	for name, work := range map[string]func(i int) (int, error){
		"FindPlayer": func(i int) (int, error) {
			list, err := bk.Find(ctx, records.KindPlayer, fmt.Sprint("player ", i%2000), 20)
			return len(list), err
		},
		"FindPlayerByALetter": func(i int) (int, error) {
			list, err := bk.Find(ctx, records.KindPlayer, string(rune('a'+i%26)), 20)
			return len(list), err
		},
		"History": func(i int) (int, error) {
			list, err := bk.History(ctx, records.Job{Player: players[i%len(players)].UID})
			return len(list), err
		},
		"Series200": func(i int) (int, error) {
			list, err := bk.Series(ctx, records.Job{Machine: machines[i%3].UID}, 200)
			return len(list), err
		},
		"SeriesAll": func(i int) (int, error) {
			list, err := bk.Series(ctx, records.Job{Machine: machines[i%3].UID}, 0)
			return len(list), err
		},
	} {
		b.Run(name, func(b *testing.B) {
			spread(b, func(int) {}, func(i int) {
				n, err := work(i)
				require.NoError(b, err)
				require.Positive(b, n)
			})
		})
	}
	b.Run("AppendWhileCopied", func(b *testing.B) { appendWhileCopied(b, bk) })
	b.Run("Backup", func(b *testing.B) {
		dir := b.TempDir()
		spread(b, func(int) {}, func(i int) { require.NoError(b, bk.Backup(ctx, filepath.Join(dir, fmt.Sprint(b.N, i)), nil)) })
	})
	b.Run("Check", func(b *testing.B) {
		spread(b, func(int) {}, func(int) { requireSound(b, bk) })
	})
	b.Run("ExportAllAndImport", func(b *testing.B) {
		spread(b, func(int) {}, func(int) {
			whole := takenOut(b, bk)
			start := time.Now()
			_, err := fresh(b).Import(ctx, whole, clock(0), nil)
			require.NoError(b, err)
			b.ReportMetric(time.Since(start).Seconds(), "import-s")
			start = time.Now()
			_, err = bk.Import(ctx, whole, clock(0), nil)
			require.NoError(b, err)
			b.ReportMetric(time.Since(start).Seconds(), "again-s")
		})
	})
}

// appendWhileCopied writes events while somebody makes one copy of the book after another.
func appendWhileCopied(b *testing.B, bk *Book) {
	ctx, stop := context.WithCancel(context.Background())
	dir, copies, ended := b.TempDir(), 0, make(chan struct{})
	go func() {
		defer close(ended)
		for ctx.Err() == nil {
			path := filepath.Join(dir, fmt.Sprint(copies))
			if bk.Backup(ctx, path, nil) == nil {
				copies++
				_ = gone(path)
			}
		}
	}()
	var id int64
	spread(b, func(i int) {
		if i%70 == 0 {
			id = newJob(b, bk, 70)
		}
	}, func(i int) {
		require.NoError(b, bk.Append(context.Background(), id, i%70, event(progress.Done, i%70+1)))
	})
	stop()
	<-ended
	b.ReportMetric(float64(copies), "copies")
}
