package draw

import (
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const known = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZkglb.,:/%+-− ?"

func TestFiguresHaveTheirSize(t *testing.T) {
	for _, rows := range []int{3, 5, 6} {
		for _, ascii := range []bool{false, true} {
			for _, text := range []string{known, "26.4 kg", "M3L", "", "é\n"} {
				lines := Big(text, rows, ascii)
				require.Len(t, lines, rows)
				for _, line := range lines {
					assert.Equal(t, lipgloss.Width(lines[0]), lipgloss.Width(line), "%q in %d rows", text, rows)
					if ascii {
						assert.Equal(t, -1, strings.IndexFunc(line, func(r rune) bool { return r > 126 }))
					}
				}
			}
		}
	}
	for size := 1; size < 4; size++ {
		for _, line := range Slim(known, size) {
			assert.Equal(t, SlimWidth(known, size), lipgloss.Width(line))
		}
		assert.Len(t, Slim("M3L", size), DotRows(size))
		assert.Less(t, SlimWidth("STRAIGHTEN", size), DotWidth("STRAIGHTEN", size)*2/3)
	}
	assert.Len(t, Big("1", 0, false), 3)
	assert.Len(t, Big("1", 4, false), 3)
	assert.Len(t, Big("1", 60, false), 6)
}

// TestFiguresDiffer: no two figures are alike; those of strands, holes and tensions differ by two dots and more, and
// those that are taken for each other most easily by three.
func TestFiguresDiffer(t *testing.T) {
	used := "0123456789MCLRHTAB"
	for _, tall := range []int{5, 6} {
		chars := []rune(strings.ReplaceAll(known, "−", ""))
		for i, a := range chars {
			for _, b := range chars[:i] {
				least := 1
				if strings.ContainsRune(used, a) && strings.ContainsRune(used, b) {
					least = 2
				}
				assert.GreaterOrEqual(t, apartBy(glyph(tall, a), glyph(tall, b)), least, "%c and %c, %d dots tall", a, b, tall)
			}
		}
		for _, pair := range []string{"MN", "MH", "NH", "8B", "08", "0D", "LT", "1I", "1L", "1T", "2Z", "17"} {
			a, b := rune(pair[0]), rune(pair[1])
			assert.GreaterOrEqual(t, apartBy(glyph(tall, a), glyph(tall, b)), 3, "%s, %d dots tall", pair, tall)
		}
	}
}

func apartBy(a, b []string) (dots int) {
	for y := range a {
		for x := range max(len(a[y]), len(b[y])) {
			if (x < len(a[y]) && a[y][x] == '#') != (x < len(b[y]) && b[y][x] == '#') {
				dots++
			}
		}
	}
	return dots
}

func TestUnknownFigures(t *testing.T) {
	assert.Equal(t, Big("A", 3, false), Big("a", 3, false), "a small letter without its own figure is set as a capital")
	assert.NotEqual(t, Big("G", 3, false), Big("g", 3, false))
	assert.Equal(t, Big("?", 5, false), Big("é", 5, false))
	assert.Equal(t, Big("-", 5, false), Big("−", 5, false))
}

func TestGlyphsAreWhole(t *testing.T) {
	for _, tall := range []int{5, 6} {
		for _, r := range known {
			dots := glyph(tall, r)
			require.Len(t, dots, tall, "%c", r)
			for _, row := range dots {
				assert.Len(t, row, len(dots[0]), "%c", r)
				assert.Empty(t, strings.Trim(row, "#."), "%c", r)
			}
		}
	}
}

func TestFiguresLook(t *testing.T) {
	var b strings.Builder
	for _, rows := range []int{3, 5, 6} {
		for _, ascii := range []bool{false, true} {
			for _, text := range []string{"0123456789", "M3L C19 10HR", "26.4 kg 53 lb", "+10 % −1,5/2"} {
				b.WriteString(strings.Join(Big(text, rows, ascii), "\n") + "\n\n")
			}
		}
	}
	kept(t, "figures", b.String())
}
