package theme

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestClean(t *testing.T) {
	assert.Equal(t, "a<U+001B>[31mb<U+202E>c", Clean("a\x1b[31mb\u202ec"))
	assert.Equal(t, "Zoë · 松 🎾", Clean("Zoë · 松 🎾"))
	assert.Equal(t, "a b<U+200B> 松", string(Typed([]rune("a\nb\u200b\t松"))))
	assert.Equal(t, "\u200c", string(Typed([]rune("\u200c"))), "a Persian keyboard has it")
}
