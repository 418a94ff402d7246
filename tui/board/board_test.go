package board

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/shop"
	"pullcard/tui/draw"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

func now() time.Time { return time.Date(2031, 5, 4, 15, 0, 0, 0, time.UTC) }

// rackets are so many, of every sort; all names are invented.
func rackets(n int) (w shop.Wall) {
	for i := range n {
		l := shop.WallLine{Name: fmt.Sprintf("%c%c", 'A'+i%26, 'A'+i/26), At: now().Add(time.Duration(i) * time.Minute)}
		switch l.Place = []shop.Place{shop.IsReady, shop.InWork, shop.IsLate, shop.Waits}[i*4/n]; l.Place {
		case shop.InWork:
			l.Bench, l.Step, l.Steps = "K", 12+i, 64
		case shop.Waits:
			l.Name = "Zoë Frühling (invented)"
		}
		w.Lines = append(w.Lines, l)
	}
	return w
}

func wall(t *testing.T, w shop.Wall, err error) Model {
	return New(Settings{Theme: golden.Plain(t), Now: now, Read: func() (shop.Wall, error) { return w, err }})
}

// read is the screen after so many readings.
func read(m Model, times int) Model {
	for range times {
		m, _ = m.Update(m.Init()())
	}
	return m
}

func TestFit(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}, {120, 40}, {200, 60}, {10, 4}, {1, 1}} {
		for _, n := range []int{0, 1, 10, 60} {
			lines := strings.Split(read(wall(t, rackets(n), nil), 1).SetSize(size[0], size[1]).View(), "\n")
			require.Len(t, lines, size[1])
			for _, l := range lines {
				require.Equal(t, size[0], lipgloss.Width(l), "%q", l)
			}
		}
	}
}

func TestShows(t *testing.T) {
	m := read(wall(t, rackets(4), nil), 1).SetSize(80, 24)
	text := ansi.Strip(m.SetSize(66, 24).View())
	for _, want := range []string{"1 ready  1 in work  1 late  1 waiting", "READY", "since", "WORK", "13/64 at K", "LATE", "promised", "WAITS", "Zoë Frühling"} {
		assert.Contains(t, text, want)
	}
	for i, line := range draw.Big("READY", 3, false) {
		name := draw.Big("AA", 3, false)[i]
		assert.Contains(t, ansi.Strip(strings.Split(m.SetSize(90, 24).View(), "\n")[1+i]), name+strings.Repeat(" ", apart)+line, "where there is room the word is as large as the name, and no part of it")
	}
	m = read(New(Settings{Theme: golden.Plain(t), Now: now, Read: func() (shop.Wall, error) { return shop.Wall{}, errors.New("the cable\x1b is out") }}), 1).SetSize(80, 24)
	assert.Contains(t, ansi.Strip(m.View()), "the room is not reached: the cable")
	m.wall, m.at = rackets(2), now()
	text = ansi.Strip(m.View())
	assert.Contains(t, text, "this is how it stood at 15:00")
	assert.Contains(t, text, draw.Big("LATE", 3, false)[0], "what was known stays")
}

// An empty wall says why, as large as a name, and what is old says so.
func TestEmptyAndOld(t *testing.T) {
	assert.NotContains(t, ansi.Strip(wall(t, shop.Wall{}, nil).SetSize(80, 24).View()), draw.Big("NO", 3, false)[0], "not before it was read")
	for size, lines := range map[int][]string{80: {"NO RACKET IS", "HERE"}, 120: {"NO RACKET IS HERE"}} {
		text := strings.Split(ansi.Strip(read(wall(t, shop.Wall{Told: now()}, nil), 1).SetSize(size, 24).View()), "\n")
		for n, line := range lines {
			for i, want := range draw.Big(line, 3, false) {
				assert.Equal(t, strings.TrimSpace(want), strings.TrimSpace(text[1+4*n+i]))
			}
		}
	}
	assert.Contains(t, ansi.Strip(read(wall(t, shop.Wall{}, nil), 1).SetSize(80, 24).View()), draw.Big("NO BENCH", 3, false)[1])
	w := rackets(4)
	w.Told = now().Add(-silent)
	assert.NotContains(t, read(wall(t, w, nil), 1).SetSize(80, 24).View(), "no bench was heard")
	w.Told = w.Told.Add(-time.Second)
	assert.Contains(t, read(wall(t, w, nil), 1).SetSize(80, 24).View(), "this is how it stood at 14:47; no bench was heard since")
}

// All rackets come up, page after page, without a key.
func TestPages(t *testing.T) {
	m, seen := wall(t, rackets(60), nil).SetSize(80, 24), map[string]bool{}
	for range 60 * stays {
		m = read(m, 1)
		lines, page, pages := m.page(5)
		require.Equal(t, 12, pages)
		require.Less(t, page, pages)
		for _, l := range lines {
			seen[l.At.String()] = true
		}
	}
	assert.Len(t, seen, 60)
	assert.Contains(t, ansi.Strip(m.View()), "of 12")
	_, cmd := m.Update(tickMsg{})
	assert.IsType(t, wallMsg{}, cmd())
	_, cmd = m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("q")})
	assert.Equal(t, screen.LeaveMsg{}, cmd())
	assert.True(t, m.Once(tea.KeyMsg{}))
}

func TestHostile(t *testing.T) {
	const evil = "e\x1b[31mv\u202eil\n\a"
	w := shop.Wall{Lines: []shop.WallLine{{Name: evil, Bench: evil, Steps: 3, Place: shop.InWork}, {Name: evil, Place: shop.Place(evil)}}}
	text := ansi.Strip(read(wall(t, w, errors.New(evil)), 1).SetSize(80, 24).View()) + ansi.Strip(read(wall(t, w, nil), 1).SetSize(80, 24).View())
	assert.NotContains(t, text, "\x1b")
	assert.NotContains(t, text, "\a")
	assert.NotContains(t, text, "\u202e")
}
