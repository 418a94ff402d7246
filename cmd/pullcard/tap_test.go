package main

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// recording writes a mono 16-bit WAV file at 48 kHz with three taps half a second apart on an invented bed, or silence.
func recording(t testing.TB, hz float64) string {
	const rate = 48000
	var b bytes.Buffer
	n := 2 * rate
	b.WriteString("RIFF")
	for _, v := range []any{uint32(36 + 2*n), []byte("WAVEfmt "), uint32(16), uint16(1), uint16(1), uint32(rate), uint32(2 * rate), uint16(2), uint16(16), []byte("data"), uint32(2 * n)} {
		require.NoError(t, binary.Write(&b, binary.LittleEndian, v))
	}
	for i := range n {
		v := 0.0
		for _, at := range []float64{.2, .7, 1.2} {
			s := float64(i)/rate - at
			if s < 0 || hz == 0 {
				continue
			}
			v += 8000*math.Exp(-s/.06)*math.Sin(2*math.Pi*hz*s) + 4000*math.Exp(-s/.04)*math.Sin(2*math.Pi*1.55*hz*s)
		}
		require.NoError(t, binary.Write(&b, binary.LittleEndian, int16(v)))
	}
	path := filepath.Join(t.TempDir(), "tap.wav")
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o600))
	return path
}

type tapOf struct {
	Clear bool
	Hz    *float64
	Plus  *float64 `json:"plus_minus_hz"`
	Taps  int
	Why   string
	Job   *struct {
		Ordered  float64 `json:"ordered_mean_n"`
		Computed float64 `json:"computed_hz"`
		Assumed  struct {
			Mean   float64 `json:"mean_tension_n"`
			Kept   float64 `json:"kept_percent"`
			LossHz float64 `json:"loss_hz"`
			String string
		}
	}
	Earlier []struct {
		Hz      float64
		Percent float64 `json:"tension_percent"`
	}
}

func TestTap(t *testing.T) {
	wav := recording(t, 612.4)
	r := decode[tapOf](t, said(t, "tap", "--json", wav))
	require.True(t, r.Clear)
	assert.InDelta(t, 612.4, *r.Hz, *r.Plus)
	assert.Less(t, *r.Plus, 3.0)
	assert.Equal(t, 3, r.Taps)
	assert.Nil(t, r.Job)
	assert.Regexp(t, `^612\.\d\d Hz, plus or minus \d\.\d\d Hz, from 3 taps\n`, said(t, "tap", wav))
}

// Source: f ≈ √(T/(4mL)) with L = √area and m the mass of one string of that length, Cross, Measuring String Tension
// (2006): T = 4·m·L·f². Handbook density of polyester, from memory: 1380 kg/m³. A percent of frequency is two of tension.
func TestTapAgainstTheJob(t *testing.T) {
	wav, job := recording(t, 600), bedJob(t, "club-sixteen", "24 kg", yarn)
	r := decode[tapOf](t, said(t, "tap", "--json", "--job", job, "--earlier", "660", "--earlier", recording(t, 620), wav))
	area := math.Pi * .165 * .125
	mass := 1380 * math.Pi / 4 * 1.25e-3 * 1.25e-3
	assert.InEpsilon(t, 4*mass*area**r.Hz**r.Hz, r.Job.Assumed.Mean, 1e-9)
	assert.InEpsilon(t, 24*9.80665, r.Job.Ordered, 1e-9)
	b := decode[bedOf](t, said(t, "bed", "--json", job))
	assert.Equal(t, b.Hz[0], r.Job.Computed)
	assert.Equal(t, b.Assumed.Hz[0], r.Job.Assumed.LossHz)
	assert.InEpsilon(t, math.Pow(*r.Hz/b.Hz[0], 2)*100, r.Job.Assumed.Kept, 1e-9)
	require.Len(t, r.Earlier, 2)
	assert.InDelta(t, (math.Pow(600./660, 2)-1)*100, r.Earlier[0].Percent, 0.5)
	assert.InDelta(t, 620, r.Earlier[1].Hz, 2)

	text := said(t, "tap", "--job", job, "--earlier", "660 Hz", wav)
	for _, want := range []string{"computed at the ordered tensions without losses: ", "\nASSUMED\nmean tension in the bed ", "no damper", "Cross 2006", "earlier reading 1: 660.0 Hz; since then the tension has changed by -17."} {
		assert.Contains(t, text, want)
	}
	unknown := decode[tapOf](t, said(t, "tap", "--json", "--job", bedJob(t, "club-sixteen", "24 kg", ""), wav))
	assert.Zero(t, unknown.Job.Computed, "on an assumed string it stands apart")
	assert.NotEmpty(t, unknown.Job.Assumed.String)
}

func TestTapWithoutATone(t *testing.T) {
	silence := recording(t, 0)
	text := said(t, "tap", "--json", silence)
	r := decode[tapOf](t, text)
	assert.False(t, r.Clear)
	assert.NotContains(t, text, `"hz"`)
	assert.NotEmpty(t, r.Why)
	assert.Regexp(t, `^no clear tone: `, said(t, "tap", silence))
	assert.Regexp(t, `^no clear tone: `, said(t, "tap", "--job", bedJob(t, "club-sixteen", "24 kg", yarn), "--earlier", "600", silence))
}

func TestTapProblems(t *testing.T) {
	good, silence := recording(t, 600), recording(t, 0)
	empty := files(t, "empty.wav", "", "text.wav", "no sound at all")
	for _, c := range []struct {
		args []string
		exit int
		says string
	}{
		{[]string{"nowhere.wav"}, exitInput, "nowhere.wav: no such file; "},
		{[]string{empty}, exitInput, "empty.wav: "},
		{[]string{filepath.Join(filepath.Dir(empty), "text.wav")}, exitInput, "text.wav: "},
		{[]string{filepath.Dir(empty)}, exitInput, filepath.Dir(empty) + ": "},
		{[]string{good, "--job", "nowhere.toml"}, exitInput, "nowhere.toml: no such file"},
		{[]string{good, "--earlier", silence}, exitInput, "no clear tone: "},
		{[]string{good, "--earlier", "nowhere.wav"}, exitInput, "nowhere.wav: no such file; "},
		{[]string{good, "--earlier", "3"}, exitUse, "--earlier 3: no bed rings so; "},
		{nil, exitUse, "arg"},
	} {
		var out, wrong bytes.Buffer
		assert.Equal(t, c.exit, run(append([]string{"tap"}, c.args...), nil, &out, &wrong), "%v", c.args)
		assert.Contains(t, wrong.String(), c.says)
		assert.Empty(t, out.String())
	}
}
