package tap

import (
	"math"
	"math/cmplx"
)

// Times in seconds and limits by which the course of a tone is judged. They are choices, proved by the tests.
const (
	trackTime   = 0.040  // length of the pieces in which a tone is followed
	stepTime    = 0.010  // from one to the next
	leastSteps  = 5      // pieces that a course has
	overNoise   = 3.0    // a course ends where the tone sinks to this times the noise
	endPart     = 0.05   // or to this part of its beginning
	mostOff     = 5.0    // hertz by which a course may run off its peak; beyond, it is a louder neighbour's
	leastFall   = 0.5    // a course falls by this in the logarithm of its level, so that its fall is seen
	evenUneven  = 0.08   // how far the logarithm of its level may lie from a straight line without noise
	mostUneven  = 0.18   // and with it
	evenWander  = 0.0025 // how far its frequency may wander without noise, as a part of it
	mostWander  = 0.006  // and with it
	mostSwing   = 0.08   // how much higher it may begin while it swings far and pulls itself tighter, as a part of it
	swingWander = 10.0   // by what of that it may lie off the law of the square
	leastSwing  = 0.01   // and how much lower, by chance
	blurUneven  = 2.0    // what noise adds to the one, and in hertz to the other, for its blur: in 1500 synthetic
	blurWander  = 25.0   // beds of 0 to 50 dB, 99 in 100 stayed below 1.3 and 23
	shortDecay  = 0.015  // a tone that dies faster is a knock
)

// course is how a tone goes on after a tap.
type course struct {
	decay  float64 // seconds to 1/e
	spread float64 // of the frequency, in hertz
	keeps  bool    // its frequency
	// settles is by how much above the peak of its spectrum it rings when it swings no farther, nought where that is all the
	// same.
	settles float64
}

// tracker follows a tone through short overlapping pieces of a ring.
type tracker struct {
	rate   float64
	step   int
	window []float64
	z      []complex128
}

func newTracker(rate float64) tracker {
	n := int(trackTime * rate)
	return tracker{rate: rate, step: int(stepTime * rate), window: strike(n, n/2)}
}

// verdict is what the course of a tone makes of it.
type verdict uint8

const (
	other  verdict = iota // it is over at once, as a knock is, or the edge of another tone
	held                  // it keeps its level, or noise hides how it goes on: hum, if it was there before
	unsure                // it rings, but unsteadily: a voice, two tones in one
	mode                  // it keeps its frequency and falls evenly
)

// follow takes a tone's level and phase in each piece of x and judges it. A mode's level falls from the start by the
// same part in the same time. Noise is what a spectrum gives for noise under a window of energy 1.
func (t *tracker) follow(x []float64, hz, noise float64) (course, verdict) {
	floor := overNoise * noise * energy(t.window)
	t.z = t.z[:0]
	first, last := 0.0, 0.0
	for at := 0; at+len(t.window) <= len(x); at += t.step {
		z := t.piece(x[at:], hz, at)
		if last = cmplx.Abs(z); last < floor || last < endPart*first {
			break
		} else if len(t.z) == 0 {
			first = last
		}
		t.z = append(t.z, z)
	}
	if len(t.z) < leastSteps {
		if last < endPart*first {
			return course{}, other
		}
		return course{}, held
	}
	fall, uneven := t.fall()
	off, swing, wander := t.wander()
	blur := t.blur(noise)
	c := course{decay: stepTime / fall, spread: wander * math.Sqrt(trackTime/stepTime/float64(len(t.z)))}
	if swing > mostWander*hz { // where it swings far, what it settles to is its frequency
		c.settles, c.spread = off, math.Hypot(c.spread, swing/8)
	} else {
		c.spread = math.Hypot(off+swing/2, c.spread)
	}
	c.keeps = wander <= min(evenWander*hz+swing/swingWander+blurWander*blur, mostWander*hz) && swing <= mostSwing*hz && swing >= -leastSwing*hz
	switch total := fall * float64(len(t.z)-1); {
	case math.Abs(off) > mostOff && swing <= mostWander*hz, fall*shortDecay > stepTime:
		return c, other
	case total < leastFall/2:
		return c, held
	case total < leastFall,
		uneven > min(evenUneven+blurUneven*blur, mostUneven), !c.keeps:
		return c, unsure
	}
	return c, mode
}

// piece is one bin of a windowed Fourier transform, at hz; at is where x lies in the ring.
func (t *tracker) piece(x []float64, hz float64, at int) complex128 {
	turn := cmplx.Rect(1, -2*math.Pi*hz/t.rate)
	p := cmplx.Rect(1, -2*math.Pi*hz/t.rate*float64(at))
	var z complex128
	for i, w := range t.window {
		z += complex(w*x[i], 0) * p
		p *= turn
	}
	return z
}

// fall lays a straight line through the logarithms of the levels, each with the weight that noise leaves it, and gives
// by how much they fall from piece to piece and how far they lie from the line.
func (t *tracker) fall() (slope, uneven float64) {
	var n, sx, sy, sxx, sxy, syy float64
	for i, z := range t.z {
		a := cmplx.Abs(z)
		w, x, y := a*a, float64(i), -math.Log(a)
		n, sx, sy = n+w, sx+w*x, sy+w*y
		sxx, sxy, syy = sxx+w*x*x, sxy+w*x*y, syy+w*y*y
	}
	vx, vxy, vy := sxx/n-sx/n*sx/n, sxy/n-sx/n*sy/n, syy/n-sy/n*sy/n
	slope = vxy / vx
	return slope, math.Sqrt(max(0, vy-slope*vxy))
}

// blur is what noise alone makes of the unevenness, in the same measure.
func (t *tracker) blur(noise float64) float64 {
	power := 0.0
	for _, z := range t.z {
		power += real(z)*real(z) + imag(z)*imag(z)
	}
	part := noise * energy(t.window) / math.Sqrt(2*math.Ln2)
	return part * math.Sqrt(float64(len(t.z))/power)
}

// wander looks at the frequencies from piece to piece, which the turn of the phase gives. A string or membrane that swings
// far is pulled tighter by it and rings higher, by the square of the swing (textbook); so a straight line over that square
// is laid through them: off is where it ends, with no swing, in hertz above the tone, swing by how much higher it
// begins, sd the standard deviation from it.
func (t *tracker) wander() (off, swing, sd float64) {
	var n, sx, sy, sxx, sxy, syy float64
	most := 0.0
	for i := 1; i < len(t.z); i++ {
		r := t.z[i] * cmplx.Conj(t.z[i-1])
		x, y := cmplx.Abs(r), cmplx.Phase(r)/(2*math.Pi*float64(t.step)/t.rate)
		most = max(most, x)
		w := x // the stronger the surer
		n, sx, sy = n+w, sx+w*x, sy+w*y
		sxx, sxy, syy = sxx+w*x*x, sxy+w*x*y, syy+w*y*y
	}
	vx, vxy, vy := sxx/n-sx/n*sx/n, sxy/n-sx/n*sy/n, syy/n-sy/n*sy/n
	slope := vxy / max(vx, math.SmallestNonzeroFloat64)
	return sy/n - slope*sx/n, slope * most, math.Sqrt(max(0, vy-slope*vxy))
}
