package report

import (
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "pullcard/patterns/sweep" // for what is drawn
)

// Lines keep to the width and lose no character but spaces.
func TestWrap(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		text := rapid.StringOf(rapid.RuneFrom([]rune("ab é \u00a0\u0301W"))).Draw(r, "text")
		columns := float64(rapid.IntRange(1, 12).Draw(r, "columns"))
		lines := Wrap(text, columns, Characters)
		for _, l := range lines {
			if Characters(l) > columns { // a letter with more accents than that stays whole
				letters := strings.Map(func(c rune) rune {
					if unicode.Is(unicode.M, c) {
						return -1
					}
					return c
				}, l)
				require.LessOrEqual(r, Characters(letters), 1.0, "%q", l)
			}
			require.NotEmpty(r, l)
		}
		require.Equal(r, strings.ReplaceAll(text, " ", ""), strings.ReplaceAll(strings.Join(lines, ""), " ", ""))
	})
	assert.Equal(t, []string{"one two", "three"}, Wrap("one two three", 8, Characters))
	assert.Equal(t, []string{"24\u00a0kg", "or"}, Wrap("24\u00a0kg or", 6, Characters))
}
