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

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/charmbracelet/x/cellbuf"
)

// Cells is the terminal's screen. A frame goes to it as soon as it is there, and of that only the cells that change: bubbletea looks at a rate
// whether there is something to write, so that each key waits for half a tick, and writes each line anew in which a cell changes, which is what
// a stringer waits for over a slow line to a machine in another room.
//
// Bubbletea goes on to lead the terminal; it is Shown nothing, and what it paints of that is dropped. Whatever else it writes passes through,
// and what may have changed by it is forgotten.
type Cells struct {
	*os.File
	Painted       func() // told after each frame that changes something, nil for nobody
	mu            sync.Mutex
	width, height int      // nothing is painted before they are known
	lines         []string // the frame that is on the screen, as it was painted
	rows          [][]cell // what is in its rows; nil for one of which nothing is known
	look          bool     // colours are on from before
	reader
}

// Shown is a model whose frames go to Cells.
type Shown struct {
	tea.Model
	On *Cells
}

// Update hands a message on.
func (s Shown) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	if size, ok := msg.(tea.WindowSizeMsg); ok {
		s.On.resize(size.Width, size.Height)
	}
	var cmd tea.Cmd
	s.Model, cmd = s.Model.Update(msg)
	return s, cmd
}

// View paints, and leaves nothing for bubbletea to paint. A terminal that takes nothing is asked again with the next frame.
func (s Shown) View() string {
	_ = s.On.paint(s.Model.View())
	return ""
}

// cell is a sign one column wide; of a blank only what is seen of its look counts. What looks alike has one look: there are thousands of
// cells, which are compared with each key.
type cell struct {
	sign rune
	look *cellbuf.Style
}

var blank = cell{' ', &cellbuf.Style{}}

// seen is what is seen of a look on a sign.
func seen(sign rune, look cellbuf.Style) cellbuf.Style {
	if sign == ' ' && bare(look) {
		return cellbuf.Style{Bg: look.Bg}
	}
	return look
}

// bare says that of a blank nothing is seen but the background.
func bare(look cellbuf.Style) bool {
	return look.Attrs&(cellbuf.ReverseAttr|cellbuf.StrikethroughAttr) == 0 && look.UlStyle == cellbuf.NoUnderline
}

// NewCells is the screen of a terminal.
func NewCells(f *os.File) *Cells {
	return &Cells{File: f, reader: newReader()}
}

// Write is where bubbletea writes.
func (c *Cells) Write(p []byte) (int, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if end := bytes.LastIndexByte(p, '\x1b'); end > 0 && bytes.HasPrefix(p, []byte(ansi.CursorHomePosition)) && lastPlace.Match(p[end:]) {
		return len(p), nil // a frame, which is nothing
	}
	if err := c.send(c.pass(p)); err != nil {
		return 0, err
	}
	return len(p), nil
}

// send writes to the terminal; of one that took nothing nothing is known.
func (c *Cells) send(p []byte) error {
	_, err := c.File.Write(p)
	if err != nil {
		c.forget()
	}
	return err
}

func (c *Cells) forget() { c.lines, c.rows = nil, nil }

// resize says how large the terminal is, which may have changed all that was on it.
func (c *Cells) resize(width, height int) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.width, c.height = width, height
	c.forget()
}

// paint has the terminal show a frame.
func (c *Cells) paint(frame string) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	lines := strings.Split(frame, "\n")
	lines = lines[max(len(lines)-c.height, 0):]
	if c.width == 0 || slices.Equal(lines, c.lines) {
		return nil
	}
	if c.Painted != nil {
		defer c.Painted()
	}
	return c.send(c.changes(lines))
}

// changes is what makes lines of what is remembered.
func (c *Cells) changes(lines []string) []byte {
	w := changing{}
	if c.look {
		w.WriteString(ansi.ResetStyle)
		c.look = false
	}
	for i, s := range lines {
		if i < len(c.lines) && c.lines[i] == s {
			continue
		}
		cells, ok := c.read(s, c.width)
		if !ok {
			return c.pass(c.plain(lines))
		}
		if i >= len(c.rows) {
			c.rows = append(c.rows, make([][]cell, i+1-len(c.rows))...)
		}
		cells = cells[:min(len(cells), c.width)]
		old := c.rows[i]
		c.rows[i] = cells
		if old == nil || cells == nil {
			w.look(cellbuf.Style{})
			w.place(i, 0)
			w.WriteString(c.fitted(s))
			continue
		}
		w.row(i, old, cells)
		c.spare = old
	}
	w.look(cellbuf.Style{})
	if len(c.rows) > len(lines) || c.lines == nil && len(lines) < c.height { // what is below is of another frame, or nobody knows what it is
		w.place(len(lines), 0)
		w.WriteString(ansi.EraseScreenBelow)
		c.rows = c.rows[:len(lines)]
	}
	w.WriteString(ansi.CursorPosition(0, len(lines))) // as bubbletea does: some terminals write what is typed there
	c.lines = lines
	return w.Bytes()
}

