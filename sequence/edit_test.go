package sequence

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/measure"
)

func TestEditTensions(t *testing.T) {
	for name, c := range map[string]struct{ before, after string }{
		"both": {
			"frame = \"f\" # kept\ntechnique = \"t\"\n[tension]\ncrosses = '23 kg' # second\nmains = \"24 kg\" # first\n",
			"frame = \"f\" # kept\ntechnique = \"t\"\n[tension]\ncrosses = \"22.5 kg\" # second\nmains = \"23.5 kg\" # first\n",
		},
		"crosses left away": {
			"frame = \"f\"\ntechnique = \"t\"\n[tension]\nmains = \"24 kg\"\n",
			"frame = \"f\"\ntechnique = \"t\"\n[tension]\nmains = \"23.5 kg\"\ncrosses = \"22.5 kg\"\n",
		},
		"inline": {
			"frame = \"f\"\ntechnique = \"t\"\ntension = { mains = \"24 kg\" }\n",
			"frame = \"f\"\ntechnique = \"t\"\ntension = { mains = \"23.5 kg\", crosses = \"22.5 kg\" }\n",
		},
		"inline, before all else": {
			"tension = { mains = \"24 kg\" }\nframe = \"f\"\ntechnique = \"t\"\n",
			"tension = { mains = \"23.5 kg\", crosses = \"22.5 kg\" }\nframe = \"f\"\ntechnique = \"t\"\n",
		},
		"dotted": {
			"tension.mains = \"24 kg\"\ntension.crosses = \"53 lb\"\nframe = \"f\"\ntechnique = \"t\"\n",
			"tension.mains = \"23.5 kg\"\ntension.crosses = \"22.5 kg\"\nframe = \"f\"\ntechnique = \"t\"\n",
		},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := EditTensions("job.toml", []byte(c.before), kg(t, "23.5 kg"), kg(t, "22.5 kg"))
			require.NoError(t, err)
			assert.Equal(t, c.after, string(got))
		})
	}
}

func TestEditTensionsKeepsOneTension(t *testing.T) {
	got, err := EditTensions("job.toml", []byte("frame = \"f\"\ntechnique = \"t\"\n[tension]\nmains = \"24 kg\"\n"), kg(t, "23 kg"), kg(t, "23 kg"))
	require.NoError(t, err)
	assert.NotContains(t, string(got), "crosses")
}

func TestEditTensionsRefuses(t *testing.T) {
	_, err := EditTensions("job.toml", []byte("frame = \"f\"\ntechnique = \"t\"\n"), kg(t, "23 kg"), kg(t, "23 kg"))
	assert.ErrorContains(t, err, "job.toml: tension.mains is missing")
	_, err = EditTensions("job.toml", []byte("tension.mains = \"24 kg\"\ntension.mains = \"25 kg\"\n"), kg(t, "23 kg"), kg(t, "23 kg"))
	assert.Error(t, err)
}

func kg(t testing.TB, text string) measure.Tension {
	t.Helper()
	v, err := measure.ParseTension(text)
	require.NoError(t, err)
	return v
}
