package tap

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/sweep"
)

// All beds here are synthetic.

func read(t require.TestingT, file []byte) Result {
	r, err := Read(bytes.NewReader(file), Options{})
	require.NoError(t, err)
	return r
}

// tapped is a recording of taps on a bed, half a second apart, the first after 0.3 s, with noise 40 dB under the
// lowest mode.
func tapped(b bed, rate, taps int, seed uint64) []float64 {
	rng := rand.New(rand.NewPCG(seed, 0))
	x := silence(rate, 0.6+0.5*float64(taps))
	for i := range taps {
		b.ring(x, rate, 0.3+0.5*float64(i), 0.2, rng)
	}
	noise(x, 0.2/math.Sqrt2/100, rng)
	return x
}

// assertHears checks that a result is clear, right within its own bound, and that the bound says something.
func assertHears(t assert.TestingT, hz, most float64, taps int, r Result) {
	assert.True(t, r.Clear, r.Why)
	assert.InDelta(t, hz, r.Hz, r.PlusMinusHz)
	assert.Less(t, r.PlusMinusHz, most)
	assert.Equal(t, taps, r.Taps)
}

func TestReadHearsEveryStyleAndRate(t *testing.T) {
	n := 0
	for _, s := range styles() {
		for _, rate := range []int{8000, 11025, 22050, 44100, 48000, 96000, 192000} {
			if n++; !sweep.Take(n, 5) {
				continue
			}
			t.Run(fmt.Sprintf("%s at %d Hz", s.name, rate), func(t *testing.T) {
				t.Parallel()
				x := tapped(plainBed(612.4, 0.06), rate, 2, uint64(rate))
				assertHears(t, 612.4, 2, 2, read(t, store(s, rate, x)))
			})
		}
	}
}

func TestReadHearsEverySport(t *testing.T) {
	for _, hz := range []float64{420, 540.5, 688, 950, 1180, 1510} {
		x := tapped(plainBed(hz, 0.08), 44100, 3, uint64(hz))
		assertHears(t, hz, 1, 3, read(t, store(style{bits: 16}, 44100, x)))
	}
}

// TestReadIsRightWithinItsBound makes beds at random: the modes of a square or a round one, with any strength of the
// higher modes, decays of 30 to 300 ms, noise 5 to 50 dB under the lowest mode. Where a higher mode is more than half as
// strong as the lowest, it may not be told which is which; then the lowest is among the candidates.
func TestReadIsRightWithinItsBound(t *testing.T) {
	rapid.Check(t, sweep.Some(4, func(t *rapid.T) {
		b := plainBed(rapid.Float64Range(300, 1400).Draw(t, "hz"), rapid.Float64Range(0.03, 0.3).Draw(t, "decay"))
		if rapid.Bool().Draw(t, "round") {
			b.ratios = roundRatios()
		}
		for i := 1; i < len(b.ratios); i++ {
			b.levels[i] = rapid.Float64Range(0, 2).Draw(t, "level")
			b.decays[i] = rapid.Float64Range(0.3, 1).Draw(t, "part of the decay")
		}
		strongest := slices.Max(b.levels[1:])
		rate := rapid.SampledFrom([]int{8000, 11025, 16000, 32000}).Draw(t, "rate")
		taps := rapid.IntRange(1, 3).Draw(t, "taps")
		below := rapid.Float64Range(5, 50).Draw(t, "dB of noise")
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		x := silence(rate, 0.5+0.4*float64(taps))
		for i := range taps {
			b.ring(x, rate, 0.2+0.4*float64(i), 0.1, rng)
		}
		noise(x, 0.1/math.Sqrt2*math.Pow(10, -below/20), rng)
		r := read(t, store(style{bits: 24}, rate, x))
		if !r.Clear && below < 20 {
			return // much noise may hide a tone, but not give a wrong one
		}
		if !r.Clear && strongest > 0.5 {
			assert.True(t, slices.ContainsFunc(r.Candidates, func(c Candidate) bool { return math.Abs(c.Hz-b.hz) <= c.PlusMinusHz }), r.Why)
			return
		}
		assert.True(t, r.Clear, r.Why)
		assert.InDelta(t, b.hz, r.Hz, r.PlusMinusHz)
		if below > 40 {
			assert.Less(t, r.PlusMinusHz, 3.0)
		}
	}))
}

func TestReadTakesTheLowestModeNotTheLoudest(t *testing.T) {
	b := plainBed(588, 0.07)
	b.levels = []float64{0.3, 1, 0.8, 0.6, 0.2, 0.2, 0.1}
	assertHears(t, 588, 2, 3, read(t, store(style{bits: 16}, 48000, tapped(b, 48000, 3, 3))))
}

