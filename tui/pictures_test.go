package tui

import (
	"encoding/xml"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/tui/bench"
	"pullcard/tui/internal/golden"
	"pullcard/tui/internal/picture"
)

var update = flag.Bool("update", false, "write the pictures anew")

// portrait is a screen of which there are pictures.
type portrait struct {
	name  string
	says  string   // what it shows, for the gallery
	small bool     // also at 80×24
	done  int      // steps of the first racket done before
	keys  []string // from the rack to the screen
}

// portraits are the screens in the order of a day at the bench. The first racket is at step done+1 when it is taken up.
func portraits() []portrait {
	resume := []string{"enter", "enter"} // take it up, and yes, the clamps stand as shown
	on := func(keys ...string) []string { return slices.Concat(resume, keys) }
	return []portrait{
		{"rack", "The rack: what is in progress, parked and in the queue, with when each will be ready; one will be late, one file is wrong.", true, 33, nil},
		{"bench-boost", "The bench at a main with boost: strand, holes and tension in large figures, the clamps, what comes next.", true, 18, resume},
		{"bench-cross", "The bench at a cross: over or under first, the bed as it grows, a pull that is deferred.", true, 31, resume},
		{"bench-far", "The same cross from afar: only strand, holes and tension, as large as the screen allows.", true, 31, on("f")},
		{"bench-slip", "Something slipped: which clamp, or the gripper.", false, 8, on("s")},
		{"bench-resume", "Taking a racket up again: do the clamps stand as shown?", false, 33, []string{"enter"}},
		{"bench-finished", "The last knot is tied.", false, 64, []string{"b", "left", "enter", "o"}},
		{"frame", "The form of a new frame, with the racket as it is typed.", true, 0, slices.Concat([]string{"f"}, strings.Split("Garden sixteen (invented)", ""), []string{"enter", "enter", "enter", "enter"})},
		{"numbers", "The numbers of a job: lengths to cut, tensions, stiffness and frequency of the bed.", true, 18, on("b")},
		{"book-list", "The book: a few letters find a record.", false, 0, []string{"b"}},
		{"book-page", "The page of a player, with what belongs to it.", true, 0, []string{"b", "enter"}},
		{"book-form", "The form that adds a record.", false, 0, []string{"b", "right", "ctrl+n", "a", "d", "a"}},
		{"lot", "A lot: what the player said of the first racket, what that means for the others, and why.", true, 0, []string{"b", "left", "left", "enter", "v"}},
		{"sheet", "A technique sheet as it is edited: each setting, the racket strung so, and what is otherwise than before.", true, 0, []string{"b", "left", "enter", "w"}},
		{"day", "A day: what was strung and handed over, and what it came to.", false, 0, []string{"d"}},
		{"chart", "The readings as a control chart, with what is out of the ordinary.", true, 0, []string{"c"}},
	}
}

// The pictures are what the screens paint, put into SVG: go test -tags sweep ./tui -run Pictures -update
func TestPictures(t *testing.T) {
	c := newCupboard(t)
	var names []string
	for _, p := range portraits() {
		names = append(names, p.files()...)
		if !*update && !sweep.Name(p.name, 4) {
			continue
		}
		t.Run(p.name, func(t *testing.T) {
			inBubble(t, func(t *testing.T) {
				s := newShop(c).work("job-1", p.done).work("job-3", 12)
				s.racket("job-3").parked = true
				r := newRig(t, s, func(o *bench.Settings) {
					begun := time.Now()
					o.Now = func() time.Time { return time.Date(2026, 11, 20, 14, 20, 0, 0, time.UTC).Add(time.Since(begun)) }
				}).size(120, 40).press(p.keys...)
				for _, name := range []string{"dark", "light", "contrast"} {
					r.send(ThemeMsg{golden.Theme(t, name, termenv.TrueColor)})
					hang(t, p.file(name, 120, 40), r.size(120, 40).m.View())
					if p.small {
						hang(t, p.file(name, 80, 24), r.size(80, 24).m.View())
					}
				}
			})
		})
	}
	compare(t, "README.md", gallery())
	for _, name := range names {
		assert.Contains(t, gallery(), "("+name+")")
	}
}

func (p portrait) file(theme string, w, h int) string {
	return fmt.Sprintf("%s-%s-%dx%d.svg", p.name, theme, w, h)
}

// files are the names of all pictures of a screen.
func (p portrait) files() (names []string) {
	for _, theme := range []string{"dark", "light", "contrast"} {
		names = append(names, p.file(theme, 120, 40))
		if p.small {
			names = append(names, p.file(theme, 80, 24))
		}
	}
	return names
}

// hang holds that a picture is there, small, and what the screen looks like now.
func hang(t *testing.T, file, frame string) {
	t.Helper()
	svg := picture.SVG(frame)
	require.NoError(t, xml.Unmarshal([]byte(svg), new(any)))
	assert.Less(t, len(svg), 60_000, "%s is to be looked at over a slow line too", file)
	compare(t, file, svg)
}

func compare(t *testing.T, file, got string) {
	t.Helper()
	path := filepath.Join("..", "testdata", "pictures", file)
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	if string(want) != got {
		t.Errorf("%s is not what the screen looks like now; write it anew with -update", file)
	}
}

// gallery is the page that shows the pictures.
func gallery() string {
	var b strings.Builder
	b.WriteString("# The screens\n\nMade by `go test -tags sweep ./tui -run Pictures -update`; all players and jobs are invented. Dark, light and high contrast at 120×40, " +
		"the screens of every day also at 80×24.\n")
	for _, p := range portraits() {
		fmt.Fprintf(&b, "\n## %s\n\n%s\n\n", p.name, p.says)
		for _, name := range p.files() {
			fmt.Fprintf(&b, "![%s](%s)\n", strings.TrimSuffix(name, ".svg"), name)
		}
	}
	return b.String()
}
