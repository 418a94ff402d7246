// Package lot is the screen of a lot: several rackets of one player with one set-up, of which the first went out and the
// player's verdict sets the others.
//
// Call New with a Sheet and a Book, which keeps what was said and decided.
package lot

import (
	"context"

	"github.com/charmbracelet/bubbles/cursor"
	"github.com/charmbracelet/bubbles/textinput"

	"pullcard/patterns/measure"
	"pullcard/sequence/shop"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// Book keeps what is said and decided. Each answers with the lot as it is then, or with what went wrong, and then
// nothing was changed.
type Book interface {
	// Judge keeps what the player said of the racket of a job: an answer that verdict.Parse reads, and the player's own
	// words, which may be empty.
	Judge(ctx context.Context, jobUID, answer, words string) (shop.LotSheet, error)
	// Decide sets the rackets that wait. The reason, which may be empty, is why it is not as suggested.
	Decide(ctx context.Context, mains, crosses measure.Tension, reason string) (shop.LotSheet, error)
	// Print prints what goes with the rackets of jobs, by the UIDs of their records.
	Print(ctx context.Context, uids ...string) error
}

// sheetMsg is the book's answer, with what to say of it.
type sheetMsg struct {
	sheet shop.LotSheet
	said  string
	err   error
}

// mode is what the keys are for.
type mode uint8

const (
	reading   mode = iota
	picking        // which racket was judged
	answering      // what the player said
	wording        // in which words
	deciding       // asked once, with a line for the reason
)

// Model is the screen.
type Model struct {
	screen.Look
	book         Book
	sheet        shop.LotSheet
	keys         KeyMap
	mode         mode
	mains        measure.Tension // what will be decided
	crosses      measure.Tension
	racket, said int // what is chosen: of the judgeable rackets, of the answers
	input        textinput.Model
	top          int  // first line of the evidence in sight
	sent         bool // something is on its way into the book
	doubted      bool // what was decided takes a reason
}

// New is the screen with a sheet; ascii uses ASCII characters only.
func New(s shop.LotSheet, b Book, t theme.Theme, ascii bool) Model {
	m := Model{Look: screen.Look{ASCII: ascii}, book: b, keys: newKeyMap(ascii), input: textinput.New()}
	m.input.Prompt, m.input.CharLimit = "", 1000
	m.input.Cursor.SetMode(cursor.CursorStatic)
	m.input.Focus()
	return m.SetTheme(t).show(s)
}

// show takes another sheet and begins with its suggestion.
func (m Model) show(s shop.LotSheet) Model {
	m.sheet, m.top = s, 0
	m.mains, m.crosses = s.Suggestion.Mains, s.Suggestion.Crosses
	return m.fit()
}

// suggested says whether there is a tension to decide on.
func (m Model) suggested() bool {
	return m.sheet.None == "" && m.sheet.Suggestion.Mains.Value() > 0 && m.sheet.Suggestion.Crosses.Value() > 0
}

// differs says whether the stringer says otherwise than the suggestion.
func (m Model) differs() bool {
	return m.mains != m.sheet.Suggestion.Mains || m.crosses != m.sheet.Suggestion.Crosses
}

// reasons says whether a reason is asked for.
func (m Model) reasons() bool { return m.doubted || m.differs() }

// SetTheme changes how the screen looks.
func (m Model) SetTheme(t theme.Theme) Model {
	m.Theme = t
	quiet := t.Style(theme.Quiet)
	m.input.TextStyle, m.input.PlaceholderStyle = t.Style(theme.Current), quiet
	m.input.Cursor.Style, m.input.Cursor.TextStyle = t.Style(theme.Current), quiet
	return m
}

// SetSize fits the screen into a terminal of so many columns and rows.
func (m Model) SetSize(width, height int) Model {
	m.Width, m.Height = width, height
	m.input.Width = max(m.Room()-len(whyLabel)-1, 1)
	return m.fit()
}

// fit enables the keys that can act and keeps the evidence in sight. Whether it must be scrolled is asked with the keys
// for that in the foot, which they may make a line higher.
func (m Model) fit() Model {
	m.keys = m.keys.enabled(m)
	last := m.last()
	m.keys.PageUp.SetEnabled(m.mode == reading && last > 0)
	m.keys.PageDown.SetEnabled(m.mode == reading && last > 0)
	m.top = min(m.top, last)
	return m
}
