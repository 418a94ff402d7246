package sequence_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
)

const hybrid = `frame     = "club-sixteen"
technique = "two-piece-clamp"

[tension]
mains   = "24 kg"
crosses = "50 lb"

[string.mains]
name       = "Invented polyester"
prestretch = "10 %"

[string.crosses]
name       = "Invented gut"
prestretch = "5 %"
`

func readJob(t *testing.T, text string) *sequence.Job {
	t.Helper()
	j, _, err := sequence.ReadJob("job.toml", []byte(text))
	require.NoError(t, err)
	return j
}

// A hybrid: two strings, each stretched before it is threaded, each with its own tension in its own unit.
func TestJobHybrid(t *testing.T) {
	p, err := readJob(t, hybrid).Plan(layout(t, "club-sixteen"), builtIn(t, "two-piece-clamp"))
	require.NoError(t, err)
	require.Empty(t, referee.Check(p))
	var steps []string
	for i, s := range p.Steps {
		if strings.HasPrefix(s.Title, "Pre-stretch") {
			steps = append(steps, s.Title, p.Steps[i+1].Title)
		}
	}
	assert.Equal(t, []string{"Pre-stretch the mains' string", "Feed the centre mains", "Pre-stretch the crosses' string", "Weave cross 1"}, steps)
	pulls := ops(p, plan.Pull)
	assert.Equal(t, "24 kg", pulls[0].Tension)
	assert.Equal(t, "55 lb", pulls[len(pulls)-1].Tension)
	without, err := sequence.Build(layout(t, "club-sixteen"), builtIn(t, "two-piece-clamp"), kg(t, "24 kg"), kg(t, "50 lb"))
	require.NoError(t, err)
	assert.NotEqual(t, without.Plan, p.Plan, "other steps, another plan")

	broke := proven(t, p, 40, sequence.Trouble{Fault: plan.FaultBreak, Strand: "C5", Text: "the crosses broke"})
	again := titles(broke, 40, len(broke.Steps))
	assert.Contains(t, again, "Pre-stretch the crosses' string", "the new string too")
	assert.NotContains(t, again, "Pre-stretch the mains' string")
}

// One piece cannot be two strings.
func TestJobHybridInOnePiece(t *testing.T) {
	_, err := readJob(t, hybrid).Plan(layout(t, "harbour-sixteen"), technique(t, whole))
	assert.EqualError(t, err, "job.toml:12:9: one piece is strung with one string, and string.crosses is another than string.mains; take [string.crosses] out, or choose a technique sheet with pieces = 2")
	one := strings.Split(hybrid, "[string.crosses]")[0]
	p, err := readJob(t, one).Plan(layout(t, "harbour-sixteen"), technique(t, whole))
	require.NoError(t, err)
	require.Empty(t, referee.Check(p))
}

func TestReadJobStretch(t *testing.T) {
	for bad, want := range map[string]string{`"10"`: `"10" is no percentage`, `"40 %"`: "0 to 30 %", `10`: "not of the right kind"} {
		_, _, err := sequence.ReadJob("job.toml", []byte(strings.Replace(hybrid, `"10 %"`, bad, 1)))
		assert.ErrorContains(t, err, want)
	}
}
