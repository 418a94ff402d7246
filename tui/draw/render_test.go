package draw

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/mattn/go-runewidth"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/sweep"
	"pullcard/sequence/plan"
)

var update = flag.Bool("update", false, "write the goldens anew")

func kept(t *testing.T, name, got string) {
	path := filepath.Join("testdata", name+".txt")
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got+"\n"), 0o644))
		return
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "write it with -update")
	assert.Equal(t, string(want), got+"\n", name)
}

// TestPictures keeps whole pictures: sizes and turns, a few telling steps, with and without Unicode.
func TestPictures(t *testing.T) {
	_, skip := build(t, "club-sixteen", "two-piece-skip")
	_, clamp := build(t, "club-sixteen", "two-piece-clamp")
	_, wide := build(t, "wide22", "two-piece-knot")
	for _, c := range []struct {
		name    string
		p       *plan.Plan
		current int
		w, h    int
		view    View
		ascii   bool
	}{
		{"mains-least", skip, stepOf(t, skip, plan.Pull, "M8L"), 37, 21, View{}, false},
		{"skip-least", skip, stepOf(t, skip, plan.Pull, "C4"), 37, 21, View{}, false},
		{"skip-small", skip, stepOf(t, skip, plan.Pull, "C4"), 44, 23, View{}, false},
		{"skip-small-ascii", skip, stepOf(t, skip, plan.Pull, "C4"), 44, 23, View{}, true},
		{"skip-medium", skip, stepOf(t, skip, plan.Pull, "C1"), 80, 38, View{}, false},
		{"skip-large", skip, stepOf(t, skip, plan.Weave, "C12"), 120, 60, View{}, false},
		{"skip-large-ascii", skip, stepOf(t, skip, plan.Weave, "C12"), 120, 60, View{}, true},
		{"skip-right", skip, stepOf(t, skip, plan.Pull, "C9"), 60, 20, View{Turn: HeadRight}, false},
		{"skip-down", skip, stepOf(t, skip, plan.Pull, "C9"), 60, 24, View{Turn: HeadDown}, false},
		{"skip-left", skip, stepOf(t, skip, plan.Pull, "C9"), 100, 36, View{Turn: HeadLeft}, false},
		{"skip-other-side", skip, stepOf(t, skip, plan.Pull, "C9"), 60, 24, View{Mirror: true}, false},
		{"clamp-repull", clamp, stepOf(t, clamp, plan.Pull, "C3"), 80, 40, View{}, false},
		{"tie", skip, stepOf(t, skip, plan.Tie, "M8L"), 80, 40, View{}, false},
		{"shared-holes", wide, stepOf(t, wide, plan.Pull, "C5"), 100, 40, View{}, false},
		{"cut-off", skip, stepOf(t, skip, plan.Pull, "C12"), 30, 12, View{}, false},
		{"finished", skip, 0, 80, 40, View{}, false},
	} {
		done := c.current - 1
		if c.current == 0 {
			done = len(c.p.Steps)
		}
		kept(t, c.name, At(c.p, done, c.current).Render(c.w, c.h, c.view, palette(t, "plain", c.ascii)))
	}
}

// TestFramesFit: every picture has exactly the lines and cells that were asked for, with colours and without, whether
// the bed fits or not.
func TestFramesFit(t *testing.T) {
	_, p := build(t, "long-twenty", "two-piece-clamp")
	styles := []Palette{palette(t, "dark", false), palette(t, "plain", false), palette(t, "light", true)}
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(0, 220).Draw(t, "w"), rapid.IntRange(1, 70).Draw(t, "h")
		v := View{Turn(rapid.IntRange(0, 3).Draw(t, "turn")), rapid.Bool().Draw(t, "mirror")}
		step := rapid.IntRange(0, len(p.Steps)+1).Draw(t, "step")
		lines := strings.Split(At(p, step-1, step).Render(w, h, v, styles[rapid.IntRange(0, 2).Draw(t, "style")]), "\n")
		if len(lines) != h {
			t.Fatalf("%d lines, not %d", len(lines), h)
		}
		for _, line := range lines {
			if got := lipgloss.Width(line); got != w {
				t.Fatalf("%d cells, not %d: %q", got, w, line)
			}
		}
	})
}

