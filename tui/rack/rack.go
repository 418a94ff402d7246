// Package rack is the screen of rackets that wait: jobs in progress first, then job files, then the demo.
//
// Call New with the shop and the doors to other screens.
package rack

import (
	"context"
	"slices"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/shop"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// Item is a racket that can go on the bench.
type Item = shop.Ready

// Shop is what the rack needs of the shop. Its methods are called away from the screen and may take their time.
type Shop interface {
	// Items lists the rackets that wait, those in progress first.
	Items() ([]Item, error)
	// Open puts the item with a key on the bench; over takes it over from the bench that has it.
	Open(key string, over bool) (screen.Screen, error)
	// Park sets the racket of a job in work aside, or takes it up again.
	Park(ctx context.Context, uid string, parked bool) error
	// EnterStrung enters a job that waits as strung at some time: elsewhere, or on paper.
	EnterStrung(ctx context.Context, uid, why string, at time.Time) error
	// Look opens the jobs of the book that letters find: what was strung is not on the rack.
	Look(letters string) (screen.Screen, error)
	// Print prints what goes with the rackets of some jobs.
	Print(ctx context.Context, uids ...string) error
}

// itemsMsg is the rackets as they are now, or what went wrong.
type itemsMsg struct {
	items []Item
	err   error
	said  string // what was done, empty for nothing
}

// KeyMap is what the keys of the list do, apart from the doors.
type KeyMap struct {
	Up, Down, Choose, Over, Park, Strung, Elsewhere, Paper, Earlier, Later, Mark, Print, Find, Shorter, All, Number, View, Help, Leave key.Binding
}

// Model is the list.
type Model struct {
	screen.Look
	shop  Shop
	doors []Door
	keys  KeyMap
	items []Item
	at    int  // of those that are shown
	gone  int  // the door that was taken last, -1 for none
	back  bool // from another screen, and the rackets as they are now have not come yet
	asked question
	ago   int             // how many days ago it was strung that is entered as strung
	marks map[string]bool // whose tickets are printed together, by their keys
	sift  sift
	now   func() time.Time
}

// question is what is asked about the chosen racket.
type question uint8

const (
	askNothing question = iota
	askOver             // whether to take it over
	askStrung           // where it was strung
)

// New is the list of a shop's rackets, which Init reads.
func New(s Shop, t theme.Theme, now func() time.Time, doors ...Door) Model {
	m := Model{shop: s, doors: doors, gone: -1, now: now, keys: KeyMap{
		Up:        key.NewBinding(key.WithKeys("up", "k", "pgup"), key.WithHelp("↑↓", "choose")),
		Down:      key.NewBinding(key.WithKeys("down", "j", "pgdown"), key.WithHelp("↓", "down")),
		Choose:    key.NewBinding(key.WithKeys("enter", " "), key.WithHelp("enter", "string it")),
		Over:      key.NewBinding(key.WithKeys("y"), key.WithHelp("y", "take it over")),
		Park:      key.NewBinding(key.WithKeys("p"), key.WithHelp("p", "park")),
		Strung:    key.NewBinding(key.WithKeys("e"), key.WithHelp("e", "strung already")),
		Elsewhere: key.NewBinding(key.WithKeys("y"), key.WithHelp("y", "elsewhere")),
		Paper:     key.NewBinding(key.WithKeys("p"), key.WithHelp("p", "here, written on paper")),
		Earlier:   key.NewBinding(key.WithKeys("left"), key.WithHelp("←", "a day earlier")),
		Later:     key.NewBinding(key.WithKeys("right"), key.WithHelp("→", "a day later")),
		Mark:      key.NewBinding(key.WithKeys("x"), key.WithHelp("x", "mark")),
		Print:     key.NewBinding(key.WithKeys("t"), key.WithHelp("t", "ticket")),
		Find:      key.NewBinding(key.WithKeys("/"), key.WithHelp("/", "find")),
		Shorter:   key.NewBinding(key.WithKeys("backspace"), key.WithHelp("⌫", "shorter")),
		All:       key.NewBinding(key.WithKeys("esc"), key.WithHelp("esc", "all")),
		Number:    key.NewBinding(key.WithKeys("0", "1", "2", "3", "4", "5", "6", "7", "8", "9"), key.WithHelp("27", "the racket of that number")),
		View:      key.NewBinding(key.WithKeys("tab"), key.WithHelp("tab", "view")),
		Help:      key.NewBinding(key.WithKeys("?"), key.WithHelp("?", "keys")),
		Leave:     key.NewBinding(key.WithKeys("q"), key.WithHelp("q", "leave")),
	}}
	return m.SetTheme(t)
}

// Init reads the rackets.
func (m Model) Init() tea.Cmd {
	s := m.shop
	return func() tea.Msg {
		items, err := s.Items()
		return itemsMsg{items, err, ""}
	}
}

// SetItems shows other items; what is chosen stays so where it is still there, otherwise the place in the list where it can.
// One that there was alone, as the demo before the room's rackets have come, nobody chose.
func (m Model) SetItems(items []Item) Model {
	was, chosen := m.chosen()
	chosen = chosen && len(m.items) > 1
	m.items = items
	m.at = min(m.at, max(len(m.shown())-1, 0))
	if !chosen {
		return m
	}
	if i := slices.IndexFunc(m.shown(), func(i int) bool { return items[i].Key == was.Key }); i >= 0 && was.Key != "" {
		m.at = i
	} else {
		m.asked = askNothing
	}
	return m
}

// chosen is the racket that is chosen; ok is false where none is shown.
func (m Model) chosen() (it Item, ok bool) {
	shown := m.shown()
	if m.at >= len(shown) {
		return it, false
	}
	return m.items[shown[m.at]], true
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
		was, back := m.items, m.back
		m = m.SetItems(msg.items)
		if m.back = false; back {
			m = m.chooseNew(was)
		}
		if msg.said != "" {
			m.Notice = screen.Said(msg.said)
		}
		if msg.err != nil {
			m.Notice = screen.Wrong(msg.err.Error())
		}
	case screen.Notice:
		m.Notice = msg
	case screen.ScanMsg:
		m.sift.typing, m.sift.letters, m.at = true, msg.Name, 0
	case screen.StirMsg:
		return m, m.Init()
	case screen.BackMsg:
		if m.gone >= 0 && m.doors[m.gone].Stays {
			m.doors = slices.Clone(m.doors)
			m.doors[m.gone].left = msg.Left
		}
		m.gone, m.back = -1, true
		return m, m.Init()
	}
	return m, nil
}

