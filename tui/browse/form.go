package browse

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/cursor"
	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// form asks for the fields of a record.
type form struct {
	kind    records.Kind
	uid     string // of the record that is corrected, empty for a new one
	title   string
	from    part // where esc goes to
	rows    []row
	at      int
	input   textinput.Model
	typed   bool         // something was typed that is not kept
	leaving bool         // esc was pressed once
	sent    bool         // it is on its way into the book
	other   []string     // what is wrong beyond the fields
	seq     int          // the search or the keeping that it waits for
	matches []shop.Item  // what was found for the field in hand
	chosen  int          // which of them, -1 for none
	found   bool         // there was an answer
	ahead   []tea.KeyMsg // pressed before it: enter, and what came after that
	fresh   bool         // the field was just come to, and the only record that it can mean is filled in
	err     error
	asks    bool   // something is doubted, and the last row is for the reason
	hands   bool   // a racket is handed over
	yes     bool   // to say that it is so is enough
	doubted string // all that was written when it was doubted
	spelled string // the letters typed so far by which one of the choices in hand is meant

	blank    map[string]string // what fills the fields that are left blank, by their keys
	blankOf  string            // of which records
	blankSeq int               // the question about that, nought before the first
}

// row is one field of the form.
type row struct {
	field     records.Field
	text, was string // as people write it; of a field that refers to a record the name, or the letters by which it is sought
	uid, then string // of such a field the UID, now and when the form was opened
	wrong     string
}

// The last row of a correction, which is no field.
const whyKey = ""

func (r row) refers() bool { return r.field.Of != "" }

func (r row) picks() bool { return len(r.field.Choices) > 0 }

// open says whether a row waits for a record to be picked.
func (r row) open() bool { return r.refers() && r.uid == "" }

// names says whether a row names a frame or a sheet, by a few letters, or by a path.
func (r row) names() bool { return r.field.Names != "" }

// seeks says whether what begins so is shown below a row.
func (r row) seeks() bool { return r.open() || r.names() && strings.TrimSpace(r.text) != "" }

// changed says whether a row says something else than when the form was opened.
func (r row) changed() bool {
	if r.refers() {
		return r.uid != r.then
	}
	return r.text != r.was
}

// newForm is a form with empty rows. What the program fills in itself is not asked for.
func newForm(n records.Name, t theme.Theme) form {
	k, _ := records.Find(n)
	f := form{kind: k, input: textinput.New(), chosen: -1}
	f.input.CharLimit = 4000
	f.input.Prompt = ""
	f.input.Cursor.SetMode(cursor.CursorStatic)
	f.input.Focus()
	for _, field := range k.Fields {
		if !field.Derived && !field.Asked {
			f.rows = append(f.rows, row{field: field})
		}
	}
	return f.dress(t)
}

func (f form) dress(t theme.Theme) form {
	f.input.TextStyle, f.input.PlaceholderStyle = t.Style(theme.Current), t.Style(theme.Quiet)
	f.input.Cursor.Style, f.input.Cursor.TextStyle = t.Style(theme.Current), t.Style(theme.Quiet)
	return f
}

// add opens the form of a new record. On a page what the record belongs to is filled in already.
func (m Model) add(n records.Name) (Model, tea.Cmd) {
	f := newForm(n, m.Theme)
	f.title, f.from = "NEW "+strings.ToUpper(singular(f.kind)), m.at
	if m.at == onPage {
		p := m.sheet.page
		for i, r := range f.rows {
			switch uid := p.Fields[r.field.Key]; {
			case r.field.Of == p.Kind:
				f.rows[i].uid, f.rows[i].text = p.UID, m.Plain(title(p.Item))
			case r.refers() && uid != "":
				f.rows[i].uid, f.rows[i].text = uid, m.Plain(p.Names[uid])
			}
		}
	}
	return m.show(f.unfilled())
}

// unfilled is the form at its first row that is not filled in.
func (f form) unfilled() form {
	for f.at < len(f.rows)-1 && f.rows[f.at].uid != "" {
		f.at++
	}
	return f
}

// correct opens the form of the record whose page is open.
func (m Model) correct() (Model, tea.Cmd) {
	p := m.sheet.page
	f := newForm(p.Kind, m.Theme)
	f.uid, f.title, f.from = p.UID, "CORRECT "+strings.ToUpper(singular(f.kind)), m.at
	for i := range f.rows {
		r := &f.rows[i]
		text := p.Fields[r.field.Key]
		if r.refers() {
			r.uid, r.then = text, text
		}
		r.text = m.value(r.field, text, p.Names)
		r.was = r.text
	}
	f.rows = append(f.rows, row{field: records.Field{Key: whyKey, Label: "why", Help: "why it is corrected; it may stay empty"}})
	return m.show(f)
}

