package draw

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/sweep"
	"pullcard/sequence/plan"
)

const (
	levelLines   = "─━╌╍┈-=~*."
	uprightLines = "│┃╎╏┊|I:!'"
	// Where a strand is alone, its line may end short of the next crossing.
	levelEnds   = "╴╶╸╺ "
	uprightEnds = "╵╷╹╻ "
)

// upright turns a picture back until the head is up and the frame's left side on the left. Lines that lay level stand
// upright where the picture is turned by a quarter: turned says so.
func upright(picture string, v View) (rows [][]rune, turned bool) {
	for _, line := range strings.Split(picture, "\n") {
		rows = append(rows, []rune(line))
	}
	for v.Turn != HeadUp { // a quarter back
		out := make([][]rune, len(rows[0]))
		for y := range out {
			out[y] = make([]rune, len(rows))
			for x := range out[y] {
				out[y][x] = rows[len(rows)-1-x][y]
			}
		}
		rows, turned = out, !turned
		v.Turn = (v.Turn + 1) % 4
	}
	if v.Mirror {
		for _, row := range rows {
			for i, j := 0, len(row)-1; i < j; i, j = i+1, j-1 {
				row[i], row[j] = row[j], row[i]
			}
		}
	}
	return rows, turned
}

// bedAt finds the mains' columns and the crosses' rows in the picture of a finished bed: those along which level and
// upright lines take turns.
func bedAt(t *testing.T, rows [][]rune, f *patterns.Frame) (columns, lines []int) {
	kind := func(x, y int) int {
		switch r := rows[y][x]; {
		case strings.ContainsRune(levelLines, r):
			return 1
		case strings.ContainsRune(uprightLines, r):
			return 2
		}
		return 0
	}
	for x := range rows[0] {
		if turns(len(rows), func(y int) int { return kind(x, y) }) >= 7 {
			columns = append(columns, x)
		}
	}
	for y := range rows {
		if turns(len(columns), func(i int) int { return kind(columns[i], y) }) >= 7 {
			lines = append(lines, y)
		}
	}
	require.Len(t, columns, len(f.Columns()))
	require.Len(t, lines, len(f.Crosses))
	return columns, lines
}

// turns counts how often the kinds 1 and 2 follow on each other, whatever lies between.
func turns(n int, kind func(i int) int) (count int) {
	last := 0
	for i := range n {
		if k := kind(i); k != 0 {
			if last != 0 && k != last {
				count++
			}
			last = k
		}
	}
	return count
}

// drawn are the strands that a picture shows: laid by the steps up to and with the one in hand, or coming next.
func drawn(p *plan.Plan, current int, next plan.Strand) map[plan.Strand]bool {
	laid := map[plan.Strand]bool{next: true}
	for i := range p.Steps[:current] {
		for _, op := range p.Steps[i].Ops {
			if op.Op == plan.Thread || op.Op == plan.Weave {
				laid[op.Strand] = true
			}
		}
	}
	return laid
}

type picture struct {
	f              *patterns.Frame
	p              *plan.Plan
	w, h           int
	view           View
	style          Palette
	columns, lines []int
}

func newPicture(t *testing.T, f *patterns.Frame, p *plan.Plan, w, h int, v View, style Palette) *picture {
	pic := &picture{f: f, p: p, w: w, h: h, view: v, style: style}
	s := At(p, len(p.Steps), 0)
	require.True(t, s.Fits(w, h, v), "%dx%d", w, h)
	rows, _ := upright(s.Render(w, h, v, style), v)
	pic.columns, pic.lines = bedAt(t, rows, f)
	return pic
}

