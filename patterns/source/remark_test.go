package source

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestRemarks(t *testing.T) {
	assert.Equal(t, map[string]string{"pieces": "no knot in the throat", "mains.lead": "the hoop is wide", "tie.tail": "so says the house", "redo.walk": "both", "redo.walk.mains": "both"},
		Remarks([]byte("# the whole sheet\nname = \"House # one\"\npieces = 2 # no knot in the throat\n\n[mains]\n# the hoop\n# is wide\nlead = 2\nfirst = \"R\"\n\n[tie]\nknot = \"#\"\ntail = \"3 mm\" # so says the house\n[redo]\nwalk = { mains = 4 } # both")))
	assert.Empty(t, Remarks(nil))
}
