package verdict_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/verdict"
)

// All that a player can say.
func answers() []verdict.Answer {
	out := []verdict.Answer{{Way: verdict.Right}}
	for _, way := range []verdict.Direction{verdict.TooTight, verdict.TooLoose} {
		for _, degree := range []verdict.Degree{verdict.ABit, verdict.Plainly, verdict.Far} {
			out = append(out, verdict.Answer{Way: way, Degree: degree})
		}
	}
	return out
}

func TestParse(t *testing.T) {
	for text, want := range map[string]string{
		"too tight, a bit": "too tight, a bit", "a bit too tight": "too tight, a bit", "tight": "too tight, plainly",
		"loose far": "too loose, far", "far too loose": "too loose, far", "Too Loose": "too loose, plainly",
		"slightly loose": "too loose, a bit", "a little too tight": "too tight, a bit", "much too tight": "too tight, far",
		"too tight - plainly": "too tight, plainly", " right ": "right", "OK": "right",
		"tight, too tight": "too tight, plainly", "very much too loose": "too loose, far",
	} {
		a, err := verdict.Parse(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, a.String(), text)
	}
	for _, a := range answers() {
		again, err := verdict.Parse(a.String())
		require.NoError(t, err)
		assert.Equal(t, a, again)
	}
	assert.Empty(t, verdict.Answer{}.String())
}

func TestParseRefuses(t *testing.T) {
	for _, text := range []string{"", "a bit", "not tight", "tight and loose", "tight loose", "far a bit loose", "right, a bit", "a bit too tight, far", "too", "24 kg lower"} {
		_, err := verdict.Parse(text)
		assert.ErrorContains(t, err, `as "too tight, a bit"`, text)
	}
	for _, text := range []string{"too hard", "a bit soft"} {
		_, err := verdict.Parse(text)
		assert.ErrorContains(t, err, "may mean the string, its gauge or its tension: ask", text)
	}
}
