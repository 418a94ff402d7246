// Package tap hears how high a strung bed rings. From a recording of taps on the strings it gives the frequency of the
// lowest mode with its uncertainty, or says that no tone is clear; from the frequency it works out the mean tension.
//
// Call Read first, on a WAV file; then MeanTension and TensionChange.
//
// The sound is limited to the band of the Options and brought to a low rate as it is read, so that memory does not
// grow with the recording. A tap is a sudden rise of the level. What rings after it is looked at twice: a windowed
// spectrum says which tones there are, and the course of each tone says whether it is a mode, which keeps its
// frequency and dies away evenly. Which of the tones is the bed's lowest mode is weighed by their levels, decays and
// ratios; where another could be it with five per cent or more, none is named.
package tap

import (
	"errors"
	"fmt"
	"io"
	"math"
)

// The default band. Strung beds ring between about 400 Hz (tennis, loose) and 1500 Hz (badminton, tight); below 200 Hz
// the mean tension of a tennis bed would be under 20 N, and there the frame itself rings. All from memory but the 20 N.
const (
	DefaultLowHz  = 200.0
	DefaultHighHz = 1800.0
)

// Options says where to listen. The zero Options take the default band.
type Options struct {
	LowHz, HighHz float64 // the band in which tones are looked for
	// Computed is the frequency in hertz that the bed of a job computes to, 0 where it is not known: then the bed's tone is
	// looked for from LeastOfComputed to MostOfComputed of it.
	Computed float64
	// Stream says that the recording comes through a pipe, where a header cannot know its length: it is read to its end.
	Stream bool
	// Heard, where it is not nil, is told the level and what is known so far, some ten times a second; reading ends where it
	// says false.
	Heard func(Live) bool

	faster float64 // how much faster than it was the recording is played; 0 is 1
}

// Where the bed of a job is looked for, as shares of its computed frequency: 0.7 is half of the tension gone, more than a
// strung bed loses in its first days; above 1.05 the order or the layout is not the racket's. This program's own choice.
const (
	LeastOfComputed = 0.7
	MostOfComputed  = 1.05
)

// Live is what is heard so far.
type Live struct {
	// LevelDB is the highest sample since the last, in dB of full scale.
	LevelDB float64
	// Result is that of the taps so far; it changes when a tap has rung out.
	Result Result
}

// Result is what a recording says of the bed.
type Result struct {
	// Clear says whether one tone is the bed's; without one Hz and PlusMinusHz are nought and left out.
	Clear bool `json:"clear"`
	// Hz is the frequency of the bed's lowest mode, rounded to a hundredth.
	Hz float64 `json:"hz,omitempty"`
	// PlusMinusHz bounds the error of the tone's frequency at a level of about 95 % or better, rounded up to a hundredth. It
	// comes from the noise, the length of the ring and the spread between taps; it says nothing of the recorder's own clock,
	// nor of which tone is the bed's: that is Chance of the candidates.
	PlusMinusHz float64 `json:"plus_minus_hz,omitempty"`
	// Taps is the number of taps that Hz is the mean of.
	Taps int `json:"taps"`
	// Why says in words why no tone is the bed's, and what would tell the candidates apart.
	Why string `json:"why,omitempty"`
	// Clipped says that the recording was too loud for its samples where a tap was that counts.
	Clipped bool `json:"clipped,omitempty"`
	// Candidates are all tones that were found, from low to high.
	Candidates []Candidate `json:"candidates,omitempty"`
	// Heard are the taps in their order, also those that gave no tone. Sounds 30 dB under the loudest are none.
	Heard []Tap `json:"each,omitempty"`
}

// Candidate is a tone that taps brought out.
type Candidate struct {
	Hz float64 `json:"hz"`
	// PlusMinusHz is the tone's own error, as in Result.
	PlusMinusHz float64 `json:"plus_minus_hz"`
	// LevelDB is its amplitude when struck in dB of full scale, the mean of its taps, and DecayMS the time in milliseconds in
	// which that sinks to 1/e.
	LevelDB float64 `json:"level_db"`
	DecayMS float64 `json:"decay_ms"`
	// Taps is in how many taps it rings, Steady in how many of them it keeps its frequency and dies away evenly.
	Taps   int `json:"taps"`
	Steady int `json:"steady"`
	// Chance is how likely it is the bed's lowest mode, by the evidence; what is missing to 1 in all is the chance that
	// noise hides it.
	Chance float64 `json:"chance"`
}

