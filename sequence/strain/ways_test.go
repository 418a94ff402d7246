package strain

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/assume"
	"pullcard/patterns/sweep"
	"pullcard/sequence"
)

// Ways back play as well: what slipped, broke or crept is pulled anew, and the racket ends strung, with all laws kept on the way.
func TestWaysBackPlay(t *testing.T) {
	for i, mishap := range []string{
		"20 clamp-slipped clamp=A extent=crept", "20 clamp-slipped clamp=A extent=gone", "18 gripper-slipped", "40 string-broke strand=C6 where=bed",
		"30 slip-found-late strand=M4L", "28 misweave strand=C3", "23 knot-slipped hole=8TR", "12 string-broke strand=M3R where=bed", "30 kink strand=C4",
	} {
		if !sweep.Take(i, 3) {
			continue
		}
		g, p := strung(t, "club-sixteen", "two-piece-clamp", nil)
		done, trouble, err := sequence.ParseTrouble(mishap)
		require.NoError(t, err, mishap)
		q, err := sequence.Recover(p, done, trouble)
		if err != nil {
			t.Logf("%s: no such case here: %v", mishap, strings.SplitN(err.Error(), "\n", 2)[0])
			continue
		}
		m, ops := model(t, g, assume.Table{}, "6"), 0
		watched(t, m, q, func(y *play) {
			if ops++; ops%23 == 0 {
				balanced(t, y)
			}
			for i := range y.contacts {
				require.GreaterOrEqual(t, y.contacts[i].r, 0.0, mishap)
			}
		})
		c := played(t, m, q)
		for _, s := range c.Strands {
			assert.Positive(t, s.OffMachine, "%s, %s", mishap, s.Name)
			assert.InDelta(t, s.Pulled-s.AfterDay, s.Lost.Sum(), 1e-3, "%s, %s", mishap, s.Name)
		}
	}
}

// With flying clamps the neighbour carries what its clamp holds, two strands are drawn tight by one pull, and nothing stands still with
// the machine.
func TestFlyingClampsPlay(t *testing.T) {
	for _, layout := range []string{"shuttle-twentytwo", "club-sixteen"} {
		g, p := strung(t, layout, "two-piece-knot", func(s *sequence.Technique) { s.Clamps = sequence.Stock{Flying: 2, Starting: 1} })
		m, mates := model(t, g, assume.Table{}, "6"), 0
		watched(t, m, p, func(y *play) {
			for i := range y.spans {
				for _, h := range y.spans[i].hold {
					assert.NotEqual(t, ground, h)
					if y.spans[i].tight && h == onMate {
						mates++
					}
				}
			}
		})
		assert.Greater(t, mates, 20, layout)
		for _, s := range played(t, m, p).Strands {
			assert.Positive(t, s.OffMachine, s.Name)
		}
	}
}

// A lockout stops at its mark: the hoop that gives afterwards, and string that runs on, take from what constant pull makes up for.
func TestLockoutEndsLower(t *testing.T) {
	g, p := strung(t, "club-sixteen", "two-piece-clamp", nil)
	constant := played(t, model(t, g, assume.Table{}, "2"), p)
	lockout := played(t, model(t, g, assume.Table{}.WithPull(assume.Lockout, ""), "2"), p)
	sum := 0.0
	for i := range constant.Strands {
		sum += lockout.Strands[i].OffMachine - constant.Strands[i].OffMachine
	}
	t.Logf("in the mean %.1f N lower", -sum/float64(len(constant.Strands)))
	assert.Negative(t, sum)
}

// A load above the limit is told before its step, none without a limit; what goes beyond the model says so.
func TestOverTheLimit(t *testing.T) {
	g, p := strung(t, "club-sixteen", "two-piece-clamp", nil)
	assert.Empty(t, played(t, model(t, g, assume.Table{}, "6"), p).Over())
	c := played(t, model(t, g, assume.Table{}.With(assume.Limit, 1200, ""), "6"), p)
	require.NotEmpty(t, c.Over())
	first := c.Over()[0]
	for _, at := range c.At[:first.Step-1] {
		assert.LessOrEqual(t, at.SupportN, 1200.0)
	}
	assert.Contains(t, first.Words(), "above the limit of 1200 N")
	assert.False(t, c.Beyond)
	weak := played(t, model(t, g, assume.Table{}.With(assume.EI, 15, ""), "2"), p)
	assert.True(t, weak.Beyond)
	told := ""
	for _, part := range weak.Report("kg") {
		for _, l := range part.Lines {
			told += l.Text
		}
	}
	assert.Contains(t, told, "beyond this model")
}

// The picture names every strand that is tight with its tension, moves nothing farther than it says, and closes the hoop.
func TestPicture(t *testing.T) {
	g, p := strung(t, "club-sixteen", "two-piece-clamp", nil)
	c := played(t, model(t, g, assume.Table{}, "6"), p)
	last := c.Picture(len(c.At), 0)
	assert.Len(t, last.Strokes, len(c.Strands))
	bare := c.Picture(1, 0)
	assert.Empty(t, bare.Strokes)
	assert.Equal(t, bare.Still, bare.Outline)
	for i, q := range last.Outline {
		assert.LessOrEqual(t, q.To(last.Still[i]), last.Factor*c.MostMM*1.0001)
	}
	text := last.Sheet().SVG()
	for _, s := range c.Strands {
		assert.Contains(t, text, s.Name+": ")
	}
	assert.Contains(t, text, "times as far as it moves")
	assert.Equal(t, 1.0, c.Picture(3, 1).Factor)
}
