package controlchart

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"
)

// Question is what a comparison of machines is made from.
type Question struct {
	// Machines are the names to be compared, two or more.
	Machines []string
	// Stringings are what was read on them; those of other machines do not matter but to tell instruments apart.
	Stringings []Stringing
	// Decay is how a material loses tension; Usual where nothing else is known.
	Decay func(material string) Decay
	// Level is the confidence of the intervals, as 0.95.
	Level float64
}

// Pair is one machine against another: ln of the ratio of the tensions in their beds, A's over B's, so that 0.02 is 2 %.
type Pair struct {
	A, B   string
	NA, NB int // stringings
	Interval
	// Holm is P corrected for how many pairs there are (Holm, Scandinavian Journal of Statistics 6 (1979)).
	Holm float64
}

// At is a value of the pair, its Low, Value or High, in kg of ordered tension.
func (p Pair) At(value, orderedKg float64) float64 { return orderedKg * math.Expm1(value) }

// Comparison is what machines' beds say of each other.
type Comparison struct {
	// Pairs has every two of the machines.
	Pairs []Pair
	// Spread is the standard deviation of one stringing on each machine, as a share of tension; rackets that were strung
	// repeatedly differ by more.
	Spread map[string]float64
	// Instrument is whose readings they are; the readings of others are in Conversions or left out.
	Instrument  string
	Conversions []Conversion
	// Factors are what entered beside the machine: frame, string, racket.
	Factors []string
	// Age says at what age the beds were compared; LeftOut what was left out and why, empty for nothing.
	Age     string
	LeftOut []string
}

// Confounded says that machines cannot be told from what else differs between them.
type Confounded struct{ Machine string }

func (e Confounded) Error() string {
	return "what " + e.Machine + " strung shares too few frames and strings with what the others strung; string a control racket with one string on each"
}

// Compare compares machines by the first reading of each job on them, at one age and by one instrument. Frames and strings
// that differ enter as factors, rackets that were strung repeatedly as a random one, and each machine has its own spread. It
// fails with TooFew below two stringings on a machine, with Confounded, and where nothing spreads.
func Compare(q Question) (*Comparison, error) {
	if len(q.Machines) < 2 {
		return nil, fmt.Errorf("it takes two machines to compare")
	}
	if !(q.Level > 0 && q.Level < 1) {
		return nil, fmt.Errorf("a confidence of %g is not between 0 and 1", q.Level)
	}
	if err := finite(q.Stringings); err != nil {
		return nil, err
	}
	c := &Comparison{Spread: map[string]float64{}}
	list, corrections := c.gather(q)
	list = c.match(list, q.Machines)
	for _, m := range q.Machines {
		if n := count(list, m); n < 2 {
			return nil, fmt.Errorf("%s: %w", m, TooFew{n, 2})
		}
	}
	c.age(list, q)
	d := newDesign(list, q.Machines)
	if d.confounded != "" {
		return nil, Confounded{d.confounded}
	}
	c.Factors = d.factors
	for i, s := range list {
		d.model.y[i] = math.Log(s.Kept)
	}
	for _, f := range corrections(list) {
		for i, v := range f.values {
			d.model.y[i] += f.Value * v
		}
		d.corrections = append(d.corrections, f)
	}
	fit, err := d.model.fit()
	if err != nil {
		return nil, err
	}
	for i, m := range q.Machines {
		c.Spread[m] = math.Sqrt(fit.theta[i]) * fit.scaled
	}
	c.pairs(q, list, d, fit)
	return c, nil
}

func count(list []Stringing, machine string) int {
	n := 0
	for _, s := range list {
		if s.Machine == machine {
			n++
		}
	}
	return n
}

// correction is what a quantity that is itself only estimated adds to ln of each value.
type correction struct {
	Interval
	values []float64
}

// gather takes one value of each job on the machines: by the instrument that read most of them, or by another one that can be
// told in its readings. What it returns beside them makes the corrections of what is left of them.
func (c *Comparison) gather(q Question) ([]Stringing, func([]Stringing) []correction) {
	var on []Stringing
	played := 0
	for _, s := range q.Stringings {
		switch {
		case !slices.Contains(q.Machines, s.Machine):
		case s.Played:
			played++
		default:
			on = append(on, s)
		}
	}
	if played > 0 {
		c.LeftOut = append(c.LeftOut, many(played, "reading")+" taken after play")
	}
	var list []Stringing
	for i, name := range Instruments(on) {
		more := OneInstrument(on, name)
		if i == 0 {
			c.Instrument, list = name, more
			continue
		}
		known := map[int64]bool{}
		for _, s := range list {
			known[s.Job] = true
		}
		more = slices.DeleteFunc(more, func(s Stringing) bool { return known[s.Job] })
		if len(more) == 0 {
			continue
		}
		conversion, err := Convert(q.Stringings, name, c.Instrument)
		if err != nil {
			c.LeftOut = append(c.LeftOut, fmt.Sprintf("%s read by %s only, which cannot be told in readings of %s: %v that both read",
				many(len(more), "stringing"), name, c.Instrument, err))
			continue
		}
		c.Conversions, list = append(c.Conversions, conversion), append(list, more...)
	}
	slices.SortStableFunc(list, func(a, b Stringing) int { return a.At.Compare(b.At) })
	return list, func(list []Stringing) []correction { return append(c.convert(list, q.Level), ages(list, q)...) }
}

