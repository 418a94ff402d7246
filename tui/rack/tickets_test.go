package rack

import (
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/tui/screen"
)

// letters presses keys that are letters, and what comes of each.
func letters(m Model, keys string) Model {
	for _, k := range keys {
		var cmd tea.Cmd
		if m, cmd = m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{k}}); cmd != nil {
			m, _ = m.Update(cmd())
		}
	}
	return m
}

// One ticket or several are printed, of jobs of the book; and what waits is entered as strung once it is said where.
func TestTicketsAndWhatIsStrungElsewhere(t *testing.T) {
	s := &till{}
	m := listOf(t, s).SetItems([]Item{{Key: "a", UID: "a", Title: "Ada"}, {Key: "b", UID: "b", Title: "Ben", Begun: true}, {Key: "c", UID: "c", Title: "Cleo"}, {Key: "demo", Title: "Demo"}})
	m = letters(m, "txtxxt")
	assert.Equal(t, []string{"a", "a", "b c"}, s.printed, "the chosen one, one that is marked, two of them")
	assert.Contains(t, m.Notice.Text, "printed: 2")
	m = letters(m, "t")
	assert.Len(t, s.printed, 3, "the demo has no ticket")
	assert.Contains(t, letters(m, "1x").View(), "\u2713")

	m, _ = press(m, tea.KeyUp, tea.KeyUp, tea.KeyUp)
	m = letters(m, "e")
	require.Contains(t, m.Notice.Text, "elsewhere (y)")
	m = letters(m, "qeyep")
	assert.Equal(t, []string{"a elsewhere"}, s.entered[:1])
	m = letters(m, "2e")
	assert.NotContains(t, m.Notice.Text, "elsewhere (y)", "what is begun is finished at the bench")
	for _, k := range m.Help().Keys {
		assert.NotEmpty(t, k.Help().Desc)
	}
}

// What was strung on an earlier day is entered for that day, which is told before and after; none is later than today.
func TestStrungOnAnEarlierDay(t *testing.T) {
	s, waits := &till{}, []Item{{Key: "a", UID: "a", Title: "Ada"}}
	m := letters(listOf(t, s).SetItems(waits), "e")
	require.Contains(t, m.Notice.Text, "today: ")
	yesterday := time.Now().AddDate(0, 0, -1)
	m, _ = press(m, tea.KeyLeft, tea.KeyLeft, tea.KeyLeft, tea.KeyRight, tea.KeyRight)
	require.Contains(t, m.Notice.Text, yesterday.Format("Monday, 2 January")+": ")
	assert.False(t, m.Once(tea.KeyMsg{Type: tea.KeyLeft}), "a day a press, however quick")
	m = letters(m, "p")
	assert.Equal(t, []string{"a on paper"}, s.entered)
	assert.WithinDuration(t, yesterday, s.at, time.Minute)
	assert.Contains(t, m.Notice.Text, "on paper, "+yesterday.Format("Monday"))
	m, _ = press(letters(m.SetItems(waits), "e"), tea.KeyRight)
	require.Contains(t, m.Notice.Text, "today: ")
	letters(m, "y")
	assert.WithinDuration(t, time.Now(), s.at, time.Minute)
}

// Whoever comes back from adding a racket finds it chosen, and no other where several came or another bench added one.
func TestWhatWasAddedIsChosen(t *testing.T) {
	some := []Item{{Key: "a", UID: "a", Title: "Ada"}, {Key: "b", UID: "b", Title: "Ben"}}
	more := append([]Item{{Key: "n", UID: "n", Title: "new"}}, some...)
	of := func(m Model, items []Item) string {
		m, _ = m.Update(itemsMsg{items: items})
		it, _ := m.chosen()
		return it.Key
	}
	m := listOf(t, &till{}).SetItems(some)
	m, _ = press(m, tea.KeyDown)
	assert.Equal(t, "b", of(m, more), "another bench's")
	back, _ := m.Update(screen.BackMsg{})
	assert.Equal(t, "n", of(back, more))
	assert.Equal(t, "b", of(back, some), "none was added")
	assert.Equal(t, "b", of(back, append([]Item{{Key: "l", UID: "l"}}, more...)), "several were")
	read, _ := back.Update(itemsMsg{items: some})
	assert.Equal(t, "b", of(read, more), "once")
}
