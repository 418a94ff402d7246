package shop

import (
	"context"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// What a racket keeps otherwise than its sheet says stands first on the job's page; what was put right is in how the work went.
func TestOtherwiseThanItsSheet(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	r, err := c.job(records.Fields{"technique": "two-piece-skip", "tension": "24 kg", "came": "C1 over M1L, knots at 6H"})
	require.NoError(t, err)
	paper, err := c.Paper(ctx, r.UID, 60)
	require.NoError(t, err)
	assert.Regexp(t, "came with +C1 over M1L, knots at 6H", paper)
	job, err := c.Open(ctx, r.UID)
	require.NoError(t, err)
	assert.Contains(t, job.Warnings, "it came in with: C1 over M1L, knots at 6H", "beside the plan before the work")
	followed, at := job.Plan, time.Now().Add(-time.Hour)
	record := func(e progress.Event) {
		at = at.Add(time.Second)
		e.At = at
		require.NoError(t, job.Recorder.Record(ctx, e))
	}
	mishaps := map[string]sequence.Trouble{ // by the step before which they are seen
		"Cross 8":         {Fault: plan.FaultWeave, Strand: "C6"},
		"Inspect the bed": {Fault: plan.FaultWeave, Strand: "C12", Choose: plan.Keep, Text: "Cy (invented): a practice racket"},
	}
	for n := 1; n <= len(followed.Steps); n++ {
		if trouble, ok := mishaps[followed.Steps[n-1].Title]; ok {
			delete(mishaps, followed.Steps[n-1].Title)
			next, err := Mend(followed, n-1, trouble)
			require.NoError(t, err)
			record(progress.Event{Kind: progress.Mishap, Step: n, What: string(trouble.Fault), Why: string(trouble.Strand) + " is woven wrong", Plan: next})
			followed = next
			continue // the step that tells of it is done with it
		}
		record(progress.Event{Kind: progress.Done, Step: n})
	}
	require.Empty(t, mishaps)
	p, err := c.Page(ctx, r.UID)
	require.NoError(t, err)
	i := slices.IndexFunc(p.Below, func(s Section) bool { return s.Title == "otherwise than its sheet" })
	require.Equal(t, 0, i)
	assert.Equal(t, []Line{{Text: "C12 left as it is: Cy (invented): a practice racket; such a bed is not legal in play"}}, p.Below[0].Lines)
	var went []string
	for _, l := range p.Below[1].Lines {
		went = append(went, l.Text)
	}
	assert.Contains(t, went, "mishap · at step 38 · misweave · C6 is woven wrong · put right")
}