// convert is a correction for each conversion.
func (c *Comparison) convert(list []Stringing, level float64) (out []correction) {
	for _, v := range c.Conversions {
		f := correction{Interval{v.Log, v.SE, float64(v.Pairs - 1), level}, make([]float64, len(list))}
		for i, s := range list {
			if s.Instrument == v.From {
				f.values[i] = 1
			}
		}
		out = append(out, f)
	}
	return out
}

// ages is a correction to the reference age for each material.
func ages(list []Stringing, q Question) (out []correction) {
	at := map[string]int{}
	for i, s := range list {
		d := q.Decay(s.Material)
		k, known := at[s.Material]
		if !known {
			k = len(out)
			at[s.Material], out = k, append(out, correction{Interval{d.PerDecade, d.SE, d.DF, q.Level}, make([]float64, len(list))})
		}
		// What is lost is a share of what was ordered; of what is left it is more.
		out[k].values[i] = d.later(s) / s.Kept
		if d.PerDecade != 0 {
			out[k].values[i] = math.Log(d.AtReference(s)/s.Kept) / d.PerDecade
		}
	}
	return out
}

// age says at what age the beds are compared.
func (c *Comparison) age(list []Stringing, q Question) {
	least, most, unknown := math.Inf(1), 0.0, 0
	var told []string
	for _, s := range list {
		if !s.Aged {
			unknown++
			continue
		}
		least, most = min(least, s.Age.Minutes()), max(most, s.Age.Minutes())
		if d := q.Decay(s.Material).String(); !slices.Contains(told, d) {
			told = append(told, d)
		}
	}
	switch {
	case unknown == len(list):
		c.Age = "as read: nobody knows how long after the last pull"
		return
	case most <= 2*least:
		c.Age = "at equal age"
	default:
		c.Age = fmt.Sprintf("brought to %.0f min after the last pull: %s", ReferenceAge.Minutes(), strings.Join(told, "; "))
	}
	if unknown > 0 {
		c.Age += fmt.Sprintf("; %d as read, their age is not known", unknown)
	}
}

// match leaves out what was strung with a frame or a string that only one of the machines had: it says nothing of the others.
func (c *Comparison) match(list []Stringing, machines []string) []Stringing {
	out := list
	for {
		before := len(out)
		for _, of := range []func(Stringing) string{frameOf, stringOf} {
			on := map[string]map[string]bool{}
			for _, s := range out {
				if on[of(s)] == nil {
					on[of(s)] = map[string]bool{}
				}
				on[of(s)][s.Machine] = true
			}
			out = slices.DeleteFunc(slices.Clone(out), func(s Stringing) bool { return len(on[of(s)]) < 2 })
		}
		if len(out) == before {
			break
		}
	}
	if n := len(list) - len(out); n > 0 {
		c.LeftOut = append(c.LeftOut, many(n, "stringing")+" with a frame or a string that only one of the machines had")
	}
	return out
}

// many counts things.
func many(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}

// pairs makes every two of the machines.
func (c *Comparison) pairs(q Question, list []Stringing, d *design, fit *fitted) {
	_, columns := d.model.x.Dims()
	first := columns - len(q.Machines) + 1
	for i, a := range q.Machines {
		for j := i + 1; j < len(q.Machines); j++ {
			contrast := make([]float64, columns)
			if i > 0 {
				contrast[first+i-1] = 1
			}
			contrast[first+j-1] = -1
			p := Pair{A: a, B: q.Machines[j], NA: count(list, a), NB: count(list, q.Machines[j])}
			p.Interval = d.estimate(fit, contrast, q.Level)
			c.Pairs = append(c.Pairs, p)
		}
	}
	holm(c.Pairs)
}

// holm corrects the chances for how many there are.
func holm(pairs []Pair) {
	order := make([]int, len(pairs))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(pairs[a].P(), pairs[b].P()) })
	largest := 0.0
	for rank, i := range order {
		largest = max(largest, min(1, float64(len(pairs)-rank)*pairs[i].P()))
		pairs[i].Holm = largest
	}
}

// Ordinary is the standard deviation of a stringing on the machines together, as a share of tension.
func (c *Comparison) Ordinary() float64 {
	var squares []float64
	for _, s := range c.Spread {
		squares = append(squares, s*s)
	}
	return math.Sqrt(stat.Mean(squares, nil))
}
