// Package tap hears how high a strung bed rings. From a recording of taps on the strings it gives the frequency of the
// lowest mode with its uncertainty, or says that no tone is clear; from the frequency it works out the mean tension.
//
// Call Read first, on a WAV file; then MeanTension and TensionChange.
//
// The sound is limited to the band of the Options and brought to a low rate as it is read, so that memory does not
// grow with the recording. A tap is a sudden rise of the level. What rings after it is looked at twice: a windowed
// spectrum says which tones there are, and the course of each tone says whether it is a mode, which keeps its
// frequency and dies away evenly. The lowest such tone counts, and the taps that agree are averaged.
package tap

import (
	"errors"
	"fmt"
	"io"
)

// The default band. Strung beds ring between about 400 Hz (tennis, loose) and 1500 Hz (badminton, tight); below 200 Hz
// the mean tension of a tennis bed would be under 20 N, and there the frame itself rings. All from memory but the 20 N.
const (
	DefaultLowHz  = 200.0
	DefaultHighHz = 1800.0
)

// Options says where to listen. The zero Options take the default band.
type Options struct {
	LowHz, HighHz float64 // the band in which the lowest mode is looked for
}

// Result is what a recording says of the bed.
type Result struct {
	// Clear says whether there is a clear tone; without one Hz, PlusMinusHz and Taps are nought and left out.
	Clear bool `json:"clear"`
	// Hz is the frequency of the bed's lowest mode, rounded to a hundredth.
	Hz float64 `json:"hz,omitempty"`
	// PlusMinusHz bounds the error of Hz at a level of about 95 % or better, rounded up to a hundredth. It comes from
	// the noise, the length of the ring and the spread between taps; it says nothing of the recorder's own clock.
	PlusMinusHz float64 `json:"plus_minus_hz,omitempty"`
	// Taps is the number of taps that Hz is the mean of.
	Taps int `json:"taps"`
	// Why says in words why no tone is clear.
	Why string `json:"why,omitempty"`
	// Each are the taps in their order, also those that gave no tone. Sounds 30 dB under the loudest are none.
	Each []Tap `json:"each,omitempty"`
}

// Tap is one tap of a recording.
type Tap struct {
	// Seconds is when the tap came, from the start of the recording, to about 5 ms.
	Seconds float64 `json:"seconds"`
	// Clear says whether the tap has a mode; without one the other fields are nought.
	Clear bool `json:"clear"`
	// Hz is the frequency of the lowest mode.
	Hz float64 `json:"hz,omitempty"`
	// PlusMinusHz bounds the error of this tap's Hz.
	PlusMinusHz float64 `json:"plus_minus_hz,omitempty"`
	// DecaySeconds is the time in which the amplitude sinks to 1/e.
	DecaySeconds float64 `json:"decay_seconds,omitempty"`
	// Clipped says whether the recording was too loud for its samples at the tap; what is clipped is passed over.
	Clipped bool `json:"clipped,omitempty"`
	// Used says whether the tap agrees with the others and counts in the mean.
	Used bool `json:"used"`

	power float64 // of its first sound
}

// MaxTaps is the number of taps that are kept; later ones are passed over, so that a result has a bound.
const MaxTaps = 256

// blockFrames is how many frames are decoded at a time; at the lowest rate they last as long as the rings have spare.
const blockFrames = 1024

// Read hears a recording: WAV, mono or stereo, 8 to 192 kHz, integers of 8, 16, 24 or 32 bits or floats of 32 or 64.
// It reads the stream once and keeps less than a second of it. A file that is broken, empty or of another kind is an
// error that names the byte and the remedy, and so is a band that the recording cannot hold. Sound without a clear
// tone is no error.
func Read(r io.Reader, opts Options) (Result, error) {
	w, err := openWave(r)
	if err != nil {
		return Result{}, fmt.Errorf("reading a recording: %w", err)
	}
	opts, err = opts.check(w.rate)
	if err != nil {
		return Result{}, err
	}
	l := newListener(w.format, opts)
	block := make([][]float64, w.channels)
	for c := range block {
		block[c] = make([]float64, blockFrames)
	}
	for {
		n, err := w.next(block)
		if errors.Is(err, io.EOF) {
			return agree(l.finish()), nil
		}
		if err != nil {
			return Result{}, fmt.Errorf("reading a recording: %w", err)
		}
		for c := range block {
			l.channels[c].push(block[c][:n])
		}
		l.listen()
	}
}

// check fills in the default band and refuses one that makes no sense at a sample rate.
func (o Options) check(rate int) (Options, error) {
	if o.LowHz == 0 {
		o.LowHz = DefaultLowHz
	}
	if o.HighHz == 0 {
		o.HighHz = DefaultHighHz
	}
	if !(o.LowHz >= 20 && o.HighHz >= 1.5*o.LowHz) {
		return o, fmt.Errorf("a band of %g to %g Hz holds no tone; it begins at 20 Hz or above and ends at 1.5 times that or above", o.LowHz, o.HighHz)
	}
	if most := 0.45 * float64(rate); o.HighHz > most {
		return o, fmt.Errorf("a recording of %d Hz has no sound up to %g Hz; end the band at %g Hz or below", rate, o.HighHz, most)
	}
	return o, nil
}
