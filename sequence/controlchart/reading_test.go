package controlchart

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What one instrument reads of one bed again and again is one value with its spread; later it is another one.
func TestStringings(t *testing.T) {
	at := func(job int64, instrument string, minutes int, kept float64) Reading {
		return Reading{Job: job, Instrument: instrument, At: began().Add(time.Duration(minutes) * time.Minute), Age: time.Duration(minutes) * time.Minute, Aged: true, Kept: kept}
	}
	list := Stringings([]Reading{at(2, "tap", 40, .8), at(1, "tap", 20, .90), at(1, "tap", 24, .92), at(1, "gauge", 21, .85), at(1, "tap", 28, .94), at(1, "tap", 31, .7)})
	require.Len(t, list, 4)
	assert.Equal(t, []int{1, 3, 1, 1}, []int{list[0].N, list[1].N, list[2].N, list[3].N})
	assert.InDelta(t, .92, list[1].Kept, 1e-12)
	assert.InDelta(t, .02, list[1].SD, 1e-12)
	assert.Equal(t, 24*time.Minute, list[1].Age)
	assert.Equal(t, began().Add(24*time.Minute), list[1].At)
	assert.Equal(t, []string{"tap", "gauge"}, Instruments(list))

	// Five taps of one racket are one stringing.
	var five []Reading
	for i := range 5 {
		five = append(five, at(1, "tap", 20+i, .9+.01*float64(i)))
	}
	assert.Len(t, OneInstrument(Stringings(five), "tap"), 1)
	five[0].Played = true
	one := OneInstrument(Stringings(five), "tap")
	require.Len(t, one, 1)
	assert.Equal(t, 4, one[0].N)
	assert.Empty(t, OneInstrument(one, "gauge"))

	points := Points(list, Usual)
	assert.Equal(t, 3, points[1].N)
	assert.InDelta(t, .02, points[1].SD, 1e-12)
	assert.InDelta(t, .8+Usual("").PerDecade*(decades(40*time.Minute, Dwell)-decades(30*time.Minute, Dwell)), points[3].Value, 1e-12)
}

// What is usual adds up to the day's loss that is common practice of the trade: 5 to 10 %, polyester up to 15 %.
func TestUsual(t *testing.T) {
	for material, day := range map[string]float64{"": .075, "nylon": .075, "polyester": .115, "gut": .05, "aramid": .07} {
		d := Usual(material)
		assert.InDelta(t, day, d.Lost(24*time.Hour), 1e-12, material)
		low, high := d.Interval(.95)
		assert.True(t, 0 < low && low < high)
		assert.Zero(t, d.Lost(0))
		assert.Zero(t, d.Lost(-time.Hour))
	}
	assert.Contains(t, Usual("gut").String(), "usual, from memory")
}

// relaxing are readings of invented beds at ages in minutes, with the decay and the step that play takes.
func relaxing(rng *rand.Rand, jobs int, d Decay, noise float64, ages ...float64) (list []Stringing) {
	for job := range jobs {
		k := .9 + .05*rng.NormFloat64()
		for i, age := range append(ages, ages[len(ages)-1]+30) {
			r := Reading{Job: int64(job), Instrument: "tap", Material: "gut", Aged: true, Age: time.Duration(age * float64(time.Minute)), Played: i == len(ages)}
			r.Kept = k - d.Lost(r.Age) + noise*rng.NormFloat64()
			if r.Played {
				r.Kept -= d.Play
			}
			list = append(list, Stringing{Reading: r, N: 1})
		}
	}
	return list
}

// A house's readings give the decay back, with play as a step of its own; the dwell stays T0 until it can be told.
func TestFitDecay(t *testing.T) {
	true0 := Decay{PerDecade: .02, T0: Dwell, Play: .03}
	covered, played := 0, 0
	const shops = 300
	for i := range shops {
		d, ok := FitDecay("gut", relaxing(rand.New(rand.NewPCG(3, uint64(i))), 8, true0, .002, 10, 60, 600))
		require.True(t, ok)
		assert.Equal(t, Dwell, d.T0)
		low, high := d.Interval(.95)
		if low <= true0.PerDecade && true0.PerDecade <= high {
			covered++
		}
		if math.Abs(d.Play-true0.Play) <= quantile(d.DF, .975)*d.PlaySE {
			played++
		}
	}
	t.Logf("of %d shops: decay covered %d, play %d", shops, covered, played)
	// 95 % less and more three standard errors of the count.
	for _, n := range []int{covered, played} {
		assert.InDelta(t, .95, float64(n)/shops, 3*math.Sqrt(.95*.05/shops)+.005)
	}

	// From seconds to days the beginning of the decay shows: T0 is told from the dwell.
	slow := Decay{PerDecade: .03, T0: 5 * time.Minute}
	d, ok := FitDecay("gut", relaxing(rand.New(rand.NewPCG(3, 1)), 10, slow, .001, .5, 2, 10, 60, 600, 3000))
	require.True(t, ok)
	assert.InDelta(t, math.Log10(slow.T0.Seconds()), math.Log10(d.T0.Seconds()), .15)
	assert.InDelta(t, slow.PerDecade, d.PerDecade, .001)
	assert.Contains(t, d.String(), "of the ordered tension in each tenfold of the time (95 % between ")
	assert.Contains(t, d.String(), "fitted to 10 jobs); play takes ")
	// With the dwell for T0 the same ages say nothing against it.
	d, ok = FitDecay("gut", relaxing(rand.New(rand.NewPCG(3, 1)), 10, Decay{PerDecade: .03, T0: Dwell}, .001, .5, 2, 10, 60, 600, 3000))
	require.True(t, ok)
	assert.Equal(t, Dwell, d.T0)

	for _, list := range [][]Stringing{
		nil,
		relaxing(rand.New(rand.NewPCG(3, 1)), 4, true0, .002, 10, 60, 600), // too few jobs
		relaxing(rand.New(rand.NewPCG(3, 1)), 8, true0, .002, 600, 1200),   // no decade apart
		of(summed(8, 0, .01), summed(8, 0, .01)),                           // each read once
	} {
		_, ok := FitDecay("gut", list)
		assert.False(t, ok)
	}
	_, ok = FitDecay("nylon", relaxing(rand.New(rand.NewPCG(3, 1)), 8, true0, .002, 10, 60, 600))
	assert.False(t, ok, "another material")
}

func TestTensionRatio(t *testing.T) {
	r, err := TensionRatio(Frequency, .9)
	require.NoError(t, err)
	assert.InDelta(t, .81, r, 1e-15)
	r, err = TensionRatio(Stiffness, .9)
	require.NoError(t, err)
	assert.InDelta(t, .9, r, 1e-15)
	for _, odd := range []float64{0, -1, math.NaN()} {
		_, err = TensionRatio(Frequency, odd)
		assert.Error(t, err)
	}
	_, err = TensionRatio("temperature", 1)
	assert.ErrorContains(t, err, "temperature")
}
