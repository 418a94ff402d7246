package ticket

import (
	"io"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// A racket that was strung with flying clamps and strand by strand has its ticket and its technique card: every pull stands
// on the card as it was pulled, and the ticket says from where to where the tensions go.
func TestTicketOfPairsAndStrands(t *testing.T) {
	data, _ := library.Layout("club-sixteen")
	f, _, err := patterns.ReadLayout("club-sixteen", data)
	require.NoError(t, err)
	s, _, err := sequence.ReadTechnique("sheet", []byte("name = \"Flying clamps\"\n[clamps]\nflying = 2\n"))
	require.NoError(t, err)
	j, _, err := sequence.ReadJob("job.toml", []byte("frame = \"f\"\ntechnique = \"t\"\n[tension]\nmains = \"24 kg\"\ncrosses = \"23 kg\"\nproportional = true\n"))
	require.NoError(t, err)
	p, err := j.Plan(f, s)
	require.NoError(t, err)

	facts := plain(t)
	facts.Plan, facts.Events = p, done(p, 1)
	ticket := made(t, facts)
	assert.Contains(t, ticket.Text(80), "by strand  mains 18 kg to 24 kg, crosses 17.3 kg to 23 kg; each strand's number\n           stands in the steps")
	for _, form := range []Form{Label, Card} {
		assert.Contains(t, ticket.SVG(form), "by strand")
		require.NoError(t, ticket.PDF(io.Discard, form))
	}
	pulls := 0
	w := newWording(p, nil)
	for _, step := range p.Steps {
		rows := w.rows(&step)
		if i := slices.IndexFunc(rows, func(r listed) bool { return r.op.Op == plan.Pull }); i >= 0 {
			pulls++
			assert.Contains(t, rows[i].words, ", "+rows[i].op.Tension)
		}
	}
	assert.Equal(t, 34, pulls, "35 strands, the first main and cross drawn along, the first cross's tail once more")
	require.NoError(t, StepsPDF(io.Discard, p, nil, began()))
}
