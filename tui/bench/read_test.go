package bench

import (
	"regexp"
	"slices"
	"strings"

	"pullcard/tui/draw"
)

// blocks are what figures are drawn with.
const blocks = "▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"

// shape is a figure as it lies in cells.
type shape struct {
	text  string
	cells [][]rune
}

// font are the figures of a height, the widest first, that stand so many columns apart.
type font struct {
	rows, apart int
	slim        bool // the gap between figures is of the figures
	shapes      []shape
}

// near are the figures that a card can have, far those of the far view, the largest first.
func near() (fonts []font) {
	for _, rows := range figureRows() {
		apart := 1
		if rows > 3 {
			apart = 2
		}
		fonts = append(fonts, fontOf(rows, apart, func(text string) []string { return draw.Big(text, rows, false) }))
	}
	return append(fonts, slimFont(1))
}

func slimFont(size int) font {
	f := fontOf(draw.DotRows(size), 0, func(text string) []string { return draw.Slim(text, size) })
	f.slim = true
	return f
}

func far() (fonts []font) {
	for size := 16; size > 0; size-- {
		fonts = append(fonts, slimFont(size), fontOf(draw.DotRows(size), size, func(text string) []string { return draw.Dots(text, size, false) }))
	}
	return fonts
}

func fontOf(rows, apart int, set func(string) []string) font {
	f := font{rows: rows, apart: apart}
	for _, r := range "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZkglb.-+?:," {
		s := shape{text: string(r)}
		for _, line := range set(string(r)) {
			s.cells = append(s.cells, []rune(line))
		}
		f.shapes = append(f.shapes, s)
	}
	slices.SortStableFunc(f.shapes, func(a, b shape) int { return len(b.cells[0]) - len(a.cells[0]) })
	return f
}

// figure is a word in figures that was read off a screen.
type figure struct {
	text                 string
	row, col, rows, cols int
}

// readCard reads what stands right of a column of a screen: the words in figures, and the text without them in one line. What is
// left of blocks that is no figure comes out in torn.
func readCard(screen string, from int, fonts []font) (figures []figure, text string, torn int) {
	var grid [][]rune
	for _, line := range strings.Split(screen, "\n") {
		row := []rune(line)
		grid = append(grid, row[min(from, len(row)):])
	}
	for r := range grid {
		for c := 0; c < len(grid[r]); c++ {
			if f, ok := readWord(grid, r, c, fonts); ok {
				figures = append(figures, f)
			}
		}
	}
	var lines []string
	for _, row := range grid {
		for _, x := range row {
			if strings.ContainsRune(blocks, x) {
				torn++
			}
		}
		lines = append(lines, string(row))
	}
	text = regexp.MustCompile(`\s+`).ReplaceAllString(strings.Join(lines, " "), " ")
	return figures, text, torn
}

// readWord reads the word in figures that begins at a cell, and wipes it out.
func readWord(grid [][]rune, r, c int, fonts []font) (figure, bool) {
	for _, font := range fonts {
		if !begins(grid, r, c, font.rows) {
			continue
		}
		f := figure{row: r, col: c, rows: font.rows}
		for at := c; ; at += font.apart {
			i := slices.IndexFunc(font.shapes, func(s shape) bool {
				// what is low begins no word: it would lie in the top of a figure further down
				return (f.text != "" || !strings.Contains("gb.-+:,", s.text)) && lies(grid, r, at, s.cells, font.slim)
			})
			if i < 0 {
				break
			}
			s := font.shapes[i]
			f.text += s.text
			for y := range s.cells {
				for x := range s.cells[y] {
					grid[r+y][at+x] = ' '
				}
			}
			at += len(s.cells[0])
			f.cols = at - c
		}
		if f.text != "" {
			return f, true
		}
	}
	return figure{}, false
}

// begins says whether a figure so many rows high can begin at a cell: there is something in its first row.
func begins(grid [][]rune, r, c, rows int) bool {
	return r+rows <= len(grid) && slices.ContainsFunc(grid[r][c:min(c+2*rows, len(grid[r]))], func(x rune) bool { return strings.ContainsRune(blocks, x) })
}

// lies says whether a shape lies at a cell.
func lies(grid [][]rune, r, c int, cells [][]rune, slim bool) bool {
	if r+len(cells) > len(grid) || !slices.ContainsFunc(cells, func(row []rune) bool { return row[0] != ' ' }) && c < 0 {
		return false
	}
	for y, row := range cells {
		if c+len(row) > len(grid[r+y]) || !slices.Equal(grid[r+y][c:c+len(row)], row) {
			return false
		}
		for _, x := range []int{c - 1, c + len(row)} { // figures stand apart
			if !slim && x >= 0 && x < len(grid[r+y]) && strings.ContainsRune(blocks, grid[r+y][x]) {
				return false
			}
		}
	}
	return true
}
