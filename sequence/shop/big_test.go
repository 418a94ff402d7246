package shop

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/book/booktest"
	"pullcard/sequence/records"
)

// bigShop is a shop whose book has 20,000 strung jobs, ten in work and twenty that wait, four of them in a lot, all invented.
func bigShop(b *testing.B) (s *Shop, path, lot string) {
	ctx := context.Background()
	path = filepath.Join(b.TempDir(), "big")
	if kept := os.Getenv("PULLCARD_BIG"); kept != "" {
		path = kept
	}
	now := time.Date(2031, 5, 4, 12, 0, 0, 0, time.Local)
	_, err := os.Stat(path)
	bk, wrong := book.Open(ctx, path)
	require.NoError(b, wrong)
	b.Cleanup(func() { bk.Close() })
	s = &Shop{Files: disk().Keeping(bk), Book: bk, Now: func() time.Time { return now }, Stringer: "stringer 0"}
	if err != nil {
		w, err := s.Demo()
		require.NoError(b, err)
		_, err = bk.NewJob(ctx, book.Draft{Plan: w.Plan, Source: w.Source, File: "first.toml", At: now.AddDate(-1, 0, 0)})
		require.NoError(b, err)
		booktest.Fill(b, path, 20_010, booktest.Like{Steps: len(w.Plan.Steps), Frame: w.Plan.Frame, Technique: w.Plan.Technique, Mains: "24 kg", Crosses: "23 kg",
			Source: string(w.Source), Open: 10, From: now.Add(-20_010 * 20 * time.Minute)})
		s.waiting(b, 20)
	}
	lots, err := bk.Find(ctx, records.KindLot, "", 1)
	require.NoError(b, err)
	return s, path, lots[0].UID
}

// waiting adds jobs that wait, each of another player, the first four in a lot.
func (s *Shop) waiting(b *testing.B, n int) {
	ctx := context.Background()
	rackets, err := s.Book.Find(ctx, records.KindRacket, "", 0)
	require.NoError(b, err)
	machines, err := s.Book.Find(ctx, records.KindMachine, "", 0)
	require.NoError(b, err)
	player := rackets[0].Fields["player"]
	lot, err := s.Book.Add(ctx, records.KindLot, records.Texts(records.Lot{Player: player, Name: "the open (invented)"}), s.Now())
	require.NoError(b, err)
	for i := range n {
		j := records.Job{Racket: rackets[i].UID, Player: rackets[i].Fields["player"], Frame: "club-sixteen", Technique: "two-piece-skip", Tension: records.Tensions(fmt.Sprintf("%d kg", 22+i%3)), Reason: "asked for by the player",
			Promised: records.Moment(s.Now().Add(time.Duration(i+2) * time.Hour).Format(time.RFC3339))}
		if i < 4 {
			r, err := s.Book.Add(ctx, records.KindRacket, records.Texts(records.Racket{Player: player, Mark: fmt.Sprint("of the lot ", i)}), s.Now())
			require.NoError(b, err)
			j.Lot, j.Player, j.Racket = lot.UID, player, r.UID
		}
		if i%2 == 0 {
			j.Machine = machines[i%3].UID
		}
		_, err := s.Add(ctx, records.KindJob, records.Texts(j), s.Now())
		require.NoError(b, err)
	}
}

// rowsOf are the rows of a question, read by the driver alone.
func rowsOf(b *testing.B, db *sql.DB, query string, args ...any) (n int, first []string) {
	rows, err := db.Query(query, args...)
	require.NoError(b, err)
	defer rows.Close()
	columns, err := rows.Columns()
	require.NoError(b, err)
	cells, into := make([]sql.NullString, len(columns)), make([]any, len(columns))
	for i := range cells {
		into[i] = &cells[i]
	}
	for rows.Next() {
		require.NoError(b, rows.Scan(into...))
		n, first = n+1, append(first, cells[0].String)
	}
	require.NoError(b, rows.Err())
	return n, first
}

const (
	lookRecord = "SELECT uid, kind, id, at, state, body FROM records WHERE "
	lookListed = lookRecord + "uid IN (SELECT value FROM json_each(?))"
	lookWhich  = "SELECT DISTINCT value FROM records AS r, json_each(r.body) WHERE r.uid IN (SELECT value FROM json_each(?)) AND key IN (SELECT value FROM json_each(?))"
	lookJobs   = `SELECT records.uid, records.kind, records.id, records.at, records.state, records.body, jobs.id, player, racket, frame, technique, step, steps, jobs.state, made, last, mains, crosses, file, fingerprint
		FROM records LEFT JOIN jobs ON jobs.uid = records.uid LEFT JOIN plans ON plans.id = jobs.plan WHERE `
	lookReadings = `SELECT j.uid, j.kind, j.id, j.at, j.state, j.body, r.uid, r.kind, r.id, r.at, r.state, r.body, mains, crosses, frame, last FROM `
	lookChanges  = "SELECT stamp, over, at, why, fields FROM changes WHERE uid = ?"
)