// TestTheBedIsNeverWiderThanThePicture where it fits at all.
func TestTheBedIsNeverWiderThanThePicture(t *testing.T) {
	n := 0
	for _, layout := range layouts() {
		_, p := build(t, layout, "two-piece-knot")
		s := At(p, 0, 0)
		for _, v := range views()[:2] {
			leastW, leastH := s.Size(v)
			assert.False(t, s.Fits(leastW-1, leastH, v))
			assert.False(t, s.Fits(leastW, leastH-1, v))
			for w := leastW; w < leastW+160; w += 19 {
				for h := leastH; h < leastH+45; h += 2 {
					if n++; !sweep.Take(n, 7) {
						continue
					}
					g, _ := s.layout(w, h, v)
					size := point{g.u.size, g.v.size}
					if v.level() {
						size = point{size.v, size.u}
					}
					require.LessOrEqual(t, size.u, w, "%s %s %dx%d", layout, v, w, h)
					require.LessOrEqual(t, size.v, h, "%s %s %dx%d", layout, v, w, h)
				}
			}
		}
	}
}

func TestEverySignIsOneCell(t *testing.T) {
	narrow := runewidth.Condition{}
	for _, ascii := range []bool{false, true} {
		p := palette(t, "plain", ascii)
		var all []rune
		for m := range marks {
			all = append(all, p.sign(m))
		}
		for a := range 256 {
			for s := whole; s <= dotted; s++ {
				if a&(a>>1)&0b01010101 == 0 { // no arm has weight 3
					all = append(all, p.line(arms(a), s))
				}
			}
		}
		for q := range uint8(16) {
			all = append(all, p.block(q))
		}
		for _, r := range all {
			assert.Equal(t, 1, narrow.RuneWidth(r), "%q", r)
			assert.Equal(t, 1, lipgloss.Width(string(r)), "%q", r)
			if ascii {
				assert.Less(t, r, rune(128), "%q", r)
			}
		}
	}
}

// TestSignsDiffer: no two marks look alike without colour. In ASCII the string comes out by the same arrows, pulled or
// not; the strand's line tells which.
func TestSignsDiffer(t *testing.T) {
	for _, ascii := range []bool{false, true} {
		p := palette(t, "plain", ascii)
		seen := map[string]string{}
		for _, s := range p.Legend() {
			if ascii && s.Text == "comes out here" {
				continue
			}
			assert.Empty(t, seen[s.Mark], "%s and %s", seen[s.Mark], s.Text)
			seen[s.Mark] = s.Text
			assert.LessOrEqual(t, lipgloss.Width(s.Mark), 3)
		}
	}
}

func TestASCIIOnly(t *testing.T) {
	_, p := build(t, "club-sixteen", "two-piece-skip")
	for current := 1; current <= len(p.Steps); current++ {
		for i, size := range [][2]int{{60, 20}, {80, 24}, {120, 40}, {200, 60}} {
			if !sweep.Take(current+i, 3) {
				continue
			}
			text := At(p, current-1, current).Render(size[0], size[1], View{}, palette(t, "plain", true))
			require.Equal(t, -1, strings.IndexFunc(text, func(r rune) bool { return r > 126 || r < 32 && r != '\n' }))
		}
	}
}

// TestColourChangesNoCell: the picture is the same with colours and without.
func TestColourChangesNoCell(t *testing.T) {
	_, p := build(t, "club-sixteen", "two-piece-skip")
	s := At(p, 40, 41)
	plain := s.Render(120, 40, View{}, palette(t, "plain", false))
	assert.NotContains(t, plain, "\x1b")
	for _, name := range []string{"dark", "light", "contrast", "contrast-light"} {
		coloured := s.Render(120, 40, View{}, palette(t, name, false))
		assert.Contains(t, coloured, "\x1b[")
		assert.Equal(t, plain, strip(coloured), name)
	}
}

func strip(text string) string {
	var b strings.Builder
	for i := 0; i < len(text); i++ {
		if text[i] == 0x1b {
			i += strings.IndexByte(text[i:], 'm')
			continue
		}
		b.WriteByte(text[i])
	}
	return b.String()
}

