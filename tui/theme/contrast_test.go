package theme

import (
	"io"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestContrast(t *testing.T) {
	// WCAG 2.x, relative luminance and contrast ratio; these ratios against white are widely printed with it.
	for hex, want := range map[string]float64{"#767676": 4.542225, "#777777": 4.478089, "#ff0000": 3.998477, "#000000": 21, "#ffffff": 1} {
		got, err := Contrast(hex, "#ffffff")
		require.NoError(t, err)
		assert.InDelta(t, want, got, 1e-6, hex)
		back, err := Contrast("#ffffff", hex)
		require.NoError(t, err)
		assert.Equal(t, got, back, "either may stand first")
	}
	for _, bad := range []string{"", "red", "#12345", "#1234567", "#12345g", "123456#"} {
		_, err := Contrast(bad, "#ffffff")
		assert.ErrorContains(t, err, "is no colour", bad)
		_, err = Contrast("#ffffff", bad)
		assert.Error(t, err, bad)
	}
}

// least is the ratio that a role needs: WCAG 2.x asks 4.5 for text and 3 for large figures and marks; the themes for
// glare promise 7 (its level AAA) for text and 4.5 for marks.
func least(name string, r Role) float64 {
	strong := name == "contrast" || name == "contrast-light"
	switch {
	case strong && r.IsMark():
		return 4.5
	case strong:
		return 7
	case r.IsMark():
		return 3
	}
	return 4.5
}

func grounds(s sheet, r Role) ink {
	if r == Bar {
		return s.bar
	}
	return s.background
}

func TestEveryRoleStandsOutFromItsGround(t *testing.T) {
	for _, name := range Names()[:4] {
		s, ok := sheetOf(name)
		require.True(t, ok)
		for _, r := range Roles() {
			got, err := Contrast(s.role[r].hex, grounds(s, r).hex)
			require.NoError(t, err)
			assert.GreaterOrEqual(t, got, least(name, r), "%s: %s", name, r)
		}
	}
}

// TestEveryRoleStandsOutIn256 does the same with what is left of the colours on a terminal with 256 of them. The cube of
// such a terminal has few dark colours, so there the themes for glare promise no more than the others.
func TestEveryRoleStandsOutIn256(t *testing.T) {
	shown := func(c ink) string {
		return termenv.ConvertToRGB(termenv.ANSI256.Color(c.hex)).Hex()
	}
	for _, name := range Names()[:4] {
		s, _ := sheetOf(name)
		for _, r := range Roles() {
			got, err := Contrast(shown(s.role[r]), shown(grounds(s, r)))
			require.NoError(t, err)
			assert.GreaterOrEqual(t, got, least("", r), "%s: %s", name, r)
		}
	}
}

// sixteen are the sixteen colours as xterm sets them when nobody changes them; from memory. Terminals differ, so this
// proves the choice on one well-known set only.
func sixteen() map[string]string {
	return map[string]string{"0": "#000000", "1": "#cd0000", "2": "#00cd00", "3": "#cdcd00", "4": "#0000ee", "5": "#cd00cd",
		"6": "#00cdcd", "7": "#e5e5e5", "8": "#7f7f7f", "9": "#ff0000", "10": "#00ff00", "11": "#ffff00", "12": "#5c5cff",
		"13": "#ff00ff", "14": "#00ffff", "15": "#ffffff"}
}

func TestEveryRoleStandsOutInSixteen(t *testing.T) {
	for _, name := range Names()[:4] {
		s, _ := sheetOf(name)
		for _, r := range Roles() {
			need := 4.5
			if r.IsMark() || s.role[r].basic == "8" { // grey on white is 4.0 there: quiet words and labels only
				need = 3
			}
			got, err := Contrast(sixteen()[s.role[r].basic], sixteen()[grounds(s, r).basic])
			require.NoError(t, err)
			assert.GreaterOrEqual(t, got, need, "%s: %s", name, r)
		}
	}
}

func renderer(p termenv.Profile) *lipgloss.Renderer {
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(p)
	return r
}
