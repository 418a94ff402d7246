// Package rack is the screen of rackets that wait: jobs in progress first, then job files, then the demo.
//
// Call New with the shop and the doors to other screens.
package rack

import (
	"cmp"
	"context"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/patterns/harmless"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// Item is a racket that can go on the bench.
type Item struct {
	// Title says whose racket it is, Detail frame, technique and tensions, Mark where it stands.
	Title, Detail, Mark string
	// Group is the heading above it.
	Group string
	// Key names the item among those on the rack. UID names a job of the book, empty for any other item.
	Key, UID string
	// Held says that another bench of the room has it, and since when; empty where none has.
	Held string
	// Begun says that it is in work, Parked that it was set aside, Late that it may not be ready when it was promised.
	Begun, Parked, Late bool
	// Trouble says why it cannot be strung, every problem on its own line; empty when it can.
	Trouble string
}

// Shop is what the rack needs of the shop. Its methods are called away from the screen and may take their time.
type Shop interface {
	// Items lists the rackets that wait, those in progress first.
	Items() ([]Item, error)
	// Open puts the item with a key on the bench; over takes it over from the bench that has it.
	Open(key string, over bool) (screen.Screen, error)
	// Park sets the racket of a job in work aside, or takes it up again.
	Park(ctx context.Context, uid string, parked bool) error
}

// Door is a key that leads to another screen.
type Door struct {
	Key, Help string
	// Short is the help on a narrow screen, empty for the same; below From columns the foot does not name the key.
	Short string
	From  int
	// Stays says that the screen is found again as it was left.
	Stays bool
	Open  func() (screen.Screen, error)

	left screen.Screen
}

// itemsMsg is the rackets as they are now, or what went wrong.
type itemsMsg struct {
	items []Item
	err   error
}

// KeyMap is what the keys of the list do, apart from the doors.
type KeyMap struct{ Up, Down, Choose, Over, Park, Leave key.Binding }

// Model is the list.
type Model struct {
	screen.Look
	shop  Shop
	doors []Door
	keys  KeyMap
	items []Item
	at    int
	gone  int  // the door that was taken last, -1 for none
	asked bool // whether to take over the chosen one
}

// New is the list of a shop's rackets, which Init reads.
func New(s Shop, t theme.Theme, doors ...Door) Model {
	m := Model{shop: s, doors: doors, gone: -1, keys: KeyMap{
		Up:     key.NewBinding(key.WithKeys("up", "k", "pgup"), key.WithHelp("↑↓", "choose")),
		Down:   key.NewBinding(key.WithKeys("down", "j", "pgdown"), key.WithHelp("↓", "down")),
		Choose: key.NewBinding(key.WithKeys("enter", " "), key.WithHelp("enter", "string it")),
		Over:   key.NewBinding(key.WithKeys("y"), key.WithHelp("y", "take it over")),
		Park:   key.NewBinding(key.WithKeys("p"), key.WithHelp("p", "park")),
		Leave:  key.NewBinding(key.WithKeys("q"), key.WithHelp("q", "leave")),
	}}
	return m.SetTheme(t)
}

// Init reads the rackets.
func (m Model) Init() tea.Cmd {
	s := m.shop
	return func() tea.Msg {
		items, err := s.Items()
		return itemsMsg{items, err}
	}
}

// SetItems shows other items; what is chosen stays so where it is still there, otherwise the place in the list where it can.
func (m Model) SetItems(items []Item) Model {
	if m.at < len(m.items) {
		was := m.items[m.at].Key
		if i := slices.IndexFunc(items, func(it Item) bool { return it.Key == was }); i >= 0 && was != "" {
			m.at = i
		} else {
			m.asked = false
		}
	}
	m.items = items
	m.at = min(m.at, max(len(items)-1, 0))
	return m
}

// Say shows a line of what was done or went wrong until the next key.
func (m Model) Say(n screen.Notice) Model {
	m.Notice = n
	return m
}

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

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.KeyMsg:
		m.Notice = screen.Notice{}
		return m.press(msg)
	case itemsMsg:
		m = m.SetItems(msg.items)
		if msg.err != nil {
			m.Notice = screen.Wrong(msg.err.Error())
		}
	case screen.Notice:
		m.Notice = msg
	case screen.StirMsg:
		return m, m.Init()
	case screen.BackMsg:
		if m.gone >= 0 && m.doors[m.gone].Stays {
			m.doors = slices.Clone(m.doors)
			m.doors[m.gone].left = msg.Left
		}
		m.gone = -1
		return m, m.Init()
	}
	return m, nil
}

