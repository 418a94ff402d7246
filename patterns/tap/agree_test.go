package tap

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// clearTaps are taps with a bound of half a hertz; a frequency of nought is a tap without a tone.
func clearTaps(hz ...float64) []Tap {
	var out []Tap
	for _, v := range hz {
		t := Tap{Seconds: 1, power: 1}
		if v > 0 {
			t.tones = []tone{{hz: v, bound: 0.5, decay: 0.08, level: 0.1, over: 100, steady: true}}
		}
		out = append(out, t)
	}
	return out
}

func agreed(taps []Tap) Result {
	return agree(taps, Options{LowHz: DefaultLowHz, HighHz: DefaultHighHz}).slower(1)
}

func TestAgree(t *testing.T) {
	for name, c := range map[string]struct {
		hz     []float64
		clear  bool
		taps   int
		mean   float64
		within float64 // what the bound is, to a tenth
	}{
		"one":                      {[]float64{600}, true, 1, 600, 0.5},
		"one of two":               {[]float64{600, 0}, false, 0, 0, 0},
		"none":                     {[]float64{0, 0, 0}, false, 0, 0, 0},
		"equal ones":               {[]float64{600, 600, 600, 600}, true, 4, 600, 0.25},
		"a spread":                 {[]float64{599, 600, 601}, true, 3, 600, 2.48}, // Student's t of 4.303 for 2 degrees, 1/√3
		"two far apart":            {[]float64{600, 700}, false, 0, 0, 0},
		"two a little apart":       {[]float64{600, 609}, false, 0, 0, 0},
		"one that is off":          {[]float64{600, 600, 900}, true, 2, 600, 0.36},
		"two of four":              {[]float64{600, 600, 700, 800}, false, 0, 0, 0},
		"some without a tone":      {[]float64{0, 600, 0, 600, 0, 0}, true, 2, 600, 0.36},
		"too many without a tone":  {[]float64{0, 600, 0, 600, 0, 0, 0, 0, 0}, false, 0, 0, 0},
		"no sound that is like it": {nil, false, 0, 0, 0},
	} {
		t.Run(name, func(t *testing.T) {
			r := agreed(clearTaps(c.hz...))
			assert.Equal(t, c.clear, r.Clear, r.Why)
			assert.Equal(t, c.taps, r.Taps)
			assert.Equal(t, c.mean, r.Hz)
			assert.InDelta(t, c.within, r.PlusMinusHz, 0.011)
			assert.Equal(t, c.clear, r.Why == "")
			used := 0
			for _, tap := range r.Heard {
				if tap.Used {
					used++
				}
			}
			assert.Equal(t, c.taps, used)
		})
	}
}

func TestAgreeWeighsSureTapsMore(t *testing.T) {
	taps := clearTaps(600, 602)
	taps[1].tones[0].bound = 5
	r := agreed(taps)
	assert.InDelta(t, 600.02, r.Hz, 1e-9)
}

func TestAgreePassesOverFaintSounds(t *testing.T) {
	taps := clearTaps(600, 0, 0, 0, 0, 0)
	for i := range taps[1:] {
		taps[i+1].power = 0.9e-3
	}
	r := agreed(taps)
	assert.True(t, r.Clear, r.Why)
	assert.Len(t, r.Heard, 1)
}

func TestAgreePassesOverNoiseThatTheRecordingBeginsIn(t *testing.T) {
	taps := clearTaps(0, 600)
	taps[0].Seconds = 0
	assert.True(t, agreed(taps).Clear)
	taps = clearTaps(0)
	taps[0].Seconds = 0
	assert.Equal(t, "no tap was followed by a steady tone", agreed(taps).Why)
}
