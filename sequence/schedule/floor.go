package schedule

import (
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat"
)

// Floor is where the rackets are strung: the people and the machines, and when they work. Without hands there is somebody of whom
// nothing is known, without machines one.
type Floor struct {
	Hands    []Hand
	Machines []Machine
	Hours    Hours
}

// Hand is a stringer.
type Hand struct {
	Key  string // what the caller knows them by
	Pace Pace
	// Since and Away are from when and until when they are away: Away is zero for somebody who is there, Since for whoever is away already.
	Since, Away time.Time
}

// Machine is one on which a racket lies at a time.
type Machine struct {
	Key string
	Out time.Time // until when it is out of use; zero for one that can be used
}

// How often the queue is played: so many rackets in all, within bounds. With 201 runs one in ten is told to two in a hundred.
const (
	played              = 20_000
	leastRuns, mostRuns = 101, 201
)

// game is what all runs of a queue have in common.
type game struct {
	*Floor
	queue []Waiting
	may   []allowed
	usual [][]time.Duration // what is left of each racket takes so long in each pair of hands, if all goes as usual
	own   []own             // of the hands
	luck  []uint64          // of the rackets, then of the hands: what their draws begin with
	hours *calendar
}

// allowed are the hands and the machines that may have a racket.
type allowed struct{ hands, tools []int }

// newGame sets a queue up; the error names a stringer or a machine that there is not.
func (f *Floor) newGame(now time.Time, queue []Waiting) (*game, error) {
	g := &game{Floor: f, queue: queue, hours: &calendar{hours: f.Hours, now: now}}
	for _, h := range f.Hands {
		g.own = append(g.own, h.Pace.model())
	}
	for _, w := range queue {
		var a allowed
		var usual []time.Duration
		for n, h := range f.Hands {
			usual = append(usual, w.takes(g.own[n], 0))
			if w.Stringer == "" || w.Stringer == h.Key {
				a.hands = append(a.hands, n)
			}
		}
		for n, m := range f.Machines {
			if w.Machine == "" || w.Machine == m.Key {
				a.tools = append(a.tools, n)
			}
		}
		if len(a.hands) == 0 {
			return nil, fmt.Errorf("racket %s is to be strung by %q, who is no stringer here", w.Key, w.Stringer)
		}
		if len(a.tools) == 0 {
			return nil, fmt.Errorf("racket %s is to be strung on %q, which is no machine here", w.Key, w.Machine)
		}
		g.may, g.usual, g.luck = append(g.may, a), append(g.usual, usual), append(g.luck, luck(w.Key))
	}
	for _, h := range f.Hands {
		g.luck = append(g.luck, luck(h.Key))
	}
	return g, nil
}

// luck is a number of a key's own: draws that begin with it are always the same, and a racket that is done changes nothing of the others'.
func luck(key string) uint64 {
	h := fnv.New64a()
	_, _ = h.Write([]byte(key)) // it never fails
	return h.Sum64()
}

// takes is how long what is left of a racket takes, with some factor.
func (w *Waiting) takes(o own, factor float64) time.Duration {
	return time.Duration(float64(o.takes(w.Steps, factor)) * w.Left)
}

// run is one way in which the queue may go.
type run struct {
	*game
	number       uint64 // nought is the usual one: nothing is drawn
	dice         *rand.Rand
	pcg          *rand.PCG
	level        []float64          // of each pair of hands
	days         map[[2]int]float64 // of a pair of hands on a day
	choice, rest []float64          // of each racket, from 0 to 1
	hands, tools []time.Duration    // from when on each is free
}

// turn is one racket's in a run.
type turn struct {
	start, end    time.Duration
	hand, machine int
}

// runs go through the queue many times; the first is the usual one.
func (g *game) runs() [][]turn {
	out := make([][]turn, min(max(played/max(len(g.queue), 1), leastRuns), mostRuns))
	pcg := &rand.PCG{}
	for n := range out {
		r := run{game: g, number: uint64(n), dice: rand.New(pcg), pcg: pcg, days: map[[2]int]float64{}}
		for i, h := range g.Hands {
			r.begin(len(g.queue)+i, 0)
			r.level = append(r.level, g.own[i].unsure*r.dice.NormFloat64())
			away := max(h.Away.Sub(g.hours.now), 0)
			if h.Since.After(g.hours.now) {
				away = 0 // not yet
			}
			r.hands = append(r.hands, away)
		}
		for _, m := range g.Machines {
			r.tools = append(r.tools, max(m.Out.Sub(g.hours.now), 0))
		}
		for i := range g.queue {
			r.begin(i, 0)
			r.choice, r.rest = append(r.choice, r.dice.Float64()), append(r.rest, r.dice.Float64())
		}
		out[n] = r.play()
	}
	return out
}

