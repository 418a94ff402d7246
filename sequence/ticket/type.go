package ticket

import (
	"fmt"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"pullcard/patterns/drawing"
)

// typeface measures text in the two weights that prints are set in.
type typeface struct {
	regular, bold *sfnt.Font
	// stretch is by how much wider the font may be that a viewer puts in place of these; 1 where they are embedded.
	stretch float64
	buffer  sfnt.Buffer
}

// widest is how much wider than these the common fonts of screens are; measured on words of a ticket.
const widest = 1.17

func newTypeface(stretch float64) *typeface {
	return &typeface{regular: parse(goregular.TTF), bold: parse(gobold.TTF), stretch: stretch}
}

func parse(ttf []byte) *sfnt.Font {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		panic(fmt.Errorf("ticket: a font that is built in: %w", err))
	}
	return f
}

func (t *typeface) weight(bold bool) *sfnt.Font {
	if bold {
		return t.bold
	}
	return t.regular
}

// has says whether both weights have a character; U+FFFD has a mark of its own in them.
func (t *typeface) has(r rune) bool {
	for _, f := range [2]*sfnt.Font{t.regular, t.bold} {
		if i, err := f.GlyphIndex(&t.buffer, r); err != nil || i == 0 {
			return false
		}
	}
	return true
}

// width is how wide a line is in mm at a size in points. A character that the fonts lack counts as wide as high.
func (t *typeface) width(text string, size float64, bold bool) float64 {
	const em = 1 << 10
	f, sum := t.weight(bold), 0
	for _, r := range text {
		i, err := f.GlyphIndex(&t.buffer, r)
		advance := fixed.I(em)
		if err == nil && i != 0 {
			if a, err := f.GlyphAdvance(&t.buffer, i, fixed.I(em), font.HintingNone); err == nil {
				advance = a
			}
		}
		sum += int(advance)
	}
	return float64(sum) / 64 / em * size * drawing.Point * t.stretch
}
