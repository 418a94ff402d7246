package tap

import (
	"math"
	"slices"
)

// Times in seconds and ratios by which a tone is judged. They are choices, proved by the tests.
const (
	frameTime  = 0.250 // the longest piece whose spectrum is taken
	shortTime  = 0.060 // a ring that is shorter tells nothing
	riseTime   = 0.025 // of the window, at most
	clearOver  = 6.0   // a tone stands above the median of the band by this
	faintOver  = 4.0   // what stands above it by this is no chance, and may hide a lower tone
	strongPart = 0.1   // and has this part of the loudest one
	oldPart    = 0.6   // a tone that had this part of its level before the tap, and stood this far
	oldOver    = 3.0   // above the median, was there before it
	apartTurns = 3.0   // two tones of one piece are told apart at this many turns over its length
	padding    = 4     // points of a spectrum for each sample at least
)

// tone is what a ring says of its lowest mode.
type tone struct{ hz, bound, decay float64 }

// ear judges pieces of sound, and keeps what it needs for that.
type ear struct {
	rate       float64
	sound      []float64 // room for a ring
	before     []float64 // room for what was there before it
	spec, past *spectrum
	track      tracker
}

func newEar(rate float64, o Options) *ear {
	n := 1
	for n < int(padding*frameTime*rate) {
		n *= 2
	}
	return &ear{
		rate:   rate,
		sound:  make([]float64, int(ringTime*rate)),
		before: make([]float64, int(frameTime*rate)),
		spec:   newSpectrum(n, rate, o),
		past:   newSpectrum(n, rate, o),
		track:  newTracker(rate),
	}
}

// tone finds the lowest mode that rings in x, which begins after the attack; before is what was there before the tap.
func (e *ear) tone(x, before []float64) (tone, bool) {
	n := min(len(x), int(frameTime*e.rate))
	if n < int(shortTime*e.rate) {
		return tone{}, false
	}
	w := strike(n, min(n/4, int(riseTime*e.rate)))
	e.spec.of(x[:n], w)
	e.past.of(before[max(0, len(before)-n):], w) // what is missing of it, at the start of a recording, the window tapers
	floor := e.spec.median()
	reach := int(apartTurns * e.rate / float64(n) / e.spec.width)
	for _, p := range e.spec.peaks(max(faintOver*floor, strongPart*slices.Max(e.spec.mag)), reach) {
		c, v := e.track.follow(x, p.hz, floor/energy(w))
		past := e.past.level(p.hz, reach)
		if v == other || v == held && past >= max(oldPart*p.mag, oldOver*floor) {
			continue
		}
		if v != mode || p.mag < clearOver*floor {
			break // what lies above it is not the lowest
		}
		t := tone{hz: p.hz, decay: c.decay, bound: e.bound(p, w, c, floor, past)}
		return t, t.bound <= samePart*t.hz
	}
	return tone{}, false
}

// bound is how far in hertz a peak may lie from the tone: three standard deviations of what noise does, what rang
// before, how the course of the tone spreads, and a fiftieth of what the window resolves.
func (e *ear) bound(p peak, w []float64, c course, floor, past float64) float64 {
	pull := e.pull(p, w, c.decay)
	noise := floor / math.Sqrt(2*math.Ln2) // the median of a Rayleigh distribution is that root of its parameter
	return math.Hypot(math.Hypot(3*noise*pull, 2*past*pull), 1.5*c.spread) + e.rate/float64(len(w))/50
}

// energy is the root of the sum of a window's squares, by which noise of a unit a sample comes out in a spectrum.
func energy(w []float64) float64 {
	sum := 0.0
	for _, v := range w {
		sum += v * v
	}
	return math.Sqrt(sum)
}

// pull is by how many hertz another sound moves a peak, for each unit of its level. Near its top the logarithm of the
// magnitude is a parabola of curvature curve; a sound N(f) beside a tone S adds Re(N/S), and moves the top by its slope
// over the curvature. The slope of N has 2π times the sound under the window, weighted by its distance from the tone's
// centre.
func (e *ear) pull(p peak, w []float64, decay float64) float64 {
	var mass, centre float64
	level, fade := 1.0, math.Exp(-1/e.rate/decay)
	for i, v := range w {
		mass += level * v
		centre += level * v * float64(i)
		level *= fade
	}
	centre /= mass
	var all, lever float64
	for i, v := range w {
		d := (float64(i) - centre) / e.rate
		all += v * v
		lever += v * v * d * d
	}
	return 2 * math.Pi * math.Sqrt(lever/all) / p.curve / p.mag
}
