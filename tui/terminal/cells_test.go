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

// sent is what goes to the terminal for each of some writes.
func sent(t testing.TB, writes []string) (all []string) {
	path := filepath.Join(t.TempDir(), "terminal")
	f, err := os.Create(path)
	require.NoError(t, err)
	defer f.Close()
	c, before := NewCells(f), 0
	for _, w := range writes {
		n, err := c.Write([]byte(w))
		require.NoError(t, err)
		require.Equal(t, len(w), n)
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		all = append(all, string(text[before:]))
		before = len(text)
	}
	return all
}

const columns, lines = 12, 5

// picture is what bubbletea writes for a picture of so many lines, each of which may stay as it was.
func picture(next []string, stays func(int) bool) string {
	var b strings.Builder
	b.WriteString(ansi.CursorHomePosition)
	if !stays(0) {
		b.WriteString("\r")
	}
	for i, line := range next {
		if i > 0 && stays(i-1) {
			b.WriteString("\n")
		} else if i > 0 {
			b.WriteString("\r\n")
		}
		if stays(i) {
			continue
		}
		b.WriteString(line)
		if ansi.StringWidth(line) < columns {
			b.WriteString(ansi.EraseLineRight)
		}
	}
	return b.String() + ansi.CursorPosition(0, len(next))
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
	return ansi.Truncate(b.String(), columns, "")
}

// What goes to the terminal leaves on it what the writes would leave, whatever they are.
func TestCellsAreThoseOfThePlainWay(t *testing.T) {
	dir := t
	rapid.Check(t, func(t *rapid.T) {
		shown := make([]string, lines)
		var writes []string
		for range rapid.IntRange(1, 12).Draw(t, "writes") {
			switch rapid.IntRange(0, 9).Draw(t, "kind") {
			case 0:
				writes = append(writes, rapid.SampledFrom([]string{
					"\x1b]2;a title\a", "\x1b[?25l", "\a", ansi.EraseEntireScreen, "\x1b[?1049h", "words", "\r\n", "\x1b[2A",
					ansi.CursorHomePosition, ansi.CursorHomePosition + "words", ansi.EraseEntireLine + "\r", "\x1b[31m", "\x1b[0m", "日", "\x1b[2;3H", "\x1b[H\x1b[31mred\x1b[2;H",
					"\x1b[H\x1b[3Cx\x1b[2;H", "\x1b[Hab\x1b[Jc\x1b[5;H",
				}).Draw(t, "other"))
			case 1: // all anew, as bubbletea does when nothing is known
				writes = append(writes, ansi.EraseEntireScreen+"\x1b[0m", picture(shown, func(int) bool { return false }))
			default:
				next := make([]string, rapid.IntRange(1, lines).Draw(t, "lines"))
				stays := make([]bool, len(next))
				for i := range next {
					if stays[i] = rapid.Bool().Draw(t, "stays"); !stays[i] {
						next[i] = drawLine(t)
						shown[i] = next[i]
					}
				}
				writes = append(writes, picture(next, func(i int) bool { return stays[i] }))
			}
		}
		var plain, cells glass.Screen
		for i, s := range sent(dir, writes) {
			plain.Write([]byte(writes[i]))
			cells.Write([]byte(s))
			require.Equal(t, plain.String(), cells.String(), "after %q, for which went %q", writes[:i+1], s)
		}
	})
}

// Of a line in which little changes little is sent, and of one that stays nothing.
func TestOnlyWhatChangesIsSent(t *testing.T) {
	full := strings.Repeat("\x1b[1mmain\x1b[0m ", 3)
	all := sent(t, []string{
		"\x1b[H\r" + full + "\x1b[K\r\n" + full + "\x1b[K\x1b[2;H",
		"\x1b[H" + strings.Replace(full, "main", "pain", 1) + "\x1b[K\r\n" + full + "\x1b[K\x1b[2;H",
		"\x1b[H" + "\x1b[1mpain\x1b[0m" + "\x1b[K\n\x1b[2;H",
		"\x1b[H\n\x1b[1mpain\x1b[0m word\x1b[K\x1b[2;H",
	})
	assert.Equal(t, []string{
		"\x1b[1;1H" + full + "\x1b[K\x1b[2;1H" + full + "\x1b[K\x1b[2;H",
		"\x1b[1;1H\x1b[1mp\x1b[m\x1b[2;H",
		"\x1b[1;6H\x1b[K\x1b[2;H",
		"\x1b[2;1H\x1b[1mpain \x1b[mword \x1b[K\x1b[2;H",
	}, all)
}

// A terminal that took nothing of a write is one of which nothing is known.
func TestNothingIsKnownAfterAFailedWrite(t *testing.T) {
	path := filepath.Join(t.TempDir(), "terminal")
	f, err := os.Create(path)
	require.NoError(t, err)
	c := NewCells(f)
	_, err = c.Write([]byte("\x1b[H\rmain\x1b[K\x1b[1;H"))
	require.NoError(t, err)
	require.NoError(t, f.Close())
	_, err = c.Write([]byte("\x1b[Hpain\x1b[K\x1b[1;H"))
	require.Error(t, err)
	assert.Empty(t, c.rows)
}
