// Package frame is the screen on which a frame is entered that nobody has typed yet: a form that asks what is printed on
// its card, in that order, and draws the racket as it grows.
//
// Call New for a new frame or Edit for the layout of one.
package frame

import (
	"strings"
	"unicode"

	"pullcard/patterns"
	"pullcard/tui/draw"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// Settings are what a house chooses for its screens.
type Settings struct {
	Theme theme.Theme
	// ASCII draws with ASCII characters only.
	ASCII bool
	// Turn is how the racket lies in the picture.
	Turn draw.View
	// Save keeps a finished layout, which ReadLayout reads without a problem, and says where. Name is the file's name without
	// folder and ending, "club-sixteen"; of an edited layout the one that Edit got.
	Save func(name string, text []byte) (path string, err error)
	// File is where the layout will be kept; empty for a file named as the frame.
	File string
}

// savedMsg says where the finished layout was kept, or why not.
type savedMsg struct {
	path string
	err  error
}

// origin is the layout that is edited; its zero value is a new one's.
type origin struct {
	name  string
	data  []byte
	card  patterns.Card
	texts [fields]string
}

// Model is the form.
type Model struct {
	screen.Look
	turned draw.View
	keep   func(name string, text []byte) (string, error)
	file   string // where it will be kept, empty for a file named as the frame
	keys   KeyMap
	ink    draw.Palette
	origin origin

	at      id
	texts   [fields]string // what was typed or taken
	left    [fields]bool   // the form has gone on from a field, so what is wrong with it is said
	touched bool           // a key was typed in the field in hand since it is
	typed   bool           // something was typed that is not saved
	sent    bool           // the frame is on its way to be kept
	leaving bool           // esc was pressed once
	showing bool           // the picture has the whole screen
	kept    string         // where the finished layout lies; then what comes next is said
	input   screen.Typed

	seen  sight
	scene draw.Scene
	drawn bool // there is a scene
}

// New is an empty form with the usual values as suggestions.
func New(set Settings) Model {
	m := Model{Look: screen.Look{ASCII: set.ASCII}, turned: set.Turn, keep: set.Save, file: set.File, keys: newKeyMap(), input: screen.NewTyped()}
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

// SetSize fits the screen into a terminal of so many columns and rows.
func (m Model) SetSize(width, height int) Model {
	m.Width, m.Height = width, height
	return m.load()
}

// SetTheme changes how the screen looks.
func (m Model) SetTheme(t theme.Theme) Model {
	m.Theme = t
	m.ink = draw.NewPalette(t, m.ASCII)
	m.input = m.input.Dress(t)
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

// path is where the layout will be kept, empty while that is not known.
func (m *Model) path() string {
	switch name := m.name(); {
	case m.file != "":
		return m.file
	case name != "":
		return name + ".toml"
	}
	return ""
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
	m.input = m.input.Load(m.texts[m.at], m.seen.usual[m.at], m.formWidth()-labelWidth-4)
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
