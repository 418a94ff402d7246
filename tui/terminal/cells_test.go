package terminal

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/tui/terminal/glass"
)

// written is what is done to a terminal: a frame is painted where there is one, else something is written.
type written struct{ frame, other string }

// sent is what goes to a terminal of columns and lines for each of some.
func sent(t testing.TB, writes []written) (all []string) {
	path := filepath.Join(t.TempDir(), "terminal")
	f, err := os.Create(path)
	require.NoError(t, err)
	defer f.Close()
	c, before := NewCells(f), 0
	c.resize(columns, lines)
	for _, w := range writes {
		if w.frame != "" {
			require.NoError(t, c.paint(w.frame))
		} else {
			n, err := c.Write([]byte(w.other))
			require.NoError(t, err)
			require.Equal(t, len(w.other), n)
		}
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		all = append(all, string(text[before:]))
		before = len(text)
	}
	return all
}

const columns, lines = 12, 5

// whole is a frame as bubbletea writes it where nothing is known.
func whole(frame string) string {
	var b strings.Builder
	b.WriteString(ansi.CursorHomePosition + "\r")
	all := strings.Split(frame, "\n")
	all = all[max(len(all)-lines, 0):]
	for i, line := range all {
		line = ansi.Truncate(line, columns, "")
		if b.WriteString(line); ansi.StringWidth(line) < columns {
			b.WriteString(ansi.EraseLineRight)
		}
		if i < len(all)-1 {
			b.WriteString("\r\n")
		}
	}
	if len(all) < lines {
		b.WriteString("\r\n" + ansi.EraseScreenBelow)
	}
	return b.String() + ansi.CursorPosition(0, len(all))
}

// drawLine draws a line: signs of one column in few colours, at times others.
func drawLine(t *rapid.T) string {
	var b strings.Builder
	signs := rapid.SampledFrom([]string{"aab ", "ab─ é", "a日b", "e\u0301x", "a👍b"}).Draw(t, "signs")
	for range rapid.IntRange(0, 4).Draw(t, "runs") {
		look := rapid.SampledFrom([]string{"", "\x1b[1m", "\x1b[38;2;1;2;3m", "\x1b[1;38;5;7;48;5;9m", "\x1b[4m\x1b[31m"}).Draw(t, "look")
		text := rapid.StringOfN(rapid.SampledFrom([]rune(signs)), 0, 6, -1).Draw(t, "text")
		if b.WriteString(look + text); look != "" {
			b.WriteString(rapid.SampledFrom([]string{"\x1b[0m", "\x1b[m"}).Draw(t, "reset"))
		}
	}
	return b.String()
}

// What goes to the terminal leaves on it what whole frames would leave, whatever else is written between them.
func TestCellsAreThoseOfThePlainWay(t *testing.T) {
	dir := t
	rapid.Check(t, func(t *rapid.T) {
		var shown []string
		var writes []written
		for range rapid.IntRange(1, 12).Draw(t, "writes") {
			if rapid.IntRange(0, 9).Draw(t, "kind") == 0 {
				writes = append(writes, written{other: rapid.SampledFrom([]string{
					"\x1b]2;a title\a", "\x1b[?25l", "\a", ansi.EraseEntireScreen, "\x1b[?1049h", "words", "\r\n", "\x1b[2A",
					ansi.CursorHomePosition, ansi.CursorHomePosition + "words", ansi.EraseEntireLine + "\r", "\x1b[31m", "\x1b[0m", "日", "\x1b[2;3H",
				}).Draw(t, "other")})
				continue
			}
			next := make([]string, rapid.IntRange(1, lines+1).Draw(t, "lines"))
			for i := range next {
				if next[i] = drawLine(t); i < len(shown) && rapid.Bool().Draw(t, "stays") {
					next[i] = shown[i]
				}
			}
			if next[0] == "" {
				next[0] = " " // no frame is empty
			}
			shown = next
			writes = append(writes, written{frame: strings.Join(next, "\n")})
		}
		var plain, cells glass.Screen
		for i, s := range sent(dir, writes) {
			if w := writes[i]; w.frame != "" {
				plain.Write([]byte("\x1b[0m" + whole(w.frame)))
			} else {
				plain.Write([]byte(w.other))
			}
			cells.Write([]byte(s))
			require.Equal(t, plain.String(), cells.String(), "after %q, for which went %q", writes[:i+1], s)
		}
	})
}

// Of a line in which little changes little is sent, of one that stays nothing, and of what bubbletea paints of nothing neither.
func TestOnlyWhatChangesIsSent(t *testing.T) {
	full := strings.Repeat("\x1b[1mmai\x1b[0m ", 3)
	all := sent(t, []written{
		{frame: full + "\n" + full + "\n\n\n"},
		{frame: strings.Replace(full, "mai", "pai", 1) + "\n" + full + "\n\n\n"},
		{frame: strings.Replace(full, "mai", "pai", 1) + "\n" + full + "\n\n\n"},
		{other: "\x1b[H\r \x1b[K\x1b[1;H"},
		{frame: "\x1b[1mpai\x1b[0m\n" + full + "\n\n\n"},
		{frame: "\x1b[1mpai\x1b[0m\n\x1b[1mpai\x1b[0m word\n\n\n"},
	})
	assert.Equal(t, []string{
		"\x1b[1;1H" + full + "\x1b[2;1H" + full + "\x1b[3;1H\x1b[K\x1b[4;1H\x1b[K\x1b[5;1H\x1b[K\x1b[5;H",
		"\x1b[1;1H\x1b[1mp\x1b[m\x1b[5;H",
		"",
		"",
		"\x1b[1;5H\x1b[K\x1b[5;H",
		"\x1b[2;1H\x1b[1mpai \x1b[mword\x1b[K\x1b[5;H",
	}, all)
}

// A terminal that took nothing of a frame is one of which nothing is known, and so is one of another size.
func TestNothingIsKnownAfterAFailedWrite(t *testing.T) {
	path := filepath.Join(t.TempDir(), "terminal")
	f, err := os.Create(path)
	require.NoError(t, err)
	c := NewCells(f)
	require.NoError(t, c.paint("main"), "nothing is painted before the size is known")
	assert.Empty(t, c.rows)
	c.resize(columns, lines)
	require.NoError(t, c.paint("main"))
	assert.NotEmpty(t, c.rows)
	c.resize(columns, lines+1)
	assert.Empty(t, c.rows)
	require.NoError(t, c.paint("main"))
	require.NoError(t, f.Close())
	require.Error(t, c.paint("pain"))
	assert.Empty(t, c.rows)
	assert.Empty(t, c.lines)
}
