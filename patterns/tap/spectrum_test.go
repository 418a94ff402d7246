package tap

import (
	"math"
	"math/cmplx"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/dsp/fourier"
	"pgregory.net/rapid"
)

// TestTransformOfZeroToSeven checks the transform that the spectrum rests on.
// The transform of 0, 1, … 7 is 28 and then −4 + 4i·cot(πk/8), by the geometric series: −4+9.65685424949238i,
// −4+4i, −4+1.6568542494923806i, −4.
func TestTransformOfZeroToSeven(t *testing.T) {
	seq := []float64{0, 1, 2, 3, 4, 5, 6, 7}
	want := []complex128{28, -4 + 9.65685424949238i, -4 + 4i, -4 + 1.6568542494923806i, -4}
	for k, z := range fourier.NewFFT(8).Coefficients(nil, seq) {
		assert.InDelta(t, 0, cmplx.Abs(z-want[k]), 1e-14)
	}
	s := newSpectrum(8, 8000, Options{LowHz: 1000, HighHz: 3000})
	s.of(seq, []float64{1, 1, 1, 1, 1, 1, 1, 1})
	require.Len(t, s.mag, 5)
	for k, z := range want {
		assert.InDelta(t, cmplx.Abs(z), s.mag[k], 1e-14)
	}
}

func TestPeaksLieBetweenTheBins(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hz, phase := rapid.Float64Range(250, 1750).Draw(t, "hz"), rapid.Float64Range(0, 7).Draw(t, "phase")
		x := make([]float64, 2000)
		for i := range x {
			x[i] = math.Sin(2*math.Pi*hz/8000*float64(i) + phase)
		}
		s := newSpectrum(8192, 8000, Options{LowHz: DefaultLowHz, HighHz: DefaultHighHz})
		w := strike(len(x), 200)
		s.of(x, w)
		peaks := s.peaks(100, 12)
		require.Len(t, peaks, 1)
		assert.InDelta(t, hz, peaks[0].hz, 0.01)
		sum := 0.0
		for _, v := range w {
			sum += v / 2
		}
		assert.InDelta(t, 1, peaks[0].mag/sum, 0.001)
	})
}

func TestPeaksCloserThanReachAreOne(t *testing.T) {
	s := newSpectrum(64, 8000, Options{LowHz: 500, HighHz: 3500})
	for i := range s.mag {
		s.mag[i] = 0.01
	}
	s.mag[5], s.mag[8], s.mag[20] = 3, 2, 1
	at := func(p []peak) (bins []int) {
		for _, p := range p {
			bins = append(bins, int(math.Round(p.hz/s.width))-s.first)
		}
		return bins
	}
	assert.Equal(t, []int{5, 8, 20}, at(s.peaks(0.5, 2)))
	assert.Equal(t, []int{5, 20}, at(s.peaks(0.5, 3)))
	assert.Equal(t, []int{5}, at(s.peaks(2.5, 3)))
	assert.Equal(t, 0.01, s.median())
	assert.Equal(t, 3.0, s.level(float64(s.first+7)*s.width, 2))
}

// TestLowPassKeepsTheBandAndStopsWhatFoldsIntoIt measures the filters at single frequencies.
func TestLowPassKeepsTheBandAndStopsWhatFoldsIntoIt(t *testing.T) {
	o := Options{LowHz: DefaultLowHz, HighHz: DefaultHighHz}
	for _, rate := range []float64{16000, 22050, 44100, 48000, 96000, 192000} {
		gain := func(hz float64) float64 {
			b, _ := newBand(rate, o, 1)
			x := make([]float64, int(rate)/2)
			for i := range x {
				x[i] = math.Sin(2 * math.Pi * hz / rate * float64(i))
			}
			b.push(x)
			return 10 * math.Log10(2*b.power(b.out.next/2, b.out.next))
		}
		_, low := newBand(rate, o, 1)
		require.GreaterOrEqual(t, low, leastRate)
		assert.InDelta(t, 0, gain(1000), 0.1, "%g Hz", rate)
		assert.InDelta(t, 0, gain(1800), 0.1, "%g Hz", rate)
		assert.InDelta(t, -3, gain(160), 0.1, "%g Hz", rate) // the high-pass's corner
		assert.Less(t, gain(50), -38.0, "%g Hz", rate)
		if low-1800 < rate/2 {
			assert.Less(t, gain(low-1800), -65.0, "%g Hz", rate)
		}
	}
}

func TestRingHoldsTheLastSamples(t *testing.T) {
	r := newRing(4)
	for i := range 7 {
		r.add(float64(i + 1))
	}
	assert.Equal(t, []float64{4, 5, 6, 7}, r.copy(make([]float64, 4), 3))
}