// TestTheHandStaysInSight: every picture shows where the gripper pulls, one that is too small for the bed as well.
func TestTheHandStaysInSight(t *testing.T) {
	_, p := build(t, "club-sixteen", "two-piece-skip")
	for current := range p.Steps {
		if p.Steps[current].Pull() == nil {
			continue
		}
		for i, v := range views() {
			for j, size := range [][2]int{{24, 9}, {80, 24}, {120, 40}} {
				if !sweep.Take(current+3*i+j, 5) {
					continue
				}
				text := At(p, current, current+1).Render(size[0], size[1], v, palette(t, "plain", false))
				assert.True(t, strings.ContainsAny(text, "▲▶▼◀"), "step %d, %s\n%s", current+1, v, text)
			}
		}
	}
}

func TestNothingToDraw(t *testing.T) {
	assert.Equal(t, "   \n   ", Scene{}.Render(3, 2, View{}, Palette{}))
	assert.Equal(t, "", Scene{}.Render(0, 0, View{}, Palette{}))
	assert.Equal(t, "  ", At(&plan.Plan{}, 3, 9).Render(2, 1, View{}, Palette{}))
	_, p := build(t, "club-sixteen", "two-piece-skip")
	s, style := At(p, 9, 10), palette(t, "plain", false)
	assert.False(t, Scene{mains: s.mains[:1], crosses: s.crosses[:1]}.empty())
	for _, none := range []Scene{{mains: s.mains[:1]}, {crosses: s.crosses[:1]}} {
		assert.Equal(t, "  ", none.Render(2, 1, View{}, style))
	}
	for _, size := range [][2]int{{0, 3}, {-2, 3}, {3, 0}, {3, -2}, {-2, -3}} {
		assert.Equal(t, strings.Repeat("\n", max(0, size[1]-1)), s.Render(size[0], size[1], View{}, style), size)
	}
}

func TestViews(t *testing.T) {
	var words []string
	for _, v := range views() {
		words = append(words, v.String())
	}
	assert.Equal(t, []string{"head up", "head right", "head down", "head left", "head up, other side",
		"head right, other side", "head down, other side", "head left, other side"}, words)
	assert.Equal(t, View{Mirror: true}, View{Turn: HeadLeft, Mirror: true}.Next(), "four turns lead home")
	for _, v := range views() {
		got, ok := ReadView(v.String())
		assert.True(t, ok)
		assert.Equal(t, v, got)
	}
	_, ok := ReadView("head over heels")
	assert.False(t, ok)
}

// TestLettersTurnWithTheFrame: H lies where the head points, and L and R stay the frame's.
func TestLettersTurnWithTheFrame(t *testing.T) {
	_, p := build(t, "club-sixteen", "two-piece-skip")
	s := At(p, 0, 0)
	for _, c := range []struct {
		v                         View
		up, right, down, leftward string
	}{
		{View{HeadUp, false}, "H", "R", "T", "L"},
		{View{HeadRight, false}, "L", "H", "R", "T"},
		{View{HeadDown, false}, "T", "L", "H", "R"},
		{View{HeadLeft, false}, "R", "T", "L", "H"},
		{View{HeadUp, true}, "H", "L", "T", "R"},
		{View{HeadLeft, true}, "L", "T", "R", "H"},
	} {
		for _, size := range [][2]int{{80, 24}, {60, 21}, {120, 40}, {200, 60}} {
			text := s.Render(size[0], size[1], c.v, palette(t, "plain", false))
			at := map[string][2]int{}
			for y, line := range strings.Split(text, "\n") {
				for x, r := range []rune(line) {
					if strings.ContainsRune("HTLR", r) {
						require.NotContains(t, at, string(r))
						at[string(r)] = [2]int{x, y}
					}
				}
			}
			where := fmt.Sprint(c.v, size, "\n", text)
			assert.Less(t, at[c.up][1], at[c.down][1], where)
			assert.Less(t, at[c.leftward][0], at[c.right][0], where)
			assert.Greater(t, at[c.down][1]-at[c.up][1], size[1]/2, where)
		}
	}
}

func BenchmarkRender(b *testing.B) {
	_, p := build(b, "club-sixteen", "two-piece-skip")
	s, style := At(p, 56, 57), palette(b, "dark", false)
	for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}} {
		b.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				s.Render(size[0], size[1], View{}, style)
			}
		})
	}
}

func BenchmarkAt(b *testing.B) {
	_, p := build(b, "club-sixteen", "two-piece-skip")
	for b.Loop() {
		At(p, 56, 57)
	}
}
