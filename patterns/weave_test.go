package patterns

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// AnyLayout draws the text of a layout that closes: 12 to 20 mains, 14 to 22 crosses, any skips.
func anyLayout(t *rapid.T) string {
	half := rapid.IntRange(6, 10).Draw(t, "mains a side")
	crosses := rapid.IntRange(14, 22).Draw(t, "crosses")
	var skip []string
	for _, end := range []string{"H", "T"} {
		for i := range rapid.IntRange(1, 2).Draw(t, "skips") {
			skip = append(skip, fmt.Sprintf("%q", fmt.Sprint(half-1+2*i)+end))
		}
	}
	return fmt.Sprintf("name = \"any\"\nsport = \"tennis\"\nmains = %d\ncrosses = %d\nskip = [%s]\nstart = %q\n",
		2*half, crosses, strings.Join(skip, ", "), rapid.SampledFrom([]string{"head", "throat"}).Draw(t, "start"))
}

// ITF Rules of Tennis, Appendix II: the strings are alternately interlaced where they cross.
// ISO 3572:1976 (clause from memory): in a plain weave each weft passes over one warp and under the next, and the next
// weft does the reverse.
func TestOverAlternatesAlongEveryStrand(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, _, err := ReadLayout("any", []byte(anyLayout(t)))
		require.NoError(t, err)
		last := map[int]bool{}
		seen := map[int]int{}
		for _, c := range f.Crosses {
			met := f.Met(c)
			for i, col := range met {
				over := Over(c.Number, col)
				if i > 0 {
					require.NotEqual(t, Over(c.Number, met[i-1]), over, "along %s", c.Strand)
				}
				if seen[col] > 0 {
					require.Equal(t, seen[col]+1, c.Number, "a main meets its crosses one after the other")
					require.NotEqual(t, last[col], over, "along column %d", col)
				}
				last[col], seen[col] = over, c.Number
			}
		}
	})
}

// Holes have two names, kT = (N+1−k)H, and every place round the hoop is one hole.
func TestHoleNames(t *testing.T) {
	f := read(t, sixteen)
	seen := map[int]bool{}
	for _, side := range Sides() {
		for n := 1; n <= 35; n++ {
			h := Hole{side, n}
			seen[f.Pos(h)] = true
			for _, e := range []End{Head, Throat} {
				r, err := ParseRef(f.HoleAt(h, e))
				require.NoError(t, err)
				back, ok := f.Hole(r)
				assert.True(t, ok)
				assert.Equal(t, h, back)
			}
		}
	}
	assert.Len(t, seen, 70)
	assert.Equal(t, "18HL", f.HoleName(Hole{Left, 18}), "the middle one is the head's")
	assert.Equal(t, "17TR", f.HoleName(Hole{Right, 19}))
}

// A cross at 7H leaves the mains at 8H and 10H wholly on its throat side.
func TestInterleaves(t *testing.T) {
	f := read(t, sixteen)
	c := f.Cross(1)
	assert.True(t, f.Interleaves(c, f.Mains[Left][5]))
	assert.False(t, f.Interleaves(c, f.Mains[Left][6]))
	assert.True(t, f.Interleaves(f.Mains[Right][0], c), "whichever is named first")
	shared := read(t, shuttle)
	assert.False(t, shared.Interleaves(shared.Cross(2), shared.Mains[Left][8]), "they share 10H")
}