// check reads the picture of a step and compares every crossing with the checkerboard of the bed. It returns how many
// it compared.
func (pic *picture) check(t *testing.T, current int) (crossings int) {
	s := At(pic.p, current-1, current)
	rows, turned := upright(s.Render(pic.w, pic.h, pic.view, pic.style), pic.view)
	laid := drawn(pic.p, current, s.Next)
	for j, c := range pic.f.Crosses {
		for _, column := range pic.f.Met(c) {
			m := pic.f.Columns()[column-1]
			cross, main := laid[plan.Strand(c.String())], laid[plan.Strand(m.String())]
			onTop := cross && (!main || patterns.Over(c.Number, column) != pic.view.Mirror)
			want := ""
			switch {
			case onTop != turned && (cross || main):
				want = levelLines
			case cross || main:
				want = uprightLines
			}
			if main && !cross {
				want += "Ss" // behind another clamp, where nothing crosses yet
			}
			if cross != main {
				want += map[string]string{levelLines: levelEnds, uprightLines: uprightEnds}[strings.TrimSuffix(want, "Ss")]
			}
			got := rows[pic.lines[j]][pic.columns[column-1]]
			where := fmt.Sprintf("step %d, %dx%d, %s: %s and %s", current, pic.w, pic.h, pic.view, c, m)
			if want == "" {
				require.Equal(t, ' ', got, where)
				continue
			}
			require.Contains(t, want, string(got), where)
			if cross && main {
				crossings++
			}
		}
	}
	return crossings
}

// TestEveryCrossingOfEveryStep reads every crossing back out of the pictures of a whole job, in every view.
func TestEveryCrossingOfEveryStep(t *testing.T) {
	f, p := build(t, "club-sixteen", "two-piece-skip")
	for i, v := range views() {
		w, h := At(p, 0, 0).Size(v)
		for j, size := range [][2]int{{w, h}, {80, 24}, {120, 40}, {200, 60}} {
			if v.Mirror && j%2 == 1 {
				continue
			}
			pic := newPicture(t, f, p, size[0], size[1], v, palette(t, "plain", i%2 == 1))
			for current := 1; current <= len(p.Steps); current++ {
				if current < len(p.Steps) && !sweep.Take(current+3*i+j, 37) {
					continue
				}
				n := pic.check(t, current)
				if current == len(p.Steps) {
					assert.Equal(t, 292, n, "crossings of 16 by 19 with 7H, 9H, 7T and 9T skipped")
				}
			}
		}
	}
}

// TestEveryCrossingOfEveryLayout does the same with fewer steps on all layouts and sizes, shared holes and all.
func TestEveryCrossingOfEveryLayout(t *testing.T) {
	n := 0
	for _, layout := range layouts() {
		f, p := build(t, layout, "two-piece-knot")
		met := 0
		for _, c := range f.Crosses {
			met += len(f.Met(c))
		}
		for _, v := range views() {
			w, h := At(p, 0, 0).Size(v)
			for extra := 0; extra <= 44; extra += 11 {
				if n++; !sweep.Take(n, 37) {
					continue
				}
				pic := newPicture(t, f, p, w+3*extra, h+extra, v, palette(t, "plain", false))
				assert.Equal(t, met, pic.check(t, len(p.Steps)), "%s, %s", layout, v)
				pic.check(t, 2*len(p.Steps)/3)
			}
		}
	}
}

// TestOnePieceRoundTheOuterMain reads the pictures of a job in which a cross comes before the last main.
func TestOnePieceRoundTheOuterMain(t *testing.T) {
	f, p := build(t, "long-twenty", "around")
	for _, v := range views()[:2] {
		pic := newPicture(t, f, p, 80, 40, v, palette(t, "plain", false))
		for current := 1; current <= len(p.Steps); current++ {
			if current < len(p.Steps) && !sweep.Take(current, 7) {
				continue
			}
			n := pic.check(t, current)
			if current == len(p.Steps) {
				assert.Equal(t, 310, n, "crossings of 16 by 20 with 7H, 7T and 9T skipped")
			}
		}
	}
}

// TestLopsidedSizes reads pictures whose width and height do not go together, in ASCII.
func TestLopsidedSizes(t *testing.T) {
	f, p := build(t, "long-twenty", "two-piece-clamp")
	for i, v := range views() {
		w, h := At(p, 0, 0).Size(v)
		for j, size := range [][2]int{{w, h + 30}, {w + 100, h}, {w + 1, h + 1}, {w + 5, h + 13}} {
			if !sweep.Take(i+j, 7) {
				continue
			}
			pic := newPicture(t, f, p, size[0], size[1], v, palette(t, "plain", true))
			for current := 20; current < len(p.Steps); current += 7 {
				pic.check(t, current)
			}
		}
	}
}
