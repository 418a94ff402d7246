package rack

import (
	"context"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

// till is a shop in memory that remembers what was put on the bench.
type till struct {
	opened, printed, entered []string
	at                       time.Time // for when something was entered last
}

func (s *till) Items() ([]Item, error) { return nil, nil }
func (s *till) Open(key string, over bool) (screen.Screen, error) {
	if over {
		key += " over"
	}
	s.opened = append(s.opened, key)
	return nil, nil
}
func (s *till) Park(context.Context, string, bool) error { return nil }
func (s *till) Look(letters string) (screen.Screen, error) {
	s.opened = append(s.opened, "the book: "+letters)
	return nil, nil
}
func (s *till) Print(_ context.Context, uids ...string) error {
	s.printed = append(s.printed, strings.Join(uids, " "))
	return nil
}
func (s *till) EnterStrung(_ context.Context, uid, why string, at time.Time) error {
	s.at = at
	s.entered = append(s.entered, uid+" "+why)
	return nil
}

func list(t *testing.T) Model { return listOf(t, &till{}) }

func listOf(t *testing.T, s Shop) Model {
	return New(s, golden.Plain(t), time.Now, Door{Key: "b", Help: "the book", Short: "book"}, Door{Key: "c", Help: "charts", From: 70}, Door{Key: "f", Help: "new frame", Short: "frame"}).SetItems([]Item{
		{Key: "a", Group: "in progress", Title: "Ada · blue", Detail: "Club sixteen", Mark: "left 3 min ago"},
		{Group: "job files", Title: "broken.toml", Trouble: "broken.toml:3:1: " + strings.Repeat("long ", 60) + "\nbroken.toml:4:1: another"},
		{Key: "demo", Group: "demo, all of it invented", Title: "Demo player"},
	}).SetSize(80, 24)
}

func press(m Model, keys ...tea.KeyType) (Model, tea.Msg) {
	var msg tea.Msg
	for _, k := range keys {
		var cmd tea.Cmd
		msg = nil
		if m, cmd = m.Update(tea.KeyMsg{Type: k}); cmd != nil {
			msg = cmd()
		}
	}
	return m, msg
}

func TestChoose(t *testing.T) {
	s := &till{}
	for _, downs := range [][]tea.KeyType{{tea.KeyEnter}, {tea.KeyDown, tea.KeyDown, tea.KeyDown, tea.KeyEnter}} {
		_, msg := press(listOf(t, s), downs...)
		_, err := msg.(screen.OpenMsg).Open()
		require.NoError(t, err)
	}
	assert.Equal(t, []string{"a", "demo"}, s.opened, "what is in progress comes first")
	m, msg := press(list(t), tea.KeyDown, tea.KeyEnter)
	assert.Nil(t, msg)
	assert.Contains(t, m.View(), "mend its file")
	assert.Contains(t, ansi.Strip(m.View()), "broken.toml:4:1: another", "every problem is shown")
	_, msg = press(list(t), tea.KeyEsc)
	assert.Nil(t, msg, "one esc too many does not end the program")
	_, cmd := list(t).Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("q")})
	assert.Equal(t, screen.LeaveMsg{}, cmd())
}

func TestFramesFit(t *testing.T) {
	for _, s := range [][2]int{{60, 20}, {80, 24}, {120, 40}, {200, 60}, {10, 4}, {1, 1}} {
		for _, downs := range []int{0, 1, 2} {
			m := list(t).SetSize(s[0], s[1])
			for range downs {
				m, _ = press(m, tea.KeyDown)
			}
			lines := strings.Split(m.View(), "\n")
			require.Len(t, lines, s[1])
			for _, l := range lines {
				require.Equal(t, s[0], lipgloss.Width(l))
			}
		}
	}
}

// The demo that was alone on a new bench's rack is not what enter strings once the room's rackets have come.
func TestRacketsCome(t *testing.T) {
	demo, ada, bo := Item{Key: "demo"}, Item{Key: "a"}, Item{Key: "b"}
	at := func(m Model) string { it, _ := m.chosen(); return it.Key }
	m := listOf(t, &till{}).SetItems([]Item{demo}).SetItems([]Item{ada, demo})
	assert.Equal(t, "a", at(m))
	m, _ = press(m, tea.KeyDown)
	assert.Equal(t, "demo", at(m.SetItems([]Item{ada, bo, demo})), "chosen by somebody")
}

// A racket that another bench has is taken over when that was asked, and not because the list changed meanwhile.
func TestTakeOver(t *testing.T) {
	s := &till{}
	held := Item{Key: "h", Title: "Bo · red", Mark: "12/64", Held: "bench L has had it since 10:42"}
	other := Item{Key: "o", Title: "Cy"}
	m := listOf(t, s).SetItems([]Item{held, other})
	assert.Contains(t, ansi.Strip(m.View()), "bench L has had it since 10:42; 12/64")
	m, msg := press(m, tea.KeyEnter)
	assert.Nil(t, msg)
	assert.Contains(t, ansi.Strip(m.View()), "y takes it over")
	yes := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("y")}
	over := func(m Model) tea.Cmd {
		_, cmd := m.Update(yes)
		return cmd
	}
	_, err := over(m.SetItems([]Item{other, held}))().(screen.OpenMsg).Open()
	require.NoError(t, err)
	assert.Equal(t, []string{"h over"}, s.opened, "it is the same one where others came before it")
	assert.Nil(t, over(m.SetItems([]Item{other})), "it went while somebody thought about it")
	down, _ := press(m, tea.KeyDown)
	assert.Nil(t, over(down), "any other key leaves it")
	assert.Nil(t, over(listOf(t, s)), "nobody asked")
	_, msg = press(m.SetItems([]Item{other}), tea.KeyEnter)
	_, err = msg.(screen.OpenMsg).Open()
	require.NoError(t, err)
	assert.Equal(t, "o", s.opened[1])
	_, cmd := m.Update(screen.StirMsg{})
	assert.NotNil(t, cmd, "others did something: it looks anew")
}
