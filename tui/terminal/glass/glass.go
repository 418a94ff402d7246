// Package glass is the screen of a terminal, as far as bubbletea and terminal.Cells make use of one, for tests only.
package glass

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
	"github.com/charmbracelet/x/cellbuf"
)

// Screen is what a terminal shows.
type Screen struct {
	rows  [][]sign
	x, y  int
	look  cellbuf.Style
	rest  []byte // the beginning of a sequence or a letter
	touch map[int]bool
}

// sign is what stands in a cell; the second cell of a wide one is empty.
type sign struct {
	text string
	look cellbuf.Style
}

// seen is a sign without what is not seen of it.
func (s sign) seen() sign {
	if s.text == " " && s.look.Attrs&(cellbuf.ReverseAttr|cellbuf.StrikethroughAttr) == 0 && s.look.UlStyle == cellbuf.NoUnderline {
		s.look = cellbuf.Style{Bg: s.look.Bg}
	}
	return s
}

// Write is what a program writes. It returns the sequences that change no cell.
func (g *Screen) Write(p []byte) (beside string) {
	g.touch = map[int]bool{}
	p = append(g.rest, p...)
	for len(p) > 0 {
		seq, width, n, state := ansi.DecodeSequence(p, ansi.NormalState, nil)
		if state != ansi.NormalState || !utf8.FullRune(p) {
			break
		}
		p = p[n:]
		if !g.obey(string(seq), width) {
			beside += string(seq)
		}
	}
	g.rest = slices.Clone(p)
	return beside
}

func (g *Screen) obey(seq string, width int) bool {
	if width > 0 {
		g.put(sign{seq, g.look}, width)
		return true
	}
	args, final := "", byte(0)
	if strings.HasPrefix(seq, "\x1b[") {
		args, final = seq[2:len(seq)-1], seq[len(seq)-1]
	}
	switch {
	case seq == "\r":
		g.x = 0
	case seq == "\n":
		g.y++
	case final == 'H':
		row, column, _ := strings.Cut(args, ";")
		g.y, g.x = max(number(row), 1)-1, max(number(column), 1)-1
	case final == 'G':
		g.x = max(number(args), 1) - 1
	case final == 'A':
		g.y = max(g.y-max(number(args), 1), 0)
	case final == 'm':
		p := ansi.NewParser()
		ansi.DecodeSequence(seq, ansi.NormalState, p)
		cellbuf.ReadStyle(p.Params(), &g.look)
	case seq == ansi.EraseLineRight:
		g.erase(g.y, g.x)
	case seq == ansi.EraseScreenBelow:
		g.erase(g.y, g.x)
		for y := g.y + 1; y < len(g.rows); y++ {
			g.erase(y, 0)
		}
	case seq == ansi.EraseEntireLine:
		g.erase(g.y, 0)
	case seq == ansi.EraseEntireScreen, seq == "\x1b[?1049h", seq == "\x1b[?1049l": // the other screen
		for y := range g.rows {
			g.erase(y, 0)
		}
	default:
		return false
	}
	return true
}

func number(s string) int {
	n, _ := strconv.Atoi(s) // none is nought
	return n
}

// put writes a sign; what was half of a wide one is blank.
func (g *Screen) put(s sign, width int) {
	for len(g.rows) <= g.y {
		g.rows = append(g.rows, nil)
	}
	row := g.rows[g.y]
	for len(row) < g.x+width {
		row = append(row, sign{text: " "})
	}
	if row[g.x].text == "" {
		row[g.x-1].text = " "
	}
	if after := g.x + width; after < len(row) && row[after].text == "" {
		row[after].text = " "
	}
	row[g.x] = s
	for i := 1; i < width; i++ {
		row[g.x+i] = sign{"", s.look}
	}
	g.rows[g.y], g.touch[g.y] = row, true
	g.x += width
}

// erase makes cells blank in the background that is on.
func (g *Screen) erase(y, from int) {
	if y < len(g.rows) && from < len(g.rows[y]) {
		g.rows[y], g.touch[y] = g.rows[y][:from], true
	}
}

// row is a row with its colours, without blanks at its end.
func (g *Screen) row(y int) string {
	var b strings.Builder
	row := g.rows[y]
	for len(row) > 0 && row[len(row)-1].seen() == (sign{text: " "}) {
		row = row[:len(row)-1]
	}
	var look cellbuf.Style
	for _, s := range append(slices.Clip(row), sign{}) {
		if s = s.seen(); s.look != look {
			if !look.Empty() {
				b.WriteString(ansi.ResetStyle)
			}
			if !s.look.Empty() {
				b.WriteString(s.look.Sequence())
			}
			look = s.look
		}
		b.WriteString(s.text)
	}
	return b.String()
}

// Changed is the text of all rows in which something was written last, from the top.
func (g *Screen) Changed() string {
	var b strings.Builder
	for y, row := range g.rows {
		if g.touch[y] {
			for _, s := range row {
				b.WriteString(s.text)
			}
			b.WriteString("\n")
		}
	}
	return b.String()
}

// String is all rows with their colours, and where and in which colours the next sign goes.
func (g *Screen) String() string {
	var b strings.Builder
	for y := range g.rows {
		b.WriteString(g.row(y) + "\n")
	}
	return strings.TrimRight(b.String(), "\n") + fmt.Sprintf("\n%d %d %+v", g.y, g.x, g.look)
}
