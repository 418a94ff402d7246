package sequence_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence"
)

// A warning comes just beyond its bound and not on it.
func TestWarningsAtTheirBounds(t *testing.T) {
	const harder, softer, unit, unusual = "much harder than", "much softer than", "the unit looks wrong", "unusual for tennis"
	f, s := layout(t, "club-sixteen"), technique(t, "name = \"t\"\n[boost]\npercent = 0\n")
	for _, c := range []struct{ mains, crosses, want string }{
		{"24 kg", "26 kg", ""}, {"24 kg", "26.1 kg", harder}, {"26 kg", "24 kg", ""}, {"26 kg", "23.9 kg", softer}, {"24 kg", "22 kg", ""},
		{"27 kg", "27 kg", ""}, {"27.1 kg", "27 kg", "mains at 27.1 kg lie above"}, {"22 kg", "22 kg", ""}, {"22 kg", "21.9 kg", "crosses at 21.9 kg lie below"},
		{"12 kg", "12 kg", "lie below"}, {"11.9 kg", "11.9 kg", unusual}, {"38 kg", "38 kg", "lie above"}, {"38.1 kg", "38.1 kg", "is 38.1 lb meant"},
		{"12 N", "12 N", "is 12 kg meant"}, {"38 N", "38 N", "is 38 kg meant"}, {"39 N", "39 N", "is 39 lb meant"}, {"5 N", "5 N", unusual},
	} {
		p, err := sequence.Build(f, s, kg(t, c.mains), kg(t, c.crosses))
		require.NoError(t, err)
		said := strings.Join(p.Warnings, "\n")
		assert.Contains(t, said, c.want, c)
		for _, w := range []string{harder, softer} {
			assert.Equal(t, c.want == w, strings.Contains(said, w), "%s: %s", c, said)
		}
		for _, w := range []string{unit, unusual} {
			if c.mains == c.crosses {
				assert.LessOrEqual(t, strings.Count(said, w), 1, "%s is told once: %s", c, said)
			}
			assert.Equal(t, c.want == w || w == unit && strings.HasSuffix(c.want, "meant"), strings.Contains(said, w), "%s: %s", c, said)
		}
		if c.want == "" {
			assert.Empty(t, said, c)
		}
	}
	boosted, err := sequence.Build(f, technique(t, "name = \"t\"\n[boost]\namount = \"1 kg\"\n"), kg(t, "26 kg"), kg(t, "26 kg"))
	require.NoError(t, err)
	assert.Empty(t, boosted.Warnings, "27 kg is printed")
	for strands, want := range map[string]string{
		"M3L = \"27.1 kg\", M3R = \"27.1 kg\"": "M3R is pulled at 27.1 kg", // it comes first
		"M3L = \"27 kg\"":                      "",
		"M3L = \"24 kg\"":                      "",
	} {
		p, err := planned(t, "strands = { "+strands+" }\n")
		require.NoError(t, err)
		if assert.Contains(t, strings.Join(p.Warnings, "\n"), want); want == "" {
			assert.Empty(t, p.Warnings, strands)
		}
	}
	// A unit is doubted once: where a strand lies no higher than what is doubted already nothing is added.
	for own, doubts := range map[string]int{"M3L = \"55 kg\"": 1, "C3 = \"55 kg\"": 1, "M3L = \"54 kg\"": 1, "M3L = \"56 kg\"": 2} {
		j := job(t, "strands = { "+own+" }\n")
		j.Mains = kg(t, "55 kg")
		p, err := j.Plan(f, s)
		require.NoError(t, err)
		assert.Equal(t, doubts, strings.Count(strings.Join(p.Warnings, "\n"), unit), own)
	}
}

