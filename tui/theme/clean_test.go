package theme

import (
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestClean(t *testing.T) {
	assert.Equal(t, "a�[31mb�c", Clean("a\x1b[31mb\u202ec"))
	assert.Equal(t, "Zoë · 松 🎾", Clean("Zoë · 松 🎾"))
	rapid.Check(t, func(t *rapid.T) {
		for _, r := range Clean(rapid.String().Draw(t, "text")) {
			if unicode.IsControl(r) {
				t.Fatalf("%q came through", r)
			}
		}
	})
}
