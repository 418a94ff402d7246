package tap

import (
	"math"
	"math/rand/v2"
)

// bed is a synthetic strung bed: its modes ring from each tap on and die away. Everything about it is invented.
type bed struct {
	hz, decay float64   // of the lowest mode
	ratios    []float64 // of the modes' frequencies to the lowest; the first is 1
	levels    []float64 // of the modes' amplitudes
	decays    []float64 // of the modes' decays to the lowest's
}

// squareRatios are those of a square membrane, √(p²+q²)/√2, with its doubled modes a little apart as in a real bed.
func squareRatios() []float64 { return []float64{1, 1.55, 1.61, 2, 2.2, 2.27, 2.55} }

// roundRatios are those of a circular membrane: the zeros of the Bessel functions over 2.404826.
// Source: Abramowitz & Stegun Table 9.5.
func roundRatios() []float64 { return []float64{1, 1.5933, 2.1355, 2.2954, 2.6531, 2.9173} }

// plainBed has modes that grow weaker and shorter upwards.
func plainBed(hz, decay float64) bed {
	b := bed{hz: hz, decay: decay, ratios: squareRatios()}
	for i := range b.ratios {
		b.levels = append(b.levels, 1/(1+0.5*float64(i)))
		b.decays = append(b.decays, 1/(1+0.3*float64(i)))
	}
	return b
}

// ring adds a tap at a time in seconds to a recording; the lowest mode has the given amplitude.
func (b bed) ring(x []float64, rate int, at, level float64, rng *rand.Rand) {
	start := int(at * float64(rate))
	for m, ratio := range b.ratios {
		phase := 2 * math.Pi * rng.Float64()
		turn := 2 * math.Pi * b.hz * ratio / float64(rate)
		if ratio*b.hz > 0.45*float64(rate) {
			continue
		}
		for i := start; i < len(x); i++ {
			s := float64(i-start) / float64(rate)
			fade := math.Exp(-s / (b.decay * b.decays[m]))
			if fade < 1e-6 {
				break
			}
			x[i] += level * b.levels[m] * fade * math.Sin(turn*float64(i-start)+phase)
		}
	}
}

// noise adds white noise of a root mean square.
func noise(x []float64, rms float64, rng *rand.Rand) {
	for i := range x {
		x[i] += rms * rng.NormFloat64()
	}
}

// hum adds a mains hum with harmonics that fall with their number.
func hum(x []float64, rate int, hz, level float64) {
	for k := 1; k <= 20; k++ {
		turn := 2 * math.Pi * hz * float64(k) / float64(rate)
		for i := range x {
			x[i] += level / float64(k) * math.Sin(turn*float64(i)+float64(k))
		}
	}
}

// thump adds what a frame does when it is struck: a low tone that is over at once.
func thump(x []float64, rate int, at, level float64) {
	start := int(at * float64(rate))
	for i := start; i < len(x); i++ {
		s := float64(i-start) / float64(rate)
		x[i] += level * math.Exp(-s/0.03) * math.Sin(2*math.Pi*90*s)
	}
}

// silence is a recording of nothing.
func silence(rate int, seconds float64) []float64 { return make([]float64, int(seconds*float64(rate))) }
