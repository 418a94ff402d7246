// Package ear is the screen that listens to taps on a strung bed: it shows the level of the microphone and takes a reading by
// itself when taps agree.
//
// Call New with an Ear and run the command of Init.
package ear

import (
	"fmt"
	"strings"
	"sync"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/patterns/tap"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// Enough is how many taps that agree make a reading which is taken by itself.
const Enough = 3

// Ear is the microphone at the bench.
type Ear struct {
	// Listen hears taps until tell says no, which it is asked some ten times a second, or the recorder ends.
	Listen func(tell func(tap.Live) bool) (tap.Result, error)
	// Keep keeps a reading in the book with the tone's own error, as "612.41 Hz" and "0.30 Hz"; nil where there is no book.
	Keep func(value, plusMinus string) error
}

type (
	liveMsg struct {
		tap.Live
		of *link
	}
	heardMsg struct {
		tap.Result
		err error
		of  *link
	}
	keptMsg struct{ err error }
)

// link is what a listening and its screen share: the newest that is heard, and whether to go on.
type link struct {
	news chan tap.Live
	stop chan struct{}
	once sync.Once
}

// KeyMap is what the keys of the screen do.
type KeyMap struct{ Again, Keep, Leave key.Binding }

// Model is the screen.
type Model struct {
	screen.Look
	title      string
	ear        Ear
	keys       KeyMap
	link       *link
	live       tap.Live
	done, kept bool
	trouble    string
}

// New is the screen for a racket.
func New(title string, e Ear, t theme.Theme, ascii bool) Model {
	m := Model{Look: screen.Look{ASCII: ascii}, title: title, ear: e, keys: KeyMap{
		Again: key.NewBinding(key.WithKeys("r"), key.WithHelp("r", "again")),
		Keep:  key.NewBinding(key.WithKeys("enter"), key.WithHelp("enter", "keep it")),
		Leave: key.NewBinding(key.WithKeys("q", "esc", "backspace", "t"), key.WithHelp("q", "back")),
	}}
	return m.again().SetTheme(t)
}

func (m Model) again() Model {
	m.link = &link{news: make(chan tap.Live, 1), stop: make(chan struct{})}
	m.live, m.done, m.kept, m.trouble = tap.Live{LevelDB: silent}, false, false, ""
	return m
}

// silent is a level at which the meter shows nothing, in dB of full scale.
const silent = -60

// SetTheme changes how the screen looks.
func (m Model) SetTheme(t theme.Theme) Model {
	m.Theme = t
	return m
}

// SetSize fits the screen into a terminal of so many columns and rows.
func (m Model) SetSize(width, height int) Model {
	m.Width, m.Height = width, height
	return m
}

// Once says that every key counts once however long it is held down.
func (m Model) Once(tea.KeyMsg) bool { return true }

// Init begins to listen.
func (m Model) Init() tea.Cmd {
	ear, l := m.ear, m.link
	return tea.Batch(func() tea.Msg {
		r, err := ear.Listen(func(now tap.Live) bool {
			select { // an older one that the screen has not taken is out of date
			case <-l.news:
			default:
			}
			l.news <- now
			select {
			case <-l.stop:
				return false
			default:
				return !(now.Result.Clear && now.Result.Taps >= Enough)
			}
		})
		return heardMsg{r, err, l}
	}, next(l))
}

// next waits for what is heard.
func next(l *link) tea.Cmd {
	return func() tea.Msg {
		select {
		case now := <-l.news:
			return liveMsg{now, l}
		case <-l.stop:
			return nil
		}
	}
}

func (m Model) hush() { m.link.once.Do(func() { close(m.link.stop) }) }

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	switch msg := msg.(type) {
	case liveMsg:
		if msg.of != m.link || m.done {
			return m, nil
		}
		m.live = msg.Live
		return m, next(m.link)
	case heardMsg:
		if msg.of != m.link {
			return m, nil
		}
		m.hush()
		m.done, m.live = true, tap.Live{LevelDB: silent, Result: msg.Result}
		if msg.err != nil {
			m.trouble = msg.err.Error()
		}
	case keptMsg:
		if m.kept = msg.err == nil; !m.kept {
			m.trouble = msg.err.Error()
		}
	case tea.KeyMsg:
		return m.pressed(msg)
	}
	return m, nil
}

