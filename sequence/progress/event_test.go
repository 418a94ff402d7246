package progress

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// What was told afterwards stands with what it explains; what names nothing explains nothing.
func TestExplained(t *testing.T) {
	events := []Event{{Kind: Done, Step: 1}, {Kind: Redo, Step: 2}, {Kind: Mishap, Step: 2, Why: "C5 is woven wrong"}, {Kind: Done, Step: 2},
		{Kind: Why, Step: 3, Of: 2, Why: "wet"}, {Kind: Why, Step: 3, Of: 3, Why: "hurry"}, {Kind: Why, Step: 3, Of: 9, Why: "?"}, {Kind: Why, Step: 3, Why: "?"},
	}
	got := Explained(events)
	assert.Equal(t, "wet", got[1].Why)
	assert.Equal(t, "C5 is woven wrong: hurry", got[2].Why)
	assert.Empty(t, events[1].Why, "the list itself stays")
	assert.Equal(t, events[3:], got[3:])
	assert.Equal(t, events[0], got[0])
}
