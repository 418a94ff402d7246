package patterns

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/source"
)

// A layout that was written reads like the ones in the library: the keys of a table in a column, a comment where a key
// needs one.
func TestWriteLayout(t *testing.T) {
	c := Card{
		Name: `Club "sixteen"`, Sport: "tennis", Mains: 16, Crosses: 19, Skip: []string{"7H", "9H", "7T", "9T"}, Start: "throat", Holes: 35,
		TieMains: []string{"8T"}, TieCrosses: []string{"6H", "6T"}, HoopLength: "330 mm", HoopWidth: "250 mm", TensionMin: "22 kg", TensionMax: "27 kg",
	}
	assert.Equal(t, `# Invented, as an example.
name    = "Club \"sixteen\""
sport   = "tennis"
mains   = 16
crosses = 19
skip    = ["7H", "9H", "7T", "9T"]  # the mains pass these by, the crosses use them
start   = "throat"                  # where the two centre mains loop
holes   = 35                        # a side

[tie]
mains   = ["8T"]  # both sides, unless one is named
crosses = ["6H", "6T"]

[hoop]
length = "330 mm"  # inside, along the mains
width  = "250 mm"

[tension]
min = "22 kg"  # the range printed on the frame
max = "27 kg"
`, string(WriteLayout(c, " Invented,\tas an example.\r\n")))
	c = Card{Name: "bare", Sport: "squash", Mains: 14, Crosses: 18, Start: "head"}
	assert.Equal(t, "name    = \"bare\"\nsport   = \"squash\"\nmains   = 14\ncrosses = 18\nstart   = \"head\"  # where the two centre mains loop\n", string(WriteLayout(c, "")))
}

// A list that is too long for a line has several.
func TestWriteLayoutLongLists(t *testing.T) {
	c, err := ReadCard("f", []byte(shuttle))
	require.NoError(t, err)
	text := string(WriteLayout(c, ""))
	for _, line := range strings.Split(text, "\n") {
		assert.LessOrEqual(t, len(line), 110, line)
	}
	assert.Contains(t, text, `holes   = 38      # a side

# mains from the centre outwards, crosses from the head down
mains_head   = ["1H", "2H", "3H", "4H", "5H", "6H", "7H", "9H", "10H", "11H", "13H"]
mains_throat = ["1T", "2T", "3T", "4T", "5T", "6T", "8T", "9T", "10T", "11T", "12T"]
crosses_left = [
  "8H", "10H", "11H", "12H", "13H", "14H", "15H", "16H", "17H", "18H",
  "19H", "19T", "18T", "17T", "16T", "15T", "14T", "13T", "12T", "10T",
  "9T", "7T",
]
shared       = ["10H", "11H", "13H", "9T", "10T", "12T"]  # a main and a cross in each

[tie]
`)
	back, err := ReadCard("f", []byte(text))
	require.NoError(t, err)
	assert.Equal(t, c, back)
}

// A value that is missing is reported at the place where it belongs.
func TestWriteLayoutEmpty(t *testing.T) {
	_, _, err := ReadLayout("f", WriteLayout(Card{}, ""))
	require.Error(t, err)
	for _, want := range []string{"f:1:11: name is empty", `f:2:11: "" is no sport`, "f:3:11: mains is 0", "f:4:11: crosses is 0", `f:5:11: start is ""`} {
		assert.ErrorContains(t, err, want)
	}
}

// anyCard draws the values of a layout that makes a frame, with a second side of its own at times.
func anyCard(t *rapid.T) Card {
	half := rapid.IntRange(6, 10).Draw(t, "mains a side")
	c := Card{
		Name:  rapid.StringN(1, 20, 60).Filter(func(s string) bool { return s != "" }).Draw(t, "name"),
		Sport: rapid.SampledFrom([]string{"tennis", "badminton", "squash", "racquetball"}).Draw(t, "sport"),
		Mains: 2 * half, Crosses: rapid.IntRange(14, 22).Draw(t, "crosses"), Start: rapid.SampledFrom([]string{"head", "throat"}).Draw(t, "start"),
	}
	for _, end := range []string{"H", "T"} {
		for i := range rapid.IntRange(1, 2).Draw(t, "skips") {
			c.Skip = append(c.Skip, fmt.Sprint(half-1+2*i)+end)
		}
	}
	maybe := func(what string, set func()) {
		if rapid.Bool().Draw(t, what) {
			set()
		}
	}
	maybe("holes", func() { c.Holes = c.Mains + c.Crosses })
	maybe("right side too", func() { c.HolesRight = c.Mains + c.Crosses })
	maybe("tie mains", func() { c.TieMains = []string{"1H"} })
	maybe("tie crosses", func() { c.TieCrosses = []string{"2HL", "3TR"} })
	maybe("hoop", func() {
		c.HoopLength, c.HoopWidth = "330 mm", rapid.SampledFrom([]string{"25 cm", "250.5 mm"}).Draw(t, "width")
	})
	if c.HoopLength != "" {
		maybe("shape", func() { c.HoopShape = rapid.SampledFrom([]float64{2, 2.25}).Draw(t, "exponent") })
	}
	maybe("tension", func() { c.TensionMin, c.TensionMax = "22 kg", "60 lb" })
	return c
}