func (m Model) press(k tea.KeyMsg) (Model, tea.Cmd) {
	asked := m.asked
	m.asked = false
	switch {
	case asked && key.Matches(k, m.keys.Over) && len(m.items) > 0:
		return m.open(true)
	case key.Matches(k, m.keys.Up):
		m.at = max(m.at-1, 0)
	case key.Matches(k, m.keys.Down):
		m.at = min(m.at+1, max(len(m.items)-1, 0))
	case key.Matches(k, m.keys.Park) && m.canPark():
		return m, m.park()
	case key.Matches(k, m.keys.Leave):
		return m, screen.Leave
	case key.Matches(k, m.keys.Choose) && len(m.items) > 0:
		if m.items[m.at].Trouble != "" {
			return m.Say(screen.Wrong("this job cannot be strung as it is; mend its file, then start again")), nil
		}
		if held := m.items[m.at].Held; held != "" {
			m.asked = true
			return m.Say(screen.Notice{Text: held + "; y takes it over, any other key leaves it there", Role: theme.Warn}), nil
		}
		return m.open(false)
	}
	for i, d := range m.doors {
		if k.String() == d.Key {
			m.gone = i
			return m, d.take()
		}
	}
	return m, nil
}

// open puts the chosen racket on the bench.
func (m Model) open(over bool) (Model, tea.Cmd) {
	s, item := m.shop, m.items[m.at].Key
	m.gone = -1
	return m, screen.Open(func() (screen.Screen, error) { return s.Open(item, over) })
}

// take opens the screen behind a door.
func (d Door) take() tea.Cmd {
	if d.left != nil {
		return screen.Open(func() (screen.Screen, error) { return d.left, nil })
	}
	return screen.Open(d.Open)
}

// park sets the chosen racket aside or takes it up again.
func (m Model) park() tea.Cmd {
	s, item := m.shop, m.items[m.at]
	return func() tea.Msg {
		if err := s.Park(context.Background(), item.UID, !item.Parked); err != nil {
			return screen.Wrong(err.Error())
		}
		return m.Init()()
	}
}

// Once says whether a key counts once however long it is held down: all but what leads through the list.
func (m Model) Once(k tea.KeyMsg) bool { return !key.Matches(k, m.keys.Up, m.keys.Down) }

// canPark says whether the chosen racket is in work.
func (m Model) canPark() bool { return len(m.items) > 0 && m.items[m.at].Begun }

// bindings are the keys that can act.
func (m Model) bindings() []key.Binding {
	k := m.keys
	if m.Width < 90 { // on the narrowest screens the arrows and some doors are left out
		k.Choose.SetHelp("enter", "string")
	}
	out := []key.Binding{k.Up, k.Choose} // the help of up names both arrows
	if m.Width < 80 {
		out = out[1:]
	}
	if m.canPark() {
		if m.items[m.at].Parked {
			k.Park.SetHelp("p", "take up")
		}
		out = append(out, k.Park)
	}
	for _, d := range m.doors {
		help := d.Help
		if m.Width < 90 {
			help = cmp.Or(d.Short, d.Help)
		}
		if m.Width >= d.From {
			out = append(out, key.NewBinding(key.WithKeys(d.Key), key.WithHelp(d.Key, help)))
		}
	}
	return append(out, k.Leave)
}

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	lines, from, to := m.list()
	room := max(m.Height-3, 1)
	if to > room { // all that is said of the chosen one is in sight, its first lines where that is too much
		lines = lines[min(to-room, from):]
	}
	head := m.Style(theme.Title, "pullcard") + m.Style(theme.Quiet, "  which racket goes on the bench?")
	return m.Page([]string{head, ""}, lines[:min(len(lines), room)], m.Foot(m.bindings()...))
}

// list is the lines of the items; those of the chosen one stand from a line on and end before another.
func (m Model) list() (lines []string, from, to int) {
	group := ""
	for i, item := range m.items {
		start := len(lines)
		if item.Group != group {
			if group != "" {
				lines = append(lines, "")
				start++
			}
			group = item.Group
			lines = append(lines, m.Style(theme.Quiet, theme.Clean(group)))
		}
		lines = append(lines, m.item(item, i == m.at)...)
		if i == m.at {
			from, to = start, len(lines)
		}
	}
	return lines, from, to
}

// item is the lines of one item; all that is wrong with it is told of the chosen one.
func (m Model) item(item Item, chosen bool) []string {
	mark, role, at, trouble := "  ", theme.Text, theme.OK, item.Trouble
	if chosen {
		mark, role = "▶ ", theme.Current
	} else if trouble != "" {
		trouble = "cannot be strung as it is"
	}
	said := item.Mark
	if item.Held != "" {
		said = item.Held + "; " + said
	}
	if item.Late {
		at, said = theme.Warn, "! "+said
	}
	lines := []string{m.Style(role, mark+theme.Clean(item.Title))}
	lines = append(lines, m.below(at, said)...)
	lines = append(lines, m.below(theme.Quiet, item.Detail)...)
	return append(lines, m.below(theme.Danger, trouble)...)
}

// below is what stands below a title, none of it cut.
func (m Model) below(r theme.Role, text string) []string {
	if text == "" {
		return nil
	}
	return m.Hang(r, "    ", harmless.Page(text), max(m.Width-2, 14))
}
