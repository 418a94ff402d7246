package sequence

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/library"
	"pullcard/patterns/source"
)

// Each key of a sheet is told, once, as the sheet's own, and whatever it leaves away as usual.
func TestClauses(t *testing.T) {
	texts := map[string]string{
		"amounts":  "name = \"x\"\n[boost]\namount = \"2 kg\"\n[tie]\nreach = 3\n[redo]\nwalk = { mains = 1, crosses = 1 }\n[cut]\nwall = \"9 mm\"\ntape = \"1 mm\"\nknot = \"1 mm\"\nmargin = \"2 mm\"\n",
		"flying":   "name = \"x\"\n[clamps]\nflying = 2\n[crosses]\nrepull = \"end\"\nclamps = 1\nfirst = \"under\"\n[cut.walls]\nsquash = \"7 mm\"\n",
		"the rest": "name = \"x\"\npieces = 1\naround = true\n[mains]\nshort = \"R\"\n",
	}
	for _, name := range library.Techniques() {
		data, _ := library.Technique(name)
		texts[name] = string(data)
	}
	for name, text := range texts {
		s, _, err := ReadTechnique(name, []byte(text))
		require.NoError(t, err, name)
		told := map[string]bool{}
		for _, c := range s.Clauses() {
			assert.NotContains(t, told, c.Key, name)
			assert.NotEmpty(t, c.Says)
			told[c.Key] = !c.Usual
		}
		for _, e := range source.Entries([]byte(text)) {
			switch {
			case e.Header || e.Path == "name" || e.Path == "redo.walk":
			case e.Path == "cut.wall":
				assert.True(t, told["cut.walls.tennis"], name)
			default:
				assert.True(t, told[e.Path], "%s: %s", name, e.Path)
				delete(told, e.Path)
			}
		}
		for key, own := range told {
			assert.True(t, !own || strings.HasPrefix(key, "cut.walls."), "%s: %s is as usual", name, key)
		}
	}
}
