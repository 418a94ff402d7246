package bench

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"pullcard/sequence/act"
	"pullcard/tui/internal/golden"
)

// speaking is a bench with a voice that remembers what it was to say.
func speaking(t *testing.T) (*rig, *[]string) {
	r := newRig(t, "club-sixteen", "two-piece-skip")
	var said []string
	r.m.set.Say = func(n int, text string) {
		assert.Equal(t, len(said)+1, n, "in order")
		said = append(said, text)
	}
	r.m.set.Spoken = act.Spoken()
	r.carryOut(r.m.saying(1))
	return r, &said
}

// On the straight way each step is said once, as it comes, with its strand, where it is pulled and how hard; a key says it again.
func TestVoice(t *testing.T) {
	r, said := speaking(t)
	r.times(7, "space")
	assert.Len(t, *said, 8)
	assert.Equal(t, "main three right; in at three throat; up at three head; twenty-four; B off; B on; ease", (*said)[7])
	r.press("r")
	assert.Equal(t, (*said)[7], (*said)[8], "said again")
	r.press("right", "n", "x", "enter")
	assert.Equal(t, (*said)[7], (*said)[9], "a note changes nothing")
	r.press("s")
	assert.Len(t, *said, 10, "a question is read, not said")
	r.press("1", "1")
	assert.True(t, strings.HasPrefix((*said)[10], "again; "), "%s", (*said)[10])
	plain := newRig(t, "club-sixteen", "two-piece-skip")
	plain.press("?")
	assert.NotContains(t, plain.screen(), "say it again", "no key without a voice")
}

// By voice alone the whole straight way is told: every pull's strand and hole, every weave's face, every knot.
func TestVoiceTellsAll(t *testing.T) {
	r, said := speaking(t)
	r.m = r.m.SetTheme(golden.Plain(t))
	words := act.Spoken()
	for !r.m.finished() {
		n, f := len(*said), r.m.scene.face
		if f.led {
			text := (*said)[n-1]
			assert.Contains(t, text, words.Strand(f.lead.Strand))
			switch a := &f.lead; {
			case a.Pulls():
				assert.Contains(t, text, words.Hole(a.To))
			case a.Face != "":
				assert.Contains(t, text, string(a.Face)+" first")
			case a.Verb == act.Tie:
				assert.Contains(t, text, "on "+words.Strand(a.Anchor))
			}
		}
		r.press("space")
	}
	assert.Len(t, *said, len(r.m.job.Plan.Steps))
}