// hand opens the form of the strung job whose page is open with what is noted when its racket is fetched: now, by its player, at the row of
// the price.
func (m Model) hand() (Model, tea.Cmd) {
	m, _ = m.correct()
	p, f := m.sheet.page, &m.form
	var j records.Job
	now := map[string]string{records.Key(&j, &j.Handed): m.stamp(m.now()),
		records.Key(&j, &j.To): m.Plain(p.Names[records.As[records.Job](p.Fields).Player])}
	asked := []string{records.Key(&j, &j.Handed), records.Key(&j, &j.To), records.Key(&j, &j.Price), records.Key(&j, &j.Paid)}
	f.hands = true
	f.title, f.rows = "HAND OVER", slices.DeleteFunc(f.rows, func(r row) bool { return !slices.Contains(asked, r.field.Key) })
	for i := range f.rows {
		r := &f.rows[i]
		if r.text = cmp.Or(r.text, now[r.field.Key]); r.field.Key == records.Key(&j, &j.Price) {
			f.at = i
		}
	}
	return m.enterRow()
}

// HandOver opens that form of a strung job for another screen, to which it goes back.
func (m Model) HandOver(p shop.Page) Model {
	m.sheet.page = p
	m, _ = m.hand()
	m.form.from = outside
	return m
}

// show puts a form on the screen.
func (m Model) show(f form) (Model, tea.Cmd) {
	m.form, m.at = f, onForm
	return m.enterRow()
}

// enterRow begins with the row in hand: a field that refers to a record says at once what there is.
func (m Model) enterRow() (Model, tea.Cmd) {
	m.form.matches, m.form.chosen, m.form.found, m.form.ahead, m.form.fresh, m.form.err, m.form.spelled = nil, -1, false, nil, true, nil, ""
	m, blank := m.askBlank()
	m.form = m.form.load(m.inputWidth())
	if !m.form.rows[m.form.at].seeks() {
		m.form.seq = m.next()
		return m, blank
	}
	m, matches := m.seekMatches()
	return m, tea.Batch(matches, blank)
}

// askBlank asks anew what fills a new record's blank fields, where it names other records than before.
func (m Model) askBlank() (Model, tea.Cmd) {
	f := &m.form
	of := fmt.Sprint(f.named())
	if f.uid != "" || f.blankSeq != 0 && of == f.blankOf {
		return m, nil
	}
	f.blankOf, f.blankSeq = of, m.next()
	return m, m.readBlank()
}

// named are the records that the form names.
func (f form) named() records.Fields {
	out := records.Fields{}
	for _, r := range f.rows {
		if r.refers() && r.uid != "" {
			out[r.field.Key] = r.uid
		}
	}
	return out
}

func (m Model) readBlank() tea.Cmd {
	b, seq, kind, fields := m.book, m.form.blankSeq, m.form.kind.Name, m.form.named()
	return func() tea.Msg {
		blank, err := b.Blank(context.Background(), kind, fields)
		if err != nil {
			blank = nil // what is wrong is said when the record is kept
		}
		return blankMsg{seq, blank}
	}
}

// load puts the text of the row in hand into the line that is typed in.
func (f form) load(width int) form {
	if len(f.rows) == 0 {
		return f
	}
	r := f.rows[f.at]
	if f.input.Value() != r.text {
		f.input.SetValue(r.text)
		f.input.CursorEnd()
	}
	f.input.Placeholder = ""
	if r.field.Needed {
		f.input.Placeholder = "needed"
	}
	f.input.Width = width
	return f
}

func (m Model) inputWidth() int { return max(m.Room()-m.form.labelWidth()-5, 4) }

// seekMatches looks for records that the row in hand may refer to.
func (m Model) seekMatches() (Model, tea.Cmd) {
	f := &m.form
	f.seq, f.found = m.next(), false
	r := f.rows[f.at]
	b, seq, kind, of, letters := m.book, f.seq, r.field.Of, f.owner(r.field.Of), r.text
	if r.names() {
		kind = r.field.Names
		return m, func() tea.Msg {
			var items []shop.Item
			for _, name := range b.Lettered(kind, letters) {
				if name == letters {
					break // nothing is left to pick
				}
				items = append(items, shop.Item{Record: book.Record{Kind: kind, Fields: records.Texts(records.Sheet{Name: name})}}) // a frame's has the same fields
			}
			return foundMsg{seq, items, nil}
		}
	}
	return m, func() tea.Msg {
		items, err := b.Find(context.Background(), kind, of, letters)
		return foundMsg{seq, items, err}
	}
}

// owner is the UID of whom the form names as the owner of records of a kind, as of rackets the player.
func (f form) owner(n records.Name) string {
	k, _ := records.Find(n)
	for _, r := range f.rows {
		if k.Owner != "" && r.field.Key == k.Owner && r.refers() {
			return r.uid
		}
	}
	return ""
}

