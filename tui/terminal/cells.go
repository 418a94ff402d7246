package terminal

import (
	"bytes"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
	"github.com/charmbracelet/x/cellbuf"
)

// Cells is the terminal's screen, to which only the cells go that change: bubbletea writes each line anew in which one does,
// and over a slow line to a machine in another room that is what a stringer waits for.
//
// It reads what bubbletea writes for a picture and remembers what stands where. What it does not understand passes
// through as it is, and what may have changed by it is forgotten.
type Cells struct {
	*os.File
	mu   sync.Mutex
	rows [][]cell // nil for a row of which nothing is known
	look bool     // colours are on from before
	reader
}

// cell is a sign one column wide; of a blank only what is seen of its look counts.
type cell struct {
	sign rune
	look cellbuf.Style
}

var blank = cell{sign: ' '}

func newCell(sign rune, look cellbuf.Style) cell {
	if sign == ' ' && bare(look) {
		look = cellbuf.Style{Bg: look.Bg}
	}
	return cell{sign, look}
}

// bare says that of a blank nothing is seen but the background.
func bare(look cellbuf.Style) bool {
	return look.Attrs&(cellbuf.ReverseAttr|cellbuf.StrikethroughAttr) == 0 && look.UlStyle == cellbuf.NoUnderline
}

// NewCells is the screen of a terminal.
func NewCells(f *os.File) *Cells {
	return &Cells{File: f, reader: reader{parser: ansi.NewParser(), understood: map[string]bool{}}}
}

// Write writes what changes by p.
func (c *Cells) Write(p []byte) (int, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if _, err := c.File.Write(c.changes(p)); err != nil {
		c.rows = nil
		return 0, err
	}
	return len(p), nil
}

// changes is what has the same effect as p on what is remembered.
func (c *Cells) changes(p []byte) []byte {
	text, ok := bytes.CutPrefix(p, []byte(ansi.CursorHomePosition))
	end := max(bytes.LastIndexByte(text, '\x1b'), 0)
	if !ok || !lastPlace.Match(text[end:]) || c.look {
		return c.pass(p)
	}
	if bytes.HasPrefix(text, []byte("\r")) { // the terminal may have changed: bubbletea writes everything
		c.rows = nil
	}
	w := changing{}
	for i, s := range strings.Split(string(text[:end]), "\n") {
		s = strings.Trim(s, "\r")
		if s == "" { // a line that stays
			continue
		}
		cells, erased, ok := c.read(s)
		if !ok {
			return c.pass(p)
		}
		if i >= len(c.rows) {
			c.rows = append(c.rows, make([][]cell, i+1-len(c.rows))...)
		}
		old := c.rows[i]
		if cells != nil && !erased && len(cells) < len(old) {
			cells = append(cells, old[len(cells):]...)
		}
		c.rows[i] = cells
		if old == nil || cells == nil {
			w.look(cellbuf.Style{})
			w.place(i, 0)
			w.WriteString(s)
			continue
		}
		w.row(i, old, cells)
		c.spare = old
	}
	w.look(cellbuf.Style{})
	w.Write(text[end:])
	return w.Bytes()
}

// pass lets p through, and forgets.
func (c *Cells) pass(p []byte) []byte {
	if !beside.Match(p) {
		c.rows = nil
	}
	if all := colours.FindAll(p, -1); all != nil {
		last := string(all[len(all)-1])
		c.look = last != ansi.ResetStyle && last != "\x1b[0m"
	}
	return p
}

var (
	// lastPlace is where bubbletea leaves the cursor after a picture.
	lastPlace = regexp.MustCompile(`^\x1b\[\d*(;\d*)?H$`)
	// colours is what sets or resets them, looks what of it is understood.
	colours = regexp.MustCompile(`\x1b\[[0-9;:]*m`)
	looks   = regexp.MustCompile(`^\x1b\[(;?([0-5]|7|9|2[2-57-9]|[349][0-7]|[34]9|10[0-7]|[34]8;5;\d+|[34]8;2;\d+;\d+;\d+))*m$`)
	// beside is what changes no cell: a title, the bell, whether the cursor is seen, brackets around a paste.
	beside = regexp.MustCompile(`^(\x1b\][02];[^\x1b\a]*\a|\a|\x1b\[\?(25|2004)[hl])*$`)
)

