package browse

import (
	"context"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/records"
	"pullcard/sequence/shop"
	"pullcard/tui/screen"
)

// list is what is found.
type list struct {
	kind    records.Name
	letters string
	items   []shop.Item
	at      int
	seq     int    // the last search
	read    bool   // there was an answer to a search of this kind
	waits   bool   // the last search has no answer yet
	enter   bool   // enter was pressed meanwhile
	found   bool   // the letters found what was opened: the next ones begin anew
	hold    string // the UID of the record to be on after the next answer, empty to stay where one is
	err     error
}

// lookedUp are the kinds that a person looks up, those most looked for at the ends; all others are found on the page of what they belong to.
func lookedUp() []records.Name {
	return []records.Name{records.KindPlayer, records.KindRacket, records.KindStock, records.KindMachine, records.KindStringer, records.KindFrame, records.KindSheet, records.KindLot, records.KindJob}
}

// take takes the answer of a search.
func (l list) take(msg foundMsg) list {
	l.read, l.waits, l.items, l.err = true, false, msg.items, msg.err
	if i := slices.IndexFunc(l.items, func(it shop.Item) bool { return it.UID == l.hold }); i >= 0 {
		l.at = i
	}
	l.at = min(l.at, max(len(l.items)-1, 0))
	l.hold = ""
	return l
}

// listed takes the answer of a search, and goes on where enter was pressed before it was there.
func (m Model) listed(msg foundMsg) (Model, tea.Cmd) {
	enter := m.list.enter && m.list.waits
	m.list = m.list.take(msg)
	m.list.enter = false
	if enter && m.at == onList {
		return m.openChosen()
	}
	return m, nil
}

// openChosen opens the page of the chosen record.
func (m Model) openChosen() (Model, tea.Cmd) {
	if m.list.err != nil || len(m.list.items) == 0 {
		return m, nil
	}
	return m.open(want{uid: m.list.items[m.list.at].UID})
}

// find asks the book for what the list shows.
func (m Model) find() tea.Cmd {
	b, seq, kind, letters := m.book, m.list.seq, m.list.kind, m.list.letters
	return func() tea.Msg {
		items, err := b.Find(context.Background(), kind, "", letters)
		return foundMsg{seq, items, err}
	}
}

// seek begins a new search; what was found stays until the answer is there.
func (m Model) seek() (Model, tea.Cmd) {
	m.list.seq, m.list.waits = m.next(), true
	return m, m.find()
}

func (m Model) pressList(k tea.KeyMsg) (Model, tea.Cmd) {
	l := &m.list
	l.enter = false
	page := max(m.rows()-1, 1)
	switch {
	case key.Matches(k, m.keys.Up):
		l.at = max(l.at-1, 0)
	case key.Matches(k, m.keys.Down):
		l.at = min(l.at+1, max(len(l.items)-1, 0))
	case key.Matches(k, m.keys.PageUp):
		l.at = max(l.at-page, 0)
	case key.Matches(k, m.keys.PageDown):
		l.at = min(l.at+page, max(len(l.items)-1, 0))
	case key.Matches(k, m.keys.Left):
		return m.kind(-1)
	case key.Matches(k, m.keys.Right):
		return m.kind(1)
	case key.Matches(k, m.keys.New):
		return m.add(l.kind)
	case key.Matches(k, m.keys.Open):
		if l.waits {
			l.enter = true
			return m, nil
		}
		return m.openChosen()
	case key.Matches(k, m.keys.Back):
		if l.letters == "" {
			return m, screen.Leave
		}
		return m.spell("")
	case key.Matches(k, m.keys.Erase):
		if l.letters != "" {
			_, size := utf8.DecodeLastRuneInString(l.letters)
			return m.spell(l.letters[:len(l.letters)-size])
		}
	case k.Type == tea.KeyRunes && !k.Alt, k.Type == tea.KeySpace:
		if l.found {
			l.letters = ""
		}
		return m.spell(strings.TrimLeft(l.letters+typed(k.Runes), " "))
	}
	return m, nil
}

// typed is what was typed or pasted, without its line ends.
func typed(runes []rune) string {
	return strings.NewReplacer("\r", " ", "\n", " ", "\t", " ").Replace(string(runes))
}

// spell finds by other letters.
func (m Model) spell(letters string) (Model, tea.Cmd) {
	if letters == m.list.letters || utf8.RuneCountInString(letters) > 100 {
		return m, nil
	}
	m.list.letters, m.list.at, m.list.found = letters, 0, false
	return m.seek()
}

// kind goes to the list of the next kind, round at the ends.
func (m Model) kind(by int) (Model, tea.Cmd) {
	kinds := lookedUp()
	at := slices.Index(kinds, m.list.kind) + by
	m.list = list{kind: kinds[(at+len(kinds))%len(kinds)]}
	return m.seek()
}

func (m Model) listKeys() []key.Binding {
	var keys []key.Binding
	if len(m.list.items) > 0 && m.list.err == nil {
		keys = append(keys, m.keys.Open)
	}
	keys = append(keys, m.keys.New, m.keys.Right)
	if len(m.list.items) > 1 {
		keys = append(keys, m.keys.Down)
	}
	if m.list.letters != "" {
		return append(keys, named(m.keys.Back, "all of them"))
	}
	return append(keys, named(m.keys.Back, "leave"))
}
