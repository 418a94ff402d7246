package browse

import (
	"context"
	"fmt"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// sheet is the page that is open.
type sheet struct {
	place
	page  shop.Page
	seq   int // the question that it answers
	lines []pageLine
	stack []place // the pages that esc goes back to, the last first
	ask   question
}

// place is where one is on a page.
type place struct {
	uid string
	at  int // the chosen one of the lines that open something, -1 for none in sight
	top int // the first line in sight
}

// question is what the foot asks.
type question uint8

const (
	askNothing question = iota
	askAway             // remove the record?
	askWhich            // which kind is added?
	askFill             // put the rest into the lot?
)

// want is a page on its way; nothing changes until it is there.
type want struct {
	seq    int    // nought when nothing is wanted
	uid    string // empty while a record is removed
	stack  []place
	place  place
	back   bool   // one goes back: without the page one goes to the list
	line   string // the UID of the line to be on
	notice screen.Notice
}

// open asks the book for a page.
func (m Model) open(w want) (Model, tea.Cmd) {
	w.seq = m.next()
	m.want = w
	return m, m.read(w.seq, w.uid)
}

func (m Model) read(seq int, uid string) tea.Cmd {
	b := m.book
	return func() tea.Msg {
		p, err := b.Page(context.Background(), uid)
		return pageMsg{seq, p, err}
	}
}

// turned takes the page that was wanted, or the one that is open read anew.
func (m Model) turned(msg pageMsg) (Model, tea.Cmd) {
	w := m.want
	switch {
	case msg.seq == w.seq:
		m.want = want{}
	case msg.seq == m.sheet.seq && m.at == onPage:
		w = want{seq: msg.seq, stack: m.sheet.stack, place: m.sheet.place, notice: m.Notice}
	default:
		return m, nil
	}
	if msg.err != nil {
		if w.back {
			m, cmd := m.toList()
			return m.say(theme.Danger, msg.err.Error()), cmd
		}
		return m.say(theme.Danger, msg.err.Error()), nil
	}
	if w.notice.Text != "" {
		m.Notice = w.notice
	}
	m.at = onPage
	m.sheet = sheet{page: msg.page, seq: w.seq, stack: w.stack, place: w.place}
	m.sheet.uid = msg.page.UID
	m.sheet.lines = m.pageLines()
	if i := slices.IndexFunc(m.links(), func(l shop.Line) bool { return l.UID == w.line }); w.line != "" && i >= 0 {
		m.sheet.at = i
		m.sheet.top = m.sheet.lineOf(i) - m.rows()/2
	}
	m.sheet.place = m.settle(m.sheet.place)
	return m, nil
}

// toList goes to the list, which is read anew.
func (m Model) toList() (Model, tea.Cmd) {
	m.list.hold = m.sheet.page.UID
	if n := len(m.sheet.stack); n > 0 {
		m.list.hold = m.sheet.stack[0].uid
	}
	m.at, m.want, m.list.found = onList, want{}, true
	return m.seek()
}

// back goes back to the page before, or to the list.
func (m Model) back(n screen.Notice) (Model, tea.Cmd) {
	last := len(m.sheet.stack) - 1
	if last < 0 {
		m, cmd := m.toList()
		m.Notice = n
		return m, cmd
	}
	p := m.sheet.stack[last]
	return m.open(want{uid: p.uid, stack: m.sheet.stack[:last], place: p, back: true, notice: n})
}

// again reads the page that is open anew, to be on the line of a record.
func (m Model) again(line string, n screen.Notice) (Model, tea.Cmd) {
	return m.open(want{uid: m.sheet.page.UID, stack: m.sheet.stack, place: m.sheet.place, line: line, notice: n})
}

func (m Model) pressPage(k tea.KeyMsg) (Model, tea.Cmd) {
	switch m.sheet.ask {
	case askAway:
		m.sheet.ask = askNothing
		if key.Matches(k, m.keys.Away) {
			return m.remove()
		}
		return m, nil
	case askWhich:
		return m.answerWhich(k)
	case askFill:
		m.sheet.ask = askNothing
		if key.Matches(k, m.keys.Fill) {
			return m.fill()
		}
		return m, nil
	}
	kept := m.sheet.page.State == book.Kept
	switch {
	case key.Matches(k, m.keys.Back), k.String() == "q", k.String() == "backspace":
		return m.back(screen.Notice{})
	case key.Matches(k, m.keys.Up), k.String() == "k":
		m.sheet.place = m.step(-1)
	case key.Matches(k, m.keys.Down), k.String() == "j":
		m.sheet.place = m.step(1)
	case key.Matches(k, m.keys.PageUp):
		m.sheet.place = m.scroll(-m.rows() + 1)
	case key.Matches(k, m.keys.PageDown):
		m.sheet.place = m.scroll(m.rows() - 1)
	case key.Matches(k, m.keys.Open) && m.sheet.at >= 0:
		stack := append(slices.Clip(m.sheet.stack), m.sheet.place)
		return m.open(want{uid: m.links()[m.sheet.at].UID, stack: stack})
	case key.Matches(k, m.keys.Lot) && m.sheet.page.Kind == records.KindLot:
		b, uid := m.book, m.sheet.page.UID
		return m, screen.Open(func() (screen.Screen, error) { return b.Verdicts(uid) })
	case key.Matches(k, m.keys.Sheet) && m.strung():
		b, uid := m.book, m.sheet.page.UID
		return m, screen.Open(func() (screen.Screen, error) { return b.Sheet(uid) })
	case key.Matches(k, m.keys.Print) && m.sheet.page.Kind == records.KindJob:
		b, uid := m.book, m.sheet.page.UID
		return m.say(theme.Quiet, "printing"), func() tea.Msg {
			if err := b.Print(context.Background(), uid); err != nil {
				return screen.Wrong(err.Error())
			}
			return screen.Said("printed")
		}
	case key.Matches(k, m.keys.Bench) && m.sheet.page.Bench:
		b, uid := m.book, m.sheet.page.UID
		return m, screen.Open(func() (screen.Screen, error) { return b.Bench(uid) })
	case !kept:
	case key.Matches(k, m.keys.Hand) && m.sheet.page.Fetch:
		return m.hand()
	case key.Matches(k, m.keys.Correct):
		return m.correct()
	case key.Matches(k, m.keys.Fill) && m.sheet.page.Kind == records.KindLot:
		return m.asks(askFill, m.book.RestOfLot)
	case key.Matches(k, m.keys.Away):
		return m.asks(askAway, m.book.References)
	case key.Matches(k, m.keys.Add):
		return m.addBelow()
	}
	return m, nil
}

// answerWhich takes the letter of a kind; other keys but esc mean nothing until the question is answered.
func (m Model) answerWhich(k tea.KeyMsg) (Model, tea.Cmd) {
	if key.Matches(k, m.keys.Back) {
		m.sheet.ask = askNothing
		return m, nil
	}
	for _, n := range belonging(m.sheet.page.Item) {
		if k.String() == letter(n) {
			m.sheet.ask = askNothing
			return m.add(n)
		}
	}
	return m, nil
}

// addBelow adds something that belongs to the record, after a question where that may be several kinds.
func (m Model) addBelow() (Model, tea.Cmd) {
	kinds := belonging(m.sheet.page.Item)
	switch len(kinds) {
	case 0:
		return m, nil
	case 1:
		return m.add(kinds[0])
	}
	m.sheet.ask = askWhich
	return m, nil
}

// belonging are the kinds that can be added to a record: those that are owned by its kind, and a job for a racket or a lot; to a job of
// a racket that is not strung nothing that is of a strung bed.
func belonging(it shop.Item) (out []records.Name) {
	for _, k := range records.Kinds() {
		if f, ok := k.Field(k.Owner); ok && f.Of == it.Kind && !(it.Unstrung && (k.Name == records.KindReading || k.Name == records.KindVerdict)) {
			out = append(out, k.Name)
		}
	}
	if it.Kind == records.KindRacket || it.Kind == records.KindLot {
		out = append(out, records.KindJob)
	}
	return out
}

// letter is the key of a kind where the foot asks for one.
func letter(n records.Name) string { return string(n[:1]) }

// asks puts a question about the record once the book has said what there is to know for it: what hangs on it, before it is removed, or which
// rackets a lot lacks, before they are put in.
func (m Model) asks(q question, of func(ctx context.Context, uid string) (string, error)) (Model, tea.Cmd) {
	seq, uid := m.next(), m.sheet.page.UID
	m.want = want{seq: seq}
	return m, func() tea.Msg {
		text, err := of(context.Background(), uid)
		return toldMsg{seq, q, text, err}
	}
}

// told takes the book's answer to that.
func (m Model) told(msg toldMsg) Model {
	if msg.seq != m.want.seq || m.at != onPage {
		return m
	}
	m.want = want{}
	if msg.err != nil {
		return m.say(theme.Danger, msg.err.Error())
	}
	m.sheet.ask = msg.ask
	switch {
	case msg.ask == askFill:
		return m.say(theme.Warn, "into the lot go "+msg.text+"; f again puts them in, any other key leaves it")
	case msg.text != "":
		return m.say(theme.Warn, "it is named by "+msg.text+", which stay in the book; d again removes it, any other key keeps it")
	}
	return m
}

// remove tells the book to remove the record.
func (m Model) remove() (Model, tea.Cmd) {
	b, seq, uid := m.book, m.next(), m.sheet.page.UID
	m.want = want{seq: seq}
	return m, func() tea.Msg { return awayMsg{seq, b.Remove(context.Background(), uid, true)} }
}

// away takes the book's answer to that.
func (m Model) away(msg awayMsg) (Model, tea.Cmd) {
	if msg.seq != m.want.seq {
		return m, nil
	}
	m.want = want{}
	if msg.err != nil {
		return m.say(theme.Danger, msg.err.Error()), nil
	}
	p := m.sheet.page
	return m.back(screen.Said(fmt.Sprintf("%s is removed; pullcard book %s recall %d brings it back", m.Plain(title(p.Item)), p.Kind, p.ID)))
}

func (m Model) pageKeys() []key.Binding {
	switch m.sheet.ask {
	case askAway:
		return []key.Binding{named(m.keys.Away, "again removes it"), key.NewBinding(key.WithKeys("esc"), key.WithHelp("any other key", "keeps it"))}
	case askFill:
		return []key.Binding{named(m.keys.Fill, "again puts them in"), key.NewBinding(key.WithKeys("esc"), key.WithHelp("any other key", "leaves it"))}
	case askWhich:
		var keys []key.Binding
		for _, n := range belonging(m.sheet.page.Item) {
			k, _ := records.Find(n)
			keys = append(keys, key.NewBinding(key.WithKeys(letter(n)), key.WithHelp(letter(n), "add a "+singular(k))))
		}
		return append(keys, named(m.keys.Back, "nothing"))
	}
	var keys []key.Binding
	if m.sheet.page.Kind == records.KindLot {
		keys = append(keys, m.keys.Lot)
	}
	if m.sheet.page.Bench {
		keys = append(keys, m.keys.Bench)
	}
	if m.sheet.page.Fetch && m.sheet.page.State == book.Kept {
		keys = append(keys, m.keys.Hand)
	}
	if m.sheet.page.Kind == records.KindJob {
		keys = append(keys, m.keys.Print)
	}
	if m.strung() {
		keys = append(keys, m.keys.Sheet)
	}
	if m.sheet.at >= 0 {
		keys = append(keys, m.keys.Open)
	}
	if m.sheet.page.State == book.Kept {
		keys = append(keys, m.keys.Correct)
		if len(belonging(m.sheet.page.Item)) > 0 {
			keys = append(keys, m.keys.Add)
		}
		if m.sheet.page.Kind == records.KindLot {
			keys = append(keys, m.keys.Fill)
		}
		keys = append(keys, m.keys.Away)
	}
	keys = append(keys, m.keys.Back)
	switch {
	case len(m.links()) > 1:
		keys = append(keys, m.keys.Down)
	case len(m.sheet.lines) > max(m.Height-4, 1): // the foot has three lines at most
		keys = append(keys, named(m.keys.Down, "scroll"))
	}
	return keys
}

// strung says whether the record is a technique sheet, or a job that is yet to be strung by one.
func (m Model) strung() bool {
	p := m.sheet.page
	return p.State == book.Kept && (p.Kind == records.KindSheet || p.Kind == records.KindJob && p.Bench)
}

// singular is one of a kind: "gauge check" of gauge checks.
func singular(k records.Kind) string {
	if one := k.Plural[:len(k.Plural)-1]; k.Plural[len(k.Plural)-1] == 's' {
		return one
	}
	return string(k.Name)
}
