package tap

import (
	"fmt"
	"math"
	"strings"
)

// By what evidence a tone is the bed's lowest mode. Each is a likelihood against that of the best there can be; they are this
// program's own choices, proved by synthetic beds and real membranes.
const (
	certain   = 0.95 // a tone is named where all others together have less than the rest
	levelDB   = 11.0 // a tap in the middle strikes the lowest mode: exp(−(dB below the loudest/this)²)
	stranger  = 0.07 // that something else rings as loud as the bed, below its lowest mode or in the gap above it
	strangeDB = 20.0 // and it is as likely as not where it is so much weaker
	gap       = 1.33 // no mode of a bed lies so near above the lowest: a membrane 1.6 times as long as wide has 1.36
	higher    = 2.3  // and its strong ones lie up to here
	aside     = 1.03 // but one that is split in two may
	doubtful  = 0.1  // that a mode rings unsteadily, or is missing from a tap
	elsewhere = 1e-3 // that a bed rings outside of where its job computes it
)

// weigh gives every candidate its chance to be the bed's lowest mode; hidden is the chance that noise hides it.
func weigh(all []voice, o Options) (hidden float64) {
	loudest, longest, over, taps := math.Inf(-1), 0.0, 0.0, 0
	for _, v := range all {
		loudest, longest, over, taps = max(loudest, v.LevelDB), max(longest, v.DecayMS), max(over, v.over), max(taps, v.Taps)
	}
	var best Candidate
	sum := 0.0
	for i := range all {
		v := &all[i]
		below := (v.LevelDB - loudest) / levelDB
		v.Chance = math.Exp(-below*below) * math.Sqrt(v.DecayMS/longest)
		v.Chance *= doubtful + (1-doubtful)*float64(v.Steady)/float64(taps)
		for _, w := range all {
			if r := w.Hz / v.Hz; r < 1/aside || r > aside && r < gap {
				v.Chance *= math.Pow(stranger, min(max(1+(w.LevelDB-v.LevelDB)/strangeDB, 0), 1)*w.share(taps))
			}
		}
		if o.Computed > 0 && !o.within(v.Hz) {
			v.Chance *= elsewhere
		}
		if sum += v.Chance; v.Chance > best.Chance {
			best = v.Candidate
		}
	}
	// What noise hides is as much weaker than the loudest as that stands above what can be heard, and lies where the best is
	// one of its higher modes, in the band and where the job has it.
	room := math.Log(best.Hz/gap/max(o.LowHz, LeastOfComputed*o.Computed)) / math.Log(higher/gap)
	hidden = math.Exp(-over*over/levelDB/levelDB) * min(max(room, 0), 1)
	sum += hidden
	for i := range all {
		all[i].Chance /= sum
	}
	return hidden / sum
}

// share is how much a candidate counts beside another: one that is unsteady or seldom, the less.
func (c Candidate) share(taps int) float64 {
	return max(float64(c.Steady), float64(c.Taps)/2) / float64(taps)
}

func (o Options) within(hz float64) bool {
	return hz >= LeastOfComputed*o.Computed && hz <= MostOfComputed*o.Computed
}

// compete says which tones could be the bed's and what would tell them apart that was not done yet.
func compete(all []voice, o Options) string {
	var names, bands []string
	played := o.played()
	job := "name a job that tells its string, or "
	if o.Computed > 0 {
		job = ""
	}
	for _, v := range all {
		if hz := v.Hz / played; v.Chance >= 1-certain {
			names = append(names, fmt.Sprintf("%.1f Hz (%.0f %%)", hz, v.Chance*100))
			bands = append(bands, fmt.Sprintf("--band %.0f-%.0f", math.Floor(hz/1.2/10)*10, math.Ceil(hz*1.25/10)*10))
		}
	}
	return fmt.Sprintf("%d tones could be the bed's: %s; tap once with a hand flat on the strings: what still rings is the frame's; hold the frame at the throat and tap again: its own tones fade; %slisten to one alone, as %s",
		len(names), strings.Join(names, ", "), job, strings.Join(bands, " or "))
}
