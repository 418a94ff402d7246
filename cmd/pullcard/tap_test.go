package main

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// recording is of three taps on an invented bed, or silence.
func recording(t testing.TB, hz float64) string {
	return tones(t, func(s float64) float64 {
		if hz == 0 {
			return 0
		}
		return 8000*math.Exp(-s/.06)*math.Sin(2*math.Pi*hz*s) + 4000*math.Exp(-s/.04)*math.Sin(2*math.Pi*1.55*hz*s)
	})
}

// tones writes a mono 16-bit WAV file at 48 kHz with three taps half a second apart, each with a sound of its seconds.
func tones(t testing.TB, ring func(s float64) float64) string {
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
			if s := float64(i)/rate - at; s >= 0 {
				v += ring(s)
			}
		}
		require.NoError(t, binary.Write(&b, binary.LittleEndian, int16(v)))
	}
	path := filepath.Join(t.TempDir(), "tap.wav")
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o600))
	return path
}

type tapOf struct {
	Clear      bool
	Hz         *float64
	Plus       *float64 `json:"plus_minus_hz"`
	Taps       int
	Why        string
	Candidates []struct {
		Hz    float64
		Plus  float64 `json:"plus_minus_hz"`
		Level float64 `json:"level_db"`
		Decay float64 `json:"decay_ms"`
	}
	Job *struct {
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
	assert.Regexp(t, `^612\.\d\d Hz, plus or minus \d\.\d\d Hz \(about a 95 % interval\), from 3 taps\n`, said(t, "tap", wav))
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
	for _, want := range []string{"computed at the ordered tensions without losses: ", "\nASSUMED\nmean tension in the bed ", "no damper", "Cross 2006", "earlier reading 1: 660.0 Hz; since then the tension has changed by −17."} {
		assert.Contains(t, text, want)
	}
	unknown := decode[tapOf](t, said(t, "tap", "--json", "--job", bedJob(t, "club-sixteen", "24 kg", ""), wav))
	assert.Zero(t, unknown.Job.Computed, "on an assumed string it stands apart")
	assert.NotEmpty(t, unknown.Job.Assumed.String)
}

// A recorder that writes into a pipe cannot know how long the sound will be: its header says nothing or the most there is, and
// the sound is read to its end, which may come anywhere.
func TestTapFromAPipe(t *testing.T) {
	data, err := os.ReadFile(recording(t, 612.4))
	require.NoError(t, err)
	for _, size := range []uint32{0, 1<<31 - 1, 1 << 31, 1<<32 - 1, 36, uint32(len(data))} {
		stream := bytes.Clone(data)
		binary.LittleEndian.PutUint32(stream[4:], size)
		if size != uint32(len(data)) && size != 36 {
			binary.LittleEndian.PutUint32(stream[40:], size)
		}
		var out, wrong bytes.Buffer
		require.Equal(t, exitDone, run([]string{"tap", "--json", "-"}, bytes.NewReader(stream[:len(stream)-3]), &out, &wrong), "%d: %s", size, wrong.String())
		r := decode[tapOf](t, out.String())
		require.True(t, r.Clear, r.Why)
		assert.InDelta(t, 612.4, *r.Hz, *r.Plus)
	}
	var out, wrong bytes.Buffer
	assert.Equal(t, exitInput, run([]string{"tap", "-"}, strings.NewReader("no sound"), &out, &wrong))
	assert.Contains(t, wrong.String(), "-: reading a recording: byte ")
}

// two is a recording of three taps in which two tones ring, the second of some part of the first's level.
func two(t testing.TB, hz, other, part float64) string {
	return tones(t, func(s float64) float64 {
		return 8000*math.Exp(-s/.06)*math.Sin(2*math.Pi*hz*s) + part*8000*math.Exp(-s/.06)*math.Sin(2*math.Pi*other*s)
	})
}

// Two tones that could both be the bed's are both told, and what would tell them apart; a job, or a band, does.
func TestTapOfTwoTones(t *testing.T) {
	wav := two(t, 440, 640, 1)
	r := decode[tapOf](t, said(t, "tap", "--json", wav))
	require.False(t, r.Clear)
	assert.Nil(t, r.Hz)
	require.Len(t, r.Candidates, 2)
	assert.InDelta(t, 440, r.Candidates[0].Hz, r.Candidates[0].Plus)
	assert.InDelta(t, 640, r.Candidates[1].Hz, r.Candidates[1].Plus)
	assert.InDelta(t, 60, r.Candidates[0].Decay, 6)
	assert.InDelta(t, r.Candidates[0].Level, r.Candidates[1].Level, 1)
	for _, want := range []string{"440.0 Hz", "640.0 Hz", "hand flat on the strings", "hold the frame", "; name a job that tells its string, or listen to one alone, as --band "} {
		assert.Contains(t, r.Why, want)
	}
	banded := decode[tapOf](t, said(t, "tap", "--json", "--band", "540-830", wav))
	require.True(t, banded.Clear, banded.Why)
	assert.InDelta(t, 640, *banded.Hz, *banded.Plus)
	job := bedJob(t, "club-sixteen", "24 kg", yarn) // which computes to some 700 Hz
	named := decode[tapOf](t, said(t, "tap", "--json", "--job", job, wav))
	require.True(t, named.Clear, named.Why)
	assert.InDelta(t, 640, *named.Hz, *named.Plus)
	both := decode[tapOf](t, said(t, "tap", "--json", "--job", job, two(t, 520, 715, 1)))
	require.False(t, both.Clear)
	assert.Contains(t, both.Why, "; listen to one alone, as --band ", "the job is named already")
	far := decode[tapOf](t, said(t, "tap", "--json", "--job", job, two(t, 440, 1300, .01)))
	assert.False(t, far.Clear)
	assert.Contains(t, far.Why, "no tone lies where the job's bed is looked for")

	weak := decode[tapOf](t, said(t, "tap", "--json", two(t, 640, 440, .05)))
	require.True(t, weak.Clear, "a weak tone vetoes none: %s", weak.Why)
	assert.InDelta(t, 640, *weak.Hz, *weak.Plus)
}

// With --watch the recorder of the settings is run, and three taps that agree end it.
func TestTapWatch(t *testing.T) {
	wav := recording(t, 612.4)
	recorder := func(command string) {
		t.Setenv("PULLCARD_SETTINGS", files(t, "settings.toml", "recorder = "+strconv.Quote(command)+"\n"))
	}
	recorder("cat '" + wav + "' /dev/zero")
	var out, wrong bytes.Buffer
	require.Equal(t, exitDone, run([]string{"tap", "--watch", "--json"}, nil, &out, &wrong), wrong.String())
	r := decode[tapOf](t, out.String())
	require.True(t, r.Clear, r.Why)
	assert.Equal(t, 3, r.Taps)
	assert.Contains(t, wrong.String(), "[####")
	for _, c := range [][2]string{{"echo no microphone >&2; exit 1", "no microphone; set recorder in the settings"}, {"nothing-of-that-name", "set recorder in the settings"}, {"true", "the file ends within the header; copy or record it again; or set another recorder in the settings"}} {
		recorder(c[0])
		out.Reset()
		wrong.Reset()
		assert.Equal(t, exitInput, run([]string{"tap", "--watch"}, nil, &out, &wrong))
		assert.Contains(t, wrong.String(), c[1])
	}
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
		{nil, exitUse, "it is called as pullcard tap FILE.wav | --watch"},
		{[]string{good, "--left", "day"}, exitUse, "--left is of a job's plan; name the job with --job"},
		{[]string{silence, "--left", "week", "--job", "nowhere.toml"}, exitUse, "--left week is not known; "},
		{[]string{good, "--band", "500-700"}, exitInput, "a band of 500 to 700 Hz is none to listen in; it begins at 20 Hz"},
		{[]string{good, "--band", "700-400"}, exitUse, "--band 700-400 is no band; "},
		{[]string{good, "--band", "wide"}, exitUse, "--band wide is no band; "},
		{[]string{good, "--band", "400-nan"}, exitUse, "--band 400-nan is no band; "},
		{[]string{good, "--watch"}, exitUse, "it is called as pullcard tap FILE.wav"},
	} {
		var out, wrong bytes.Buffer
		assert.Equal(t, c.exit, run(append([]string{"tap"}, c.args...), nil, &out, &wrong), "%v", c.args)
		assert.Contains(t, wrong.String(), c.says)
		assert.Empty(t, out.String())
	}
}
