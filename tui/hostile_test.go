package tui

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/plan"
	"pullcard/tui/bench"
	"pullcard/tui/internal/golden"
	"pullcard/tui/rack"
)

// evil is what a terminal would obey or an eye would miss, in an invented name.
const evil = "e\x1b[2Jv\u009b1mil\x7f\u202e\u200b\ufeff\U000e0041\a"

// hostile has it in every text that comes from people.
func hostile(c cupboard) *house {
	p := *c.plan
	p.Frame, p.Technique, p.Warnings = evil, evil, []string{evil}
	p.Steps = slices.Clone(p.Steps)
	for i := range p.Steps {
		s := &p.Steps[i]
		s.Ops = slices.Clone(s.Ops)
		for j := range s.Ops {
			if o := &s.Ops[j]; o.Text != "" {
				o.Text += evil
			}
		}
		s.Ops = append(s.Ops, plan.Op{Op: plan.Note, Text: evil})
	}
	c.plan = &p
	c.sheet.Title, c.sheet.Cautions = evil, []string{evil}
	c.lot.Title, c.lot.None = evil, evil
	c.lot.Rackets = slices.Clone(c.lot.Rackets)
	c.lot.Judgeable = slices.Clone(c.lot.Judgeable)
	c.charts = slices.Clone(c.charts)
	for i := range c.charts {
		c.charts[i].Title, c.charts[i].Words, c.charts[i].Note = evil, []string{evil}, evil
	}
	s := newShop(c)
	for _, r := range s.rackets {
		r.player, r.mark, r.ready = evil, evil, evil
	}
	s.files = append(s.files, rack.Item{Group: evil, Title: evil, Detail: evil, Mark: evil, Trouble: evil + "\n" + evil})
	for _, r := range s.records {
		for key, text := range r.Fields {
			if key == "name" || key == "contact" || key == "mark" || key == "notes" || key == "frame" {
				r.Fields[key] = text + evil
			}
		}
	}
	return s
}

// No frame of any screen holds anything that a terminal obeys but its colours, whatever people wrote or type, and what
// cannot be seen is shown.
func TestHostileScreens(t *testing.T) {
	c := newCupboard(t)
	for name, keys := range screens() {
		t.Run(name, func(t *testing.T) {
			inBubble(t, func(t *testing.T) {
				r := newRig(t, hostile(c), func(o *bench.Settings) { o.Theme = golden.Theme(t, "dark", termenv.TrueColor) }).size(200, 60)
				look := func() string {
					frame := ansi.Strip(r.m.View())
					for _, rn := range frame {
						require.False(t, rn != '\n' && unicode.In(rn, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp), "%U in %q", rn, frame)
					}
					require.NotContains(t, r.m.View(), "\x1b[2J")
					return frame
				}
				for _, k := range keys {
					r.press(k)
					look()
				}
				paste := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(evil), Paste: true}
				if !strings.Contains(look(), "<U+") { // an empty form shows what is typed
					r.send(paste)
				}
				require.Contains(t, look(), "<U+", "it shows nothing of it: put evil into what it shows")
				if !sweep.Name(name, 10) {
					return // the other keys with -tags sweep
				}
				for _, k := range []string{"space", "n", "esc", "w", "esc", "s", "esc", "v", "?", "esc", "down", "enter", "p", "esc", "e", "tab"} {
					r.press(k)
					look()
				}
				r.send(paste)
				look()
				r.shop.fail = errors.New(evil)
				r.press("enter")
				look()
				r.press("ctrl+s")
				look()
			})
		})
	}
}
