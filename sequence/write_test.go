package sequence

import (
	"fmt"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns"
	"pullcard/patterns/measure"
	"pullcard/patterns/source"
)

// placeless is a job without the places in its file.
func placeless(j Job) Job {
	j.Frame, j.Technique = source.Text{Value: j.Frame.Value}, source.Text{Value: j.Technique.Value}
	j.mainsAt, j.crossesAt, j.stringCrossesAt = source.Pos{}, source.Pos{}, source.Pos{}
	j.Strands = slices.Clone(j.Strands)
	for i := range j.Strands {
		j.Strands[i].at, j.Strands[i].valueAt = source.Pos{}, source.Pos{}
	}
	j.StringMains.Supply.at, j.StringCrosses.Supply.at = source.Pos{}, source.Pos{}
	return j
}

// Whatever a job says, its text says too.
func TestTextSaysAllOfAJob(t *testing.T) {
	drawn := map[string]bool{"File": true, "Strain": true} // where it is read from; a table of its own
	rapid.Check(t, func(t *rapid.T) {
		maybe := func(what string) bool { return rapid.Bool().Draw(t, what) }
		number := func(what string, least, most int, per float64) float64 {
			if maybe("no " + what) {
				return 0
			}
			return float64(rapid.IntRange(least, most).Draw(t, what)) / per
		}
		tension := func(what string) measure.Tension {
			v, err := measure.ParseTension(fmt.Sprintf("%g %s", float64(rapid.IntRange(10_000, 80_000).Draw(t, what))/1000, rapid.SampledFrom([]string{"kg", "lb", "N"}).Draw(t, "unit")))
			require.NoError(t, err)
			return v
		}
		name := rapid.OneOf(rapid.StringMatching(`[ -~]{0,20}`), rapid.StringOfN(rapid.SampledFrom([]rune("'\"\\#=[]\n\té松👍")), 0, 12, -1))
		yarn := func() (s String) {
			s = String{Name: name.Draw(t, "string"), DiameterMM: number("diameter", 400_000, 2_000_000, 1e6), GramsPerMetre: number("mass", 1, 9_000_000, 1e6),
				StretchPercent: number("stretch", 1, 300, 10), Material: Material(rapid.SampledFrom(append(Materials(), "")).Draw(t, "material"))}
			switch rapid.IntRange(0, 3).Draw(t, "supply") {
			case 1:
				s.Supply = Supply{SetMM: number("set", 100_000, 12_000_000, 1000), Half: maybe("half")}
				s.Supply.Half = s.Supply.Half && s.Supply.SetMM > 0
			case 2:
				s.Supply = Supply{ReelMM: 200_000, LeftMM: number("left", 100_000, 200_000_000, 1000)}
			}
			return s
		}
		j := Job{Player: name.Draw(t, "player"), Racket: name.Draw(t, "racket"), Frame: source.Text{Value: "x" + name.Draw(t, "frame")},
			Technique: source.Text{Value: "x" + name.Draw(t, "technique")}, Mains: tension("mains"), Crosses: tension("crosses"), Proportional: maybe("proportional"), StringMains: yarn()}
		j.LeastPercent = rapid.SampledFrom([]float64{0, 12.5, usualLeast, 100}).Draw(t, "least")
		if maybe("strands") {
			for _, s := range []patterns.Strand{patterns.CrossStrand(7), patterns.MainStrand(12, patterns.Left)} {
				j.Strands = append(j.Strands, StrandTension{Strand: s, Tension: j.ordered(s.Kind).Percent(float64(rapid.IntRange(0, 5).Draw(t, "more")))})
			}
		}
		j.StringCrosses = j.StringMains
		if maybe("hybrid") {
			j.StringCrosses = yarn()
		}
		j.Machine = Machine{Name: name.Draw(t, "machine"), ReachMM: number("reach", 50_000, 2_000_000, 1000),
			Kind: rapid.SampledFrom([]MachineKind{"", ConstantPull, Lockout, DropWeight}).Draw(t, "kind")}
		if !j.Proportional && j.Strands == nil && maybe("step") {
			j.Machine.Step = rapid.SampledFrom([]measure.Tension{measure.Kg.Step(), measure.Lb.Step(), measure.N.Step()}).Draw(t, "step")
		}
		if maybe("gauge") {
			j.Machine.GaugeSet = tension("set")
			j.Machine.GaugeRead = j.Machine.GaugeSet.Percent(float64(rapid.IntRange(1, 20).Draw(t, "off")))
			j.Machine.Corrected = maybe("corrected")
		}
		if j.Machine.Kind == DropWeight {
			j.Machine.BarDegrees = number("bar", 1, 450, 10)
		}
		text, err := j.Text()
		require.NoError(t, err)
		read, warnings, err := ReadJob("", text)
		require.NoError(t, err, "%s", text)
		assert.Empty(t, warnings)
		assert.Equal(t, placeless(j), placeless(*read), "%s", text)
		for _, f := range reflect.VisibleFields(reflect.TypeFor[Job]()) {
			drawn[f.Name] = drawn[f.Name] || !reflect.ValueOf(j).FieldByIndex(f.Index).IsZero()
		}
	})
	for _, f := range reflect.VisibleFields(reflect.TypeFor[Job]()) {
		assert.True(t, drawn[f.Name] || !f.IsExported(), "no job is drawn with its %s", f.Name)
	}
}

// A length in another unit is the same length afterwards.
func TestTextKeepsALength(t *testing.T) {
	j, _, err := ReadJob("", []byte("frame = \"f\"\ntechnique = \"t\"\ntension.mains = \"24 kg\"\nstring.mains = { diameter = \"0.049 in\", length = \"39 ft\" }\n"))
	require.NoError(t, err)
	text, err := j.Text()
	require.NoError(t, err)
	assert.Equal(t, "frame = 'f'\ntechnique = 't'\n\n[tension]\nmains = '24 kg'\ncrosses = '24 kg'\n\n[string]\n[string.mains]\ndiameter = '1.2446 mm'\nlength = '11887.2 mm'\n", string(text))
}

func TestAnonymous(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"comments and names go": {"# Ada\nplayer = \"Ada\" # Ada\nracket = 'hers'\nframe = 'x'\ntechnique = 'y'\n[tension]\nmains = '24 kg'", "frame = 'x'\ntechnique = 'y'\n\n[tension]\nmains = '24 kg'\ncrosses = '24 kg'\n"},
		"no job":                {"player = 'Ada'", ""},
		"not readable":          {"player = Ada", ""},
		"empty":                 {"", ""},
	} {
		assert.Equal(t, c.want, string(Anonymous([]byte(c.text))), name)
	}
}