// What a job says of machine and string is taken up to its bound, and refused beyond.
func TestJobAtItsBounds(t *testing.T) {
	const weight = "[machine]\nkind = \"drop weight\"\n"
	for _, c := range []struct{ more, wrong string }{
		{weight + "bar_degrees = 45", ""}, {weight + "bar_degrees = 46", "machine.bar_degrees is 46"}, {weight + "bar_degrees = 0", ""},
		{"[machine]\nstep = \"25 N\"", ""}, {"[machine]\nstep = \"26 N\"", "machine.step is 26 N"},
		{"[machine]\ngauge = { set = \"20 kg\", read = \"14.2 kg\" }", ""}, {"[machine]\ngauge = { set = \"20 kg\", read = \"13.8 kg\" }", "check number and unit"},
		{"[machine]\ngauge = { set = \"20 kg\", read = \"25.8 kg\" }", ""}, {"[machine]\ngauge = { set = \"20 kg\", read = \"26.2 kg\" }", "check number and unit"},
		{"strands = { M3L = \"1000 N\" }", ""}, {"strands = { M3L = \"1001 N\" }", "no racket is pulled above 1000 N"},
		{"strands = { X3L = \"24 kg\", M3L = \"1001 N\" }", "no racket is pulled above 1000 N"}, // both are told
	} {
		_, _, err := sequence.ReadJob("job.toml", []byte(bareJob+c.more+"\n"))
		if c.wrong == "" {
			assert.NoError(t, err, c.more)
		} else {
			assert.ErrorContains(t, err, c.wrong, c.more)
		}
	}
	_, _, err := sequence.ReadJob("job.toml", []byte("frame = \"f\"\ntechnique = \"t\"\n"))
	assert.ErrorContains(t, err, "tension is missing")
	_, _, err = sequence.ReadJob("job.toml", []byte("frame = \"f\"\ntechnique = \"t\"\ntension = 24\n"))
	assert.NotContains(t, err.Error(), "tension is missing")
}

// Of the gauge one is warned when the working tension lies more than 2 kg from where it was read, once.
func TestCautionsAtTheirBounds(t *testing.T) {
	m := job(t, "[machine]\ngauge = { set = \"24 kg\", read = \"24 kg\" }\n").Machine
	assert.Empty(t, m.Cautions(kg(t, "26 kg"), kg(t, "22 kg")))
	assert.Len(t, m.Cautions(kg(t, "26.1 kg")), 1)
	assert.Len(t, m.Cautions(kg(t, "21.9 kg"), kg(t, "27 kg")), 1)
	assert.True(t, m.Told())
	assert.True(t, job(t, "[machine]\nkind = \"lockout\"\n").Machine.Told())
	assert.False(t, job(t, "[machine]\nname = \"bench 2\"\n").Machine.Told())
}

// What a sheet settles is told in numbers that agree with their words.
func TestClausesCount(t *testing.T) {
	say := func(text string) string {
		var out []string
		for _, c := range technique(t, "name = \"t\"\n"+text+"\n").Clauses() {
			out = append(out, c.Says)
		}
		return strings.Join(out, "\n")
	}
	usual := say("")
	for _, words := range []string{"a run outside takes 6 hole-steps at most", "and of 2 crosses", "2 fixed clamps", "1 starting clamp\n", "as the grid of the bed has it"} {
		assert.Contains(t, usual, words)
	}
	for sheet, words := range map[string]string{
		"[redo]\nwalk = { mains = 1, crosses = 1 }": "slack is walked out of 1 main at most, beyond it mains are undone\nand of 1 cross\n",
		"[redo]\nwalk = { mains = 3, crosses = 3 }": "slack is walked out of 3 mains at most, beyond it mains are undone\nand of 3 crosses\n",
		"[tie]\nreach = 1":                          "a run outside takes 1 hole-step at most",
		"[tie]\nreach = 9":                          "a run outside takes 9 hole-steps at most",
		"[clamps]\nflying = 1":                      "1 flying clamp\n",
		"[crosses]\nfirst = \"over\"":               "the first cross passes its first main over",
	} {
		assert.Contains(t, say(sheet), words)
	}
}
