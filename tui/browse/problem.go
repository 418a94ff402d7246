package browse

import (
	"errors"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/records"
	"pullcard/sequence/shop"
	"pullcard/tui/theme"
)

// refused puts what is wrong beside the fields that it is about, and goes to the first of them. Nothing typed is lost.
func (m Model) refused(err error) (Model, tea.Cmd) {
	f := &m.form
	for i := range f.rows {
		f.rows[i].wrong = ""
	}
	f.other = nil
	if doubts, ok := shop.Doubted(err); ok {
		m = m.asked(doubts)
		f = &m.form
	}
	for _, e := range apart(err) {
		text := e.Error()
		i := slices.IndexFunc(f.rows, func(r row) bool { return about(text, r.field.Key) })
		if i < 0 {
			f.other = append(f.other, text)
			continue
		}
		said := strings.TrimPrefix(text, f.rows[i].field.Key+": ")
		if strings.HasPrefix(text, f.rows[i].field.Key+" is missing") {
			said = "missing; it is needed"
		}
		if before := f.rows[i].wrong; before != "" {
			said = before + "; " + said
		}
		f.rows[i].wrong = said
	}
	return m.toWrong()
}

// toWrong goes to the first row with which something is wrong.
func (m Model) toWrong() (Model, tea.Cmd) {
	switch {
	case m.form.asks && m.form.yes:
		m = m.say(theme.Warn, "is it so? "+m.keys.Keep.Help().Key+" again keeps it; or correct what is marked with !")
	case m.form.asks:
		m = m.say(theme.Warn, "is it meant so? say why, or correct what is marked with !")
	default:
		m = m.say(theme.Danger, "not kept yet; what is wrong is marked with !")
	}
	if m.form.asks {
		m.form.at = len(m.form.rows) - 1
		return m.enterRow()
	}
	if i := slices.IndexFunc(m.form.rows, func(r row) bool { return r.wrong != "" }); i >= 0 {
		m.form.at = i
	}
	return m.enterRow()
}

// about says whether a problem is that of a field: "key: what is wrong" or "key is missing".
func about(text, key string) bool {
	return key != whyKey && (strings.HasPrefix(text, key+": ") || strings.HasPrefix(text, key+" is missing"))
}

// apart takes an error apart that was joined from several, however often it was wrapped since.
func apart(err error) []error {
	for e := err; e != nil; e = errors.Unwrap(e) {
		joined, ok := e.(interface{ Unwrap() []error })
		if !ok {
			continue
		}
		var out []error
		var texts []string
		for _, part := range joined.Unwrap() {
			out, texts = append(out, apart(part)...), append(texts, part.Error())
		}
		if strings.Join(texts, "\n") == e.Error() { // it says no more than its parts
			return out
		}
	}
	return []error{err}
}

// check reads the row in hand by its kind, so that what is wrong is said when one goes on and not only in the end. A field
// that is missing may still be filled in.
func (m Model) check() Model {
	f := &m.form
	r := &f.rows[f.at]
	if r.refers() || r.field.Key == whyKey {
		return m
	}
	r.wrong = ""
	if strings.TrimSpace(r.text) == "" || !r.changed() {
		return m
	}
	_, err := f.kind.Read(records.Fields{r.field.Key: r.text}, m.now())
	for _, e := range apart(err) {
		if err != nil && strings.HasPrefix(e.Error(), r.field.Key+": ") {
			r.wrong = strings.TrimPrefix(e.Error(), r.field.Key+": ")
		}
	}
	return m
}

// asked adds the row of the reason to the form of something that is doubted.
func (m Model) asked(doubts shop.Doubts) Model {
	f := &m.form
	reason, ok := f.kind.Reason()
	if !ok {
		return m
	}
	f.yes = !doubts.Reason()
	if !f.asks {
		f.rows, f.asks = append(slices.Clip(f.rows), row{field: reason}), true
	}
	f.doubted = f.written()
	return m
}

// believed begins the fields of a form with the reason: that it is so, where the form was kept once more without one and that is
// enough.
func (m Model) believed() records.Fields {
	fields, f := records.Fields{}, m.form
	if r := f.rows[len(f.rows)-1]; f.asks && f.yes && f.written() == f.doubted {
		fields[r.field.Key] = records.ItIsSo
	}
	return fields
}

// written is all that the form says.
func (f form) written() string {
	var b strings.Builder
	for _, r := range f.rows {
		b.WriteString(r.text + "\x00")
	}
	return b.String()
}
