package assume

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/source"
)

func read(t *testing.T, text string) (Table, error) {
	doc, err := source.Read("f.toml", []byte(text))
	require.NoError(t, err)
	table := Read(doc, doc.Root())
	_, err = doc.Close()
	return table, err
}

// Every key with its unit, and nought without one; what is written is what is read.
func TestRead(t *testing.T) {
	text := "[strain]\nei = \"90 N m2\"\nea = \"2500000 N\"\nstring_ea = \"8.5 kN\"\nfriction = 0.2\ndrawback = \"0\"\ncreep = \"10 %\"\nmount = \"free\"\npull = \"lockout\"\nsupport = \"800 N/mm\"\nturn = \"12 °\"\npace = \"40 s\"\n"
	table, err := read(t, text)
	require.NoError(t, err)
	n := table.Of("tennis", [2]string{"polyester", "nylon"}, "6", Constant)
	assert.Equal(t, 90e6, n.EI)
	assert.Equal(t, 2.5e6, n.EA)
	assert.Equal(t, 8500.0, n.StringEA)
	assert.True(t, n.StiffStrings)
	assert.Zero(t, n.Drawback)
	assert.Equal(t, [2]float64{.1, .1}, n.Creep)
	assert.Equal(t, Free, n.Mount)
	assert.Equal(t, Lockout, n.Pull)
	assert.InDelta(t, .20944, n.Turn, 1e-5)
	assert.Equal(t, map[string]any{"ei": "90 N m2", "ea": "2500000 N", "string_ea": "8.5 kN", "friction": .2, "drawback": "0", "creep": "10 %",
		"mount": "free", "pull": "lockout", "support": "800 N/mm", "turn": "12 °", "pace": "40 s"}, table.Written())

	usual := Table{}.Of("badminton", [2]string{"polyester", "nylon"}, "6", Constant)
	assert.Equal(t, [2]float64{.12, .08}, usual.Creep)
	assert.Equal(t, 12e6, usual.EI)
	empty, err := read(t, "[strain]\n")
	require.NoError(t, err)
	assert.Equal(t, Table{}, empty)
	assert.Nil(t, empty.Written())
}

// Everything that is wrong at once, each with its place and what would be right.
func TestReadWrong(t *testing.T) {
	_, err := read(t, "[strain]\nei = \"90\"\nfriction = 5\nweaving = -1\nmount = \"3\"\npull = \"hard\"\ndrawback = \"-1 mm\"\ncreep = \"99 %\"\nknots = 2\n")
	require.Error(t, err)
	var ps source.Problems
	require.ErrorAs(t, err, &ps)
	assert.Len(t, ps, 8)
	for i, p := range ps {
		assert.Equal(t, i+2, p.Line)
		assert.Contains(t, p.Text, "; ")
	}
}

// A table over another: what the one says holds, the rest is the other's; every number tells where it comes from.
func TestOver(t *testing.T) {
	house := Table{}.With(EI, 100, "settings.toml:3").With(Gap, .2, "settings.toml:4").WithMount("4", "settings.toml:5")
	job := Table{}.With(EI, 80, "job.toml:9")
	both := job.Over(house)
	lines := map[string]Line{}
	for _, l := range both.Lines("tennis", [2]string{"polyester", "nylon"}, "6", Constant) {
		assert.NotEmpty(t, l.Source, l.Key)
		lines[l.Key] = l
	}
	assert.Equal(t, "job.toml:9", lines["ei"].Source)
	assert.Equal(t, "0.2 mm", lines["gap"].Value)
	assert.Equal(t, "4", lines["mount"].Value)
	assert.Equal(t, "12 % mains, 8 % crosses", lines["creep"].Value)
	for _, r := range both.Ranges("tennis", "polyester") {
		assert.NotContains(t, []Key{EI, Gap}, r.Key, "what a file says is taken as known")
		assert.Less(t, r.Low, r.High)
	}
}
