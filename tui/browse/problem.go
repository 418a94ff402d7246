package browse

import (
	"errors"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/records"
	"pullcard/tui/theme"
)

// refused puts what is wrong beside the fields that it is about, and goes to the first of them. Nothing typed is lost.
func (m Model) refused(err error) (Model, tea.Cmd) {
	f := &m.form
	for i := range f.rows {
		f.rows[i].wrong = ""
	}
	f.other = nil
	for _, e := range apart(err) {
		text := e.Error()
		i := slices.IndexFunc(f.rows, func(r row) bool { return about(text, r.field.Key) })
		if i < 0 {
			f.other = append(f.other, text)
			continue
		}
		f.rows[i].wrong = strings.TrimPrefix(text, f.rows[i].field.Key+": ")
		if strings.HasPrefix(text, f.rows[i].field.Key+" is missing") {
			f.rows[i].wrong = "missing; it is needed"
		}
	}
	return m.toWrong()
}

// toWrong goes to the first row with which something is wrong.
func (m Model) toWrong() (Model, tea.Cmd) {
	m = m.say(theme.Danger, "not kept yet; what is wrong is marked with !")
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
