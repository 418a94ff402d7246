package tap

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Limits for what taps say together. They are choices, proved by the tests.
const (
	samePart    = 0.02 // taps of one bed differ by less than this part, and a reading is known to it
	weakPower   = 1e-3 // a sound that has this part of the loudest one's power is no tap
	sharedAmong = 4    // several that agree are one tap in this many at least
)

// agree makes a result of the taps of a recording.
func agree(taps []Tap) Result {
	taps = sift(taps)
	r := Result{Each: taps}
	if len(taps) == 0 {
		r.Why = "no tap was heard"
		return r
	}
	clear, best := 0, Result{}
	for _, t := range taps {
		if t.Clear {
			clear++
			if c := around(taps, t.Hz); c.Taps > best.Taps || c.Taps == best.Taps && c.PlusMinusHz < best.PlusMinusHz {
				best = c
			}
		}
	}
	switch n := best.Taps; {
	case clear == 0 && clipped(taps):
		r.Why = "the recording is clipped where the taps are; record from farther away or with less gain"
	case clear == 0:
		r.Why = "no tap was followed by a steady tone"
	case 2*n <= clear || best.PlusMinusHz > samePart*best.Hz:
		r.Why = fmt.Sprintf("the taps do not agree: %d gave a tone, %d of them about the same", clear, n)
	case n == 1 && len(taps) > 1 || n*sharedAmong < len(taps):
		r.Why = fmt.Sprintf("of %d sounds like a tap only %d gave a tone", len(taps), n)
	default:
		r.Clear, r.Taps = true, n
		r.Hz, r.PlusMinusHz = hundredths(best.Hz, best.PlusMinusHz)
	}
	for i, t := range taps {
		taps[i].Hz, taps[i].PlusMinusHz = hundredths(t.Hz, t.PlusMinusHz)
		taps[i].Seconds, taps[i].DecaySeconds = thousandths(t.Seconds), thousandths(t.DecaySeconds)
		taps[i].Used = r.Clear && t.Clear && near(t.Hz, best.Hz)
	}
	return r
}

// sift takes out what is no tap beside the others: faint sounds, and one that is there from the start on but does not
// ring, as a recording that begins in noise has it.
func sift(taps []Tap) []Tap {
	loudest := 0.0
	for _, t := range taps {
		loudest = max(loudest, t.power)
	}
	taps = slices.DeleteFunc(taps, func(t Tap) bool { return t.power < weakPower*loudest })
	if len(taps) > 1 && taps[0].Seconds == 0 && !taps[0].Clear {
		return taps[1:]
	}
	return taps
}

// hundredths rounds a frequency, and its bound upwards.
func hundredths(hz, bound float64) (float64, float64) {
	return math.Round(hz*100) / 100, math.Ceil(bound*100) / 100
}

func thousandths(v float64) float64 { return math.Round(v*1000) / 1000 }

func clipped(taps []Tap) bool {
	return slices.ContainsFunc(taps, func(t Tap) bool { return t.Clipped })
}

func near(a, b float64) bool { return math.Abs(a-b) <= samePart*b }

// around averages the clear taps near a frequency, each by the weight that its bound leaves it.
func around(taps []Tap, hz float64) Result {
	var r Result
	var weight, sum, square float64
	for _, t := range taps {
		if t.Clear && near(t.Hz, hz) {
			w := 1 / (t.PlusMinusHz * t.PlusMinusHz)
			weight += w
			sum += w * t.Hz
			square += w * (t.Hz - hz) * (t.Hz - hz)
			r.Taps++
		}
	}
	r.Hz = sum / weight
	r.PlusMinusHz = 1 / math.Sqrt(weight)
	if n := float64(r.Taps); n > 1 {
		variance := max(0, square/weight-(r.Hz-hz)*(r.Hz-hz)) / (n - 1)
		t := distuv.StudentsT{Sigma: 1, Nu: n - 1}.Quantile(0.975)
		r.PlusMinusHz = max(r.PlusMinusHz, t*math.Sqrt(variance))
	}
	return r
}