// begin begins the draws of a racket or a pair of hands.
func (r *run) begin(of, n int) { r.pcg.Seed(r.luck[of], r.number<<16+uint64(n)) }

// play goes through the queue once: as soon as a stringer and a machine are free, the first racket of the queue that may go to them is begun.
func (r *run) play() []turn {
	turns := make([]turn, len(r.queue))
	left := make([]int, len(r.queue))
	for i := range left {
		left[i] = i
	}
	for len(left) > 0 {
		soonest := max(slices.Min(r.hands), slices.Min(r.tools))
		best, at := turn{start: math.MaxInt64}, 0
		for n, i := range left {
			if t := r.earliest(i); t.start < best.start {
				best, at = t, n
			}
			if best.start <= soonest {
				break // no other can be begun sooner
			}
		}
		i := left[at]
		if back := r.back(i, best); back > 0 {
			r.hands[best.hand] = back
			continue
		}
		best.end = best.start + r.takes(i, best)
		r.hands[best.hand], r.tools[best.machine] = best.end, best.end
		turns[i], left = best, slices.Delete(left, at, at+1)
	}
	return turns
}

// back is when who has a turn is there again, where it would not be done before they go; nought where it is, and of a racket that goes on.
func (r *run) back(i int, t turn) time.Duration {
	h := &r.Hands[t.hand]
	since, away := h.Since.Sub(r.hours.now), h.Away.Sub(r.hours.now)
	if since <= 0 || t.start >= away || t.start+r.usual[i][t.hand] <= since || r.queue[i].onMachine() {
		return 0
	}
	return away
}

// earliest is where a racket can be begun first. Who of those that are free takes it, and on which machine, nobody knows: it is drawn.
func (r *run) earliest(i int) turn {
	may := &r.may[i]
	soonest := max(first(may.hands, r.hands), first(may.tools, r.tools))
	t := turn{hand: r.pick(i, may.hands, r.hands, soonest), machine: r.pick(i, may.tools, r.tools, soonest)}
	usual := r.usual[i][t.hand]
	if r.queue[i].onMachine() {
		usual = 0 // it goes on, however late it is
	}
	t.start, _ = r.hours.begin(soonest, usual)
	return t
}

// first is when the first of some is free.
func first(of []int, from []time.Duration) time.Duration {
	at := from[of[0]]
	for _, i := range of {
		at = min(at, from[i])
	}
	return at
}

// pick chooses among those that are free at a time, in the usual run the first.
func (r *run) pick(i int, of []int, from []time.Duration, at time.Duration) int {
	free := 0
	for _, n := range of {
		if from[n] <= at {
			free++
		}
	}
	skip := int(r.choice[i] * float64(free))
	if r.number == 0 {
		skip = 0
	}
	for _, n := range of {
		if from[n] > at {
			continue
		}
		if skip == 0 {
			return n
		}
		skip--
	}
	panic("schedule: somebody is free by the time at which somebody is")
}

// takes draws how long what is left of a racket takes.
func (r *run) takes(i int, t turn) time.Duration {
	if r.number == 0 {
		return r.usual[i][t.hand]
	}
	o := &r.own[t.hand]
	_, day := r.hours.begin(t.start, 0)
	of := [2]int{t.hand, day}
	if _, known := r.days[of]; !known {
		r.begin(len(r.queue)+t.hand, day+1)
		r.days[of] = o.ofDay(r.dice, day == 0)
	}
	return r.queue[i].takes(*o, r.level[t.hand]+r.days[of]+o.rest(r.rest[i]))
}

// shares are when a racket is begun or ready in some shares of the runs that were drawn.
func shares(runs [][]turn, of func([]turn) time.Duration, at ...float64) []time.Duration {
	x := make([]float64, 0, len(runs))
	for _, r := range runs[1:] {
		x = append(x, float64(of(r)))
	}
	slices.Sort(x)
	out := make([]time.Duration, len(at))
	for i, share := range at {
		out[i] = time.Duration(stat.Quantile(share, stat.Empirical, x, nil))
	}
	return out
}
