package tap

import (
	"cmp"
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
func agree(taps []Tap, o Options) Result {
	taps = sift(taps)
	r := Result{Heard: taps}
	all := gather(taps)
	hidden := weigh(all, o)
	for _, v := range all {
		r.Candidates = append(r.Candidates, v.Candidate)
	}
	var bed *voice
	if bed, r.Why = r.choose(all, hidden, o); r.Why == "" {
		r.Clear, r.Hz, r.PlusMinusHz, r.Taps = true, bed.Hz, bed.PlusMinusHz, bed.Taps
	}
	for i := range taps {
		taps[i].tell(r)
		r.Clipped = r.Clipped || taps[i].Clipped && (taps[i].Used || !r.Clear)
	}
	return r
}

// choose is the candidate that is the bed's, or why none is.
func (r *Result) choose(all []voice, hidden float64, o Options) (bed *voice, why string) {
	ringing := 0
	for _, t := range r.Heard {
		if slices.ContainsFunc(t.tones, func(t tone) bool { return t.steady }) {
			ringing++
		}
	}
	for i := range all {
		if bed == nil || all[i].Chance > bed.Chance {
			bed = &all[i]
		}
	}
	switch {
	case len(r.Heard) == 0:
		return nil, "no tap was heard"
	case ringing == 0 && clipped(r.Heard):
		return nil, "the recording is clipped where the taps are; record from farther away or with less gain"
	case bed == nil || ringing == 0:
		return nil, "no tap was followed by a steady tone"
	case o.Computed > 0 && !o.within(bed.Hz):
		return nil, fmt.Sprintf("no tone lies where the job's bed is looked for, %.0f to %.0f Hz; is it that racket's recording?", LeastOfComputed*o.Computed/o.played(), MostOfComputed*o.Computed/o.played())
	case hidden > 1-certain && bed.Chance+hidden >= certain:
		return nil, fmt.Sprintf("%.1f Hz rings, but the noise may hide a lower tone (%.0f %%); record where it is quieter, or nearer to the strings", bed.Hz/o.played(), hidden*100)
	case bed.Chance < certain:
		return nil, compete(all, o)
	case 2*bed.Steady <= ringing || bed.PlusMinusHz > samePart*bed.Hz:
		return nil, fmt.Sprintf("the taps do not agree: %d gave a tone, %d of them about the same", ringing, bed.Steady)
	case bed.Steady == 1 && len(r.Heard) > 1 || bed.Steady*sharedAmong < len(r.Heard):
		return nil, fmt.Sprintf("of %d sounds like a tap only %d gave a tone", len(r.Heard), bed.Steady)
	}
	return bed, ""
}

// tell puts what is said of a tap into it: its tone that is the bed's, or else its loudest steady one.
func (t *Tap) tell(r Result) {
	var best *tone
	for i, n := range t.tones {
		own := r.Clear && near(n.hz, r.Hz)
		if n.steady && (best == nil || own || n.level > best.level && !t.Used) {
			best, t.Used = &t.tones[i], t.Used || own
		}
	}
	if best != nil {
		t.Clear, t.DecaySeconds, t.Hz, t.PlusMinusHz = true, best.decay, best.hz, best.bound
	}
}

// sift takes out what is no tap beside the others: faint sounds, and one that is there from the start on but does not
// ring, as a recording that begins in noise has it.
func sift(taps []Tap) []Tap {
	loudest := 0.0
	for _, t := range taps {
		loudest = max(loudest, t.power)
	}
	taps = slices.DeleteFunc(taps, func(t Tap) bool { return t.power < weakPower*loudest })
	if len(taps) > 1 && taps[0].Seconds == 0 && !slices.ContainsFunc(taps[0].tones, func(t tone) bool { return t.steady }) {
		return taps[1:]
	}
	return taps
}

// voice is a candidate with its tones.
type voice struct {
	Candidate
	tones []tone
	over  float64 // in dB, by how much it stands above what a steady tone must have
}

// gather finds which tones of the taps are one: about the surest tone that is left, the nearest of each tap.
func gather(taps []Tap) (out []voice) {
	left := make([][]tone, len(taps))
	for i, t := range taps {
		left[i] = slices.Clone(t.tones)
	}
	for {
		var seed *tone
		for i := range left {
			for j := range left[i] {
				if t := &left[i][j]; seed == nil || t.steady && !seed.steady || t.steady == seed.steady && t.bound/t.hz < seed.bound/seed.hz {
					seed = t
				}
			}
		}
		if seed == nil {
			break
		}
		var v voice
		for i, hz := range left {
			best := -1
			for j, t := range hz {
				if near(t.hz, seed.hz) && (best < 0 || math.Abs(t.hz-seed.hz) < math.Abs(hz[best].hz-seed.hz)) {
					best = j
				}
			}
			if best >= 0 {
				v.tones = append(v.tones, hz[best])
				left[i] = slices.Delete(slices.Clone(hz), best, best+1)
			}
		}
		v.mean()
		out = append(out, v)
	}
	slices.SortFunc(out, func(a, b voice) int { return cmp.Compare(a.Hz, b.Hz) })
	return out
}

// mean averages the tones of a voice, each by the weight that its bound leaves it; the steady ones where there are any.
func (v *voice) mean() {
	v.Taps = len(v.tones)
	counted := slices.DeleteFunc(slices.Clone(v.tones), func(t tone) bool { return !t.steady })
	if v.Steady = len(counted); v.Steady == 0 {
		counted = v.tones
	}
	var weight, sum, square, level, decay, over float64
	at := counted[0].hz
	for _, t := range counted {
		w := 1 / (t.bound * t.bound)
		weight, sum, square = weight+w, sum+w*(t.hz-at), square+w*(t.hz-at)*(t.hz-at)
		level, decay, over = level+20*math.Log10(t.level), decay+t.decay, over+20*math.Log10(t.over)
	}
	n := float64(len(counted))
	v.Hz, v.PlusMinusHz = at+sum/weight, 1/math.Sqrt(weight)
	v.LevelDB, v.DecayMS, v.over = level/n, 1000*decay/n, over/n
	if n > 1 {
		variance := max(0, square/weight-sum/weight*sum/weight) / (n - 1)
		v.PlusMinusHz = max(v.PlusMinusHz, distuv.StudentsT{Sigma: 1, Nu: n - 1}.Quantile(0.975)*math.Sqrt(variance))
	}
}

func (c *Candidate) round() {
	c.Hz, c.PlusMinusHz = hundredths(c.Hz, c.PlusMinusHz)
	c.LevelDB, c.DecayMS = math.Round(c.LevelDB*10)/10, math.Round(c.DecayMS*10)/10
	c.Chance = math.Round(c.Chance*1000) / 1000
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