func (m Model) pressed(k tea.KeyMsg) (Model, tea.Cmd) {
	switch {
	case key.Matches(k, m.keys.Leave):
		m.hush()
		return m, screen.Leave
	case key.Matches(k, m.keys.Again) && m.done:
		m = m.again()
		return m, m.Init()
	case key.Matches(k, m.keys.Keep) && m.canKeep():
		keep, r := m.ear.Keep, m.live.Result
		return m, func() tea.Msg {
			return keptMsg{keep(fmt.Sprintf("%.2f Hz", r.Hz), fmt.Sprintf("%.2f Hz", max(r.PlusMinusHz, 0.01)))}
		}
	}
	return m, nil
}

func (m Model) canKeep() bool {
	return m.done && m.live.Result.Clear && !m.kept && m.ear.Keep != nil
}

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	head := m.Style(theme.Title, "TAP") + "  " + m.Style(theme.Text, theme.Clean(m.title))
	return m.Page([]string{head, ""}, m.body(), m.Keys(m.enabled()...))
}

func (m Model) enabled() (keys []key.Binding) {
	if m.canKeep() {
		keys = append(keys, m.keys.Keep)
	}
	if m.done {
		keys = append(keys, m.keys.Again)
	}
	return append(keys, m.keys.Leave)
}

func (m Model) body() (out []string) {
	say := func(r theme.Role, format string, args ...any) {
		out = append(out, m.Hang(r, "", theme.Clean(fmt.Sprintf(format, args...)), m.Room())...)
	}
	r := m.live.Result
	if !m.done {
		say(theme.Text, "Tap in the middle of the bed, a second apart; hold the frame at the throat.")
		say(theme.Current, "%s %.0f dB", meter(m.live.LevelDB, min(40, max(m.Width-12, 5)), m.ASCII), m.live.LevelDB)
		say(theme.Text, "%d taps, %d of %d that agree", len(r.Heard), min(r.Taps, Enough), Enough)
	}
	switch {
	case m.trouble != "":
		say(theme.Danger, "%s", m.trouble)
	case r.Clear:
		say(theme.OK, "%.1f Hz ± %.1f Hz (about a 95 %% interval), from %d taps", r.Hz, r.PlusMinusHz, r.Taps)
	case m.done || len(r.Heard) > 0:
		say(theme.Warn, "no clear tone: %s", r.Why)
	}
	if r.Clipped {
		say(theme.Warn, "clipped: too loud for the recorder; less gain, or farther away")
	}
	for _, c := range r.Candidates {
		say(theme.Quiet, "%8.1f Hz ± %.1f, %.0f dB, %.0f ms, the bed's by %.0f %%", c.Hz, c.PlusMinusHz, c.LevelDB, c.DecayMS, c.Chance*100)
	}
	if m.kept {
		say(theme.OK, "kept as a reading of this job")
	}
	return out
}

// meter is a level from silence to full scale in so many marks.
func meter(db float64, width int, ascii bool) string {
	n := min(max(int((db-silent)/-silent*float64(width)), 0), width)
	full, empty := "█", "·"
	if ascii {
		full, empty = "#", "."
	}
	return strings.Repeat(full, n) + strings.Repeat(empty, width-n)
}

// Help is what the screen is for, and its keys.
func (m Model) Help() screen.Help {
	return screen.Help{Text: "Tap the middle of the strung bed with a knuckle or a ball, three times or more, the frame held loosely. When three taps agree the tone is shown beside what the bed computes to.",
		Keys: m.enabled()}
}
