package patterns

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const sixteen = `name    = "Club sixteen"
sport   = "tennis"
mains   = 16
crosses = 19
skip    = ["7H", "9H", "7T", "9T"]
start   = "throat"
holes   = 35

[tie]
mains   = ["8T"]
crosses = ["6H", "6T"]

[hoop]
length = "330 mm"
width  = "250 mm"

[tension]
min = "22 kg"
max = "27 kg"
`

func read(t *testing.T, text string) *Frame {
	t.Helper()
	f, _, err := ReadLayout("f.toml", []byte(text))
	require.NoError(t, err)
	return f
}

// Common practice of the trade: the 16×19 layout with 7 and 9 skipped at both ends, its chords and counts.
func TestReadLayoutSixteen(t *testing.T) {
	f := read(t, sixteen)
	assert.Equal(t, [2]int{35, 35}, f.Holes)
	var heads, crosses, met []string
	total := 0
	for _, m := range f.Mains[Left] {
		heads = append(heads, f.EndName(m, 0)+" "+f.EndName(m, 1))
	}
	for _, c := range f.Crosses {
		crosses = append(crosses, f.EndName(c, 0))
		n := len(f.Met(c))
		total += n
		met = append(met, strings.Repeat("|", n/2))
	}
	assert.Equal(t, "1HL 1TL,2HL 2TL,3HL 3TL,4HL 4TL,5HL 5TL,6HL 6TL,8HL 8TL,10HL 10TL", strings.Join(heads, ","))
	assert.Equal(t, "7HL 9HL 11HL 12HL 13HL 14HL 15HL 16HL 17HL 18HL 17TL 16TL 15TL 14TL 13TL 12TL 11TL 9TL 7TL", strings.Join(crosses, " "))
	assert.Equal(t, 292, total, "12, 14, 15 × 16, 14, 12")
	assert.Len(t, met[0], 6)
	assert.Len(t, met[1], 7)
	assert.Len(t, met[2], 8)
}

// Common practice of the trade: a 16×20 layout with one skip at the head and two at the throat.
func TestReadLayoutTwenty(t *testing.T) {
	f := read(t, `name = "x"
sport = "tennis"
mains = 16
crosses = 20
skip = ["7H", "7T", "9T"]
start = "throat"
[tie]
mains = ["8T"]
crosses = ["6H"]
`)
	assert.Equal(t, 36, f.Holes[Left], "worked out from the counts")
	assert.Equal(t, 310, crossings(f))
}

func crossings(f *Frame) int {
	n := 0
	for _, c := range f.Crosses {
		n += len(f.Met(c))
	}
	return n
}

// Common practice of the trade: a badminton layout with shared holes, given by lists.
const shuttle = `name    = "Shuttle"
sport   = "badminton"
mains   = 22
crosses = 22
start   = "head"
holes   = 38
mains_head   = ["1H", "2H", "3H", "4H", "5H", "6H", "7H", "9H", "10H", "11H", "13H"]
mains_throat = ["1T", "2T", "3T", "4T", "5T", "6T", "8T", "9T", "10T", "11T", "12T"]
crosses_left = ["8H", "10H", "11H", "12H", "13H", "14H", "15H", "16H", "17H", "18H", "19H", "19T", "18T", "17T", "16T", "15T", "14T", "13T", "12T", "10T", "9T", "7T"]
shared       = ["10H", "11H", "13H", "9T", "10T", "12T"]

[tie]
mains   = ["11T"]
crosses = ["6T", "7H"]
`

func TestReadLayoutShared(t *testing.T) {
	f := read(t, shuttle)
	assert.Equal(t, 436, crossings(f))
	assert.Len(t, f.Shared, 12)
	without := strings.Replace(shuttle, "holes   = 38\n", "", 1)
	assert.Equal(t, [2]int{38, 38}, read(t, without).Holes, "44 strands a side, 6 of the holes shared")
}

