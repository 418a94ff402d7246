// Package theme holds the looks of the bench: which colour stands for what, on light, dark and glaring screens, with
// sixteen colours and with none.
//
// Call New with a renderer, which knows how many colours the terminal has, and the name of a theme. Nothing here asks
// the terminal anything: whoever starts the program says whether its background is light. Paint lays the theme's own
// background under a finished frame, so that the contrasts hold whatever the terminal's own background is.
package theme

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
)

// Theme is a set of colours made ready for one terminal.
type Theme struct {
	// Name is the name by which the theme was asked for.
	Name   string
	styles [roles]lipgloss.Style
	// background switches the theme's background and text on; empty without colours.
	background string
}

// Plain is the name of the theme without colours.
const Plain = "plain"

// Names lists the themes: "dark", "light", their high-contrast forms, and "plain", which uses no colour at all.
func Names() []string { return []string{"dark", "light", "contrast", "contrast-light", Plain} }

func sheetOf(name string) (sheet, bool) {
	switch name {
	case "dark":
		return dark(), true
	case "light":
		return light(), true
	case "contrast":
		return contrast(), true
	case "contrast-light":
		return contrastLight(), true
	}
	return sheet{}, false
}

// New makes a theme ready for the renderer's terminal. A renderer whose profile has no colours (as NO_COLOR asks for)
// gives the plain theme whatever the name. The error lists the names there are.
func New(r *lipgloss.Renderer, name string) (Theme, error) {
	s, ok := sheetOf(name)
	if !ok && name != Plain {
		return Theme{}, fmt.Errorf("theme: there is no %q; there are %s", name, strings.Join(Names(), ", "))
	}
	t := Theme{Name: name}
	if !ok || r.ColorProfile() == termenv.Ascii {
		for i := range t.styles {
			t.styles[i] = r.NewStyle()
		}
		return t, nil
	}
	for i, c := range s.role {
		t.styles[i] = r.NewStyle().Foreground(c.on(r)).Bold(strong(Role(i)))
	}
	t.styles[Bar] = t.styles[Bar].Background(s.bar.on(r))
	t.background, _ = around(r.NewStyle().Foreground(s.role[Text].on(r)).Background(s.background.on(r)))
	return t, nil
}

// on is the colour in the form that the terminal shows best. A colour turned to one of sixteen by arithmetic often
// lands on a neighbour's, so these are chosen by hand.
func (c ink) on(r *lipgloss.Renderer) lipgloss.Color {
	if r.ColorProfile() == termenv.ANSI {
		return lipgloss.Color(c.basic)
	}
	return lipgloss.Color(c.hex)
}

// strong says which roles are bold as well, so that weight tells them where colours fail.
func strong(r Role) bool {
	switch r {
	case Title, Current, Boost, Danger, ClampA, ClampB, ClampS, Blocked, Deferred:
		return true
	}
	return false
}

// Style is the lipgloss style of a role.
func (t Theme) Style(r Role) lipgloss.Style { return t.styles[r] }

// Around returns what to write before and after text to give it a role's looks; both are empty without colours.
func (t Theme) Around(r Role) (before, after string) { return around(t.styles[r]) }

func around(s lipgloss.Style) (before, after string) {
	before, after, _ = strings.Cut(s.Render("x"), "x")
	return before, after
}

// Paint lays the theme's background under a frame whose lines are as wide as the terminal. Without colours the frame comes
// back as it was.
func (t Theme) Paint(frame string) string {
	if t.background == "" {
		return frame
	}
	const reset = "\x1b[0m"
	lines := strings.Split(frame, "\n")
	for i, line := range lines {
		lines[i] = t.background + strings.ReplaceAll(line, reset, reset+t.background) + reset
	}
	return strings.Join(lines, "\n")
}
