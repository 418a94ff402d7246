// Package frame is the screen on which a frame is entered that nobody has typed yet: a form that asks what is printed on
// its card, in that order, and draws the racket as it grows.
//
// Call New for a new frame or Edit for the layout of one; the model answers with a SavedMsg that holds the finished file,
// or with a CancelMsg.
package frame

import (
	"strings"
	"unicode"

	"github.com/charmbracelet/bubbles/cursor"
	"github.com/charmbracelet/bubbles/help"
	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/patterns"
	"pullcard/tui/draw"
	"pullcard/tui/theme"
)

// Settings are what a house chooses for its screens.
type Settings struct {
	Theme theme.Theme
	// ASCII draws with ASCII characters only.
	ASCII bool
	// Turn is how the racket lies in the picture.
	Turn draw.View
}

// SavedMsg is the answer when the frame is finished: whoever gets it keeps the file, and tells the form with SetNotice
// when that cannot be done.
type SavedMsg struct {
	// Name is the file's name without folder and ending, "club-sixteen"; of an edited layout the name that Edit got.
	Name string
	// Text is the layout file, which ReadLayout reads without a problem.
	Text []byte
}

// CancelMsg says that the stringer leaves the form and nothing is kept.
type CancelMsg struct{}

// origin is the layout that is edited; its zero value is a new one's.
type origin struct {
	name  string
	data  []byte
	card  patterns.Card
	texts [fields]string
}

// Model is the form.
type Model struct {
	set    Settings
	keys   KeyMap
	help   help.Model
	ink    draw.Palette
	origin origin

	at      id
	texts   [fields]string // what was typed or taken
	left    [fields]bool   // the form has gone on from a field, so what is wrong with it is said
	typed   bool           // something was typed that is not saved
	sent    bool           // the frame is on its way to be kept
	leaving bool           // esc was pressed once
	showing bool           // the picture has the whole screen
	notice  notice
	input   textinput.Model

	seen          sight
	scene         draw.Scene
	drawn         bool // there is a scene
	width, height int
}

// notice is a line that says what just happened or went wrong.
type notice struct {
	text string
	role theme.Role
}

// New is an empty form with the usual values as suggestions.
func New(set Settings) Model {
	m := Model{keys: newKeyMap(), input: textinput.New(), set: set}
	m.input.CharLimit = 400
	m.input.Prompt = ""
	m.input.Cursor.SetMode(cursor.CursorStatic)
	m.input.Focus()
	return m.SetTheme(set.Theme).refresh()
}

// Edit is the form with the values of a layout; name is its name without folder and ending. What is not changed in the
// form stays in the file as it is written, comments and all. The error is a source.Problems when the file is no TOML.
func Edit(name string, data []byte, set Settings) (Model, error) {
	card, err := patterns.ReadCard(name+".toml", data)
	if err != nil {
		return Model{}, err
	}
	m := New(set)
	m.origin = origin{name: name, data: data, card: card}
	for f, x := range form() {
		m.texts[f] = x.get(&card)
		m.left[f] = true
	}
	m.origin.texts = m.texts
	return m.refresh(), nil
}

// FileName is the name under which a frame's layout is kept, without ending: its letters and digits in small letters,
// hyphens for all between them. It is empty for a name without any.
func FileName(name string) string {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	return strings.Join(words, "-")
}

// Init does nothing; the form waits for keys.
func (m Model) Init() tea.Cmd { return nil }

// SetSize fits the screen into a terminal of so many columns and rows.
func (m Model) SetSize(width, height int) Model {
	m.width, m.height = width, height
	m.help.Width = width - 2
	return m.load()
}

// SetTheme changes how the screen looks.
func (m Model) SetTheme(t theme.Theme) Model {
	m.set.Theme = t
	m.ink = draw.NewPalette(t, m.set.ASCII)
	m.help = t.Help(m.set.ASCII)
	m.help.Width = m.width - 2
	m.input.TextStyle, m.input.PlaceholderStyle = t.Style(theme.Current), t.Style(theme.Quiet)
	m.input.Cursor.Style = t.Style(theme.Current)
	m.input.Cursor.TextStyle = t.Style(theme.Quiet)
	return m
}

// SetNotice shows a line about what went wrong, as why the frame could not be kept, and lets it be saved again.
func (m Model) SetNotice(text string) Model {
	m.notice, m.sent = notice{text, theme.Danger}, false
	return m
}

// fresh says whether the frame is a new one.
func (m *Model) fresh() bool { return m.origin.data == nil }

// name is the name of the file.
func (m *Model) name() string {
	if m.fresh() {
		return FileName(m.seen.card.Name)
	}
	return m.origin.name
}

// refresh works everything out after a change.
func (m Model) refresh() Model {
	m.check()
	return m.load()
}

// load puts the text of the field in hand into the line that is typed in.
func (m Model) load() Model {
	if m.at == fSave {
		return m
	}
	if m.input.Value() != m.texts[m.at] {
		m.input.SetValue(m.texts[m.at])
		m.input.CursorEnd()
	}
	m.input.Placeholder = m.seen.usual[m.at]
	m.input.Width = max(m.formWidth()-labelWidth-4, 8)
	return m
}

// shown says whether a field is asked: those that few frames need only where there is a reason.
func (m *Model) shown(f id) bool {
	was := m.origin.texts[f] != ""
	switch f {
	case fSkipHead, fSkipThroat:
		listed := m.origin.texts[fMainsHead] != "" && m.origin.texts[fMainsThroat] != ""
		return !listed || m.texts[fSkipHead] != "" || m.texts[fSkipThroat] != ""
	case fMainsHead, fMainsThroat, fMainsHeadRight, fMainsThroatRight, fCrossesLeft, fCrossesRight, fHolesRight, fShape:
		return was || m.texts[f] != ""
	case fShared:
		return was || m.texts[f] != "" || m.sharing(&m.seen.card)
	case fRemark:
		return m.fresh()
	}
	return true
}

// sharing says whether some holes are likely to carry two strings: in badminton, and where the holes are too few.
func (m *Model) sharing(c *patterns.Card) bool {
	counted, err := whole(m.texts[fHoles])
	return c.Sport == string(patterns.Badminton) || err == nil && counted > 0 && counted < c.Mains+c.Crosses
}

// settled says whether what a field shows was typed or taken and is not only a suggestion.
func (m *Model) settled(f id) bool {
	return !m.fresh() || m.texts[f] != "" || m.left[f] && m.seen.usual[f] == "" || !m.shown(f)
}

// current is what a field says, suggestion or not.
func (m *Model) current(f id) string {
	if m.texts[f] != "" || !m.fresh() {
		return m.texts[f]
	}
	return m.seen.usual[f]
}

// offered is the suggestion that enter takes, empty without one.
func (m *Model) offered() string {
	if m.at == fSave || m.texts[m.at] != "" {
		return ""
	}
	return m.seen.usual[m.at]
}
