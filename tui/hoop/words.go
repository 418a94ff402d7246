package hoop

import (
	"fmt"

	"pullcard/patterns/measure"
	"pullcard/sequence/strain"
	"pullcard/tui/theme"
)

// lines are the words beside the picture, in the width that there is for them.
func (m Model) lines(width int) (out []string) {
	add := func(r theme.Role, text string) { out = append(out, m.Hang(r, "", theme.Clean(text), width)...) }
	if m.sheet.Trouble != "" {
		add(theme.Danger, m.sheet.Trouble)
	}
	if m.sheet.Course == nil {
		return out
	}
	if m.typing {
		add(theme.Title, "MEASURED inside, length x width in mm")
		out = append(out, m.form[0].View(), m.form[1].View(), "")
	}
	for _, l := range m.said {
		add(l.role, l.text)
	}
	if m.search != nil {
		add(theme.Warn, m.search.shown)
	}
	m.now(add)
	add(theme.Text, "")
	add(theme.Text, "to measure against before: "+m.sheet.Expected.Words())
	for _, part := range m.sheet.Course.Report(m.sheet.Unit) {
		add(theme.Text, "")
		add(theme.Title, part.Head)
		for _, l := range part.Lines {
			if l.Warn {
				add(theme.Warn, "! "+l.Text)
				continue
			}
			add(theme.Text, l.Text)
		}
	}
	add(theme.Text, "")
	add(theme.Title, "ASSUMED")
	for _, text := range m.sheet.Assumed {
		add(theme.Quiet, text)
	}
	return out
}

// now tells the step that is shown.
func (m Model) now(add func(theme.Role, string)) {
	c := m.sheet.Course
	at := c.At[m.step-1]
	add(theme.Current, c.Plan.Steps[m.step-1].Title)
	add(theme.Text, strain.Size{LengthMM: at.LengthMM, WidthMM: at.WidthMM}.Words()+", drawn "+fmt.Sprintf("%g times", c.Picture(m.step, 0).Factor))
	if at.SupportN > 0 {
		add(theme.Text, fmt.Sprintf("support %s carries up to %.0f N, the tube bends by up to %.1f N·m", at.Support, at.SupportN, at.BendingNm))
	}
	lo, hi := -1, -1
	for i, n := range at.Newtons {
		if n > 0 && (lo < 0 || n < at.Newtons[lo]) {
			lo = i
		}
		if n > 0 && (hi < 0 || n > at.Newtons[hi]) {
			hi = i
		}
	}
	if lo >= 0 {
		in := func(n float64) string {
			return fmt.Sprintf("%.1f %s", measure.Newtons(n).In(m.sheet.Unit), m.sheet.Unit)
		}
		add(theme.Text, fmt.Sprintf("tightest %s at %s, least %s at %s: each loses as others are pulled after it", c.Strands[hi].Name, in(at.Newtons[hi]), c.Strands[lo].Name, in(at.Newtons[lo])))
	}
}
