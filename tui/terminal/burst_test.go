package terminal

import (
	"os"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A pedal's sequence is one key, as are a letter with alt and one of several bytes.
func TestScan(t *testing.T) {
	for _, c := range []struct {
		bytes  string
		events int
		text   string
		rest   string
	}{
		{"", 0, "", ""},
		{" x", 2, " x", ""},
		{"\x1b[6~", 1, "", ""},         // page down, DEC VT220
		{"\x1b[1;5C\x1bOP", 2, "", ""}, // ctrl and right, PF1
		{"\x1b[[A", 1, "", ""},         // F1 on the Linux console
		{"\x1b", 1, "", ""},
		{"\x1b\x1b", 2, "", ""},
		{"\x1bé", 1, "", ""},
		{"é€😀", 3, "é€😀", ""},
		{"a\r\n\tb\x7f\x00", 7, "a   b", ""},
		{"\xff\xfea", 3, "a", ""},
		{"a\x1b[1;", 2, "a", "\x1b[1;"},
		{"a\xe2\x82", 2, "a", "\xe2\x82"},
		{"x" + opening + "two words\r" + closing + "y", 12, "xtwo words y", ""},
	} {
		s := scan([]byte(c.bytes), false)
		assert.Equal(t, c.events, s.events, "%q", c.bytes)
		assert.Equal(t, c.text, string(s.text), "%q", c.bytes)
		assert.Equal(t, c.rest, string(s.rest), "%q", c.bytes)
		assert.False(t, s.inside)
	}
	assert.True(t, scan([]byte(opening+"abc"), false).inside)
	assert.False(t, scan([]byte("abc"+closing), true).inside)
}

// Up to three keys in a read come through as they are; of more, and of a paste in brackets, nothing does, and its text comes
// in one piece, however the terminal cuts it.
func TestBursts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := strings.Join(rapid.SliceOfN(rapid.SampledFrom([]string{"a", " ", "é", "€", "😀", "\x1b[6~", "\x1bOP"}), many, 900).Draw(t, "words"), "")
		text := strings.NewReplacer("\x1b[6~", "", "\x1bOP", "").Replace(words)
		if rapid.Bool().Draw(t, "brackets") {
			words = opening + words + closing
		}
		r, w, err := os.Pipe()
		require.NoError(t, err)
		defer r.Close()
		defer w.Close()
		got := ""
		b := &Keyboard{background: &background{File: r}, now: time.Now, send: func(m tea.Msg) { got += string(m.(tea.KeyMsg).Runes) }}
		var buf [256]byte
		for _, key := range []string{" ", "\x1b[6~", "abc", "\x03\x03\x03\x03\x03"} {
			_, err := w.WriteString(key)
			require.NoError(t, err)
			n, err := b.Read(buf[:])
			require.NoError(t, err)
			require.Equal(t, key, string(buf[:n]))
		}
		_, err = w.WriteString(words)
		require.NoError(t, err)
		for left := len(words); left > 0; left -= len(buf) {
			n, err := b.Read(buf[:])
			require.NoError(t, err)
			require.Zero(t, n, "%q", buf[:n])
		}
		require.Equal(t, text, got)
	})
}
