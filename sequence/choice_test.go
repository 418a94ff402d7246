package sequence_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence"
)

// An answer that cannot be given to what went wrong is refused with those that can, not found out by the referee.
func TestAnswersThatCannotBe(t *testing.T) {
	p := build(t, "dense-eighteen", "two-piece-knot")
	last := len(p.Steps) - 1
	knot := p.After(last).Knots()[0].Hole
	for text, want := range map[string]string{
		"18 kink strand=M1L choose=keep":                               "write choose=past or new, or leave it away",
		"18 too-short strand=M1R choose=keep":                          "write choose=bridge or new or a hole of the frame",
		"18 too-short strand=M1R choose=99HL":                          "write choose=bridge or new or a hole of the frame",
		"18 string-broke strand=M1R where=bed choose=keep":             "write choose=regrip or new",
		"18 slip-found-late strand=M1R choose=keep":                    "nothing to choose; leave choose=keep away",
		"18 wrong-tension strand=M1R choose=new":                       "write choose=again or undo or keep",
		"18 hole-split hole=5HL choose=keep":                           "write choose=sleeve or a hole of the frame",
		fmt.Sprintf("%d knot-slipped hole=%s choose=keep", last, knot): "write extent=crept choose=keep",
	} {
		done, trouble, err := sequence.ParseTrouble(text)
		require.NoError(t, err)
		_, err = sequence.Recover(p, done, trouble)
		assert.ErrorContains(t, err, want, text)
		assert.NotErrorAs(t, err, new(sequence.Unproven), text)
	}
}
