package sequence

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/library"
	"pullcard/patterns/source"
	"pullcard/patterns/sweep"
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
			case e.Header || e.Path == "redo.walk":
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

// Whatever is typed of a clause is what the sheet says then, with its reason, and nothing else of it changes.
func TestPut(t *testing.T) {
	typed := map[string][]string{"name": {"Ours", `a "b" # c`}, "mount.order": {"head, arms, throat"}, "mount.mark": {"5"}, "mains.lead": {"1", "3 # the hoop is wide"}, "crosses.ahead": {"false"},
		"boost.percent": {"12"}, "boost.amount": {"2 kg # as he likes it"}, "redo.walk.mains": {"3"}, "redo.walk.crosses": {"1 # short"}, "cut.walls.squash": {"9 mm"}, "cut.tape": {"1 mm"}, "tie.knot": {"parnell"}, "clamps.flying": {"1"}}
	for i, name := range library.Techniques() {
		if !sweep.Take(i, 6) {
			continue
		}
		sheet, _ := library.Technique(name)
		s, _, err := ReadTechnique(name, sheet)
		require.NoError(t, err)
		clauses := s.Clauses()
		for i, c := range clauses {
			was := c.Typed(sheet)
			assert.Equal(t, c.Usual, was == "", c.Key)
			if !c.Usual {
				word, _, _ := strings.Cut(was, " #")
				assert.Equal(t, c.Usually(), word, c.Key)
			}
			same, err := Put(sheet, clauses, i, was)
			require.NoError(t, err, c.Key)
			assert.Equal(t, string(sheet), string(same), c.Key)
			for _, text := range append(append(typed[c.Key], c.Takes...), "") {
				if c.Key == "name" && text == "" {
					continue // a sheet has one, and above it stands what the sheet is for
				}
				now, err := Put(sheet, clauses, i, text)
				require.NoError(t, err, "%s: %s", c.Key, text)
				assert.Equal(t, text, c.Typed(now), "%s:\n%s", c.Key, now)
				for _, other := range clauses {
					if other.Key != c.Key {
						assert.Equal(t, other.Typed(sheet), other.Typed(now), "%s beside %s = %s", other.Key, c.Key, text)
					}
				}
				again, err := Put(now, clauses, i, was)
				require.NoError(t, err, c.Key)
				assert.Equal(t, was, c.Typed(again), c.Key)
			}
		}
	}
	s, _, err := ReadTechnique("x", []byte("name = \"x\"\n[redo]\nwalk = { mains = 1 } # both\n"))
	require.NoError(t, err)
	all := s.Clauses()
	at := slices.IndexFunc(all, func(c Clause) bool { return c.Key == "redo.walk.crosses" })
	now, err := Put([]byte("name = \"x\"\n[redo]\nwalk = { mains = 1 } # both\n"), all, at, "1 # both")
	require.NoError(t, err)
	assert.Equal(t, "name = \"x\"\n[redo]\nwalk = { mains = 1, crosses = 1 } # both\n", string(now))
}
