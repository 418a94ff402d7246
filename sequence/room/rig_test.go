package room_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/plan"
	"pullcard/sequence/records"
)

// folder is one in memory where there is such a disk: nothing is cut off here, and to wait for a disk is most of the time.
func folder(t testing.TB) string {
	t.Helper()
	dir, err := os.MkdirTemp("/dev/shm", "pullcard-*")
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() { require.NoError(t, os.RemoveAll(dir)) })
	return dir
}

// emptyBook is the file of a book with nothing in it.
var emptyBook = sync.OnceValues(func() ([]byte, error) {
	dir, err := os.MkdirTemp("", "pullcard-*")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	b, err := book.Open(context.Background(), filepath.Join(dir, "book"))
	if err != nil {
		return nil, err
	}
	if err := b.Close(); err != nil {
		return nil, err
	}
	return os.ReadFile(filepath.Join(dir, "book"))
})

// emptyFile is a copy of that.
func emptyFile(t testing.TB) string {
	t.Helper()
	data, err := emptyBook()
	require.NoError(t, err)
	path := filepath.Join(folder(t), "book")
	require.NoError(t, os.WriteFile(path, data, 0o600))
	return path
}

// newBench is a bench with an empty book.
func newBench(t testing.TB, name string) *book.Book {
	t.Helper()
	b := openBook(t, emptyFile(t))
	require.NoError(t, b.Renew(context.Background())) // it was a copy
	require.NoError(t, b.Join(context.Background(), name))
	return b
}

func openBook(t testing.TB, path string) *book.Book {
	t.Helper()
	b, err := book.Open(context.Background(), path)
	require.NoError(t, err)
	t.Cleanup(func() { b.Close() })
	return b
}

// clock is a made-up time.
func clock(n int) time.Time {
	return time.Date(2031, 5, 4, 9, 0, 0, 0, time.UTC).Add(time.Duration(n) * time.Second)
}

// invented makes a plan of a made-up frame.
func invented(steps int) *plan.Plan {
	p := &plan.Plan{Version: plan.Version, Plan: fmt.Sprintf("f%03d", steps), Frame: "Invented sixteen", Technique: "Two pieces", Warnings: []string{}}
	for n := 1; n <= steps; n++ {
		strand := plan.Strand(fmt.Sprintf("C%d", n))
		p.Steps = append(p.Steps, plan.Step{N: n, Phase: plan.PhaseCrosses, Title: "Pull " + string(strand),
			Ops: []plan.Op{{Op: plan.Pull, Strand: strand, Hole: "7HR", Newtons: 225.5, Tension: "23 kg"}}, Clamps: map[plan.Clamp]*plan.Grip{}})
	}
	return p
}

func player(t testing.TB, b *book.Book, name string, at time.Time) book.Record {
	t.Helper()
	r, err := b.Add(context.Background(), records.KindPlayer, records.Fields{"name": name}, at)
	require.NoError(t, err)
	return r
}

// whole is everything in a book by UID, read from what it exports, without what is only of this book: its numbers and random words.
func whole(t testing.TB, b *book.Book) map[string]string {
	t.Helper()
	path := filepath.Join(folder(t), "whole")
	require.NoError(t, b.ExportAll(context.Background(), path, nil))
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	all, plans := map[string]string{}, map[any]string{}
	for _, line := range bytes.Split(bytes.TrimSpace(data), []byte("\n"))[1:] {
		var item struct{ Record, Plan, Job map[string]any }
		require.NoError(t, json.Unmarshal(line, &item))
		switch {
		case item.Record != nil:
			r := item.Record
			number := fmt.Sprint(r["kind"], " ", r["id"])
			delete(r, "id")
			for key, text := range r["fields"].(map[string]any) {
				if text == number {
					r["fields"].(map[string]any)[key] = "nameless"
				}
			}
			for _, c := range r["changes"].([]any) {
				delete(c.(map[string]any), "salt")
			}
			all[r["uid"].(string)] = text(t, r)
		case item.Plan != nil:
			plans[item.Plan["id"]] = text(t, item.Plan["body"])
		default:
			j := item.Job
			j["plan"] = plans[j["plan"]]
			for _, e := range j["events"].([]any) {
				if e := e.(map[string]any); e["plan"] != nil {
					e["plan"] = plans[e["plan"]]
				}
			}
			all["job "+j["uid"].(string)] = text(t, j)
		}
	}
	return all
}

func text(t testing.TB, v any) string {
	t.Helper()
	data, err := json.Marshal(v)
	require.NoError(t, err)
	return string(data)
}

func requireSound(t testing.TB, b *book.Book) {
	t.Helper()
	c, err := b.Check(context.Background(), nil)
	require.NoError(t, err)
	require.Empty(t, c.Findings)
}