// BenchmarkBigBook shows what a shop asks of a book of 20,000 jobs, beside the rows that are shown, looked up by the driver alone, twenty times each in
// turn, so that both are as long beside whatever else runs. All connections of a program share their cache, and one that goes through many pages takes
// those of another: so the driver's is closed after its turn, and neither's first look counts. Each turn begins with no garbage.
func BenchmarkBigBook(b *testing.B) {
	ctx := context.Background()
	s, path, lot := bigShop(b)
	var db *sql.DB
	rows := func(query string, args ...any) (uids []string) {
		_, uids = rowsOf(b, db, query, args...)
		return uids
	}
	listed := func(uids []string) string { return fmt.Sprintf(`["%s"]`, strings.Join(uids, `","`)) }
	which := map[string]string{}
	named := func(uids []string, fields ...string) { // which they are is no question of the driver's
		asked := listed(uids) + listed(fields)
		if which[asked] == "" {
			which[asked] = listed(rows(lookWhich, listed(uids), listed(fields)))
		}
		rows(lookListed, which[asked])
	}
	one := func(kind records.Name, n int) string {
		list, err := s.Book.Find(ctx, kind, "", 0)
		require.NoError(b, err)
		return list[n].UID
	}
	player, racket, machine, stock := one(records.KindPlayer, 7), one(records.KindRacket, 7+4), one(records.KindMachine, 1), one(records.KindStock, 3)
	job := one(records.KindJob, 5_000)
	page := func(uid string) func() error {
		return func() error {
			_, err := s.Page(ctx, uid)
			return err
		}
	}
	said := func(owners []string) {
		rows(lookRecord+"owner IN (SELECT value FROM json_each(?)) AND owner <> '' AND state = 'kept'", listed(owners))
	}
	rack := func() error {
		_, _, err := s.Rack(ctx, nil)
		return err
	}
	rackRows := func() {
		rows(lookJobs + "records.uid IN (SELECT uid FROM jobs WHERE state = 'open')")
		named(rows(lookRecord+"waiting = 1"), "player", "racket")
		rows(lookRecord + "kind IN ('stringer', 'machine') AND state = 'kept'")
		rows(lookRecord + "kind = 'stock' AND state = 'kept' ORDER BY at DESC LIMIT 1") // without any nothing is missing
		rows("SELECT bench FROM sources")
		rows("SELECT job, number, bench, at FROM claims") // who has it, and of whom an attempt is
		rows("SELECT uid FROM jobs WHERE of <> ''")
	}
	waits, err := s.Book.Queue(ctx)
	require.NoError(b, err)
	changes := 0
	for _, look := range []struct {
		name   string
		before func()
		show   func() error
		rows   func()
	}{
		{"rack", nil, rack, rackRows},
		{"changed", func() { // a word that the rack does not show, so that it has nothing else to show than before
			changes++
			_, err := s.Book.Correct(ctx, waits[0].UID, book.Change{Fields: records.Fields{"notes": fmt.Sprint("as asked for ", changes)}, At: s.Now()})
			require.NoError(b, err)
		}, rack, rackRows},
		{"player", nil, page(player), func() {
			rows(lookRecord+"uid = ?", player)
			rows(lookChanges, player)
			rows(lookRecord+"owner = ? AND owner <> '' AND kind IN ('racket', 'lot')", player)
			jobs := rows(lookJobs+"records.owner = ? AND records.owner <> '' AND records.kind = 'job'", player)
			said(jobs)
			named(jobs[:1], "mains")
		}},
		{"racket", nil, page(racket), func() {
			rows(lookRecord+"uid = ?", racket)
			rows(lookChanges, racket)
			named([]string{racket}, "player")
			jobs := rows(lookJobs+"records.kind = 'job' AND json_valid(records.body) AND json_extract(records.body, '$.racket') = ?", racket)
			said(jobs)
			named(jobs, "mains", "stringer", "machine")
		}},
		{"machine", nil, page(machine), func() {
			rows(lookRecord+"uid = ?", machine)
			rows(lookChanges, machine)
			rows(lookRecord+"owner = ? AND owner <> '' AND kind = 'gauge' AND state = 'kept'", machine)
			jobs := rows(lookJobs+`records.uid IN (SELECT uid FROM (SELECT uid FROM records WHERE kind = 'job' AND json_valid(body) AND json_extract(body, '$.machine') = ?1 ORDER BY rowid DESC LIMIT 12)
				UNION ALL SELECT uid FROM records WHERE waiting = 1 AND json_extract(body, '$.machine') = ?1)`, machine)
			said(jobs)
			named(jobs, "player", "racket")
			read := rows(lookReadings+`(SELECT * FROM records WHERE kind = 'reading' AND state = 'kept' ORDER BY at DESC LIMIT 1000) AS r
				CROSS JOIN records AS j ON j.uid = r.owner CROSS JOIN jobs ON jobs.uid = j.uid WHERE json_extract(j.body, '$.machine') = ? ORDER BY r.at DESC LIMIT 100`, machine)
			rows("SELECT owner, at FROM records WHERE owner IN (SELECT value FROM json_each(?)) AND owner <> '' AND kind = 'verdict' AND state = 'kept'", listed(read))
			named(read, "stringer", "mains")
		}},
		{"lot", nil, page(lot), func() {
			rows(lookRecord+"uid = ?", lot)
			rows(lookChanges, lot)
			named([]string{lot}, "player")
			jobs := rows(lookJobs+"records.kind = 'job' AND json_valid(records.body) AND json_extract(records.body, '$.lot') = ?", lot)
			said(jobs)
			named(jobs, "racket")
		}},
		{"stock", nil, page(stock), func() {
			rows(lookRecord+"uid = ?", stock)
			rows(lookChanges, stock)
			cuts := rows(lookRecord+"owner = ? AND owner <> '' AND kind = 'cut' AND state = 'kept' ORDER BY at DESC", stock)[:MostFound]
			if which["cuts"] == "" {
				which["cuts"] = listed(rows(lookWhich, listed(cuts), `["job"]`))
			}
			named(rows(lookJobs+"records.uid IN (SELECT value FROM json_each(?))", which["cuts"]), "player", "racket")
		}},
		{"job", nil, page(job), func() {
			rows(lookRecord+"uid = ?", job)
			rows(lookChanges, job)
			named([]string{job}, "player", "racket", "mains", "stringer", "machine")
			rows(lookJobs+"records.uid = ?", job)
			rows(lookRecord+"owner = ? AND owner <> '' AND state = 'kept'", job)
			rows("SELECT plans.body, jobs.* FROM jobs JOIN plans ON plans.id = jobs.plan WHERE jobs.uid = ?", job)
			rows("SELECT * FROM events WHERE job = (SELECT id FROM jobs WHERE uid = ?)", job)
		}},
		{"charts", nil, func() error {
			_, err := s.Charts(ctx)
			return err
		}, func() {
			rows(lookReadings + "records AS r JOIN records AS j ON j.uid = r.owner JOIN jobs ON jobs.uid = j.uid WHERE r.kind = 'reading' AND r.state = 'kept' ORDER BY r.at")
			rows("SELECT owner, at FROM records WHERE kind = 'verdict' AND state = 'kept'") // after one a bed had been played
		}},
		{"search", nil, func() error {
			_, err := s.Find(ctx, records.KindPlayer, "", "player 17")
			return err
		}, func() {
			rows(lookRecord + "kind = 'player' AND state = 'kept' AND instr(words, 'player') > 0 AND instr(words, '17') > 0 ORDER BY at DESC LIMIT 100")
		}},
	} {
		b.Run(look.name, func(b *testing.B) {
			const turn = 20
			some := func(n int, once func()) []float64 {
				once() // its pages come
				runtime.GC()
				ms := make([]float64, n)
				for i := range ms {
					if look.before != nil {
						look.before()
					}
					start := time.Now()
					once()
					ms[i] = time.Since(start).Seconds() * 1e3
				}
				return ms
			}
			var shown, driver []float64
			for len(shown) < b.N {
				n := min(turn, b.N-len(shown))
				shown = append(shown, some(n, func() { require.NoError(b, look.show()) })...)
				var err error
				db, err = sql.Open("sqlite", "file:"+path+"?_pragma=cache_size(-1024)&_pragma=trusted_schema(0)&_pragma=cell_size_check(1)")
				require.NoError(b, err)
				driver = append(driver, some(n, look.rows)...)
				require.NoError(b, db.Close())
			}
			slices.Sort(shown)
			slices.Sort(driver)
			middle := len(shown) / 2
			b.ReportMetric(shown[middle], "shown-ms")
			b.ReportMetric(driver[middle], "driver-ms")
			b.ReportMetric(shown[middle]/driver[middle], "times")
		})
	}
}
