package rack

import (
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/records"
	"pullcard/tui/theme"
)

// few is up to how many rackets the foot does not say how to find one.
const few = 9

// sift is which of the rackets are shown.
type sift struct {
	view    string // viewAll, viewMine, viewToday, or the name of a machine
	letters string // by which they are found
	typing  bool
	number  string // the digits that were typed just now
}

// The views that are no machine's.
const (
	viewAll   = ""
	viewMine  = "mine"
	viewToday = "today"
)

// views are all that tab goes through.
func (m Model) views() []string {
	out := []string{viewAll, viewMine, viewToday}
	for _, it := range m.items {
		if it.Machine != "" && !slices.Contains(out, it.Machine) {
			out = append(out, it.Machine)
		}
	}
	return out
}

// turn goes to the next view.
func (m Model) turn() Model {
	views := m.views()
	m.sift.view = views[(slices.Index(views, m.sift.view)+1)%len(views)]
	m.at = 0
	return m
}

// viewed says which view it is, nothing of all.
func (m Model) viewed() string {
	switch m.sift.view {
	case viewAll:
		return ""
	case viewMine, viewToday:
		return "  only " + m.sift.view
	}
	return "  only on " + theme.Clean(m.sift.view)
}

// shown are the places of the rackets that are shown: those of the view in which the letters are found. First come those whose name
// they begin, then those in whose they are, then those of which anything else has them.
func (m Model) shown() (out []int) {
	var inside, besides []int
	for i, it := range m.items {
		switch {
		case m.sift.view == viewMine && !it.Mine, m.sift.view == viewToday && !it.Today,
			!slices.Contains([]string{viewAll, viewMine, viewToday}, m.sift.view) && it.Machine != m.sift.view:
		case has(it.Title, m.sift.letters) && first(it.Title, m.sift.letters):
			out = append(out, i)
		case has(it.Title, m.sift.letters):
			inside = append(inside, i)
		case has(it.Name+" "+it.Title+" "+it.Detail+" "+it.Short, m.sift.letters):
			besides = append(besides, i)
		}
	}
	return slices.Concat(out, inside, besides)
}

// chooseNew chooses the one racket that was not there before, so that what is done next is done to what was just added.
func (m Model) chooseNew(was []Item) Model {
	var fresh []int
	for at, i := range m.shown() {
		if !slices.ContainsFunc(was, func(it Item) bool { return it.Key == m.items[i].Key }) {
			fresh = append(fresh, at)
		}
	}
	if len(fresh) == 1 {
		m.at, m.asked = fresh[0], askNothing
	}
	return m
}

// has says whether a text has all the words of letters: each as it is, or as beginnings of its words in their order, so that "ab"
// finds "Ada · blue".
func has(text, letters string) bool {
	words := strings.FieldsFunc(records.Fold(text), func(r rune) bool { return strings.ContainsRune(" ·,()/", r) })
	for _, sought := range strings.Fields(records.Fold(letters)) {
		if !begins(words, sought) && !(utf8.RuneCountInString(sought) > 2 && strings.Contains(strings.Join(words, " "), sought)) {
			return false
		}
	}
	return true
}

// first says whether a text begins with the first of some letters, or there are none.
func first(text, letters string) bool {
	r, _ := utf8.DecodeRuneInString(records.Fold(letters))
	return strings.HasPrefix(records.Fold(text), strings.TrimSuffix(string(r), string(utf8.RuneError)))
}

// begins says whether letters are made of beginnings of words in their order.
func begins(words []string, letters string) bool {
	if letters == "" {
		return true
	}
	for i, w := range words {
		for n := min(len(w), len(letters)); n > 0; n-- {
			if w[:n] == letters[:n] && begins(words[i+1:], letters[n:]) {
				return true
			}
		}
	}
	return false
}

// spell says whether a key is one of the letters by which a racket is found.
func (m Model) spell(k tea.KeyMsg) bool {
	return k.Type == tea.KeyRunes && !k.Alt || k.Type == tea.KeySpace && m.sift.letters != "" || key.Matches(k, m.keys.Shorter, m.keys.All)
}

// spelled finds by one letter more or less.
func (m Model) spelled(k tea.KeyMsg) Model {
	letters := []rune(m.sift.letters)
	shorter := key.Matches(k, m.keys.Shorter)
	switch {
	case key.Matches(k, m.keys.All), shorter && len(letters) == 0:
		m.sift.letters, m.sift.typing = "", false
	case shorter:
		m.sift.letters = string(letters[:len(letters)-1])
	case len(letters) < 60:
		m.sift.letters += string(theme.Typed(append([]rune{}, k.Runes...)))
	}
	m.at = 0
	return m
}

// numbered chooses the racket of a number; a digit too many begins another number.
func (m Model) numbered(digits string) Model {
	n := 0
	for _, d := range digits {
		n = 10*n + int(d-'0')
	}
	if n > len(m.items) && len(digits) > 1 {
		return m.numbered(digits[len(digits)-1:])
	}
	m.sift.number = digits
	if i := slices.Index(m.shown(), n-1); i >= 0 {
		m.at = i
	}
	return m
}
