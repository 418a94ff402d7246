package patterns

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "pullcard/patterns/sweep" // for what is drawn
)

// kept is a layout with a comment wherever one can stand.
const kept = `# Invented frame.

name    = 'Club sixteen'   # as we say
sport   = "tennis"
mains   = 16
crosses = 19
# the skips
skip    = [                # both ends
  "7H", "9H",  # head
  "7T",        # throat
  "9T",
]
start   = "throat"         # looked at twice
holes   = 35               # counted

[tie]  # knots
mains   = ["8T"]
crosses = ["6H","6T"]      # head, throat

[hoop] # measured
length = "330 mm"
width  = "250 mm"

# printed
[tension]
min = "22 kg"
max = "27 kg"  # lb is printed too
# the end
`

func TestEditLayout(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Card)
		old    []string // replaced in turn, old and new
	}{
		{"nothing", func(c *Card) {}, nil},
		{"a number", func(c *Card) { c.Crosses = 20 }, []string{"crosses = 19", "crosses = 20"}},
		{"a text in other quotes, its comment in its column", func(c *Card) { c.Name = "Club six" },
			[]string{"'Club sixteen'   #", "\"Club six\"       #"}},
		{"a longer one than there is room for", func(c *Card) { c.Name = "Club sixteen and more" },
			[]string{"'Club sixteen'   #", "\"Club sixteen and more\"  #"}},
		{"a member of a list with comments", func(c *Card) { c.Skip[2] = "6T" }, []string{`"7T",        #`, `"6T",        #`}},
		{"a member less", func(c *Card) { c.Skip = []string{"7H", "7T", "9T"} }, []string{`"7H", "9H",  #`, `"7H",   #`}},
		{"a line less", func(c *Card) { c.Skip = c.Skip[:3] }, []string{"  \"9T\",\n", ""}},
		{"a member more", func(c *Card) { c.Skip = append(c.Skip, "11T") }, []string{`"9T",`, `"9T", "11T",`}},
		{"one before the first", func(c *Card) { c.Skip = append([]string{"5H"}, c.Skip...) }, []string{`[                #`, `["5H",                 #`}},
		{"a list on one line", func(c *Card) { c.TieCrosses = []string{"6H"} }, []string{`["6H","6T"]      #`, `["6H"]           #`}},
		{"a value less", func(c *Card) { c.Holes = 0 }, []string{"holes   = 35               #", "#"}},
		{"a value more", func(c *Card) { c.Shared = []string{"10H"} },
			[]string{"# counted\n", "# counted\nshared  = [\"10H\"]  # a main and a cross in each\n"}},
		{"a table less", func(c *Card) { c.HoopLength, c.HoopWidth = "", "" },
			[]string{"[hoop] # measured\nlength = \"330 mm\"\nwidth  = \"250 mm\"\n", "# measured\n"}},
		{"a table with comments less", func(c *Card) { c.TensionMin, c.TensionMax = "", "" },
			[]string{"[tension]\nmin = \"22 kg\"\nmax = \"27 kg\"  #", "#"}},
		{"another key in a table", func(c *Card) { c.HoopShape = 2.25 },
			[]string{"width  = \"250 mm\"\n", "width  = \"250 mm\"\nshape  = 2.25  # exponent of the superellipse\n"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			card, err := ReadCard("f", []byte(kept))
			require.NoError(t, err)
			c.change(&card)
			got, err := EditLayout("f", []byte(kept), card)
			require.NoError(t, err)
			want := kept
			for i := 0; i < len(c.old); i += 2 {
				require.Contains(t, want, c.old[i])
				want = strings.Replace(want, c.old[i], c.old[i+1], 1)
			}
			assert.Equal(t, want, string(got))
		})
	}
}