func (m Model) press(k tea.KeyMsg) (Model, tea.Cmd) {
	asked := m.asked
	m.asked = askNothing
	item, some := m.chosen()
	number := m.sift.number
	m.sift.number = ""
	switch {
	case asked == askOver && key.Matches(k, m.keys.Over) && some:
		return m.open(true)
	case asked == askStrung && some && key.Matches(k, m.keys.Elsewhere, m.keys.Paper):
		return m, m.strung(map[bool]string{true: "elsewhere", false: "on paper"}[key.Matches(k, m.keys.Elsewhere)])
	case asked == askStrung && key.Matches(k, m.keys.Earlier):
		return m.askStrung(m.ago + 1), nil
	case asked == askStrung && key.Matches(k, m.keys.Later):
		return m.askStrung(max(m.ago-1, 0)), nil
	case asked == askStrung: // any other key leaves it
		return m, nil
	case m.sift.typing && m.spell(k):
		return m.spelled(k), nil
	case key.Matches(k, m.keys.Up):
		m.at = max(m.at-1, 0)
	case key.Matches(k, m.keys.Down):
		m.at = min(m.at+1, max(len(m.shown())-1, 0))
	case key.Matches(k, m.keys.Find):
		m.sift.typing = true
	case key.Matches(k, m.keys.Number):
		return m.numbered(number + k.String()), nil
	case key.Matches(k, m.keys.View):
		return m.turn(), nil
	case key.Matches(k, m.keys.Strung) && m.canEnter():
		return m.askStrung(0), nil
	case key.Matches(k, m.keys.Mark) && some && item.UID != "":
		return m.mark(item.Key), nil
	case key.Matches(k, m.keys.Print) && len(m.printed()) > 0:
		return m.print()
	case key.Matches(k, m.keys.Park) && m.canPark():
		return m, m.park()
	case key.Matches(k, m.keys.Leave):
		return m, screen.Leave
	case key.Matches(k, m.keys.Choose) && !some && m.sift.letters != "":
		s, letters := m.shop, m.sift.letters
		m.gone, m.sift = -1, sift{view: m.sift.view}
		return m, screen.Open(func() (screen.Screen, error) { return s.Look(letters) })
	case key.Matches(k, m.keys.Choose) && some:
		if item.Trouble != "" {
			return m.Say(screen.Wrong("this job cannot be strung as it is; mend its file, then start again")), nil
		}
		if held := item.Held; held != "" {
			m.asked = askOver
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
	item, _ := m.chosen()
	s := m.shop
	m.gone, m.sift = -1, sift{view: m.sift.view}
	return m, screen.Open(func() (screen.Screen, error) { return s.Open(item.Key, over) })
}

// park sets the chosen racket aside or takes it up again.
func (m Model) park() tea.Cmd {
	item, _ := m.chosen()
	s := m.shop
	return func() tea.Msg {
		if err := s.Park(context.Background(), item.UID, !item.Parked); err != nil {
			return screen.Wrong(err.Error())
		}
		return m.Init()()
	}
}

// Once says whether a key counts once however long it is held down: all but what leads through list and days.
func (m Model) Once(k tea.KeyMsg) bool {
	return !key.Matches(k, m.keys.Up, m.keys.Down, m.keys.Earlier, m.keys.Later, m.keys.Number) && !(m.sift.typing && m.spell(k))
}

// Typing says whether letters are typed by which a racket is found.
func (m Model) Typing() bool { return m.sift.typing }

// canPark says whether the chosen racket is in work.
func (m Model) canPark() bool {
	item, _ := m.chosen()
	return item.Begun
}