func TestReadIsNotMisled(t *testing.T) {
	const rate, hz = 44100, 641.7
	for name, spoil := range map[string]func([]float64){
		"offset": func(x []float64) {
			for i := range x {
				x[i] += 0.3
			}
		},
		"hum of 50 Hz": func(x []float64) { hum(x, rate, 50, 0.05) },
		"hum of 60 Hz": func(x []float64) { hum(x, rate, 60, 0.05) },
		"thump of the frame": func(x []float64) {
			for i := range 3 {
				thump(x, rate, 0.3+0.5*float64(i), 0.6)
			}
		},
		"click of the finger": func(x []float64) {
			rng := rand.New(rand.NewPCG(8, 8))
			for i := range 3 {
				at := int((0.3 + 0.5*float64(i)) * rate)
				noise(x[at:at+rate/500], 0.3, rng)
			}
		},
		"clipping": func(x []float64) {
			for i := range x {
				x[i] *= 6
			}
		},
	} {
		t.Run(name, func(t *testing.T) {
			x := tapped(plainBed(hz, 0.07), rate, 3, 4)
			spoil(x)
			assertHears(t, hz, 3, 3, read(t, store(style{bits: 16}, rate, x)))
		})
	}
}

func TestReadTakesTheBetterChannel(t *testing.T) {
	const rate = 16000
	good := tapped(plainBed(575, 0.08), rate, 2, 5)
	opposite, rustle := make([]float64, len(good)), make([]float64, len(good))
	for i, v := range good {
		opposite[i] = -v
	}
	noise(rustle, 0.3, rand.New(rand.NewPCG(6, 6)))
	for name, other := range map[string][]float64{
		"same": good, "opposite": opposite, "silent": make([]float64, len(good)), "noisy": rustle,
	} {
		t.Run(name, func(t *testing.T) {
			assertHears(t, 575, 2, 2, read(t, store(style{bits: 16}, rate, good, other)))
			assertHears(t, 575, 2, 2, read(t, store(style{bits: 16}, rate, other, good)))
		})
	}
}

func TestReadLooksInTheBandThatItIsGiven(t *testing.T) {
	x := silence(48000, 3)
	rng := rand.New(rand.NewPCG(7, 0))
	plainBed(131, 0.1).ring(x, 48000, 0.5, 0.2, rng)
	plainBed(131, 0.1).ring(x, 48000, 1.7, 0.2, rng)
	noise(x, 0.2/math.Sqrt2/100, rng)
	file := store(style{bits: 16}, 48000, x)
	r, err := Read(bytes.NewReader(file), Options{LowHz: 80, HighHz: 400})
	require.NoError(t, err)
	assertHears(t, 131, 2, 2, r)
	for _, o := range []Options{{LowHz: 10}, {LowHz: 2000}, {HighHz: 250}, {HighHz: 24000}, {LowHz: math.NaN()}, {HighHz: math.Inf(1)}} {
		_, err := Read(bytes.NewReader(file), o)
		assert.Error(t, err, o)
	}
}

func TestFloatsMayGoBeyondFullScale(t *testing.T) {
	x := tapped(plainBed(575, 0.08), 16000, 2, 9)
	for i := range x {
		x[i] *= 32768
	}
	assertHears(t, 575, 2, 2, read(t, store(style{bits: 32, float: true}, 16000, x)))
}

func TestEachTapIsTold(t *testing.T) {
	r := read(t, store(style{bits: 16}, 48000, tapped(plainBed(612.4, 0.06), 48000, 3, 1)))
	require.Len(t, r.Heard, 3)
	for i, tap := range r.Heard {
		assert.InDelta(t, 0.3+0.5*float64(i), tap.Seconds, 0.006)
		assert.InDelta(t, 0.06, tap.DecaySeconds, 0.01)
		assert.InDelta(t, 612.4, tap.Hz, tap.PlusMinusHz)
		assert.True(t, tap.Clear && tap.Used)
	}
}

func TestReadStopsAtTheMostTaps(t *testing.T) {
	sweep.Only(t)
	x := tapped(plainBed(700, 0.03), 8000, MaxTaps+5, 1)
	// The noise that the recording begins in may have been taken for one of them.
	assert.InDelta(t, MaxTaps, len(read(t, store(style{bits: 16}, 8000, x)).Heard), 1)
}

func TestResultAsJSON(t *testing.T) {
	keys := func(r Result) map[string]any {
		text, err := json.Marshal(r)
		require.NoError(t, err)
		out := map[string]any{}
		require.NoError(t, json.Unmarshal(text, &out))
		return out
	}
	clear := keys(Result{Clear: true, Hz: 612.4, PlusMinusHz: 1.5, Taps: 3})
	assert.Equal(t, map[string]any{"clear": true, "hz": 612.4, "plus_minus_hz": 1.5, "taps": 3.0}, clear)
	none := keys(read(t, store(style{bits: 16}, 8000, silence(8000, 1))))
	assert.Equal(t, map[string]any{"clear": false, "taps": 0.0, "why": "no tap was heard"}, none)
}
