package bench

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence/cases"
	"pullcard/sequence/plan"
	"pullcard/sequence/sequencetest"
	"pullcard/tui/internal/golden"
)

// Whatever is asked, at every size the question stands there in whole, and the answer that is marked: no word of it is cut off, and
// where it takes several lines only its first bears a mark or a number, so that two answers stay apart.
func TestChoicesAreWhole(t *testing.T) {
	plans := map[[2]string]*plan.Plan{}
	set := Settings{Now: func() time.Time { return time.Unix(0, 0) }, Theme: golden.Plain(t)}
	seen := 0
	rapid.Check(t, sweep.Some(20, func(t *rapid.T) {
		key := [2]string{rapid.SampledFrom(library.Layouts()).Draw(t, "frame"), rapid.SampledFrom(append(library.Techniques(), sequencetest.Flying)).Draw(t, "sheet")}
		if _, built := plans[key]; !built {
			plans[key] = builtIn(t, key)
		}
		p := plans[key]
		if p == nil {
			t.Skip("the frame cannot be strung so")
		}
		m, err := New(Job{Plan: p, Recorder: &shelf{}}, set)
		require.NoError(t, err)
		at := cases.At(p, rapid.IntRange(1, len(p.Steps)-1).Draw(t, "done"))
		q := at.Wrong()
		if slip := at.Slipped(); len(slip.Answers) > 0 && rapid.Bool().Draw(t, "slipped") {
			q = slip
		}
		for {
			size := rapid.SampledFrom(sizes).Draw(t, "size")
			m = m.SetSize(size[0], size[1])
			m.asked = nil
			m = m.ask(q)
			i := rapid.IntRange(0, len(q.Answers)-1).Draw(t, q.Ask)
			m.asked[0].at = i
			lines := card(m)
			all := strings.Join(lines, " ")
			require.Contains(t, all, strings.Join(strings.Fields(q.Ask), " "), "%v", size)
			require.Equal(t, q.Felt, q.Large != "", "what hands feel is asked in figures")
			require.NotContains(t, all, "…", "%v", size)
			require.Contains(t, all, marked(q, i), "%v\n%s", size, ansi.Strip(m.View()))
			require.Equal(t, 1, strings.Count(all, "▶ "))
			typed(t, m.asked[0], i)
			if seen++; q.Answers[i].Next == nil {
				return
			}
			q = q.Answers[i].Next()
		}
	}))
	t.Logf("%d questions", seen)
}

// typed types an answer's number as it stands there: its last figure gives it. Without the nought before it that marks the answer, and gives
// it unless one more figure can follow.
func typed(t *rapid.T, q asked, i int) {
	all := []string{numbered(q.Question, i), strconv.Itoa(q.Number(i))}
	if q.Last() < 10 { // who comes from a long list goes on so
		all = append(all, "0"+all[0])
	}
	for _, figures := range all {
		q.typed = ""
		for n := range figures {
			given, _ := q.number(figures[n : n+1])
			whole := figures == numbered(q.Question, i) || q.Number(i)*10 > q.Last()
			require.Equal(t, n+1 == len(figures) && whole, given, "%s of %d", figures, q.Last())
		}
		require.Equal(t, i, q.at, "%s of %d", figures, q.Last())
	}
}

// numbered is an answer's number with as many figures as the last of the list.
func numbered(q cases.Question, i int) string {
	return fmt.Sprintf("%0*d", len(strconv.Itoa(q.Last())), q.Number(i))
}

// marked is how an answer with its mark and number reads.
func marked(q cases.Question, i int) string {
	return "▶ " + numbered(q, i) + " " + strings.Join(strings.Fields(q.Answers[i].Say), " ")
}

// card are the lines right of the picture, without the margins.
func card(m Model) (out []string) {
	from, _ := m.pictureSize(m.width, m.height-2)
	from = max(from, m.tallPicture(m.height))
	for _, line := range strings.Split(ansi.Strip(m.View()), "\n")[1:] {
		if line = regexp.MustCompile(`\s+`).ReplaceAllString(strings.TrimSpace(string([]rune(line)[from:])), " "); line != "" {
			out = append(out, line)
		}
	}
	return out
}