// Ways of writing a layout that the writer does not use.
func TestEditLayoutOtherShapes(t *testing.T) {
	for _, c := range []struct {
		name, old, new string
		change         func(*Card)
	}{
		{"no table yet", "name = \"x\"\n", "name = \"x\"\n\n[tie]\nmains   = [\"8T\"]  # both sides, unless one is named\ncrosses = [\"6H\"]\n",
			func(c *Card) { c.TieMains, c.TieCrosses = []string{"8T"}, []string{"6H"} }},
		{"no newline at the end", "name = \"x\"", "name = \"x\"\nsport = \"squash\"", func(c *Card) { c.Sport = "squash" }},
		{"a table between two", "name = \"x\"\n[tie]\nmains = [\"1H\"]\n[tension]\nmin = \"2 kg\"\nmax = \"3 kg\"\n",
			"name = \"x\"\n[tie]\nmains = [\"1H\"]\n\n[hoop]\nlength = \"33 cm\"  # inside, along the mains\nwidth  = \"25 cm\"\n\n[tension]\nmin = \"2 kg\"\nmax = \"3 kg\"\n",
			func(c *Card) { c.HoopLength, c.HoopWidth = "33 cm", "25 cm" }},
		{"the first value", "\n# top\nmains = 16\n", "\n# top\nname = \"x\"\nmains = 16\n", func(c *Card) { c.Name = "x" }},
		{"a file of nothing", "", "name = \"x\"\n", func(c *Card) { c.Name = "x" }},
		{"in one line", "hoop = { length = \"33 cm\", width = \"25 cm\" } # so\n", "hoop = { length = \"33 cm\", width = \"26 cm\", shape = 2.5 } # so\n",
			func(c *Card) { c.HoopWidth, c.HoopShape = "26 cm", 2.5 }},
		{"less in one line", "hoop = { length = \"33 cm\", width = \"25 cm\" } # so\n", "hoop = { length = \"33 cm\" } # so\n", func(c *Card) { c.HoopWidth = "" }},
		{"nothing left in one line", "name = \"x\"\nhoop = { length = \"33 cm\" } # so\n", "name = \"x\"\n# so\n", func(c *Card) { c.HoopLength = "" }},
		{"more at the front of one line", "hoop = { width = \"25 cm\" }\n", "hoop = { length = \"33 cm\",  width = \"25 cm\" }\n", func(c *Card) { c.HoopLength = "33 cm" }},
		{"with dots", "tie.mains = ['1H']\nname='x'\n", "tie.mains = ['1H']\ntie.crosses = [\"2H\"]\nname='x'\n", func(c *Card) { c.TieCrosses = []string{"2H"} }},
		{"with dots, less", "tie.mains = ['1H']\ntie.crosses = ['2H']\n", "tie.crosses = ['2H']\n", func(c *Card) { c.TieMains = nil }},
		{"indented", "[tie]\n  mains = ['1H']\n", "[tie]\n  mains = ['1H']\n  crosses = [\"2H\"]\n", func(c *Card) { c.TieCrosses = []string{"2H"} }},
		{"another system's line ends", "name = \"x\" # a\r\nmains = 16\r\n", "name = \"y\" # a\r\nmains = 16\r\ncrosses = 19\r\n",
			func(c *Card) { c.Name, c.Crosses = "y", 19 }},
		{"a list of which nothing is left but a comment", "skip = [ # none\n  '7H', # old\n]\n", "skip = [ # none\n   # old\n]\n", func(c *Card) { c.Skip = nil }},
		{"the last of a list without its comma", "skip = [ # two\n  '7H', # old\n  '9H'\n]\n", "skip = [ # two\n  '7H' # old\n]\n", func(c *Card) { c.Skip = c.Skip[:1] }},
		{"an empty list with a comment", "skip = [ # none\n]\n", "skip = [\"7H\", \"9H\" # none\n]\n", func(c *Card) { c.Skip = []string{"7H", "9H"} }},
		{"a value of another kind", "mains = \"16\"\n", "mains = 16\n", func(c *Card) { c.Mains = 16 }},
		{"a key in quotes", "\"mains\" = 16\n", "\"mains\" = 18\n", func(c *Card) { c.Mains = 18 }},
	} {
		t.Run(c.name, func(t *testing.T) {
			card, err := ReadCard("f", []byte(c.old))
			require.NoError(t, err)
			c.change(&card)
			got, err := EditLayout("f", []byte(c.old), card)
			require.NoError(t, err)
			assert.Equal(t, strings.TrimRight(c.new, " "), string(got))
		})
	}
}

func TestEditLayoutRefuses(t *testing.T) {
	_, err := EditLayout("f", []byte("name ="), Card{})
	assert.ErrorContains(t, err, "f:1:")
	_, err = EditLayout("f", []byte("[[tie]]\nmains = [\"1H\"]\n"), Card{TieMains: []string{"2H"}})
	assert.EqualError(t, err, "f: tie.mains is written in a way that cannot be changed from here; change it in the file")
}

// said are the values of a card as they are written.
func said(c Card) map[string]string {
	out := map[string]string{}
	for _, s := range c.slots() {
		out[s.path()] = s.value
	}
	return out
}

