package schedule

import (
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Source: NIST Statistical Reference Datasets, analysis of variance, SiRstv: the mean squares between and within the instruments.
func TestAnalyse(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "strd", "SiRstv.dat"))
	require.NoError(t, err)
	var list []timed
	for _, line := range strings.Split(string(data), "\n")[60:] {
		if words := strings.Fields(line); len(words) == 2 {
			x, err := strconv.ParseFloat(words[1], 64)
			require.NoError(t, err)
			list = append(list, timed{x, words[0]})
		}
	}
	require.Len(t, list, 25)
	v := analyse(list)
	assert.InEpsilon(t, 1.27865654000000e-2, v.ms[0], 1e-9)
	assert.InEpsilon(t, 1.08318280000000e-2, v.ms[1], 1e-9)
	assert.InEpsilon(t, (1.27865654000000e-2-1.08318280000000e-2)/5, v.between, 1e-8, "five of each: what lies between them adds five times its own")
}

// The days of a stringer are told from the rackets of a day, and what was strung today says what the rest of today will be like.
func TestOwnTimes(t *testing.T) {
	var list []timed
	for i, day := range []float64{-.2, 0, .2, -.1, .1, .3, -.3, 0} {
		for _, rest := range []float64{-.1, 0, .1} {
			list = append(list, timed{3 + day + rest, string(rune('a' + i))})
		}
	}
	o := ownTimes(list, "g", 60)
	assert.InDelta(t, 3, o.level, 1e-9)
	assert.InDelta(t, math.Sqrt((4*.01+7*(.04-.01/3))/11), o.day, 1e-9) // Σ day² / 7 = .04, less a third of what is within
	assert.Negative(t, o.today, "g is a fast day")
	assert.Less(t, o.doubt, o.day)
	assert.Zero(t, ownTimes(list, "z", 60).today, "of another day nothing is known")
	few := ownTimes(list[:3], "z", 60)
	assert.InDelta(t, dayFactor, few.day, 1e-9, "one day says nothing of days")
}