// matched takes what was found for the row in hand, first what has a word that begins so: who types r means red, not green.
// The first is chosen as soon as there are letters; a needed record is filled in where there is no other. Then come the keys
// that were pressed ahead of it.
func (m Model) matched(msg foundMsg) (Model, tea.Cmd) {
	f := &m.form
	if m.at != onForm || !f.rows[f.at].seeks() {
		f.chosen = -1
		return m, nil
	}
	r, fresh := f.rows[f.at], f.fresh
	f.matches, f.err, f.found, f.chosen, f.fresh = msg.items, msg.err, true, -1, false
	begins := func(it shop.Item) bool {
		return strings.Contains(" "+records.Fold(it.Label()), " "+records.Fold(r.text))
	}
	slices.SortStableFunc(f.matches, func(a, b shop.Item) int {
		switch {
		case begins(a) == begins(b):
			return 0
		case begins(a):
			return -1
		}
		return 1
	})
	switch {
	case r.text != "" && len(f.matches) > 0:
		f.chosen = 0
	case r.text == "" && fresh && r.field.Needed && len(f.matches) == 1:
		typed := f.typed
		m, cmd := m.pick(f.matches[0])
		m.form.typed = typed
		return m, cmd
	}
	ahead := f.ahead
	f.ahead = nil
	var cmds []tea.Cmd
	for _, k := range ahead {
		var cmd tea.Cmd
		m, cmd = m.pressForm(k)
		cmds = append(cmds, cmd)
	}
	return m, tea.Batch(cmds...)
}

// pick takes a record into the row in hand, and with it what it belongs to where the form asks for that too.
func (m Model) pick(it shop.Item) (Model, tea.Cmd) {
	f := &m.form
	f.typed = true
	r := &f.rows[f.at]
	if r.uid, r.text, r.wrong = it.UID, m.Plain(title(it)), ""; r.names() {
		r.text = it.Label()
		return m.move(1)
	}
	for i := range f.rows {
		other := &f.rows[i]
		if uid := it.Fields[other.field.Key]; other.open() && other.text == "" && uid != "" {
			other.uid, other.text, other.wrong = uid, m.Plain(cmp.Or(it.Names[uid], plural(other.field.Of))), ""
		}
		if k, _ := records.Find(other.field.Of); i != f.at && other.uid != "" && k.Owner == r.field.Key && k.Owner != "" {
			other.uid, other.text = "", "" // it belongs to somebody else
		}
	}
	return m.move(1)
}

// keep sends the record to the book.
func (m Model) keep() (Model, tea.Cmd) {
	m = m.check()
	f := &m.form
	fields, why := m.believed(), ""
	for i := range f.rows {
		r := &f.rows[i]
		text := strings.TrimSpace(r.text)
		if r.refers() {
			if text != "" && r.uid == "" {
				r.wrong = fmt.Sprintf("pick one of the %s that are found, or take the letters off", plural(r.field.Of))
				return m.toWrong()
			}
			text = r.uid
		}
		switch {
		case r.field.Key == whyKey:
			why = text
		case f.uid == "" && text != "", f.uid != "" && r.changed():
			fields[r.field.Key] = text
		}
	}
	if f.uid != "" && len(fields) == 0 {
		m, cmd := m.cancel(true)
		return m.say(theme.Quiet, "nothing was changed"), cmd
	}
	f.sent, f.seq = true, m.next()
	b, seq, kind, uid := m.book, f.seq, f.kind.Name, f.uid
	return m, func() tea.Msg {
		r, err := b.Keep(context.Background(), kind, uid, fields, why)
		return keptMsg{seq, r, err}
	}
}

// kept takes the book's answer: the record is there, or what is wrong stands beside its fields.
func (m Model) kept(msg keptMsg) (Model, tea.Cmd) {
	if msg.seq != m.form.seq || !m.form.sent {
		return m, nil
	}
	m.form.sent = false
	if msg.err != nil {
		return m.refused(msg.err)
	}
	said := screen.Said(fmt.Sprintf("%s is in the book", screen.Line(msg.record.Label())))
	if j := records.As[records.Job](msg.record.Fields); m.form.hands && j.Handed != "" {
		to := ""
		if j.To != "" {
			to = " to " + screen.Line(j.To)
		}
		said = screen.Said(screen.Line(msg.record.Label()) + " is handed over" + to)
	}
	if msg.record.Kind == records.KindJob && records.As[records.Job](msg.record.Fields).Text == "" {
		said = screen.Notice{Text: said.Text + "; it can be strung when technique and tension are said", Role: theme.Warn}
	}
	if m.form.from == outside {
		return m, func() tea.Msg { return screen.LeaveMsg{Said: said.Text} }
	}
	m.at = m.form.from
	if m.form.from == onPage {
		return m.again(msg.record.UID, said)
	}
	m.list.hold = msg.record.UID
	m, list := m.seek()
	m, page := m.open(want{uid: msg.record.UID, notice: said})
	return m, tea.Batch(list, page)
}
