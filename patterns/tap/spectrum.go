package tap

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// spectrum is the magnitude of a windowed piece of sound over the bins of the band and one bin either side.
type spectrum struct {
	fft   *fourier.FFT
	seq   []float64
	coef  []complex128
	width float64 // hertz a bin
	first int     // bin of mag[0]
	mag   []float64
	order []float64 // for the median
}

// newSpectrum makes a spectrum of n points, most of them padding.
func newSpectrum(n int, rate float64, o Options) *spectrum {
	s := &spectrum{fft: fourier.NewFFT(n), seq: make([]float64, n), coef: make([]complex128, n/2+1), width: rate / float64(n)}
	s.first = int(o.LowHz/s.width) - 1
	last := min(int(o.HighHz/s.width)+1, n/2)
	s.mag = make([]float64, last-s.first+1)
	return s
}

// of takes the spectrum of x under a window that is as long or longer.
func (s *spectrum) of(x, window []float64) {
	for i := range s.seq {
		s.seq[i] = 0
	}
	for i, v := range x {
		s.seq[i] = v * window[i]
	}
	s.fft.Coefficients(s.coef, s.seq)
	for i := range s.mag {
		s.mag[i] = cmplx.Abs(s.coef[s.first+i])
	}
}

// median is the median magnitude, which a few tones do not lift.
func (s *spectrum) median() float64 {
	s.order = append(s.order[:0], s.mag...)
	slices.Sort(s.order)
	return s.order[len(s.order)/2]
}

// quarter is the median of the noise by its lower quarter, which tones in a narrow band do not lift either: magnitudes of
// noise have a Rayleigh distribution. It comes after median.
func (s *spectrum) quarter() float64 {
	return s.order[len(s.order)/4] * math.Sqrt(math.Ln2/math.Log(4./3))
}

// level is the highest magnitude within reach bins of a frequency of the band.
func (s *spectrum) level(hz float64, reach int) float64 {
	i := int(hz/s.width) - s.first
	return slices.Max(s.mag[max(0, i-reach):min(len(s.mag), i+reach+1)])
}

// peak is a maximum of a spectrum, between the bins.
type peak struct {
	hz, mag float64
	curve   float64 // how sharp: the second derivative of -ln|magnitude|, per Hz²
}

// peaks are the maxima of at least a magnitude that are highest within reach bins, from low to high.
func (s *spectrum) peaks(least float64, reach int) []peak {
	var out []peak
	for i := 1; i < len(s.mag)-1; i++ {
		if s.mag[i] < least || s.mag[i] < slices.Max(s.mag[max(0, i-reach):min(len(s.mag), i+reach+1)]) {
			continue
		}
		if p, ok := s.between(i); ok {
			out = append(out, p)
		}
	}
	return out
}

// between lays a parabola through the logarithms of a maximum and its two neighbours.
func (s *spectrum) between(i int) (peak, bool) {
	a, b, c := math.Log(s.mag[i-1]), math.Log(s.mag[i]), math.Log(s.mag[i+1])
	bend := 2*b - a - c
	if !(bend > 0) || math.IsInf(bend, 0) {
		return peak{}, false
	}
	off := (c - a) / 2 / bend
	return peak{
		hz:    (float64(s.first+i) + off) * s.width,
		mag:   math.Exp(b + (c-a)*off/4),
		curve: bend / (s.width * s.width),
	}, math.Abs(off) <= 1
}

// strike is a window for a ring that begins at once and dies away: the rise of a short Hann window and the fall of a
// long one. It looks where the sound is, and its smooth ends keep a loud neighbour out.
func strike(n, rise int) []float64 {
	w := make([]float64, n)
	for i := range w {
		x := float64(i) + 0.5
		if i < rise {
			x /= float64(rise)
		} else {
			x = 1 + (x-float64(rise))/float64(n-rise)
		}
		w[i] = (1 - math.Cos(math.Pi*x)) / 2
	}
	return w
}
