package draw

import "strings"

// Big sets text in large figures, rows cells high: 3, 5 or 6; of other numbers the next smaller one of these serves,
// and at least 3. It returns that many lines, each BigWidth cells wide. It knows the digits, the letters A to Z,
// k, g, l and b for the units, and . , : / % + − and the blank; other small letters are set as capitals and what is
// left as a question mark. With ascii the lines hold ASCII characters only.
//
// Three rows of an ordinary terminal are 12 to 15 mm high, which is read at 1.5 m with ease: 20 minutes of arc are
// 8.7 mm there, and that is what critical figures should have (NUREG-0700 rev. 2, 1.3.1).
func Big(text string, rows int, ascii bool) []string {
	f := figuresOf(rows)
	return set(text, f.rows, f.scale, ascii, f.bitmap)
}

// Dots sets text in figures of square dots, each so many columns and half rows large, which must be more than nought: the same
// shape of letters at every size. The lines are DotWidth cells wide, and DotRows many.
func Dots(text string, size int, ascii bool) []string {
	return set(text, DotRows(size), size, ascii, func(r rune) []string { return stretched(glyph(6, r), size) })
}

// DotWidth is how many cells wide Dots sets a text.
func DotWidth(text string, size int) int { return BigWidth(text, 3) * size }

// DotRows is how many rows Dots takes.
func DotRows(size int) int { return 3 * size }

// set puts the figures of a text side by side, so many columns apart.
func set(text string, rows, apart int, ascii bool, bitmap func(rune) []string) []string {
	lines := make([]strings.Builder, rows)
	for i, r := range []rune(text) {
		if i > 0 {
			for j := range lines {
				lines[j].WriteString(strings.Repeat(" ", apart))
			}
		}
		write(lines, bitmap(r), ascii)
	}
	out := make([]string, len(lines))
	for i := range lines {
		out[i] = lines[i].String()
	}
	return out
}

// BigWidth is how many cells wide Big sets a text.
func BigWidth(text string, rows int) int {
	f, w := figuresOf(rows), 0
	for i, r := range []rune(text) {
		if i > 0 {
			w += f.scale
		}
		w += f.scale * len(glyph(f.tall, r)[0])
	}
	return w
}

// figures is a size of figures: dots tall, each dot scale columns and scale half rows large.
type figures struct{ rows, tall, scale int }

func figuresOf(rows int) figures {
	switch {
	case rows >= 6:
		return figures{rows: 6, tall: 6, scale: 2}
	case rows == 5:
		return figures{rows: 5, tall: 5, scale: 2}
	}
	return figures{rows: 3, tall: 6, scale: 1}
}

// bitmap is a figure in half rows and columns.
func (f figures) bitmap(r rune) []string {
	dots := glyph(f.tall, r)
	if f.scale == 1 {
		return dots
	}
	return double(dots)
}

// stretched makes every dot so many times as wide and as high.
func stretched(dots []string, times int) (out []string) {
	for _, row := range dots {
		var b strings.Builder
		for _, dot := range row {
			b.WriteString(strings.Repeat(string(dot), times))
		}
		for range times {
			out = append(out, b.String())
		}
	}
	return out
}

// write appends a figure to the lines, two half rows to a line.
func write(lines []strings.Builder, dots []string, ascii bool) {
	signs := []string{" ", "▀", "▄", "█"}
	if ascii {
		signs = []string{" ", `"`, "_", "#"}
	}
	for i := range lines {
		upper, lower := dots[2*i], dots[2*i+1]
		for x := range upper {
			n := 0
			if upper[x] == '#' {
				n = 1
			}
			if lower[x] == '#' {
				n += 2
			}
			lines[i].WriteString(signs[n])
		}
	}
}

// double makes every dot four and fills the notches of slanting strokes: the quarter of an empty dot that lies between
// two set neighbours whose common neighbour is empty. Square corners stay square, which is what tells B from 8.
func double(dots []string) []string {
	set := func(x, y int) bool {
		return y >= 0 && y < len(dots) && x >= 0 && x < len(dots[y]) && dots[y][x] == '#'
	}
	var out []string
	for y := range dots {
		for _, dy := range []int{-1, 1} {
			var row []byte
			for x := range dots[y] {
				for _, dx := range []int{-1, 1} {
					dot := byte('.')
					if set(x, y) || set(x+dx, y) && set(x, y+dy) && !set(x+dx, y+dy) {
						dot = '#'
					}
					row = append(row, dot)
				}
			}
			out = append(out, string(row))
		}
	}
	return out
}
