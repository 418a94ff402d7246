package rack

import (
	"flag"
	"fmt"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"

	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

var update = flag.Bool("update", false, "write the golden files anew")

// full is a rack with a racket of every sort; all players are invented.
func full() []Item {
	const detail = "Club sixteen (invented) · two-piece-skip · mains 24 kg, crosses 23 kg"
	queue := "queue, in the order to string them"
	return []Item{
		{UID: "1", Group: "in progress", Title: "Ada Winter (invented) · blue dot", Detail: "Club sixteen (invented) · two-piece-skip", Begun: true, Short: "33/64 Cy, by the window, begun 14:30 · 17:30",
			Mark: "33/64, left 3 min ago; ready about 15:05 (14:55 to 15:20), promised 17:30: in time"},
		{UID: "2", Group: "parked", Title: "Ben Sommer (invented) · green tape", Detail: "Club sixteen (invented) · two-piece-skip", Begun: true, Parked: true, Short: "12/64 Cy, begun 12:40",
			Mark: "12/64, left 2 h ago; ready about 15:50 (15:35 to 16:10)"},
		{UID: "3", Group: queue, Title: "Cleo Herbst (invented) · no mark", Detail: detail, Late: true, Short: "16:30 will be late", Today: true,
			Mark: "ready about 16:35 (16:15 to 17:00), promised 16:30: will be late by 5 min"},
		{UID: "4", Group: queue, Title: "Dana März (invented) · red dot", Detail: detail, Late: true, Short: "at the door · 17:30 may be late", Machine: "at the door", Mine: true,
			Mark: "ready about 17:20 (16:55 to 17:50), promised 17:30: may be late by 20 min"},
		{UID: "5", Group: queue, Title: "Emil Mai (invented) · two dots", Detail: detail, Mark: "ready about 18:05 (17:35 to 18:40)"},
		{Group: "job files", Title: "sunday.toml", Trouble: "sunday.toml:3:13: there is no frame \"club-sixten\"; did you mean \"club-sixteen\"?\n" +
			"sunday.toml:7:11: mains \"240 kg\" is beyond anything a machine pulls; a tension is between 1 kg and 50 kg"},
		{Group: "demo, all of it invented", Title: "Demo player (invented) · first racket", Detail: detail},
	}
}

func TestFrameGoldens(t *testing.T) {
	said := list(t).SetItems(full()).Say(screen.Said("parked; it waits where it was"))
	for name, m := range map[string]Model{
		"begun":   list(t).SetItems(full()),
		"parked":  down(list(t).SetItems(full()), 1),
		"late":    down(list(t).SetItems(full()), 2),
		"trouble": down(list(t).SetItems(full()), 5),
		"last":    down(list(t).SetItems(full()), 6),
		"said":    said,
		"wrong":   list(t).SetItems(full()).Say(screen.Wrong("the book is locked by another program; try again")),
		"empty":   list(t).SetItems(nil),
		"find":    typed(list(t).SetItems(full()), "/em"),
		"view":    typed(list(t).SetItems(full()), "\t\t"),
		"help":    list(t).SetItems(full()),
	} {
		for _, s := range [][2]int{{60, 20}, {80, 24}, {120, 40}, {200, 60}} {
			m = m.SetSize(s[0], s[1])
			frame := ansi.Strip(m.View())
			if name == "help" {
				frame, _ = m.Help().Page(m.Look, 1)
				frame = ansi.Strip(frame)
			}
			golden.Exact(t, frame, s[0], s[1])
			golden.Check(t, *update, fmt.Sprintf("rack_%s_%dx%d", name, s[0], s[1]), frame)
		}
	}
}

func down(m Model, times int) Model {
	for range times {
		m, _ = press(m, tea.KeyDown)
	}
	return m
}

// What is chosen is always in sight, with all that is said of it where there is room for that.
func TestChosenIsInSight(t *testing.T) {
	for _, s := range [][2]int{{60, 20}, {80, 24}, {120, 40}, {80, 8}} {
		m := list(t).SetItems(full()).SetSize(s[0], s[1])
		for i, item := range full() {
			screen := ansi.Strip(down(m, i).View())
			assert.Contains(t, screen, "▶ "+item.Title, "at %v", s)
			if item.Trouble != "" && s[1] >= 20 {
				assert.Contains(t, screen, "between 1 kg", "at %v all of what is wrong is read", s)
			}
		}
	}
}
