package schedule

import (
	"math"
	"math/rand/v2"
	"time"

	"gonum.org/v1/gonum/stat/distuv"
)

// What is taken for granted where the book has few rackets: this program's own choices. A factor's spread is that of its logarithm.
const (
	dayFactor   = 0.10 // of a stringer's days
	daysBelief  = 4    // how many days that counts as
	restFactor  = 0.20 // of the rackets of a day
	otherFactor = 0.25 // of stringers of whom nothing is known
	shortGap    = 30 * time.Minute
	change      = 15 * time.Minute
	usualSteps  = 60 // of a racket
)

// own are a stringer's own times, as logarithms of how long a step takes: the time of a racket is level, day and rest.
type own struct {
	level, unsure float64   // their mean, and how far it may be off, as a standard deviation
	rests         []float64 // of the rackets, from their days; none where there are too few, and then they are as usual
	day           float64   // standard deviation of the days
	today, doubt  float64   // what the rackets of today say of it, and the standard deviation that is left
	steps         float64   // of a usual racket
}

// guessed is what is taken for granted of somebody who has strung nothing: the Guess.
func guessed() own {
	g := Guess()
	return own{level: (math.Log(float64(g.Low))+math.Log(float64(g.High)))/2 - math.Log(usualSteps), unsure: otherFactor, day: dayFactor, doubt: dayFactor, steps: usualSteps}
}

// took is how long each racket held somebody up: the hands-on time, short gaps, and what lay between it and the racket before of the same
// hands or on the same machine, when the string is cut and the frame is mounted: nothing that is done before a job's first event is in
// its times. The works are in the order in which they ended.
func took(works []Work) []time.Duration {
	out := make([]time.Duration, len(works))
	before := make([]time.Duration, len(works))
	between := map[string][]float64{}
	for i, w := range works {
		out[i], before[i] = w.Hands(), -1
		for _, g := range w.Gaps {
			if d := g.To.Sub(g.From); d <= shortGap {
				out[i] += d
			}
		}
		if d, ok := since(works[:i], w); ok {
			before[i] = d
			between[w.Stringer] = append(between[w.Stringer], float64(d))
		}
	}
	for i, w := range works {
		if all := between[w.Stringer]; before[i] < 0 && len(all) > 0 {
			before[i] = time.Duration(median(all))
		}
		out[i] += max(before[i], 0)
	}
	return out
}

// since is the time from which a racket could have been begun until it was; ok is false where that was a pause.
func since(earlier []Work, w Work) (d time.Duration, ok bool) {
	d = change + 1
	for _, e := range earlier {
		if !w.Began.IsZero() && (e.Stringer == w.Stringer || e.Machine != "" && e.Machine == w.Machine) && !e.Ended.After(w.Began) {
			d = min(d, w.Began.Sub(e.Ended))
		}
	}
	return d, d <= change
}

// timed is a racket of one's own: the logarithm of how long each of its steps took, and on which day.
type timed struct {
	x   float64
	day string
}

// ownTimes makes the model of some rackets; today is the day for which it is asked. The spread within days and between them is that of
// a one-way analysis of variance with random days (Searle, Casella and McCulloch, Variance Components, 1992, from memory), drawn
// towards what is usual while there are few days.
func ownTimes(list []timed, today string, steps float64) own {
	v := analyse(list)
	o := own{level: v.mean, steps: steps}
	n, days := float64(len(list)), float64(len(v.days))
	between := (daysBelief*dayFactor*dayFactor + (days-1)*v.between) / (daysBelief + days - 1)
	within := v.within
	scale, of := math.Sqrt(n/(n-days)), func(t timed) float64 { return t.x - v.days[t.day].mean }
	if n-days < Enough { // each on a day of its own: the days are in the rests
		within = v.total
		scale, of = math.Sqrt(n/(n-1)), func(t timed) float64 { return t.x - v.mean }
	}
	for _, t := range list {
		o.rests = append(o.rests, scale*of(t))
	}
	o.day, o.unsure = math.Sqrt(between), math.Sqrt(between/days+within/n)
	o.doubt = o.day
	if d := v.days[today]; d.n > 0 && between > 0 {
		share := between / (between + within/d.n)
		o.today, o.doubt = share*(d.mean-v.mean), o.day*math.Sqrt(1-share)
	}
	return o
}

// variance is the analysis of variance of times by days.
type variance struct {
	mean, within, between, total float64
	ms                           [2]float64 // the mean squares between and within days
	days                         map[string]group
}

type group struct{ n, mean float64 }

func analyse(list []timed) variance {
	v := variance{days: map[string]group{}}
	for _, t := range list {
		g := v.days[t.day]
		v.days[t.day] = group{g.n + 1, g.mean + (t.x-g.mean)/(g.n+1)}
		v.mean += t.x / float64(len(list))
	}
	n, days := float64(len(list)), float64(len(v.days))
	var inside, squares float64
	for _, t := range list {
		d := v.days[t.day].mean
		inside += (t.x - d) * (t.x - d)
		v.ms[0] += (d - v.mean) * (d - v.mean) / max(days-1, 1)
		v.total += (t.x - v.mean) * (t.x - v.mean) / max(n-1, 1)
	}
	for _, g := range v.days {
		squares += g.n * g.n
	}
	v.ms[1] = inside / max(n-days, 1)
	v.within = v.ms[1]
	if days > 1 {
		v.between = max(0, (v.ms[0]-v.ms[1])/((n-squares/n)/(days-1)))
	}
	return v
}

// ofDay draws the factor of a day.
func (o *own) ofDay(r *rand.Rand, today bool) float64 {
	if today {
		return o.today + o.doubt*r.NormFloat64()
	}
	return o.day * r.NormFloat64()
}

// rest is what is a racket's own, by a draw from 0 to 1.
func (o *own) rest(draw float64) float64 {
	if len(o.rests) == 0 {
		return restFactor * distuv.UnitNormal.Quantile(draw)
	}
	return o.rests[int(draw*float64(len(o.rests)))]
}

// takes is how long a racket takes of so many steps, nought for a usual one, with some factor.
func (o *own) takes(steps int, factor float64) time.Duration {
	n := float64(steps)
	if n == 0 {
		n = o.steps
	}
	return time.Duration(n * math.Exp(o.level+factor))
}