// reader reads lines. Each key has every line that changes read, so what that takes is used again.
type reader struct {
	parser     *ansi.Parser
	understood map[string]bool // whether looks matches what sets colours
	spare      []cell          // a row that nobody needs any more
}

// read reads a line, and whether what is beyond it is erased. Of a line that holds a sign of another width, or anything else of which terminals
// differ, there are no cells. A line after which colours go on, or of which nobody knows what it does, is not ok.
func (c *reader) read(s string) (cells []cell, erased, ok bool) {
	if cells, c.spare = c.spare[:0], nil; cells == nil {
		cells = []cell{} // a line without a sign is known
	}
	var look cellbuf.Style
	odd := false
	for len(s) > 0 {
		seq, width, n, _ := ansi.DecodeSequence(s, ansi.NormalState, c.parser)
		s = s[n:]
		switch r, size := utf8.DecodeRuneInString(seq); {
		case c.looks(seq):
			cellbuf.ReadStyle(c.parser.Params(), &look)
		case seq == ansi.EraseLineRight && s == "" && look.Empty():
			erased = true
		case width == 1 && size == len(seq) && r != utf8.RuneError:
			cells = append(cells, newCell(r, look))
		case width > 0:
			odd = true
		default:
			return nil, false, false
		}
	}
	if odd {
		cells = nil
	}
	return cells, erased, look.Empty()
}

// looks says whether a sequence sets colours and is understood. There are as many as a theme has, and a line has dozens.
func (c *reader) looks(seq string) bool {
	if seq[0] != '\x1b' {
		return false
	}
	is, known := c.understood[seq]
	if !known {
		is = looks.MatchString(seq)
		if len(c.understood) < mostLooks {
			c.understood[strings.Clone(seq)] = is
		}
	}
	return is
}

// mostLooks bounds what is remembered of them.
const mostLooks = 1000

// changing writes changes.
type changing struct {
	bytes.Buffer
	now cellbuf.Style
}

// look changes the colours.
func (w *changing) look(l cellbuf.Style) {
	const weight = cellbuf.BoldAttr | cellbuf.FaintAttr
	switch {
	case l == w.now:
		return
	case l.Empty():
		w.WriteString(ansi.ResetStyle)
	case (l.Attrs|w.now.Attrs)&weight == weight || (l.Attrs^w.now.Attrs)&cellbuf.FaintAttr != 0: // they end together
		w.WriteString(ansi.ResetStyle + l.Sequence())
	default:
		w.WriteString(l.DiffSequence(w.now))
	}
	w.now = l
}

// put writes a cell. A blank takes no other ink.
func (w *changing) put(c cell) {
	if l := w.now; c.sign == ' ' && bare(c.look) && bare(l) {
		l.Bg = c.look.Bg
		w.look(l)
	} else {
		w.look(c.look)
	}
	w.WriteRune(c.sign)
}

// place goes to a row and a column, counted from nought.
func (w *changing) place(y, x int) {
	w.WriteString("\x1b[" + strconv.Itoa(y+1) + ";" + strconv.Itoa(x+1) + "H")
}

// leap is from how many cells on that stay a place costs less than to write them again.
const leap = 5

// row writes the cells in which a row differs, what is beyond either being blank.
func (w *changing) row(y int, old, now []cell) {
	n := max(len(old), len(now))
	old, now = padded(old, n), padded(now, n)
	tail := n // from where on all is blank
	for tail > 0 && now[tail-1] == blank {
		tail--
	}
	for x, at := 0, -1; x < n; x++ {
		if now[x] == old[x] {
			continue
		}
		switch {
		case at < 0:
			w.place(y, x)
		case x-at > leap || slices.ContainsFunc(now[at:x], func(c cell) bool { return !w.has(c) }):
			w.WriteString(ansi.CursorHorizontalAbsolute(x + 1))
		default:
			for _, c := range now[at:x] {
				w.put(c)
			}
		}
		if x >= tail {
			w.look(cellbuf.Style{})
			w.WriteString(ansi.EraseLineRight)
			return
		}
		w.put(now[x])
		at = x + 1
	}
}

// has says that a cell takes no other colours than are on.
func (w *changing) has(c cell) bool { return c.look == newCell(c.sign, w.now).look }

func padded(cells []cell, n int) []cell {
	return append(slices.Clip(cells), slices.Repeat([]cell{blank}, n-len(cells))...)
}