// plain is lines as they are written where nothing is known of them.
func (c *Cells) plain(lines []string) []byte {
	fitted := make([]string, len(lines))
	for i, s := range lines {
		fitted[i] = c.fitted(s)
	}
	return []byte(ansi.ResetStyle + ansi.CursorHomePosition + ansi.EraseScreenBelow + strings.Join(fitted, "\r\n") + ansi.CursorPosition(0, len(lines)))
}

// fitted is a line that is no wider than the terminal, what is beyond it erased: before a wide sign that is cut off stands one column.
func (c *Cells) fitted(s string) string {
	if s = ansi.Truncate(s, c.width, ""); ansi.StringWidth(s) < c.width {
		s += ansi.EraseLineRight
	}
	return s
}

// pass lets p through, and forgets.
func (c *Cells) pass(p []byte) []byte {
	if !beside.Match(p) {
		c.forget()
	}
	if all := colours.FindAll(p, -1); all != nil {
		last := string(all[len(all)-1])
		c.look = last != ansi.ResetStyle && last != "\x1b[0m"
	}
	return p
}

var (
	// lastPlace is where bubbletea leaves the cursor after a frame.
	lastPlace = regexp.MustCompile(`^\x1b\[\d*(;\d*)?H$`)
	// colours is what sets or resets them, looks what of it is understood.
	colours = regexp.MustCompile(`\x1b\[[0-9;:]*m`)
	looks   = regexp.MustCompile(`^\x1b\[(;?([0-5]|7|9|2[2-57-9]|[349][0-7]|[34]9|10[0-7]|[34]8;5;\d+|[34]8;2;\d+;\d+;\d+))*m$`)
	// beside is what changes no cell: a title, the bell, whether the cursor is seen, brackets around a paste.
	beside = regexp.MustCompile(`^(\x1b\][02];[^\x1b\a]*\a|\a|\x1b\[\?(25|2004)[hl])*$`)
)

// reader reads lines. Each key has every line that changes read, so what that takes is used again.
type reader struct {
	parser *ansi.Parser
	styles map[cellbuf.Style]*cellbuf.Style
	after  map[change]*cellbuf.Style
	spare  []cell // a row that nobody needs any more
}

// change is a sequence that comes when something has a look.
type change struct {
	from *cellbuf.Style
	seq  string
}

func newReader() reader {
	return reader{parser: ansi.NewParser(), styles: map[cellbuf.Style]*cellbuf.Style{*blank.look: blank.look}, after: map[change]*cellbuf.Style{}}
}

// read reads a line for so many columns. Of a line that holds a sign of another width, or anything else of which terminals
// differ, there are no cells. A line after which colours go on, or of which nobody knows what it does, is not ok.
func (c *reader) read(s string, width int) (cells []cell, ok bool) {
	if cells, c.spare = c.spare[:0], nil; cells == nil {
		cells = make([]cell, 0, width) // a line without a sign is known
	}
	look, gap := blank.look, blank.look
	put := func(r rune) {
		if r == ' ' {
			cells = append(cells, cell{r, gap})
		} else {
			cells = append(cells, cell{r, look})
		}
	}
	odd := false
	for len(s) > 0 {
		if ' ' <= s[0] && s[0] < '\x7f' && (len(s) == 1 || s[1] < utf8.RuneSelf) { // what most signs are, and nothing joins
			put(rune(s[0]))
			s = s[1:]
			continue
		}
		seq, width, n, _ := ansi.DecodeSequence(s, ansi.NormalState, c.parser)
		s = s[n:]
		if seq[0] == '\x1b' {
			if look = c.changed(look, seq); look == nil {
				return nil, false
			}
			gap = c.same(seen(' ', *look))
			continue
		}
		switch r, size := utf8.DecodeRuneInString(seq); {
		case width == 1 && size == len(seq) && r != utf8.RuneError:
			put(r)
		case width > 0:
			odd = true
		default:
			return nil, false
		}
	}
	if odd {
		cells = nil
	}
	return cells, look == blank.look
}

// changed is a look after a sequence that was parsed just now, nil where it is not understood. There are as many as a theme has, and a line
// has dozens.
func (c *reader) changed(look *cellbuf.Style, seq string) *cellbuf.Style {
	to, known := c.after[change{look, seq}]
	if !known {
		if looks.MatchString(seq) {
			next := *look
			cellbuf.ReadStyle(c.parser.Params(), &next)
			to = c.same(next)
		}
		if len(c.after) < mostLooks {
			c.after[change{look, strings.Clone(seq)}] = to
		}
	}
	return to
}

// same is the one look of all that look so.
func (c *reader) same(look cellbuf.Style) *cellbuf.Style {
	is := c.styles[look]
	if is == nil {
		is = &look
		if len(c.styles) < mostLooks {
			c.styles[look] = is
		}
	}
	return is
}

// mostLooks bounds what is remembered of them; what looks alike may have several looks from then on, and is sent anew.
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
	if l := w.now; c.sign == ' ' && bare(*c.look) && bare(l) {
		l.Bg = c.look.Bg
		w.look(l)
	} else {
		w.look(*c.look)
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
func (w *changing) has(c cell) bool { return *c.look == seen(c.sign, w.now) }

func padded(cells []cell, n int) []cell {
	return append(slices.Clip(cells), slices.Repeat([]cell{blank}, n-len(cells))...)
}
