package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Sections stand apart, an empty one is not there, what is to be looked at first is marked, and no text steers a terminal.
func TestWrite(t *testing.T) {
	first, second := Section{Head: "FIRST"}, Section{}
	first.Say("%d strands", 2)
	first.Warn("slack\x1b[2J")
	second.Table(0, "a\tlong", "wide\tb")
	var out strings.Builder
	Write(&out, first, Section{Head: "EMPTY"}, second)
	assert.Equal(t, "FIRST\n2 strands\n! slack<U+001B>[2J\n\na     long\nwide  b\n", out.String())
}
