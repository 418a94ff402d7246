package terminal

import (
	"os"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "pullcard/patterns/sweep" // for what is drawn
)

// feed writes pieces to a background, one read after the other, and returns the keys that come out.
func feed(t require.TestingT, pieces []string, light func()) string {
	r, w, err := os.Pipe()
	require.NoError(t, err)
	defer r.Close()
	defer w.Close()
	require.NoError(t, r.SetReadDeadline(time.Now().Add(30*time.Second)))
	g, keys := &background{File: r, light: light}, ""
	var buf [256]byte
	for _, piece := range pieces {
		if piece == "" {
			continue
		}
		_, err := w.WriteString(piece)
		require.NoError(t, err)
		for left := len(piece); left > 0; { // a piece may take two reads
			had := len(g.held)
			n, err := g.Read(buf[:])
			require.NoError(t, err)
			keys += string(buf[:n])
			left -= min(left, len(buf)-had)
		}
	}
	return keys
}

// Every key comes through in its order, whatever is typed around the answer and however it is cut into pieces.
func TestGroundLosesNoKey(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		key := rapid.SampledFrom([]string{" ", "q", "s", "1", "é", "\r", "\x7f", "\x1b[A", "\x1b[6~", "\x1bOP", "]", ";", "rgb:"})
		before := strings.Join(rapid.SliceOfN(key, 0, 200).Draw(t, "before"), "")
		after := strings.Join(rapid.SliceOfN(key, 0, 200).Draw(t, "after"), "")
		end := rapid.SampledFrom([]string{"\a", "\x1b\\"}).Draw(t, "end")
		text := before + answer + "rgb:ffff/ffff/ffff" + end + after
		cuts := rapid.SliceOfN(rapid.IntRange(0, len(text)), 0, 6).Draw(t, "cuts")
		var lit atomic.Int32
		keys := feed(t, pieces(text, cuts, len(before)), func() { lit.Add(1) })
		if keys != before+after {
			t.Fatalf("%q came out of %q", keys, text)
		}
		require.Eventually(t, func() bool { return lit.Load() == 1 }, 5*time.Second, time.Millisecond)
	})
}

// pieces cuts a text at places, but not behind the first byte of the answer: a lone escape is a key.
func pieces(text string, cuts []int, answerAt int) (out []string) {
	is := map[int]bool{}
	for _, c := range cuts {
		is[c] = c != answerAt+1
	}
	from := 0
	for i := range text {
		if is[i] {
			out, from = append(out, text[from:i]), i
		}
	}
	return append(out, text[from:])
}

func TestGroundTakesOneAnswerOnly(t *testing.T) {
	black := answer + "rgb:0000/0000/0000\a"
	assert.Equal(t, "ab", feed(t, []string{"a" + black + "b"}, func() { t.Error("black is not light") }))
	assert.Equal(t, "a"+black, feed(t, []string{black + "a" + black}, func() { t.Error("black is not light") }), "what was not asked for")
	assert.Equal(t, "a"+black, feed(t, []string{"a" + black}, nil), "nothing was asked")
	long := answer + strings.Repeat("1", 60)
	assert.Equal(t, long+"a", feed(t, []string{long, "a"}, func() { t.Error("that is no colour") }), "an answer without an end")
	full := strings.Repeat("a", 256)
	assert.Equal(t, answer+"1"+full, feed(t, []string{answer + "1", full}, func() { t.Error("that is no colour") }), "a full read behind what was held")
	assert.Equal(t, "\x1ba", feed(t, []string{"\x1b", "a"}, func() {}), "escape is a key")
}

func TestIsLight(t *testing.T) {
	for colour, want := range map[string]bool{
		"rgb:ffff/ffff/ffff": true, "rgb:ff/ff/ff": true, "rgb:f/f/f": true, "rgb:fafa/f8f8/f3f3": true, "rgb:0000/ffff/0000": true,
		"rgb:0000/0000/0000": false, "rgb:0000/0000/ffff": false, "rgb:1212/1818/1c1c": false,
		"": false, "white": false, "rgb:ff/ff": false, "rgb:zz/zz/zz": false, "rgb://": false,
	} {
		assert.Equal(t, want, isLight(colour), "%q", colour)
	}
}

func TestGuess(t *testing.T) {
	for said, want := range map[string]string{"": "dark", "15;0": "dark", "0;15": "light", "0;7": "light", "0;default;15": "light", "15": "dark"} {
		assert.Equal(t, want, Guess(said), said)
	}
	assert.True(t, Answers("xterm-256color"))
	for _, kind := range []string{"", "dumb", "linux", "linux-16color"} {
		assert.False(t, Answers(kind), kind)
	}
}
