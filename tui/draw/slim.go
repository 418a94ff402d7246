package draw

import "strings"

// Slim sets text in the letters of Dots at half their width and the same height, for words that would not go into a line
// otherwise. The lines are SlimWidth cells wide, and DotRows many; they have no form in ASCII.
func Slim(text string, size int) []string {
	lines := make([]strings.Builder, DotRows(size))
	for _, r := range text {
		dots := stretched(spaced(glyph(6, r)), size)
		for i := range lines {
			upper, lower := dots[2*i], dots[2*i+1]
			for x := 0; x < len(upper); x += 2 {
				quarters := 0
				for n, dot := range []byte{upper[x], upper[x+1], lower[x], lower[x+1]} {
					if dot == '#' {
						quarters |= 1 << n
					}
				}
				lines[i].WriteRune(pick(quadrants, quarters))
			}
		}
	}
	out := make([]string, len(lines))
	for i := range lines {
		out[i] = lines[i].String()
	}
	return out
}

// SlimWidth is how many cells wide Slim sets a text.
func SlimWidth(text string, size int) (width int) {
	for _, r := range text {
		width += len(spaced(glyph(6, r))[0]) / 2 * size
	}
	return width
}

// spaced is a figure with the gap behind it, whole cells wide.
func spaced(dots []string) (out []string) {
	gap := 2 - len(dots[0])%2
	for _, row := range dots {
		out = append(out, row+strings.Repeat(".", gap))
	}
	return out
}