// A problem of each kind is reported at its place, with what would be right.
func TestReadLayoutProblems(t *testing.T) {
	for _, c := range []struct{ name, old, new, want string }{
		{"unknown key", `skip    =`, `skipp   =`, `f.toml:5:1: skipp is not known; did you mean "skip"?`},
		{"unknown key in a table", `width  =`, `widht  =`, `f.toml:15:1: hoop.widht is not known; did you mean "width"?`},
		{"missing key", "sport   = \"tennis\"\n", "", `f.toml:1:1: sport is missing; write sport = "tennis"`},
		{"wrong kind", `mains   = 16`, `mains   = "16"`, `f.toml:3:11: mains is not of the right kind; write a whole number`},
		{"sport", `"tennis"`, `"tenis"`, `f.toml:2:11: "tenis" is no sport of this program; did you mean "tennis"?`},
		{"odd mains", `mains   = 16`, `mains   = 15`, `f.toml:3:11: mains is 15, an odd total`},
		{"counts", `holes   = 35`, `holes   = 36`, `f.toml:7:11: the counts do not close on the left side: 36 holes, of which the mains take 16 and 0 are shared, leave 20 for 19 crosses; 16 mains and 19 crosses need holes = 35`},
		{"no such hole", `"9H",`, `"40H",`, `f.toml:5:18: skip: 40H is no hole of this frame, which has 35 holes a side; name one of them`},
		{"not a hole", `"9H",`, `"9X",`, `f.toml:5:18: skip: "9X" is no hole; write the number, H or T`},
		{"no anchor for the mains", `mains   = ["8T"]`, `mains   = ["9T"]`, `f.toml:10:12: tie.mains: no main passes 9T, and no cross is tight when the mains are tied; name a hole with a main, as 10T`},
		{"no anchor for a cross", `["6H", "6T"]`, `["7H", "6T"]`, `f.toml:11:12: tie.crosses: only C1 passes 7H, and a tail cannot be tied on its own strand; name a hole with a main, as 6H`},
		{"range upside down", `min = "22 kg"`, `min = "28 kg"`, `f.toml:18:7: the tension range is upside down: min 28 kg lies above max 27 kg; exchange them`},
		{"half a range", `min = "22 kg"`, ``, `f.toml:19:7: tension.min is missing; write both ends`},
		{"unit", `min = "22 kg"`, `min = "22"`, `f.toml:18:7: tension.min: "22" has no unit; write "22 kg", "22 lb" or "22 N"`},
		{"length", `"330 mm"`, `"330"`, `f.toml:14:10: hoop.length: "330" has no unit; write "330 mm" or "330 in"`},
		{"syntax", `mains   = 16`, `mains   = `, `f.toml:3:`},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := strings.Replace(sixteen, c.old, c.new, 1)
			require.NotEqual(t, sixteen, text)
			_, _, err := ReadLayout("f.toml", []byte(text))
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
		})
	}
}

func TestReadLayoutListProblems(t *testing.T) {
	for _, c := range []struct{ name, old, new, want string }{
		{"out of order", `"8H", "10H", "11H", "12H"`, `"8H", "11H", "10H", "12H"`, `crosses: 10H comes after 11H; the crosses go from the head down`},
		{"named twice", `"8H", "10H", "11H", "12H"`, `"8H", "10H", "10H", "12H"`, `crosses: 10H is named twice, beside 10H`},
		{"too few", `"8H", "10H", `, `"8H", `, `names 21 holes for 22 strands; name one for each`},
		{"used twice", `shared       = ["10H", `, `shared       = ["14H", `, `hole 10HL is used twice, by M9L and C2; name another, or put it into shared`},
		{"shared by one", `shared       = ["10H", `, `shared       = ["14H", `, `shared hole 14HL carries C6; a shared hole carries one main and one cross`},
		{"mains out of order", `"6H", "7H", "9H"`, `"7H", "6H", "9H"`, `mains_head: 6H comes after 7H; the mains go from the centre outwards`},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := strings.Replace(shuttle, c.old, c.new, 1)
			require.NotEqual(t, shuttle, text)
			_, _, err := ReadLayout("f.toml", []byte(text))
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
		})
	}
}

