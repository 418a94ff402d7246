package tap

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
)

// burst adds a tone of a shape over time; shape gives its amplitude and frequency s seconds after it begins.
func burst(x []float64, rate int, at float64, shape func(s float64) (level, hz float64)) {
	phase := 0.0
	for i := int(at * float64(rate)); i < len(x); i++ {
		level, hz := shape(float64(i)/float64(rate) - at)
		phase += 2 * math.Pi * hz / float64(rate)
		x[i] += level * math.Sin(phase)
	}
}

// pink adds noise that is stronger the lower it is.
func pink(x []float64, rng *rand.Rand) {
	var slow [4]float64
	for i := range x {
		for k := range slow {
			slow[k] += (rng.NormFloat64() - slow[k]) * math.Pow(4, -float64(k)-0.5)
			x[i] += 0.1 * slow[k] * math.Pow(2, float64(k))
		}
	}
}

// toneless are synthetic sounds that must not give a number.
func toneless(rate int) map[string]func(x []float64, rng *rand.Rand) {
	taps := []float64{0.4, 1, 1.6, 2.2}
	return map[string]func(x []float64, rng *rand.Rand){
		"silence":     func([]float64, *rand.Rand) {},
		"white noise": func(x []float64, rng *rand.Rand) { noise(x, 0.1, rng) },
		"pink noise":  pink,
		"hum":         func(x []float64, _ *rand.Rand) { hum(x, rate, 50, 0.2) },
		"hum in noise": func(x []float64, rng *rand.Rand) {
			hum(x, rate, 60, 0.1)
			noise(x, 0.05, rng)
		},
		"clicks": func(x []float64, rng *rand.Rand) {
			for _, at := range taps {
				x[int(at*float64(rate))] = 0.9
			}
			noise(x, 0.001, rng)
		},
		"bursts of noise that die away": func(x []float64, rng *rand.Rand) {
			for _, at := range taps {
				for i := int(at * float64(rate)); i < len(x); i++ {
					x[i] += 0.3 * math.Exp(-(float64(i)/float64(rate)-at)/0.06) * rng.NormFloat64()
				}
			}
		},
		"knocks on wood": func(x []float64, rng *rand.Rand) {
			for _, at := range taps {
				burst(x, rate, at, func(s float64) (float64, float64) { return 0.5 * math.Exp(-s/0.007), 480 })
			}
			noise(x, 0.001, rng)
		},
		"a steady tone that begins": func(x []float64, rng *rand.Rand) {
			burst(x, rate, 0.5, func(float64) (float64, float64) { return 0.3, 440 })
			noise(x, 0.001, rng)
		},
		"short steady beeps": func(x []float64, rng *rand.Rand) {
			for _, at := range taps {
				burst(x, rate, at, func(s float64) (float64, float64) { return 0.3 * math.Max(0, math.Copysign(1, 0.15-s)), 800 })
			}
			noise(x, 0.001, rng)
		},
		"a slow chirp": func(x []float64, _ *rand.Rand) {
			burst(x, rate, 0, func(s float64) (float64, float64) { return 0.3, 300 + 300*s })
		},
		"chirps that die away": func(x []float64, rng *rand.Rand) {
			for _, at := range taps {
				burst(x, rate, at, func(s float64) (float64, float64) { return 0.3 * math.Exp(-s/0.08), 500 + 400*s })
			}
			noise(x, 0.001, rng)
		},
		"frame thumps": func(x []float64, rng *rand.Rand) {
			for _, at := range taps {
				thump(x, rate, at, 0.6)
			}
			noise(x, 0.001, rng)
		},
		"taps on beds that differ": func(x []float64, rng *rand.Rand) {
			for i, at := range taps {
				plainBed(500+60*float64(i), 0.08).ring(x, rate, at, 0.2, rng)
			}
		},
	}
}

func TestNoToneIsClear(t *testing.T) {
	const rate = 8000
	for name, sound := range toneless(rate) {
		t.Run(name, func(t *testing.T) {
			for seed := range uint64(sweep.Share(4, 4)) {
				x := silence(rate, 3)
				sound(x, rand.New(rand.NewPCG(seed, 1)))
				r := read(t, store(style{bits: 16}, rate, x))
				assert.False(t, r.Clear, "seed %d: %+v", seed, r)
				assert.Zero(t, r.Hz)
				assert.Zero(t, r.PlusMinusHz)
				assert.Zero(t, r.Taps)
				assert.NotEmpty(t, r.Why)
			}
		})
	}
}

// A recording that is clipped all through still keeps its strongest tone, and it is said; so is a noise that is clipped.
func TestClippedTapsAreSaidToBe(t *testing.T) {
	x := tapped(plainBed(600, 0.3), 16000, 1, 1)
	for i := range x {
		x[i] *= 20
	}
	r := read(t, store(style{bits: 16}, 16000, x))
	assert.True(t, r.Clipped)
	assertHears(t, 600, 2, 1, r)
	assert.True(t, r.Heard[0].Clipped)

	x = silence(16000, 2)
	rng := rand.New(rand.NewPCG(1, 2))
	for _, at := range []int{8000, 20000} {
		noise(x[at:at+4000], 5, rng)
	}
	r = read(t, store(style{bits: 16}, 16000, x))
	require.False(t, r.Clear)
	assert.Contains(t, r.Why, "clipped")
	assert.True(t, r.Clipped)
}

// TestSpeechIsNoTone reads real recordings, of speech and of noise: those of Debian's package alsa-utils.
func TestSpeechIsNoTone(t *testing.T) {
	files, err := filepath.Glob("/usr/share/sounds/alsa/*.wav")
	require.NoError(t, err)
	if len(files) == 0 {
		t.Skip("THE REAL RECORDINGS WERE NOT TRIED: there is none in /usr/share/sounds/alsa; apt-get install alsa-utils")
	}
	for _, name := range files {
		t.Run(filepath.Base(name), func(t *testing.T) {
			f, err := os.Open(name)
			require.NoError(t, err)
			defer f.Close()
			r, err := Read(f, Options{})
			require.NoError(t, err)
			assert.False(t, r.Clear, "%+v", r)
		})
	}
}
