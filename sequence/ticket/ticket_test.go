package ticket

import (
	"bytes"
	"encoding/xml"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/sequence/progress"
)

func TestTextGoldens(t *testing.T) {
	tk := made(t, plain(t))
	golden(t, "plain_32.txt", tk.Text(32))
	golden(t, "plain_48.txt", tk.Text(48))
}

// Whatever a name holds, no line is wider than the paper and no control character is printed.
func TestTextFits(t *testing.T) {
	facts := plain(t)
	rapid.Check(t, func(r *rapid.T) {
		f := facts
		f.Player, f.Racket, f.Stringer = rapid.String().Draw(r, "player"), rapid.String().Draw(r, "racket"), rapid.String().Draw(r, "stringer")
		f.Machine.Name = rapid.String().Draw(r, "machine")
		tk, err := New(f)
		require.NoError(r, err)
		columns := rapid.SampledFrom([]int{32, 48}).Draw(r, "columns")
		for line := range strings.Lines(tk.Text(columns)) {
			line = strings.TrimSuffix(line, "\n")
			require.LessOrEqual(r, len(line), columns, "%q", line)
			for _, c := range []byte(line) {
				require.True(r, c >= ' ' && c <= '~', "%q", line)
			}
		}
	})
}

// The SVG is well-formed XML and the PDF a PDF, the same each time, whatever a name holds.
func TestFormsHoldAnyName(t *testing.T) {
	facts := plain(t)
	facts.Player, facts.Racket = "<Ada> & \x1b[31m\"松\"", "\u202eblue</text><script>"
	tk := made(t, facts)
	for _, form := range []Form{Label, Card} {
		svg := tk.SVG(form)
		require.NoError(t, xml.Unmarshal([]byte(svg), new(any)), form)
		assert.NotContains(t, svg, "<script>")
		assert.NotContains(t, svg, "\x1b")
		var one, two bytes.Buffer
		require.NoError(t, tk.PDF(&one, form))
		require.NoError(t, tk.PDF(&two, form))
		assert.True(t, bytes.HasPrefix(one.Bytes(), []byte("%PDF-")))
		assert.True(t, bytes.Equal(one.Bytes(), two.Bytes()), "the same ticket gives the same bytes")
	}
	var steps bytes.Buffer
	require.NoError(t, StepsPDF(&steps, facts.Plan, nil, began()))
	assert.True(t, bytes.HasPrefix(steps.Bytes(), []byte("%PDF-")))
}

// A ticket says what the plan and the journal say: tensions, boosts, fingerprint, what was done again.
func TestTextSaysWhatHappened(t *testing.T) {
	facts := plain(t)
	p := facts.Plan
	facts.Events = append(done(p, 1)[:9], progress.Event{At: began(), Kind: progress.Redo, Step: 10, What: progress.Gripper, Why: "the gripper slipped on M2L at 2TL"})
	facts.Events = append(facts.Events, done(p, 10)...)
	text := made(t, facts).Text(48)
	for _, want := range []string{"24 kg", "23 kg", "26.4 kg", "25.3 kg", p.Plan, "Ada Example", "bench one", "Sam Sample", "571 Hz"} {
		assert.Contains(t, text, want)
	}
	assert.Regexp(t, `(?i)again|redone|slip`, text)
}

func TestNoTicketForUnfinishedJob(t *testing.T) {
	facts := plain(t)
	facts.Events = facts.Events[:20]
	_, err := New(facts)
	assert.ErrorContains(t, err, "make the ticket")
}
