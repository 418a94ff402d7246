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
	faintOver  = 4.0   // what stands above it by this is no chance, and may be one
	strongPart = 0.03  // and has this part of the loudest one
	oldPart    = 0.6   // a tone that had this part of its level before the tap, and stood this far
	oldOver    = 3.0   // above the median, was there before it
	apartTurns = 3.0   // two tones of one piece are told apart at this many turns over its length
	padding    = 4     // points of a spectrum for each sample at least
)

// tone is something that rings in a piece of sound.
type tone struct {
	hz, bound, decay float64
	level            float64 // amplitude at the start, full scale 1
	over             float64 // by how much it stands above what a steady tone must have
	steady           bool    // it keeps its frequency and falls evenly, as a mode does
}

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

// tones finds what rings in x, which begins after the attack, from low to high; before is what was there before the tap. A
// tone that is clipped cannot fall evenly: it only has to keep its frequency.
func (e *ear) tones(x, before []float64, clipped bool) (out []tone) {
	n := min(len(x), int(frameTime*e.rate))
	if n < int(shortTime*e.rate) {
		return nil
	}
	w := strike(n, min(n/4, int(riseTime*e.rate)))
	e.spec.of(x[:n], w)
	e.past.of(before[max(0, len(before)-n):], w) // what is missing of it, at the start of a recording, the window tapers
	floor := e.spec.median()
	quiet := min(floor, e.spec.quarter()) // where many tones lift the median, what may hide beside them lies lower
	if len(before) >= n {
		quiet = min(quiet, e.past.median())
	}
	reach := int(apartTurns * e.rate / float64(n) / e.spec.width)
	for _, p := range e.spec.peaks(max(faintOver*floor, strongPart*slices.Max(e.spec.mag)), reach) {
		c, v := e.track.follow(x, p.hz, floor/energy(w))
		past := e.past.level(p.hz, reach)
		if v == other || v == held && past >= max(oldPart*p.mag, oldOver*floor) {
			continue
		}
		t := tone{hz: p.hz + c.settles, steady: (v == mode || clipped && c.keeps) && p.mag >= clearOver*floor}
		if v == held || !(c.decay > 0) {
			c.decay = float64(n) / e.rate
		}
		t.decay, t.bound, t.level = c.decay, e.bound(p, w, c, floor, past), p.mag/mass(w, c.decay*e.rate)
		t.over = p.mag / (clearOver * max(quiet, 1e-9*p.mag))
		t.steady = t.steady && t.bound <= samePart*t.hz
		out = append(out, t)
	}
	return out
}

// mass is the magnitude that a tone of amplitude 1 has under a window, dying away in so many samples.
func mass(w []float64, decay float64) (sum float64) {
	level, fade := 0.5, math.Exp(-1/decay)
	for _, v := range w {
		sum += level * v
		level *= fade
	}
	return sum
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
