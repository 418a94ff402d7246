package draw

import (
	"math/bits"

	"pullcard/tui/theme"
)

// Palette is how a picture is put into characters: the colours, and whether only ASCII may be used.
type Palette struct {
	ascii         bool
	before, after []string // by role
}

// NewPalette makes a palette of a theme's colours; ascii keeps the picture to ASCII characters.
func NewPalette(t theme.Theme, ascii bool) Palette {
	p := Palette{ascii: ascii}
	for _, r := range theme.Roles() {
		before, after := t.Around(r)
		p.before, p.after = append(p.before, before), append(p.after, after)
	}
	return p
}

// stroke is how a strand's line is broken.
type stroke uint8

const (
	whole  stroke = iota
	dashed        // laid, not pulled
	dotted        // comes next; heavy: the way to the wrong hole that an end is in
)

// line is the character of a cell's arms.
func (p *Palette) line(a arms, s stroke) rune {
	level, upright := a.light() == levelArms, a.light() == uprightArms
	switch {
	case p.ascii:
		return asciiLine(a, s, level, upright)
	case s == whole || a.heavy() && !level && !upright:
		return a.box()
	case s == dotted && a.heavy() && level:
		return '┉'
	case s == dotted && a.heavy() && upright:
		return '┋'
	case level && s == dotted:
		return '┈'
	case level && a.heavy():
		return '╍'
	case level:
		return '╌'
	case upright && s == dotted:
		return '┊'
	case upright && a.heavy():
		return '╏'
	case upright:
		return '╎'
	case single(a):
		return ' ' // the short end of a broken line would only blur its breaks
	}
	return a.box()
}

func single(a arms) bool { return bits.OnesCount8(uint8(a.light())) == 1 }

func asciiLine(a arms, s stroke, level, upright bool) rune {
	if single(a) {
		level = a.light()&levelArms != 0
		upright = !level
		if s != whole {
			return ' '
		}
	}
	n := 0
	if a.heavy() {
		n = 3
	}
	switch {
	case level:
		return rune("-~.=*_"[n+int(s)])
	case upright:
		return rune("|:'I!;"[n+int(s)])
	}
	return '+'
}

// block is the character of the filled quarters of a cell.
func (p *Palette) block(quarters uint8) rune {
	if p.ascii {
		if bits.OnesCount8(quarters) < 2 {
			return ' '
		}
		return '#'
	}
	return pick(quadrants, int(quarters))
}

// mark is a sign of the picture.
type mark uint8

const (
	markFree mark = iota
	markEntry
	markBlocked
	markSoon
	markKnot
	markTie // a knot that is made now
	markLater
	markMore // the picture goes on beyond the edge
	markPull // four: up, right, down, left
	markOut  = markPull + 4
	marks    = markOut + 4
)

// sign is the character of a mark.
func (p *Palette) sign(m mark) rune {
	if p.ascii {
		return rune(".ox?@%z:^>v<^>v<"[m])
	}
	return [...]rune{'·', '○', '×', '◇', '■', '□', '…', '⋮', '▲', '▶', '▼', '◀', '△', '▷', '▽', '◁'}[m]
}