func TestReadLayoutEveryProblemAtOnce(t *testing.T) {
	text := strings.NewReplacer(`"tennis"`, `"chess"`, `["8T"]`, `["8X"]`, `min = "22 kg"`, `min = "29 kg"`, "[tie]", "[ties]").Replace(sixteen)
	_, _, err := ReadLayout("f.toml", []byte(text))
	require.Error(t, err)
	lines := strings.Split(err.Error(), "\n")
	assert.Len(t, lines, 3, "sport, unknown table, range: %s", err)
	assert.IsIncreasing(t, places(lines))
}

func places(lines []string) []int {
	var out []int
	for _, l := range lines {
		n := 0
		for _, r := range strings.Split(l, ":")[1] {
			n = n*10 + int(r-'0')
		}
		out = append(out, n)
	}
	return out
}

// ITF Rules of Tennis, Appendix II: the hitting surface is at most 39.4 cm long and 29.2 cm wide.
// BWF Laws of Badminton, Law 4: at most 280 mm long, 330 mm with the throat, and 220 mm wide.
// WSF squash racket specification: strings at most 390 mm, strung area at most 500 cm².
// USA Racquetball rule 2.4: racket at most 22 in.
func TestReadLayoutRulesOfTheSports(t *testing.T) {
	for _, c := range []struct {
		sport, length, width string
		warnings             int
	}{
		{"tennis", "394 mm", "292 mm", 0},
		{"tennis", "39.5 cm", "292 mm", 1},
		{"tennis", "394 mm", "29.3 cm", 1},
		{"badminton", "330 mm", "220 mm", 0},
		{"badminton", "331 mm", "221 mm", 2},
		{"squash", "340 mm", "187 mm", 0},
		{"squash", "340 mm", "188 mm", 1},
		{"squash", "391 mm", "150 mm", 1},
		{"racquetball", "22 in", "10 in", 0},
		{"racquetball", "22.1 in", "10 in", 1},
	} {
		text := strings.NewReplacer(`"tennis"`, `"`+c.sport+`"`, `"330 mm"`, `"`+c.length+`"`, `"250 mm"`, `"`+c.width+`"`).Replace(sixteen)
		_, warnings, err := ReadLayout("f.toml", []byte(text))
		require.NoError(t, err)
		assert.Len(t, warnings, c.warnings, "%v: %v", c, warnings)
	}
}

// A skip that skips nothing is worth a word, not a refusal.
func TestReadLayoutIdleSkip(t *testing.T) {
	_, warnings, err := ReadLayout("f.toml", []byte(strings.Replace(sixteen, `"9T"]`, `"9T", "12T"]`, 1)))
	require.NoError(t, err)
	require.Len(t, warnings, 1)
	assert.Contains(t, warnings[0].String(), "f.toml:5:36: skip: 12T lies past the outermost main at 10TL")
}

func TestParseRef(t *testing.T) {
	r, err := ParseRef("12TR")
	require.NoError(t, err)
	assert.Equal(t, Ref{12, Throat, Right, false}, r)
	assert.Equal(t, "12TR", r.String())
	for _, bad := range []string{"", "H", "0H", "7", "7X", "+7H", "-7H", "7HH", "7LH", "7 H", "99999H", "٣H"} {
		_, err := ParseRef(bad)
		assert.Error(t, err, bad)
	}
}

func FuzzReadLayout(f *testing.F) {
	f.Add([]byte(sixteen))
	f.Add([]byte(shuttle))
	f.Add([]byte("mains = 60\ncrosses = 60\nstart = \"head\""))
	f.Fuzz(func(t *testing.T, data []byte) {
		frame, _, err := ReadLayout("f.toml", data)
		if err == nil {
			require.NotEmpty(t, frame.Crosses)
		}
	})
}
