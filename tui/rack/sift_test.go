package rack

import (
	"fmt"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/tui/screen"
)

// typed presses a key for each letter; a tab is a tab.
func typed(m Model, letters string) Model {
	for _, r := range letters {
		k := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}}
		switch r {
		case '\t':
			k = tea.KeyMsg{Type: tea.KeyTab}
		case '\b':
			k = tea.KeyMsg{Type: tea.KeyBackspace}
		}
		m, _ = m.Update(k)
	}
	return m
}

// forty are rackets of twelve invented players; four have a twin, whose mark begins as the other's.
func forty() (items []Item) {
	add := func(player, mark string) {
		items = append(items, Item{Key: fmt.Sprint(len(items)), Title: player + " (invented) · " + mark, Detail: "Club sixteen · two-piece-skip", Group: "queue"})
	}
	for i, name := range []string{"Ada Winter", "Ben Sommer", "Cleo Herbst", "Dana Mai", "Emil April", "Finn Juni", "Gina Lenz", "Hugo Tal", "Ida Berg", "Jan See", "Kim Bach", "Lars Feld"} {
		for _, mark := range []string{"blue dot", "red dot", "green tape"} {
			add(name, mark)
		}
		if i < 4 {
			add(name, "blue dots")
		}
	}
	return items
}

// Any of forty rackets is chosen by four keys at most, by its number and by letters, without enter.
func TestAnyOfFortyInFourKeys(t *testing.T) {
	rackets := forty()
	require.Len(t, rackets, 40)
	m := list(t).SetItems(rackets)
	most := 0
	for i, it := range rackets {
		byNumber := typed(m, fmt.Sprint(i+1))
		got, _ := byNumber.chosen()
		require.Equal(t, it.Key, got.Key)

		_, mark, _ := strings.Cut(it.Title, " · ")
		found := typed(m, "/"+it.Title[:1]+mark[:1])
		keys := 3
		for got, _ := found.chosen(); got.Key != it.Key && keys < 10; got, _ = found.chosen() {
			found, keys = down(found, 1), keys+1
		}
		most = max(most, keys)
	}
	assert.LessOrEqual(t, most, 4)
}

func TestFind(t *testing.T) {
	m := list(t).SetItems(forty())
	shows := func(m Model) string { return ansi.Strip(m.View()) }
	assert.Contains(t, shows(m), "/ find")
	m = typed(m, "/winter")
	assert.True(t, m.Typing())
	assert.NotContains(t, shows(m), "Ben")
	assert.Contains(t, shows(m), "▶ Ada Winter (invented) · blue dot")
	assert.Contains(t, shows(typed(m, "zz")), "none that waits or is in work")
	assert.Contains(t, shows(typed(m, "zz")), "what was strung is in the book")
	s := &till{}
	left, msg := press(typed(listOf(t, s).SetItems(forty()), "/zoe red"), tea.KeyEnter)
	_, err := msg.(screen.OpenMsg).Open()
	require.NoError(t, err)
	assert.Equal(t, []string{"the book: zoe red"}, s.opened)
	assert.Contains(t, shows(left), "Ben", "all of them are there when one comes back")
	back := typed(typed(m, "q"), "\b")
	assert.Equal(t, shows(m), shows(back))
	all, _ := press(m, tea.KeyEsc)
	assert.False(t, all.Typing())
	assert.Contains(t, shows(all), "Ben")
	scanned := full()
	scanned[3].Name = "job4711"
	assert.Contains(t, shows(typed(list(t).SetItems(scanned), "/job4711")), "▶ Dana")
	assert.False(t, m.Once(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("l")}), "a letter counts as often as it is pressed")
	assert.Contains(t, shows(typed(all, "99")), " 9 ▶", "a digit too many begins anew")
	assert.Contains(t, shows(typed(list(t).SetItems(full()), "\t\t\t")), "only on at the door")
	assert.Equal(t, list(t).SetItems(full()).View(), typed(list(t).SetItems(full()), "\t\t\t\t").View())
}

// A view in which nothing is names the key that leads out of it, and none that cannot act.
func TestEmptyView(t *testing.T) {
	m := typed(list(t).SetItems([]Item{{Key: "a", UID: "a", Title: "Ada"}}), "\t\t")
	for _, width := range []int{60, 80, 120} {
		frame := ansi.Strip(m.SetSize(width, 24).View())
		assert.Contains(t, frame, "only today")
		assert.Contains(t, frame, "none of them; tab shows others")
		assert.Contains(t, frame, "tab view")
		assert.NotContains(t, frame, "enter")
	}
}
