package book

import (
	"context"
	"database/sql"
	"fmt"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
)

// invented makes a plan of a made-up frame with as many ops a step as a real one has.
func invented(steps int) *plan.Plan {
	p := &plan.Plan{Version: plan.Version, Plan: fmt.Sprintf("f%03d", steps), Frame: "Invented sixteen", Technique: "Two pieces",
		Totals: plan.Totals{Pulls: steps}, Warnings: []string{}}
	for n := 1; n <= steps; n++ {
		strand := plan.Strand(fmt.Sprintf("C%d", n))
		p.Steps = append(p.Steps, plan.Step{N: n, Phase: plan.PhaseCrosses, Title: "Weave and pull " + string(strand),
			Ops: []plan.Op{
				{Op: plan.Weave, Strand: strand, From: "7HL", To: "7HR", Piece: plan.PieceCrosses, First: plan.Over, Meets: 16,
					Blocked: []plan.Hole{}, Covers: []plan.Hole{}},
				{Op: plan.Pull, Strand: strand, Hole: "7HR", Newtons: 225.5, Tension: "23 kg"},
				{Op: plan.ClampOn, Clamp: plan.A, Strand: strand, Hole: "7HR"},
				{Op: plan.Release},
				{Op: plan.Unclamp, Clamp: plan.B},
				{Op: plan.Straighten, Strand: strand},
			},
			Clamps: map[plan.Clamp]*plan.Grip{plan.A: {Strand: strand, Hole: "7HR"}, plan.B: nil, plan.S: nil}})
	}
	return p
}

// clock is a made-up time with a zone and every digit of a second in use; n tells one from another.
func clock(n int) time.Time {
	return time.Date(2031, 5, 4, 13, 2, 1, 123456789, time.FixedZone("", -3*3600-1800)).Add(time.Duration(n) * time.Second)
}

func open(t testing.TB, path string) *Book {
	t.Helper()
	b, err := Open(context.Background(), path)
	require.NoError(t, err)
	t.Cleanup(func() { b.Close() })
	return b
}

func fresh(t testing.TB) *Book { return open(t, filepath.Join(t.TempDir(), "book")) }

func newJob(t testing.TB, b *Book, steps int) int64 {
	t.Helper()
	id, err := b.NewJob(context.Background(), Draft{Player: "Player one", Racket: "Racket two", File: "job.toml",
		Source: []byte("frame = \"invented\"\n"), At: clock(0), Plan: invented(steps)})
	require.NoError(t, err)
	return id
}

func event(kind progress.Kind, step int) progress.Event {
	return progress.Event{At: clock(step), Kind: kind, Step: step}
}

// mended is the plan after a mishap: the done steps, so many that put things right, then the rest.
func mended(p *plan.Plan, done, mending int) *plan.Plan {
	next := *p
	next.Plan = fmt.Sprintf("%s-%d-%d", p.Plan, done, mending)
	next.Steps = slices.Concat(p.Steps[:done], invented(mending).Steps, p.Steps[done:])
	return &next
}

// mishap reports one at a step, of which a plan is followed.
func mishap(step int, p *plan.Plan) progress.Event {
	e := event(progress.Mishap, step)
	e.What, e.Why, e.Plan = "misweave", "C1 lies wrong", p
	return e
}

// plans counts the plans in a book.
func plans(t testing.TB, b *Book) (n int) {
	t.Helper()
	require.NoError(t, b.db.QueryRow("SELECT count(*) FROM plans").Scan(&n))
	return n
}

// do appends events to a job that has known of them.
func do(t testing.TB, b *Book, job int64, known int, events ...progress.Event) {
	t.Helper()
	for i, e := range events {
		require.NoError(t, b.Append(context.Background(), job, known+i, e))
	}
}

// raw opens the file past the book.
func raw(t testing.TB, path string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	t.Cleanup(func() { db.Close() })
	return db
}

func sqlExec(t testing.TB, db *sql.DB, query string) {
	t.Helper()
	_, err := db.Exec(query)
	require.NoError(t, err)
}
