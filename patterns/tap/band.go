package tap

import (
	"math"

	"gonum.org/v1/gonum/dsp/window"
)

// leastRate is the lowest rate in hertz that sound is brought down to.
const leastRate = 8000.0

// overLevel is the part of full scale from which on two samples in a row count as clipped. Beyond full scale, where
// only floats go, none is.
const overLevel = 0.99

// band limits one channel to the band and brings it to a low rate: a low-pass that is worked out only where a sample
// is kept, then a high-pass against thumps, hum and offset.
type band struct {
	keep int       // one sample in keep is kept
	fir  []float64 // the low-pass
	in   []float64 // samples that the low-pass still needs
	at   int       // where in them its next turn begins
	over int       // where in them the last clipped sample is; below nought is none
	loud bool      // whether the last sample was as loud as a clipped one
	high [2]biquad
	out  ring // what comes out
	clip ring // 1 where a clipped sample went into it
	zero float64
	any  bool
}

// newBand makes the filters for a channel, which hold what comes out for some seconds, and says the rate of it.
func newBand(rate float64, o Options, seconds float64) (*band, float64) {
	keep := max(1, int(rate/max(leastRate, 3.2*o.HighHz)))
	low := rate / float64(keep)
	n := int(seconds * low)
	b := &band{keep: keep, fir: []float64{1}, over: -1, out: newRing(n), clip: newRing(n)}
	if keep > 1 {
		b.fir = lowPass(low/2/rate, (low-2*o.HighHz)/rate)
	}
	b.high = butterworth(0.8 * o.LowHz / low)
	return b, low
}

// push takes samples at the recording's rate. The first one is taken off all: an offset is no tap.
func (b *band) push(x []float64) {
	if !b.any && len(x) > 0 {
		b.any, b.zero = true, x[0]
	}
	for _, v := range x {
		loud := math.Abs(v) >= overLevel && math.Abs(v) <= 1
		if loud && b.loud {
			b.over = len(b.in)
		}
		b.loud = loud
		b.in = append(b.in, v-b.zero)
		if len(b.in) == b.at+len(b.fir) {
			b.pass()
		}
	}
	b.in = b.in[:copy(b.in, b.in[b.at:])] // at lies within it: the low-pass is never shorter than keep
	b.at, b.over = 0, max(-1, b.over-b.at)
}

// pass lets one sample out.
func (b *band) pass() {
	sum, clipped := 0.0, 0.0
	for i, v := range b.in[b.at:] {
		sum += b.fir[i] * v
	}
	if b.over >= b.at {
		clipped = 1
	}
	b.out.add(b.high[1].step(b.high[0].step(sum)))
	b.clip.add(clipped)
	b.at += b.keep
}

// clean is where, between two samples, the sound is no longer clipped.
func (b *band) clean(from, end int) int {
	for i := end - 1; i >= from; i-- {
		if b.clip.at(i) > 0 {
			return i + 1
		}
	}
	return from
}

// power is the mean power between two samples.
func (b *band) power(from, end int) float64 {
	sum := 0.0
	for i := from; i < end; i++ {
		sum += b.out.at(i) * b.out.at(i)
	}
	return sum / float64(max(1, end-from))
}

// lowPass is a Blackman-windowed sinc that falls by half at cut, over a given width; both are shares of the rate.
// Such a window needs 5.5 rates per width for a stop band of 74 dB (from memory).
func lowPass(cut, width float64) []float64 {
	n := int(math.Ceil(5.5/width)) | 1
	h := make([]float64, n)
	for i := range h {
		h[i] = 2 * cut
		if x := math.Pi * float64(i-n/2); x != 0 {
			h[i] = math.Sin(2*cut*x) / x
		}
	}
	return window.Blackman(h)
}

// biquad is a filter of second order.
type biquad struct{ b0, b1, b2, a1, a2, s1, s2 float64 }

// step filters one sample (direct form II, transposed).
func (q *biquad) step(x float64) float64 {
	y := q.b0*x + q.s1
	q.s1 = q.b1*x - q.a1*y + q.s2
	q.s2 = q.b2*x - q.a2*y
	return y
}

// butterworth is a high-pass of fourth order, by the bilinear transform; corner is a share of the rate.
func butterworth(corner float64) [2]biquad {
	k := math.Tan(math.Pi * corner)
	var out [2]biquad
	for i := range out {
		damp := 2 * math.Cos(math.Pi*float64(2*i+1)/8)
		norm := 1 / (1 + k*damp + k*k)
		out[i] = biquad{b0: norm, b1: -2 * norm, b2: norm, a1: 2 * (k*k - 1) * norm, a2: (1 - k*damp + k*k) * norm}
	}
	return out
}

// ring holds the last samples of a stream, by their number from the start.
type ring struct {
	buf  []float64
	next int // number of the next sample
}

func newRing(n int) ring { return ring{buf: make([]float64, n)} }

func (r *ring) add(v float64) {
	r.buf[r.next%len(r.buf)] = v
	r.next++
}

// at is a sample that is still held.
func (r *ring) at(i int) float64 { return r.buf[i%len(r.buf)] }

// copy writes samples from number from on to a slice, which it returns.
func (r *ring) copy(to []float64, from int) []float64 {
	for i := range to {
		to[i] = r.at(from + i)
	}
	return to
}