// Tap is one tap of a recording.
type Tap struct {
	// Seconds is when the tap came, from the start of the recording, to about 5 ms.
	Seconds float64 `json:"seconds"`
	// Clear says whether a tone rings after it as a mode does; without one the next three fields are nought.
	Clear bool `json:"clear"`
	// Hz is its tone that is the bed's, or else its loudest.
	Hz float64 `json:"hz,omitempty"`
	// PlusMinusHz bounds the error of this tap's Hz.
	PlusMinusHz float64 `json:"plus_minus_hz,omitempty"`
	// DecaySeconds is the time in which the amplitude sinks to 1/e.
	DecaySeconds float64 `json:"decay_seconds,omitempty"`
	// Clipped says whether the recording was too loud for its samples at the tap. What is clipped is passed over where enough
	// rings on after it.
	Clipped bool `json:"clipped,omitempty"`
	// Used says whether the tap has the bed's tone and counts in the mean.
	Used bool `json:"used"`

	power float64 // of its first sound
	tones []tone
}

// MaxTaps is the number of taps that are kept; later ones are passed over, so that a result has a bound.
const MaxTaps = 256

// blockFrames is how many frames are decoded at a time; at the lowest rate they last as long as the rings have spare.
const blockFrames = 1024

// Read hears a recording: WAV, mono or stereo, 8 to 192 kHz, integers of 8, 16, 24 or 32 bits or floats of 32 or 64.
// It reads the stream once and keeps less than a second of it. A file that is broken, empty or of another kind is an
// error that names the byte and the remedy, and so is a band that the recording cannot hold. Sound without a clear
// tone is no error.
//
// A band that begins below the default one is heard as if it were played faster, so that its lower edge comes to lie there:
// what is long enough for a tone, and even enough, goes with its period.
func Read(r io.Reader, opts Options) (Result, error) {
	w, err := openWave(r, opts.Stream)
	if err != nil {
		return Result{}, fmt.Errorf("reading a recording: %w", err)
	}
	opts, err = opts.check(w.rate)
	if err != nil {
		return Result{}, err
	}
	faster := max(1, DefaultLowHz/opts.LowHz)
	l := newListener(w.format, opts.times(faster), faster)
	block := make([][]float64, w.channels)
	for c := range block {
		block[c] = make([]float64, blockFrames)
	}
	result := func(taps []Tap) Result { return agree(taps, opts.times(faster)).slower(faster) }
	meter := meter{every: w.rate / meterRate}
	for {
		n, err := w.next(block)
		if errors.Is(err, io.EOF) {
			return result(l.finish()), nil
		}
		if err != nil {
			return Result{}, fmt.Errorf("reading a recording: %w", err)
		}
		for c := range block {
			l.channels[c].push(block[c][:n])
		}
		l.listen()
		if opts.Heard != nil && meter.full(block, n) && !opts.Heard(meter.read(l.taps, result)) {
			return result(l.finish()), nil
		}
	}
}

// times are the same options for a recording that is played so many times faster.
func (o Options) times(faster float64) Options {
	o.LowHz, o.HighHz, o.Computed, o.faster = o.LowHz*faster, o.HighHz*faster, o.Computed*faster, faster
	return o
}

// played is how much faster than it was the recording is played.
func (o Options) played() float64 { return max(o.faster, 1) }

// slower is a result of a recording that was played so many times faster.
func (r Result) slower(times float64) Result {
	r.Hz, r.PlusMinusHz = hundredths(r.Hz/times, r.PlusMinusHz/times)
	for i := range r.Candidates {
		r.Candidates[i].Hz, r.Candidates[i].PlusMinusHz, r.Candidates[i].DecayMS = r.Candidates[i].Hz/times, r.Candidates[i].PlusMinusHz/times, r.Candidates[i].DecayMS*times
		r.Candidates[i].round()
	}
	for i := range r.Heard {
		t := &r.Heard[i]
		t.Seconds, t.DecaySeconds = thousandths(t.Seconds*times), thousandths(t.DecaySeconds*times)
		t.Hz, t.PlusMinusHz = hundredths(t.Hz/times, t.PlusMinusHz/times)
	}
	return r
}

// check fills in the default band and refuses one that makes no sense at a sample rate.
func (o Options) check(rate int) (Options, error) {
	if o.LowHz == 0 {
		o.LowHz = DefaultLowHz
	}
	if o.HighHz == 0 {
		o.HighHz = DefaultHighHz
	}
	if !(o.Computed >= 0) || math.IsInf(o.Computed, 0) {
		return o, fmt.Errorf("a bed that computes to %g Hz is none", o.Computed)
	}
	if !(o.LowHz >= 20 && o.HighHz >= 1.5*o.LowHz) {
		return o, fmt.Errorf("a band of %g to %g Hz is none to listen in; it begins at 20 Hz or above and ends at 1.5 times that or above", o.LowHz, o.HighHz)
	}
	if most := 0.45 * float64(rate); o.HighHz > most {
		return o, fmt.Errorf("a recording of %d Hz has no sound up to %g Hz; end the band at %g Hz or below", rate, o.HighHz, most)
	}
	return o, nil
}