// file is a layout in which every line bears a comment, so that it can be told afterwards which of them are still there.
type file struct {
	lines []string
	key   []string // of each line, empty for lines between
}

func (f *file) add(key, format string, args ...any) {
	f.lines, f.key = append(f.lines, fmt.Sprintf(format, args...)+fmt.Sprintf("# c%d.", len(f.lines))), append(f.key, key)
}

// anyFile writes a card in one of many ways: over several lines or one, in either kind of quotes, with remarks between.
func anyFile(t *rapid.T, c Card) *file {
	f := &file{}
	table := ""
	for _, s := range c.slots() {
		if rapid.IntRange(0, 3).Draw(t, "remark") == 0 {
			f.add("", "  ")
		}
		if s.value == "" {
			continue
		}
		if s.table != table {
			f.add("", "[%s] ", s.table)
		}
		table = s.table
		if len(s.list) == 0 || rapid.Bool().Draw(t, "one line") {
			f.add(s.path(), "%s%s=%s%s", rapid.SampledFrom([]string{"", "  "}).Draw(t, "indent"), s.key, strings.ReplaceAll(s.value, ", ", ","), rapid.SampledFrom([]string{"", " ", "     "}).Draw(t, "gap"))
			continue
		}
		f.add(s.path(), "%s = [ ", s.key)
		for i, item := range s.list {
			comma := ","
			if i == len(s.list)-1 && rapid.Bool().Draw(t, "last comma") {
				comma = " "
			}
			f.add(s.path(), "  '%s'%s ", item, comma)
		}
		f.add(s.path(), "] ")
	}
	return f
}

var comments = regexp.MustCompile(`# c\d+\.`)

// An edit says what was asked for, keeps every comment in its order and leaves the lines of other values alone, to the byte.
func TestEditKeepsTheRest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		was, will := anyCard(t), anyCard(t)
		name := rapid.StringMatching(`[a-z "\\]{1,12}`)
		was.Name, will.Name = name.Draw(t, "was named"), name.Draw(t, "will be named")
		f := anyFile(t, was)
		eol := rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "end of line")
		text := strings.Join(f.lines, eol) + rapid.SampledFrom([]string{"", eol}).Draw(t, "last end")

		got, err := EditLayout("f", []byte(text), will)
		require.NoError(t, err, text)
		back, err := ReadCard("f", got)
		require.NoError(t, err)
		require.Equal(t, said(will), said(back), "from\n%s\nto\n%s", text, got)
		require.Equal(t, comments.FindAllString(text, -1), comments.FindAllString(string(got), -1), "from\n%s\nto\n%s", text, got)

		changed := map[string]bool{}
		want := will.slots()
		for i, s := range was.slots() {
			changed[s.path()] = s.value != want[i].value
			changed[s.table] = changed[s.table] || want[i].value == "" && s.value != ""
		}
		lines := strings.Split(string(got), eol)
		at := 0
		for i, line := range f.lines {
			if changed[f.key[i]] || f.key[i] == "" && strings.Contains(line, "[") {
				continue // its value, or the table that may have gone with it
			}
			next := slices.Index(lines[at:], line)
			require.GreaterOrEqual(t, next, 0, "%q of\n%s\nis not in order in\n%s", line, text, got)
			at += next + 1
		}
	})
}

// Whatever TOML a file holds, an edit gives the card that was asked for or says that it cannot.
func FuzzEditLayout(f *testing.F) {
	f.Add([]byte(kept), 17, "7H")
	f.Add([]byte("hoop = { length = '33 cm', # a\n}\ntie.mains = ['1H']\nskip = [\n# a\n'7H'\n]"), 3, "")
	f.Fuzz(func(t *testing.T, data []byte, n int, hole string) {
		c, err := ReadCard("f", data)
		if err != nil {
			return
		}
		same, err := EditLayout("f", data, c)
		require.NoError(t, err)
		require.Equal(t, string(data), string(same))
		c.Mains, c.Holes, c.HoopLength, c.TensionMin = n, n/2, hole, "2 kg"
		c.Skip, c.TieMains, c.TieCrosses = append(c.Skip, hole), []string{hole}, nil
		got, err := EditLayout("f", data, c)
		if err != nil {
			return
		}
		back, err := ReadCard("f", got)
		require.NoError(t, err)
		require.Equal(t, said(c), said(back))
	})
}