// meaning is a frame without the places of its file.
func meaning(t require.TestingT, data []byte) *Frame {
	f, _, err := ReadLayout("f", data)
	require.NoError(t, err, string(data))
	return placeless(f)
}

func TestWriteThenReadIsTheSameFrame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyCard(t)
		text := WriteLayout(c, rapid.String().Draw(t, "origin"))
		back, err := ReadCard("f", text)
		require.NoError(t, err, string(text))
		require.Equal(t, said(c), said(back), "parse, print, parse")
		require.Equal(t, meaning(t, []byte(byHand(c))), meaning(t, text))
	})
}

// byHand writes a card with none of the writer's code: a line for each value, not aligned, in another order.
func byHand(c Card) string {
	var b strings.Builder
	line := func(key string, there bool, value any) {
		if there {
			fmt.Fprintf(&b, "%s=%v\n", key, value)
		}
	}
	list := func(l []string) string {
		return "['" + strings.Join(l, "','") + "']"
	}
	line("start", true, "'"+c.Start+"'")
	line("skip", true, list(c.Skip))
	line("crosses", true, c.Crosses)
	line("mains", true, c.Mains)
	line("sport", true, "'"+c.Sport+"'")
	var name strings.Builder
	for _, r := range c.Name {
		fmt.Fprintf(&name, `\U%08x`, r)
	}
	line("name", true, `"`+name.String()+`"`)
	line("holes", c.Holes > 0, c.Holes)
	line("holes_right", c.HolesRight > 0, c.HolesRight)
	line("tie.mains", c.TieMains != nil, list(c.TieMains))
	line("tie.crosses", c.TieCrosses != nil, list(c.TieCrosses))
	line("hoop.width", c.HoopWidth != "", "'"+c.HoopWidth+"'")
	line("hoop.length", c.HoopLength != "", "'"+c.HoopLength+"'")
	line("hoop.shape", c.HoopShape != 0, c.HoopShape)
	line("tension.max", c.TensionMax != "", "'"+c.TensionMax+"'")
	line("tension.min", c.TensionMin != "", "'"+c.TensionMin+"'")
	return b.String()
}

// placeless takes out of a frame where its values stood.
func placeless(f *Frame) *Frame {
	out := *f
	out.TieMainsAt, out.TieCrossesAt, out.HoopAt = source.Pos{}, source.Pos{}, source.Pos{}
	for side := range out.Mains {
		out.Mains[side] = withoutLines(out.Mains[side])
	}
	out.Crosses = withoutLines(out.Crosses)
	return &out
}

func withoutLines(cs []Chord) []Chord {
	out := make([]Chord, len(cs))
	for i, c := range cs {
		c.Line = 0
		out[i] = c
	}
	return out
}

// Every layout of the library says the same when it is written anew.
func TestWriteTheLibraryAnew(t *testing.T) {
	entries, err := os.ReadDir("library/layouts")
	require.NoError(t, err)
	require.NotEmpty(t, entries)
	for _, e := range entries {
		data, err := os.ReadFile("library/layouts/" + e.Name())
		require.NoError(t, err)
		c, err := ReadCard(e.Name(), data)
		require.NoError(t, err)
		assert.Equal(t, meaning(t, data), meaning(t, WriteLayout(c, "Invented.")), e.Name())
	}
	c, err := ReadCard("f", []byte(shuttle))
	require.NoError(t, err)
	assert.Equal(t, meaning(t, []byte(shuttle)), meaning(t, WriteLayout(c, "")))
}

func TestReadCardOfWhatIsWrong(t *testing.T) {
	c, err := ReadCard("f", []byte("name = 3\nmains = 15\nskip = [\"7H\", 9]\ntie = 4\n"))
	require.NoError(t, err, "what makes no frame has values all the same")
	assert.Equal(t, Card{Mains: 15, Skip: []string{"7H"}}, c)
	_, err = ReadCard("f", []byte("name ="))
	assert.ErrorContains(t, err, "f:1:")
}
