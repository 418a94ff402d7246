package shop

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
)

// What a bench of a room prints finds the same job at every other bench, whose book has another job under that number.
func TestPaperIsFoundAtEveryBench(t *testing.T) {
	ctx := context.Background()
	c, d := newTill(t), newTill(t)
	var jobs []book.Record
	for _, s := range []*till{c, d} {
		r, err := s.job(records.Fields{"technique": "two-piece-skip", "tension": "24 kg"})
		require.NoError(t, err)
		jobs = append(jobs, r)
	}
	paper, err := c.Paper(ctx, jobs[0].UID, 48)
	require.NoError(t, err)
	assert.Contains(t, paper, " job1\n", "no other book numbers it")

	require.NoError(t, c.Book.Join(ctx, "K"))
	require.NoError(t, d.Book.Join(ctx, "L"))
	file := filepath.Join(t.TempDir(), "k.db")
	require.NoError(t, c.Book.Backup(ctx, file, nil))
	_, err = d.Book.Import(ctx, file, time.Now(), nil)
	require.NoError(t, err)
	code := book.Code(jobs[0].UID)
	assert.True(t, Scanned(code), code)
	for _, s := range []*till{c, d} {
		paper, err := s.Paper(ctx, jobs[0].UID, 48)
		require.NoError(t, err)
		assert.Contains(t, paper, " "+code+"\n")
		found, err := s.Book.Find(ctx, records.KindJob, code, 0)
		require.NoError(t, err)
		require.Len(t, found, 1)
		assert.Equal(t, jobs[0].UID, found[0].UID)
		list, _, err := s.Rack(ctx, nil)
		require.NoError(t, err)
		var names []string
		for _, it := range list {
			names = append(names, it.Name)
		}
		assert.Contains(t, names, code)
	}
	of, err := c.codes(ctx)
	require.NoError(t, err)
	for _, uid := range []string{"lesson-1cc5fc97f3359f3d427abc45258b17de", "old-1-2031-05-04T13:02:02Z-f002"} {
		assert.Empty(t, of(uid), "its number has to do")
	}
	finish(t, d.Shop, jobs[1].UID, time.Now(), 0)
	strung, err := d.Book.Card(ctx, jobs[1].UID)
	require.NoError(t, err)
	j, err := d.Book.Job(ctx, strung.Entry.ID)
	require.NoError(t, err)
	assert.Equal(t, book.Code(jobs[1].UID), d.Ticket(ctx, j).Code)
}

func TestScanned(t *testing.T) {
	for text, want := range map[string]bool{"job12": true, "job-5c278e": true, "job": false, "job-": false, "job-5c278": false, "job-5c278e1": false, "job1x": false, "a job12": false} {
		assert.Equal(t, want, Scanned(text), text)
	}
}
