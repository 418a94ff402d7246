package patterns_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
)

const measuredLayout = `name    = "t"
sport   = "tennis"
mains   = 4
crosses = 3
start   = "head"

[tie]
mains   = ["1H"]
crosses = ["1T"]

[hoop]
length = "200 mm"
width  = "150 mm"

[measured]
`

func TestMeasured(t *testing.T) {
	f, _, err := patterns.ReadLayout("l.toml", []byte(measuredLayout+`main_pitch  = "1.2 cm"
cross_pitch = "14.5 mm"
[measured.holes]
1H  = "6 mm"
3HL = "40 mm"
3HR = "41 mm"
`))
	require.NoError(t, err)
	assert.Equal(t, patterns.Measured{MainPitchMM: 12, CrossPitchMM: 14.5, Along: map[patterns.Hole]float64{
		{Side: patterns.Left, N: 1}: 6, {Side: patterns.Right, N: 1}: 6, {Side: patterns.Left, N: 3}: 40, {Side: patterns.Right, N: 3}: 41,
	}}, f.Measured)
	assert.Equal(t, 11, f.HoopAt.Line)

	f, _, err = patterns.ReadLayout("l.toml", []byte(measuredLayout))
	require.NoError(t, err)
	assert.Equal(t, patterns.Measured{}, f.Measured)
}

func TestMeasuredProblems(t *testing.T) {
	for text, want := range map[string]string{
		`main_pitch = "12.5"`:                         `l.toml:16:14: measured.main_pitch: "12.5" has no unit; write "12.5 mm"`,
		`cross_pitch = "1 mm"`:                        `l.toml:16:15: measured.cross_pitch is "1 mm"; strands lie 3 to 40 mm`,
		`pitch = "12 mm"`:                             `l.toml:16:1: measured.pitch is not known; `,
		"[measured.holes]\n1 = \"6 mm\"":              `l.toml:17:1: measured.holes: "1" is no hole; `,
		"[measured.holes]\n9H = \"6 mm\"":             `l.toml:17:1: measured.holes: there is no hole 9H; a side has 7`,
		"[measured.holes]\n1H = 6":                    `l.toml:17:6: measured.holes.1H is not of the right kind; `,
		"[measured.holes]\n1H = \"6 yd\"":             `l.toml:17:6: measured.holes.1H: "yd" is no unit of length; `,
		"[measured.holes]\n1H = \"400 mm\"":           `l.toml:17:6: measured.holes.1H is "400 mm", more than half way round`,
		"[measured.holes]\n1H=\"6mm\"\n1HL=\"6mm\"":   `l.toml:18:1: measured.holes names 1HL twice; `,
		"[measured.holes]\n1H=\"6mm\"\n1T = \"5 mm\"": `l.toml:18:6: measured.holes: 1TL at 5 mm does not lie beyond 1HL at 6 mm; `,
		"holes = 3": `l.toml:16:9: measured.holes is not of the right kind; write a table, [measured.holes]`,
	} {
		_, _, err := patterns.ReadLayout("l.toml", []byte(measuredLayout+text+"\n"))
		assert.ErrorContains(t, err, want, text)
	}
}
