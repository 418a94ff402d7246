package bench

import (
	"slices"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"pullcard/tui/draw"
	"pullcard/tui/theme"
)

// farBand is a row of figures or, where size is nought, of ordinary text; the rest of the room goes to those with the least rank first.
type farBand struct {
	text string
	role theme.Role
	rank int
	size int
	unit int  // columns at size 1
	slim bool // half as wide as high
	on   bool // it goes on with what the row before it says, and is as large
	// behind are those in other colours in the same row.
	behind []farBand
}

// plain is the rank of a band of ordinary text.
const plain = -1

func (b *farBand) rows() int {
	if b.rank == plain {
		return 1
	}
	return draw.DotRows(b.size)
}

func (b *farBand) width(size int) int {
	if b.rank == plain {
		return lipgloss.Width(b.text)
	}
	return b.unit * size
}

// with is a band with another one behind it.
func (b *farBand) with(c *farBand) farBand {
	out := *b
	if out.unit += out.gap() + c.unit; c.role == b.role && len(b.behind) == 0 {
		out.text += " " + c.text
		return out
	}
	out.behind = append(b.behind[:len(b.behind):len(b.behind)], *c)
	return out
}

// gap is how many columns a blank is wide at size 1.
func (b *farBand) gap() int {
	if b.slim {
		return draw.SlimWidth(" ", 1)
	}
	return draw.DotWidth("0 0", 1) - 2*draw.DotWidth("0", 1)
}

// farLine is a band as it is drawn.
func (m Model) farLine(b *farBand) []string {
	var figures []string
	switch {
	case b.rank == plain:
		figures = []string{b.text}
	case b.slim:
		figures = draw.Slim(b.text, b.size)
	default:
		figures = draw.Dots(b.text, b.size, m.set.ASCII)
	}
	for i := range figures {
		figures[i] = m.style(b.role, figures[i])
	}
	for _, c := range b.behind {
		c.size = b.size
		for i, line := range m.farLine(&c) {
			figures[i] += strings.Repeat(" ", b.gap()*b.size) + line
		}
	}
	return figures
}

// farRows are the words of one message, a row for each.
func farRows(texts []string, role theme.Role, rank int) (out []farBand) {
	for i, text := range texts {
		out = append(out, farBand{text: text, role: role, rank: rank, unit: draw.DotWidth(text, 1), on: i > 0})
	}
	return out
}

// slimmed are bands in letters half as wide.
func slimmed(bands []farBand) []farBand {
	bands = slices.Clone(bands)
	for i := range bands {
		bands[i].slim, bands[i].unit = true, draw.SlimWidth(bands[i].text, 1)
	}
	return bands
}

// sized gives bands a size.
func sized(bands []farBand, size int) []farBand {
	bands = slices.Clone(bands)
	for i := range bands {
		bands[i].size = size
	}
	return bands
}

// grow makes bands as large as so many columns and rows allow, the rows of a message alike, a blank row between them; nil where they do not
// fit at all.
func grow(bands []farBand, width, room int) []farBand {
	used := len(bands) - 1
	for i := range bands {
		bands[i].size = 1
		used += bands[i].rows()
		if bands[i].width(1) > width {
			return nil
		}
	}
	if used > room {
		return nil
	}
	for grew := true; grew; {
		grew = false
		for rank := 0; rank <= 4 && !grew; rank++ {
			for i := 0; i < len(bands); {
				rows := message(bands[i:])
				i += len(rows)
				size := rows[0].size + 1
				wider := slices.ContainsFunc(rows, func(b farBand) bool { return b.width(size) > width })
				if more := len(rows) * draw.DotRows(1); rows[0].rank == rank && !wider && used+more <= room && size <= most(bands, rank) {
					for j := range rows {
						rows[j].size = size
					}
					used, grew = used+more, true
				}
			}
		}
	}
	return bands
}

// message are the first of bands that are one message.
func message(bands []farBand) []farBand {
	n := 1
	for n < len(bands) && bands[n].on && bands[n].rank == bands[0].rank {
		n++
	}
	return bands[:n]
}

// most is how large figures of a rank may become beside others: what follows no larger than what leads.
func most(bands []farBand, rank int) int {
	size := 1 + 2*smallest(bands)
	for _, b := range bands {
		if b.rank >= 0 && b.rank < rank {
			size = min(size, b.size)
		}
	}
	return size
}

// smallest is the size of the smallest figures, nought where there are none.
func smallest(bands []farBand) (size int) {
	for _, b := range bands {
		if b.rank != plain && (size == 0 || b.size < size) {
			size = b.size
		}
	}
	return size
}

// spread sets bands one below the other over the whole height, at least a blank row between them.
func (m Model) spread(bands []farBand, room int) (lines []string) {
	left := room
	for i := range bands {
		left -= bands[i].rows()
	}
	for i, b := range bands {
		lines = append(lines, m.farLine(&b)...)
		if gaps := len(bands) - 1 - i; gaps > 0 {
			gap := max(left/(gaps+1), 1)
			lines, left = append(lines, make([]string, gap)...), left-gap
		}
	}
	return lines
}

// wrapBands sets bands of figures beside each other where they are alike, as many as there is room for.
func wrapBands(bands []farBand, width int) (rows []farBand) {
	for _, b := range bands {
		if n := len(rows) - 1; n >= 0 && b.rank != plain && rows[n].rank == b.rank && rows[n].slim == b.slim {
			if both := rows[n].with(&b); both.unit <= width {
				rows[n] = both
				continue
			}
		}
		rows = append(rows, b)
	}
	return rows
}
